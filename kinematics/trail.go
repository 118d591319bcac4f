package kinematics

// trail is where settle has been along families while one question is answered, so that it need not go the same way again from
// every place that iteration leads to.
type trail struct {
	n, run int
	open   bool // a run is being noted
	places [mostPlaces]trailPlace
	ends   [mostPlaces]Joints // to which each run led
}

// mostPlaces is how many are noted at most.
const mostPlaces = 128

type trailPlace struct {
	q, on Joints // and the direction of the family there
	ahead bool   // the run went on in that direction
	run   int
}

// set sets out from a new place. A trail that is nil notes nothing.
func (t *trail) set() {
	if t == nil {
		return
	}
	if t.open = t.n < mostPlaces; t.open {
		t.run++
	}
}

func (t *trail) note(q, on *Joints, way float64) {
	if t != nil && t.open && t.n < mostPlaces {
		t.places[t.n] = trailPlace{*q, *on, way > 0, t.run}
		t.n++
	}
}

func (t *trail) end(q *Joints) {
	if t != nil && t.open {
		t.ends[t.run-1] = *q
	}
}

// joined returns where settle leads from q, in the direction on by the sign of way, if that comes to the trail: one step along
// the family ends there, and the trail goes on the same way.
func (t *trail) joined(a *Arm, flange Pose, q, on *Joints, way float64, w *work) (end Joints, ok bool) {
	if t == nil {
		return end, false
	}
	least, at := settlingStep*settlingStep, -1
	var to Joints // from q to the nearest place
	for i := range t.places[:t.n] {
		var d Joints
		for k := range d {
			d[k] = t.places[i].q[k] - q[k]
			d[k] -= turnsOff(d[k], 0)
		}
		if far := norm2((*[6]float64)(&d)); far < least {
			least, at, to = far, i, d
		}
	}
	if at < 0 {
		return end, false
	}
	p := &t.places[at]
	side := dot((*[6]float64)(on), (*[6]float64)(&p.on))
	if (way > 0) != (p.ahead == (side > 0)) {
		return end, false
	}
	step := dot((*[6]float64)(&to), (*[6]float64)(on))
	next, _, gone := a.along(flange, q, on, step, w)
	if gone != step {
		return end, false
	}
	// What is missed along the family is no matter.
	var miss Joints
	for k := range miss {
		miss[k] = p.q[k] - next[k]
		miss[k] -= turnsOff(miss[k], 0)
	}
	miss = moved(&miss, -dot((*[6]float64)(&miss), (*[6]float64)(&p.on)), &p.on)
	return t.ends[p.run-1], norm2((*[6]float64)(&miss)) < sameFree*sameFree
}
