// Package kinematics is the arm as geometry: where its links, its flange and its tool are for given joint
// angles, and which joint angles put the tool at a given place. It knows no clock, no files and no sockets.
//
// Lengths are millimetres, angles radians, frames right-handed. Everything about an arm is stated at its zero
// pose in the base frame; a link frame is the displacement that carries the link from there to where it is now.
//
// # What the answers promise
//
// Each promise is held by tests that try to break it, named in brackets.
//
// Forward and Jacobian are those of an independent library to 1e-9, relative [reference_kdl_test.go].
//
// Inverse: every solution puts the flange at its place, to 1e-9 mm and 1e-12 rad away from singularities [TestEverySolutionGivesThePose], and
// to 1e-6 mm and 1e-9 rad where solutions meet or nearly do [TestSolutionsAtAndNearSingularPoses]. Every isolated
// solution is there, once [TestNoSolutionIsMissed, TestClosedFormsAndSearchAgree], also where solutions are about to meet
// [TestSolutionsAtAndNearSingularPoses, TestAxis6NextToParallel] and at the special poses of arms with round numbers, from
// whatever joints it is asked [TestSpecialPosesOfRoundArms]. Two nearer than 1e-6 rad to each other are one, and next to a
// singularity so are two that the accuracy of a flange does not tell apart. A family is marked, and given by the
// member nearest to the given joints, or by several where it is one only to rounding, see [Arm.Inverse] [TestFamilyIsWhereJointsAreFree, TestFamiliesOfRoundArms,
// TestSearchOfFreeJoints, TestFamilyInThePlane, TestFourBarGoesToTheNearest, TestFourBarClosesWhereItCan]. What made a
// pose is among its solutions on any arm that New accepts, up to 100 m long and not free in more ways than one [FuzzInverse,
// FuzzSolvers].
//
// Track: the nearest solution, or no answer where the flange is out of reach [TestSmallStepsLeadToTheNearestSolution, TestTheQuickWayTellsTheNearest,
// TestTrackIsContinuousThroughSingularPoses, FuzzTrack]; an arm that is where it should be stays
// [TestStepsThatKeepTheWristStraight]. Follow is the same for small steps; on an arm without a closed form it looks no farther
// than 0.05 rad, and where it is singular in two ways at once it may, one time in five hundred at most, take another or find none
// [TestSearchTracksTheNearest].
//
// Singularity: the singular values are those of LAPACK [TestSingularityAgreesWithLAPACK, TestSingularValuesOfAllFamilies], and a
// posture changes only at its singularity [TestPostureChangesOnlyAtItsSingularity]. OutOfReach is zero where the arm can stand, and how
// much it is too short elsewhere [TestSearchOutOfReach, FuzzInverse].
//
// Work is counted, not timed, so that an answer is always the same: an Inverse makes at most six eliminations and 2·mostSteps
// steps of iteration, a Follow at most 3·mostFollowed steps [BenchmarkWorstInverse, BenchmarkWorstFollow]. Where that is not
// enough on an arm without a closed form a solution may be missing.
package kinematics
