package kinematics

import "gonum.org/v1/gonum/spatial/r3"

// Capsule is a cylinder with round ends that belongs to a link, given at the measured pose in the base frame; or, for
// a tool, in the flange's frame with Link 6. It is what is drawn and what can touch.
type Capsule struct {
	Link     int
	From, To r3.Vec
	Radius   float64
}

// OfLink returns the capsules of a body that belong to one link.
func OfLink(body []Capsule, link int) (of []Capsule) {
	for _, c := range body {
		if c.Link == link {
			of = append(of, c)
		}
	}
	return of
}

// Tool is what the flange carries: its TCP in the flange's frame, and what it is made of.
type Tool struct {
	Name string
	TCP  Pose
	Body []Capsule
}

// NoTool is the bare flange: its TCP is the flange itself.
var NoTool = Tool{Name: "none", TCP: Identity}
