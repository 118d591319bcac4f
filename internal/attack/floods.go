//go:build unix

package main

import (
	"bufio"
	"context"
	"fmt"
	"maps"
	"net"
	"net/http"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"time"

	"github.com/coder/websocket"

	"handrule/kinematics/jog"
	"handrule/server/bench"
)

// attacker is a page that wants to do harm.
type attacker struct {
	address string
	conn    *websocket.Conn
	until   time.Time
	share   float64
	n       int
}

// floods are all known ways, by name.
var floods = map[string]func(a *attacker){
	// what takes the server long
	"ways": func(a *attacker) {
		a.ask("speed", bench.SpeedRequest{MMS: 1, DegS: 1})
		a.repeat(90, func() {
			numbers := [6]float64{200 + float64(a.n%200), float64(a.n*37%300) - 150, 100 + float64(a.n*53%200), float64(a.n % 180), 60, 170}
			a.ask("ways", bench.WaysRequest{Do: bench.WaysNumbers, Numbers: &numbers})
		})
	},
	"aim": func(a *attacker) {
		a.ask("speed", bench.SpeedRequest{MMS: 1, DegS: 1})
		a.ask("increment", bench.IncrementRequest{MM: 500, Deg: 180})
		a.repeat(90, func() {
			a.ask("aim", bench.AimRequest{Direction: &jog.Direction{Frame: jog.BaseFrame, Axis: a.n % 6, Sign: 1 - a.n/6%2*2}})
		})
	},
	"lessons": func(a *attacker) {
		lessons := []string{"two-ways", "assessment", "limits-and-room", "base-tool-task"}
		a.repeat(90, func() { a.ask("lesson", bench.LessonRequest{ID: lessons[a.n%len(lessons)]}) })
	},
	"predict": func(a *attacker) {
		a.ask("increment", bench.IncrementRequest{MM: 500, Deg: 180})
		a.repeat(45, func() {
			a.ask("predict-first", bench.PredictFirstRequest{On: a.n%2 == 0})
			a.ask("step", bench.StepRequest{Direction: jog.Direction{Frame: jog.BaseFrame, Axis: a.n % 6, Sign: 1}})
		})
	},
	"play": func(a *attacker) {
		text := strings.Repeat("base x +1 until-stopped\n", 9999) + "bsae x +1\n"
		a.repeat(90, func() { a.ask("play", bench.PlayRequest{Name: strings.Repeat("n", 200_000), Text: text}) })
	},
	"frames": func(a *attacker) {
		text := strings.Repeat("teach-frame a\nbase x +1\n", 4000)
		a.repeat(90, func() { a.ask("play", bench.PlayRequest{Name: "frames", Text: text}) })
	},
	"log": func(a *attacker) {
		a.repeat(90, func() {
			a.ask("step", bench.StepRequest{Direction: jog.Direction{Frame: jog.BaseFrame, Axis: 2, Sign: -1}})
			a.ask("save-log", bench.SaveLogRequest{})
		})
	},
	"room": func(a *attacker) {
		a.ask("show", map[string]any{"room": true, "plot": true, "of": "tcp", "form": "fixed_xyz"})
		a.repeat(90, func() {
			a.ask("frame", bench.FrameRequest{Frame: []jog.Frame{jog.BaseFrame, jog.ToolFrame, jog.JointFrame}[a.n%3]})
			a.ask("restart", bench.RestartRequest{})
		})
	},
	// messages that are no requests
	"nonsense": func(a *attacker) { a.repeat(0, func() { a.send(websocket.MessageText, []byte("{}")) }) },
	"binary":   func(a *attacker) { a.repeat(0, func() { a.send(websocket.MessageBinary, []byte{1}) }) },
	"large":    func(a *attacker) { a.repeat(0, func() { a.send(websocket.MessageText, make([]byte, 500<<10)) }) },
	"pings":    func(a *attacker) { a.raw(masked(0x89)) },
	"empties": func(a *attacker) {
		a.raw(masked(0x01)) // begins a message, of which nothing but empty fragments follows: see raw
	},
	// connections
	"connects": func(a *attacker) {
		a.repeat(0, func() {
			if conn, err := dial(a.address); err == nil {
				conn.CloseNow()
			}
		})
	},
	"silent": func(a *attacker) { // asks and does not read
		a.conn.CloseNow()
		conn, err := websocketByHand(a.address)
		if err != nil {
			return
		}
		defer conn.Close()
		a.repeat(0, func() { conn.Write(masked(0x81, []byte(`{"type":"save-log"}`)...)) })
	},
	"sockets": func(a *attacker) { // takes every bench there is
		var all []*websocket.Conn
		a.repeat(200, func() {
			if conn, err := dial(a.address); err == nil {
				all = append(all, conn)
				go listen(conn)
			}
			if len(all) > 300 {
				all[0].CloseNow()
				all = all[1:]
			}
		})
	},
	"pages": func(a *attacker) {
		a.repeat(0, func() {
			if answer, err := http.Get("http://" + a.address + "/"); err == nil {
				answer.Body.Close()
			}
		})
	},
}

func floodNames() []string { return slices.Sorted(maps.Keys(floods)) }

// flood is one page's attack.
func flood(name, address string, length time.Duration, share float64) {
	runtime.GOMAXPROCS(1)
	a := &attacker{address: address, until: time.Now().Add(length), share: share}
	a.connect()
	floods[name](a)
}

func (a *attacker) connect() {
	for time.Now().Before(a.until) {
		conn, err := dial(a.address)
		if err == nil {
			a.conn = conn
			go listen(conn)
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// listen hears on, and does not look.
func listen(conn *websocket.Conn) {
	for {
		if _, _, err := conn.Read(context.Background()); err != nil {
			return
		}
	}
}

func (a *attacker) ask(word string, request any) {
	if ask(a.conn, word, request) != nil {
		a.connect() // It was sent away, and comes again.
	}
}

func (a *attacker) send(kind websocket.MessageType, text []byte) {
	if a.conn.Write(context.Background(), kind, text) != nil {
		a.connect()
	}
}

// repeat does it so many times a second, 0 for as often as it can, with no more than its share of a core.
func (a *attacker) repeat(rate float64, do func()) {
	begun := time.Now()
	for ; time.Now().Before(a.until); a.n++ {
		do()
		if rate > 0 {
			time.Sleep(time.Until(begun.Add(time.Duration(float64(a.n+1) / rate * float64(time.Second)))))
		}
		for used() > a.share*time.Since(begun).Seconds()+0.05 {
			time.Sleep(time.Millisecond)
		}
	}
}

// used is the processor's time that this program has had, in seconds.
func used() float64 {
	var u syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &u)
	return float64(u.Utime.Sec+u.Stime.Sec) + float64(u.Utime.Usec+u.Stime.Usec)/1e6
}

// masked is a frame of the WebSocket protocol (RFC 6455, 5.2) as a page sends it, with a mask of zeros.
func masked(head byte, text ...byte) []byte {
	return append([]byte{head, 0x80 | byte(len(text)), 0, 0, 0, 0}, text...)
}

// raw sends a frame, and then empty fragments of it or the same again, as many as fit.
func (a *attacker) raw(first []byte) {
	a.conn.CloseNow()
	again := masked(0x00)
	if first[0]&0x80 != 0 {
		again = first
	}
	many := slices.Repeat(again, 1000)
	for time.Now().Before(a.until) {
		conn, err := websocketByHand(a.address)
		if err != nil {
			time.Sleep(20 * time.Millisecond)
			continue
		}
		go func() { // what is answered
			answer := make([]byte, 64<<10)
			for {
				if _, err := conn.Read(answer); err != nil {
					return
				}
			}
		}()
		if _, err := conn.Write(first); err == nil {
			a.repeat(0, func() {
				if _, err := conn.Write(many); err != nil {
					conn.Close()
					time.Sleep(10 * time.Millisecond)
				}
			})
		}
		conn.Close()
	}
}

// websocketByHand opens a connection whose frames are written by hand.
func websocketByHand(address string) (net.Conn, error) {
	conn, err := net.Dial("tcp", address)
	if err != nil {
		return nil, err
	}
	fmt.Fprintf(conn, "GET /bench HTTP/1.1\r\nHost: %s\r\nConnection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: %s\r\n\r\n",
		address, "AAAAAAAAAAAAAAAAAAAAAA==")
	answer, err := http.ReadResponse(bufio.NewReaderSize(conn, 16), nil)
	if err != nil || answer.StatusCode != http.StatusSwitchingProtocols {
		conn.Close()
		return nil, fmt.Errorf("no connection: %v", err)
	}
	return conn, nil
}
