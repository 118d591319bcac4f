package main

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"slices"
	"sync"
	"time"

	"handrule/internal/drive"
)

// learner is a page with an arm: it comes back to its bench whenever the connection is lost, and then lets go of what it held.
type learner struct {
	address string
	path    string   // beside the bench's id
	head    []string // headers of its connection

	mu     sync.Mutex
	conn   *drive.Socket
	bench  string
	found  bool      // as the last welcome said
	begun  pose      // of this connection's first frame
	back   time.Time // when that came
	strays bool      // it moved on this connection before it was asked to
	asked  bool      // it was asked to move on this connection
	pose   pose      // of the joints in the last frame
	framed time.Time // when that came
	gap    time.Duration
	stops  int    // as the bench counts them
	rests  []rest // of the last moment, and the one before
	told   int    // problems

	way    []rest // where it was in the frames of the last moments
	before []rest // the rests when the process was killed
	was    []rest // where it was in the moments before that
	killed time.Time
	moved  bool // it was under way then

	moves   bool // as the bench said last
	press   int
	holding bool
	sign    int
}

// pose is the six joints as a frame has them.
type pose [6]int32

func (l *learner) run(ctx context.Context) {
	comesBack(ctx, func() (*drive.Socket, error) { return drive.Dial(l.address, l.path+"&id="+l.name(), l.head...) }, func(conn *drive.Socket) bool {
		answered := l.hear(conn)
		l.mu.Lock()
		defer l.mu.Unlock()
		l.conn, l.holding = nil, false
		return answered
	})
}

func (l *learner) name() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.bench
}

// here reports whether the page has its arm.
func (l *learner) here() bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.conn != nil
}

// hear hears what the bench tells until the connection is lost, and reports whether a bench answered.
func (l *learner) hear(conn *drive.Socket) (answered bool) {
	first := true
	for {
		kind, text, err := conn.Read()
		if err != nil {
			return answered
		}
		l.mu.Lock()
		if kind == drive.OpBinary && len(text) >= 36 {
			for i := range l.pose {
				l.pose[i] = int32(binary.LittleEndian.Uint32(text[12+4*i:]))
			}
			now := time.Now()
			if first {
				first, l.back, l.conn, l.begun, l.strays, l.asked = false, now, conn, l.pose, false, false
			} else if l.holding && l.moves {
				l.gap = max(l.gap, now.Sub(l.framed))
			}
			l.framed = now
			if l.way = append(l.way, rest{l.pose, now}); now.Sub(l.way[0].at) > 2*lastMoment {
				l.way = slices.Delete(l.way, 0, len(l.way)/2)
			}
			l.strays = l.strays || !l.asked && l.pose != l.begun
		} else if kind == drive.OpText {
			var m struct {
				Type, Bench string
				Reason      string
				Found       bool
				Count       int
				Moving      json.RawMessage
			}
			json.Unmarshal(text, &m)
			switch m.Type {
			case "welcome":
				answered, l.bench, l.found = true, m.Bench, m.Found
			case "stop":
				if m.Reason == "link lost" {
					l.press++ // Whoever holds on presses once more.
				}
				if m.Count != l.stops || len(l.rests) == 0 {
					l.stops, l.rests = m.Count, append(l.rests, rest{l.pose, time.Now()})
				}
			case "motion":
				l.moves = string(m.Moving) != "null"
				l.strays = l.strays || !l.asked && l.moves && !first
			case "problem":
				l.told++
			}
		}
		l.mu.Unlock()
	}
}

// rest is where the arm came to rest, or was, and when.
type rest struct {
	pose
	at time.Time
}

// lastMoment is how long a rest may wait to be written: a second in which it is gathered, and its turn. Here an arm comes to rest as late as
// that only where this busy machine has not renewed its hold in time.
const lastMoment = 2 * time.Second

// killing takes note of where the arm stood.
func (l *learner) killing() {
	l.mu.Lock()
	defer l.mu.Unlock()
	for len(l.rests) > 1 && time.Since(l.rests[1].at) > lastMoment {
		l.rests = l.rests[1:]
	}
	l.before, l.was, l.killed = slices.Clone(l.rests), slices.Clone(l.way), time.Now()
	l.moved = l.moves && len(l.rests) > 0 && l.pose != l.rests[len(l.rests)-1].pose
}

// standsRight reports whether the arm is back where it last came to rest before the process was killed, or where it would have come to rest if it
// had been let go on its way since; and by how much before the kill that was.
func (l *learner) standsRight() (right bool, behind time.Duration) {
	if !l.moved {
		return slices.ContainsFunc(l.before, func(r rest) bool { return r.pose == l.begun }), 0
	}
	for i := len(l.was) - 1; i > 0; i-- {
		r := l.was[i]
		if between(l.was[i-1].pose, l.begun, r.pose) || i == len(l.was)-1 && onWay(l.was[i-1].pose, r.pose, l.begun) {
			return true, l.killed.Sub(r.at)
		}
		if l.killed.Sub(r.at) > lastMoment {
			break
		}
	}
	return false, 0
}

// between reports whether a pose lies between two others, of an arm that turns joint 1.
func between(a, x, b pose) bool {
	return sameButFirst(a, x) && (a[0] <= x[0] && x[0] <= b[0] || b[0] <= x[0] && x[0] <= a[0])
}

// onWay reports whether a pose lies on the way from a to b or beyond, no further than the arm needs to stop.
func onWay(a, b, x pose) bool {
	const mostToStop = 600_000 // 6°, more than joint 1 needs at this speed
	ahead := x[0] - b[0]
	if b[0] < a[0] {
		ahead = -ahead
	}
	return sameButFirst(b, x) && ahead >= 0 && ahead < mostToStop
}

func sameButFirst(a, b pose) bool { return slices.Equal(a[1:], b[1:]) }

func (l *learner) say(format string, of ...any) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.conn != nil {
		l.asked = true
		l.conn.Write(fmt.Appendf(nil, format, of...))
	}
}

// steps moves joint 5 by a step, and waits until the arm stands.
func (l *learner) steps(ctx context.Context) error {
	l.mu.Lock()
	before := l.stops
	l.sign = -l.sign | 1
	sign := l.sign
	l.mu.Unlock()
	l.say(`{"type":"step","direction":{"frame":"joint","axis":4,"sign":%d}}`, sign)
	return until(ctx, "an arm has made its step", func() bool { l.mu.Lock(); defer l.mu.Unlock(); return l.stops > before && !l.moves })
}

// farOut is how far joint 1 may be turned before it is turned back, in the unit of frames (bench.FrameLayout).
const farOut = 6_000_000 // 60°

// holds presses a control for joint 1 and renews that until it lets go, the connection is lost or ctx ends; where it turns, it
// presses the other way every two seconds.
func (l *learner) holds(ctx context.Context, turns bool) {
	l.mu.Lock()
	l.press++
	l.holding = true
	l.gap = 0
	sign := l.sign | 1 // Who has made no step has no sign yet.
	if at := l.pose[0]; at > farOut || at < -farOut {
		sign = 1
		if at > 0 {
			sign = -1 // and not on to the joint's limit
		}
	}
	l.mu.Unlock()
	ticker := time.NewTicker(75 * time.Millisecond)
	defer ticker.Stop()
	for n := 1; ; n++ {
		l.mu.Lock()
		holding := l.holding
		if turns && n%27 == 0 {
			l.press++
			sign = -sign
		}
		press := l.press
		l.mu.Unlock()
		if !holding {
			return
		}
		l.say(`{"type":"hold","press":%d,"directions":[{"frame":"joint","axis":0,"sign":%d}]}`, press, sign)
		select {
		case <-ctx.Done():
			l.letGo()
			return
		case <-ticker.C:
		}
	}
}

func (l *learner) letGo() {
	l.mu.Lock()
	l.holding = false
	l.mu.Unlock()
	l.say(`{"type":"release"}`)
}
