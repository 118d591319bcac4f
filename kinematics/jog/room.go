package jog

import (
	"math"

	"handrule/kinematics"
)

// Room is how far the arm can go in one direction from where it stands, and what stops it there.
type Room struct {
	Direction Direction
	Free      float64 // mm, or rad
	Endless   bool    // nothing stops it within a whole turn; Free is that turn
	Stop      Stop    // what stops it; its Reason is empty where it is Endless, and Short is not measured
}

// Survey finds the room to move in all twelve directions of a frame, a piece of work at a time: plus and minus along or about
// each of the frame's six axes in turn. It looks along every path with the code that a jog looks along it with, but takes no
// time for the motion. It belongs to where the arm was when it was asked for, whatever the arm does since; an arm in motion
// is taken as if it stood.
type Survey struct {
	Joints kinematics.Joints // where the arm was
	Tick   int64             // and when, in ticks of its drive

	speeds  Speeds
	rooms   [12]Room
	at      int // the direction under way
	path    path
	ahead   lookout
	looking bool // along that path
}

// Survey begins to look for the room to move in a frame, for jogs at these speeds. The error is of a task frame that there is
// not. Nothing has been looked at yet when it returns.
func (d *Drive) Survey(f Frame, task string, speeds Speeds) (*Survey, error) {
	s := &Survey{Joints: d.q, Tick: d.Ticks, speeds: speeds}
	for i := range s.rooms {
		s.rooms[i].Direction = Direction{Frame: f, Task: task, Axis: i / 2, Sign: 1 - 2*(i%2)}
		j := s.jog(i)
		if err := j.Check(); err != nil {
			return nil, err
		}
		if _, err := d.setup.Frame(f, task, kinematics.Identity); err != nil {
			return nil, err
		}
	}
	s.ahead.setup, s.ahead.unmeasured = d.setup, true
	return s, nil
}

// jog is the one that is looked along in a direction.
func (s *Survey) jog(i int) Jog {
	way := s.rooms[i].Direction
	j := Jog{Direction: way, Amount: math.Inf(1), Speed: s.speeds.of(way)}
	if j.AboutTCP() {
		j.Amount = 2 * math.Pi
	}
	return j
}

// Advance looks at so many stretches of paths more, or at a few dozen beyond that, and reports whether all rooms are known.
func (s *Survey) Advance(looks int) (done bool) {
	if s.at == 0 && !s.looking {
		s.ahead.stand(s.ahead.setup, &s.Joints)
	}
	for until := s.ahead.looks + looks; s.at < len(s.rooms) && s.ahead.looks < until; {
		if !s.looking {
			s.path, _ = newPath(s.ahead.setup, s.Joints, s.jog(s.at)) // checked when it was asked for
			l, _ := s.path.limits(s.ahead.setup)
			s.ahead.begin(&s.path, l.speed)
			s.looking = true
		}
		if !s.ahead.lookFor(s.path.steps + stepsPerTick) {
			s.take()
		}
	}
	return s.at == len(s.rooms)
}

// take takes down the room in the direction under way, and turns to the next.
func (s *Survey) take() {
	r := &s.rooms[s.at]
	r.Free, r.Endless, r.Stop = s.ahead.s, !s.ahead.closed, s.ahead.stop
	if !r.Endless {
		r.Stop.Jog, r.Stop.Travel = s.path.jog, r.Free
		r.Stop.Jog.Amount = math.Inf(1)
	}
	s.at++
	s.looking = false
}

// Rooms returns the rooms, all of them once Advance has reported that it is done.
func (s *Survey) Rooms() [12]Room { return s.rooms }
