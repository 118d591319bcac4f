// Package spoken says in words what the kinematics and the motion report in numbers: why a jog stopped and what to do
// about it, what is not unique about an orientation, what cannot be done now. The sentences themselves are in the
// catalogues of package words; here are their numbers and the choice among them.
package spoken
