package spoken

import "handrule/words"

// PostureWord says a word of a posture with the part it is of, as it is said of an arm: elbow up, J5 minus.
func PostureWord(part, word string, in *words.Language) string {
	return in.Say("posture." + part + "." + word)
}
