package jog

import (
	"context"
	"math"
)

// Room is how far the arm can go in one direction from where it stands, and what stops it there.
type Room struct {
	Direction Direction
	Free      float64 // mm, or rad
	Endless   bool    // nothing stops it within a whole turn; Free is that turn
	Stop      Stop    // what stops it; its Reason is empty where it is Endless
}

// looksPerAsk is how many stretches are looked along between two questions whether the work is still wanted.
const looksPerAsk = 64

// Room returns how far a jog in this direction at this speed, mm/s or rad/s, gets before something ends it. It looks
// along the path with the code that a jog looks along it with, but takes no time for the motion. The drive is not
// changed, and may be a copy that another goroutine has. An arm in motion is taken as if it stood where it is now.
func (d *Drive) Room(ctx context.Context, way Direction, speed float64) (Room, error) {
	run := *d
	run.moving = false
	amount := math.Inf(1)
	if !way.Straight() && way.Frame != JointFrame {
		amount = 2 * math.Pi
	}
	if err := run.Start(Jog{Direction: way, Amount: amount, Speed: speed}); err != nil {
		return Room{}, err
	}
	for look := 0; run.look(); look++ {
		run.ahead.drop(run.ahead.s)
		if look%looksPerAsk == looksPerAsk-1 && ctx.Err() != nil {
			return Room{}, ctx.Err()
		}
	}
	r := Room{Direction: way, Free: run.ahead.s, Endless: !run.ahead.closed, Stop: run.ahead.stop}
	if !r.Endless {
		r.Stop.Jog, r.Stop.Travel = run.path.jog, r.Free
		r.Stop.Jog.Amount = math.Inf(1)
	}
	return r, nil
}

// Rooms returns the room in all twelve directions of a frame: plus and minus along or about each of its six axes in
// turn. It ends early, with the context's error, when the work is no longer wanted.
func (d *Drive) Rooms(ctx context.Context, f Frame, task string, speeds Speeds) (rooms [12]Room, err error) {
	for i := range rooms {
		way := Direction{Frame: f, Task: task, Axis: i / 2, Sign: 1 - 2*(i%2)}
		if rooms[i], err = d.Room(ctx, way, speeds.of(way)); err != nil {
			return rooms, err
		}
	}
	return rooms, nil
}
