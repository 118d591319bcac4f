package kinematics

// Posture says in words which of the inverse solutions the arm is in. Fields are empty where the arm's geometry
// gives the word no meaning.
type Posture struct {
	Shoulder string // "front" or "behind": on which side of joint 1's axis the arm reaches
	Elbow    string // "above" or "below" the line from shoulder to wrist
	Wrist    string // "plain" or "flipped": joint 5 bent to the positive or the negative side
}

// Solution is one way to put the flange at a pose.
type Solution struct {
	Joints       Joints // each within ±π of zero, or the turn within the limits that is nearest to the arm's joints
	Posture      Posture
	WithinLimits bool
	Family       bool // at a singular pose: one of infinitely many, the one nearest to the arm's joints
}
