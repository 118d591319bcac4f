// Package jog is the arm in time: what one step, one held key and one tick of the clock do to it, and why it
// stops. The clock is a count of ticks of fixed length, so the same jogs from the same joints give the same
// motion. It knows no keys, sockets or files.
//
// # What a motion does
//
// A path is laid down when a jog starts, and every tick is computed from its start, so nothing drifts. Along it the arm
// speeds up and slows down with bounded acceleration and jerk (profile.go). A step ends exactly on its amount. A release,
// and a lost link the same way, brings the arm to rest on the path, StoppingDistance further on. Whoever wants another
// direction, frame, tool or speed while the arm moves releases it, waits until it stands and starts anew: two paths are
// never blended.
//
// The path is looked along ahead of the arm (look.go), by about as far as the arm needs to stop, so joint limits, the end
// of reach, singularities and the set distance are braked for. Contact is not: a crash is a crash, and the motion ends at once
// where the two first touch. Where a joint would be too fast the path speed gives way in time, within the same bounds on
// acceleration and jerk; only where the look ahead was too coarse, as next to a straight wrist, is a tick shortened.
//
// Contact and set distance go by every pair of its own (floors.go). Two that begin in contact, or nearer than the set distance, may do what
// brings them no nearer; all others keep the whole set distance.
//
// # What a stop promises
//
// It is told for the reason that is nearest along the path, and of several at the same place for the first of: joint limit, contact
// or set distance, singularity, end of reach [TestOfSeveralThingsTheNearestIsTold]. A joint limit is told where the joint stands at
// it, to 1e-6 rad, and would go beyond. A singularity is told where a joint needs a thousand times its speed for longer than an
// eighth of a tick, or would have to turn at once, and there is a way to stand further on; out of reach where there is none, be it
// 1e-5 mm or rad or a tick further on. Where infinitely many ways to stand pass close by another singularity, the joints stay on their side
// of it [TestInfinitelyManyWaysHideNoSingularity]. A joint that rounding puts up to 2e-10 rad beyond a limit is set on it, and next to a
// singularity, where rounding turns joints farther, one up to 1e-4 rad beyond for which the arm can stand there with the joint on its
// limit.
//
// Contact ends a motion where the two first touch, and the set distance where it is reached, both to 1e-6 mm; two that began nearer than that end it
// within 1e-6 mm or rad of where they are as near again. Less deep than 2e-5 mm a
// contact may be missed that is grazed on the way [scenarios: TestRefereeOfStopsInCells] [TestContactStopsAtFirstTouch, TestSetDistanceStopsBeforeContact,
// TestNothingIsJumpedOver, TestWhatIsGrazedIsSeen, TestNoStretchIsPassedOnWhichMoreGoesUnseen].
//
// Where the arm can stand in infinitely many ways it stands in the one nearest to where the jog began, and goes on as long as there
// is a continuous one. Where a joint comes to its limit in that way the jog ends, although it might not in another.
//
// A referee judges stops, half of them from special starts and half from anywhere: of shipped arms, of arms with round numbers, with axes anywhere
// and solved by search. Of the solver it shares Forward and Jacobian; ways to stand it looks for from many places
// [scenarios: TestRefereeOfStops, TestTheRefereeFindsWaysToStand, TestSearchedArmsGoOnWhereTheyCan]. Contact and set distance it judges in shipped
// cells and among drawn things, by distances that share nothing with package clearance [scenarios: TestRefereeOfStopsInCells]. What a stop says in numbers does not contradict it
// [TestARaceIsToldByTheStretchOnWhichItIs]. The same task at another heading comes to the same motion
// [scenarios: TestTheSameAtEveryHeading]. The room to move is what happens, and every tick keeps the path, the
// limits and the bounds, from special starts too; a limit that is not passed ends nothing, even where a joint stands on it
// [scenarios: TestALimitThatIsNotPassedChangesNothing] [TestRoomIsWhatHappens, TestRoomIsWhatHappensToAnyArm,
// TestEveryTickKeepsThePath, TestSpecialStartsKeepThePath].
//
// Every jog ends or keeps moving, by a count and not a clock: in any 250 ticks in which nobody holds it back the arm gets on by a
// thousandth of its speed, and in any 1000 stretches that are looked at along a path by one first stride (1 mm or 0.01 rad), or in any
// 16,000 where they are short because something is near. Where it
// does not, it stops: for a joint that would have to be too quick, if one would, in the latter case for what it slides along inside its set
// distance, and else because the way on was not computed, which is a reason of its own. That is told too where the search for ways to stand
// came to its bound and found none [scenarios: TestEveryJogEnds] [TestWhatSlidesInsideTheSetDistanceEndsForWhatItDoes,
// TestARaceIsToldByTheStretchOnWhichItIs]. A tick looks at 64 stretches at most and
// leaves off after 400 steps of iteration; what is left is for the next. So is what it takes to say why the path is blocked: on an arm
// without a closed form that can be thousands of steps, for which the arm, once it stands, waits a few ticks more
// [TestATickTakesACountedNumberOfSteps, TestACopyExplainsTheSame]. The longest tick and the longest twelve rooms are printed
// [scenarios: BenchmarkWorstTick, BenchmarkWorstRooms].
//
// # What an undo promises
//
// What was driven can be undone: the way that was driven leads back, to the joints that it began with, bit for bit, also where several
// ways meet and nearer to something than the set distance, if the arm came from there [scenarios: TestEveryMotionCanBeUndone,
// TestALogThatIsReadAgainUndoesBitForBit]. In other surroundings, as with a thing put in the way, it may be stopped like any jog.
package jog
