//go:build unix

package main

import (
	"context"
	"encoding/json"
	"sync"
	"time"

	"github.com/coder/websocket"

	"handrule/kinematics/jog"
	"handrule/server/bench"
)

const (
	renewal  = 75 * time.Millisecond
	holdTime = 900 * time.Millisecond // of a hold; the arm goes to and fro
	pause    = 300 * time.Millisecond
)

// learner is a page that holds a control now and then, as people do, and takes note of when frames come.
type learner struct {
	conn *websocket.Conn

	mu      sync.Mutex
	holding bool
	last    time.Time // frame of this hold; zero before the first
	gaps    []float64 // between frames, ms
	lost    int
	asked   time.Time // when the hold was renewed last
	late    bool      // this program was too late itself, because the machine is busy
}

// dial connects a page with a bench.
func dial(address string) (*websocket.Conn, error) {
	conn, _, err := websocket.Dial(context.Background(), "ws://"+address+"/bench", nil)
	if err == nil {
		conn.SetReadLimit(16 << 20)
	}
	return conn, err
}

// sit connects a learner, who is told everything first.
func sit(address string) (*learner, error) {
	conn, err := dial(address)
	if err != nil {
		return nil, err
	}
	l := &learner{conn: conn}
	go l.read()
	return l, nil
}

func (l *learner) read() {
	for {
		kind, text, err := l.conn.Read(context.Background())
		if err != nil {
			return
		}
		now := time.Now()
		l.mu.Lock()
		if kind == websocket.MessageBinary {
			if l.holding {
				if !l.last.IsZero() {
					l.gaps = append(l.gaps, now.Sub(l.last).Seconds()*1000)
				}
				l.last = now
			}
		} else {
			var m struct{ Type, Reason string }
			if json.Unmarshal(text, &m) == nil && m.Type == "stop" && jog.Reason(m.Reason) == jog.LinkLost && !l.late {
				l.lost++
			}
		}
		l.mu.Unlock()
	}
}

// jog holds joint 1 to and fro until the page is gone.
func (l *learner) jog() {
	for press := 1; ; press++ {
		d := jog.Direction{Frame: jog.JointFrame, Sign: 1 - press%2*2}
		hold := bench.HoldRequest{Press: press, Directions: []jog.Direction{d}}
		l.hold(true)
		for begun := time.Now(); time.Since(begun) < holdTime; time.Sleep(renewal) {
			l.renewed()
			if ask(l.conn, "hold", hold) != nil {
				return
			}
		}
		l.hold(false)
		if ask(l.conn, "release", bench.ReleaseRequest{}) != nil {
			return
		}
		time.Sleep(pause)
	}
}

func (l *learner) hold(on bool) {
	l.mu.Lock()
	l.holding, l.last = on, time.Time{}
	if on {
		l.asked, l.late = time.Now(), false
	}
	l.mu.Unlock()
}

// renewed takes note of whether a renewal is in time for the server to see it within the lease.
func (l *learner) renewed() {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.late = l.late || time.Since(l.asked) > 2*renewal
	l.asked = time.Now()
}

// measured returns the times between frames since it was last asked, and how many holds were lost.
func (l *learner) measured() (gaps []float64, lost int) {
	l.mu.Lock()
	defer l.mu.Unlock()
	gaps, lost = l.gaps, l.lost
	l.gaps, l.lost = nil, 0
	return gaps, lost
}

func (l *learner) leave() { l.conn.CloseNow() }

// ask sends a request.
func ask(conn *websocket.Conn, word string, request any) error {
	text, err := json.Marshal(request)
	if err != nil {
		return err
	}
	head := `{"type":"` + word + `"`
	if len(text) > len("{}") {
		head += ","
	}
	return conn.Write(context.Background(), websocket.MessageText, append([]byte(head), text[1:]...))
}
