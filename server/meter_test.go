package server

import (
	"bytes"
	"io"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"
)

// sentFrame is a frame as a page sends it: masked, with a payload of so many bytes.
func sentFrame(head byte, payload int) []byte {
	f := []byte{head}
	switch {
	case payload < 126:
		f = append(f, 0x80|byte(payload))
	case payload < 1<<16:
		f = append(f, 0x80|126, byte(payload>>8), byte(payload))
	default:
		f = append(f, 0x80|127, 0, 0, 0, 0, byte(payload>>24), byte(payload>>16), byte(payload>>8), byte(payload))
	}
	return append(append(f, 1, 2, 3, 4), make([]byte, payload)...)
}

// However frames come in pieces, each is counted once.
func TestFramesAreCounted(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		var all []byte
		want := random.IntN(40)
		for range want {
			all = append(all, sentFrame(byte(random.IntN(256)), []int{0, 0, 1, 125, 126, 300, 65535, 70000}[random.IntN(8)])...)
		}
		var c frameCounter
		got := 0
		for len(all) > 0 {
			n := 1 + random.IntN(min(len(all), 5000))
			got += c.add(all[:n])
			all = all[n:]
		}
		if got != want || c.skip != 0 || len(c.head) != 0 {
			t.Fatalf("%d frames, want %d; %+v", got, want, c)
		}
	}
}

// sentAs returns how long a connection has to wait in all for what it sends.
func sentAs(t *testing.T, piece []byte, times int) (waited time.Duration) {
	t.Helper()
	m := newMeter(nil, bytes.NewReader(slices.Repeat(piece, times)))
	m.sleep = func(d time.Duration) { waited = max(waited, d) } // Nobody waits, so that later waits hold the earlier ones.
	if _, err := io.Copy(io.Discard, struct{ io.Reader }{m}); err != nil {
		t.Fatal(err)
	}
	return waited
}

// What a page sends passes at once; floods of pings, empty fragments and large messages wait as long as their number asks.
func TestFloodsAreSlowedDown(t *testing.T) {
	for _, test := range []struct {
		name  string
		piece []byte
		times int
		least time.Duration
		most  time.Duration
	}{
		{"a file that is played", sentFrame(0x81, 500<<10), 1, 0, 0},
		{"a jog that is drawn along", sentFrame(0x81, 120), 200, 0, 0},
		{"pings", sentFrame(0x89, 0), 10_400, 45 * time.Second, 50 * time.Second},
		{"empty fragments", sentFrame(0x00, 0), 10_400, 45 * time.Second, 50 * time.Second},
		{"binary messages", sentFrame(0x82, 1), 10_400, 45 * time.Second, 50 * time.Second},
		{"large messages", sentFrame(0x81, 500<<10), 20, 120 * time.Second, 150 * time.Second},
	} {
		if waited := sentAs(t, test.piece, test.times); waited < test.least || waited > test.most {
			t.Errorf("%s wait for %v, want %v to %v", test.name, waited, test.least, test.most)
		}
	}
	if meterPiece/len(sentFrame(0x89, 0)) > framesBurst || meterPiece > bytesBurst {
		t.Error("a piece is more than may come at once, and a limiter does not know how long that waits")
	}
	if framesRate < messageRate {
		t.Error("the session cannot say that messages are too many: they are slowed down before")
	}
}

// What came together with the request to open the connection is counted and read like all that follows.
func TestFramesThatComeEarly(t *testing.T) {
	address := start(t, 2)
	url := strings.TrimPrefix(strings.TrimPrefix(address, "http://"), "ws://")
	conn := dialRaw(t, url)
	text := `{"type":"nonsense"}`
	early := append([]byte{0x81, 0x80 | byte(len(text)), 0, 0, 0, 0}, text...)
	if _, err := conn.Write(append([]byte("GET /bench HTTP/1.1\r\nHost: localhost\r\nConnection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n\r\n"), early...)); err != nil {
		t.Fatal(err)
	}
	var heard []byte
	for !bytes.Contains(heard, []byte("unknown message type")) {
		piece := make([]byte, 4096)
		n, err := conn.Read(piece)
		if err != nil {
			t.Fatalf("%v after %.300q", err, heard)
		}
		heard = append(heard, piece[:n]...)
	}
}

// A page that asks as people do never waits. One whose requests take long waits until it has had no more than its part.
func TestTheTollIsPaidByWhoAsks(t *testing.T) {
	quiet := newToll(tollPart, tollBurst)
	now := time.Unix(0, 0)
	for range 1000 { // a renewal ten times a second, and a lesson opened every other second
		for i := range 20 {
			took := 30 * time.Microsecond
			if i == 0 {
				took = 12 * time.Millisecond
			}
			if wait := quiet.wait(took, now.Add(took)); wait > 0 {
				t.Fatalf("it waits for %v", wait)
			}
			now = now.Add(100 * time.Millisecond)
		}
	}
	flood := newToll(tollPart, tollBurst)
	now = time.Unix(0, 0)
	worked := time.Duration(0)
	for now.Before(time.Unix(60, 0)) {
		now = now.Add(12 * time.Millisecond)
		worked += 12 * time.Millisecond
		now = now.Add(flood.wait(12*time.Millisecond, now))
	}
	if worked < 5*time.Second || worked > 7*time.Second {
		t.Errorf("in a minute of asking, %v was worked for it", worked)
	}
}

// Where the machine is busy with other things, a request takes long and does not work long; the page does not wait for that.
func TestTheTollIsOfWork(t *testing.T) {
	others := make(chan struct{})
	go func() { // with which the machine is busy
		defer close(others)
		for begun := time.Now(); time.Since(begun) < 200*time.Millisecond; {
		}
	}()
	if idle := worked(func() { <-others }); idle > 100*time.Millisecond {
		t.Errorf("to wait for others is counted as %v", idle)
	}
	sum := 0.0
	if busy := worked(func() {
		for i := range 20_000_000 {
			sum += float64(i % 7)
		}
	}); busy <= 0 || sum == 0 {
		t.Errorf("work is counted as %v", busy)
	}
}
