package jog

// Reason is why a jog ended.
type Reason string

const (
	Done        Reason = "done"         // the step is complete
	Released    Reason = "released"     // the control was let go
	LinkLost    Reason = "link lost"    // nobody renewed the hold in time
	JointLimit  Reason = "joint limit"  // a joint stands at its limit
	OutOfReach  Reason = "out of reach" // no joint angles put the TCP further along
	Singularity Reason = "singularity"  // going on at any useful speed needs a joint faster than it can turn
)

// Reasons are all of them.
var Reasons = []Reason{Done, Released, LinkLost, JointLimit, OutOfReach, Singularity}
