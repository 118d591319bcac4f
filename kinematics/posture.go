package kinematics

// Posture says in words which of the inverse solutions the arm is in. Fields are empty where the arm's geometry
// gives the word no meaning. A word changes only where the arm passes the singularity of that name; and
// up and down also change places where the shoulder's does.
type Posture struct {
	Shoulder string // "front" or "behind": on which side of joint 1's axis the arm reaches
	Elbow    string // "up" or "down" of the line from shoulder to wrist, seen with the arm reaching out level
	Wrist    string // "plus" or "minus": the side of its straight pose to which joint 5 is bent
}

// The words of a posture.
var (
	ShoulderWords = [2]string{"front", "behind"}
	ElbowWords    = [2]string{"up", "down"}
	WristWords    = [2]string{"plus", "minus"}
)

// word returns the first word unless x is negative.
func word(words [2]string, x float64) string {
	if x < 0 {
		return words[1]
	}
	return words[0]
}

// Posture returns the posture of the arm at q.
func (a *Arm) Posture(q Joints) Posture {
	return a.method.posture(q)
}
