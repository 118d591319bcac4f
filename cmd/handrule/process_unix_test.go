//go:build unix

package main

import (
	"bufio"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/coder/websocket"

	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/server/bench"
	"handrule/words"
)

const argumentsVariable = "HANDRULE_TEST_ARGUMENTS"

// TestMain lets the test be started again as the program itself.
func TestMain(m *testing.M) {
	var args []string
	if text := os.Getenv(argumentsVariable); text == "" {
		os.Exit(m.Run())
	} else if err := json.Unmarshal([]byte(text), &args); err != nil {
		panic(err)
	}
	os.Exit(run(args, os.Stdout, os.Stderr))
}

// serving is the program that serves, as a process of its own.
type serving struct {
	*exec.Cmd
	address string
}

var address = regexp.MustCompile(`http://([0-9.:]+)`)

func serve(t *testing.T, more ...string) serving {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	args, _ := json.Marshal(append([]string{"serve", "--listen", "127.0.0.1:0", "--key", filepath.Join(t.TempDir(), "key.pem"), "--new-key"}, keepsNothing(more)...))
	s := serving{Cmd: exec.Command(self)}
	s.Env = append(os.Environ(), argumentsVariable+"="+string(args))
	out, err := s.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Process.Kill() })
	line, err := bufio.NewReader(out).ReadString('\n')
	found := address.FindStringSubmatch(line)
	if found == nil {
		t.Fatalf("it said %q, %v", line, err)
	}
	s.address = found[1]
	return s
}

// keepsNothing adds that nothing is kept, where nothing is said of that.
func keepsNothing(args []string) []string {
	if slices.Contains(args, "--data") {
		return args
	}
	return append([]string{"--data", "none"}, args...)
}

// looker is a page that looks at joint 5.
type looker struct {
	conn *websocket.Conn

	mu    sync.Mutex
	deg   float64             // of joint 5
	stops []bench.StopMessage // of the motions that ended
	bench string
	found bool

	press int // of the last hold

	closed chan websocket.StatusCode
}

func (s serving) look(t *testing.T) *looker {
	t.Helper()
	return s.lookAt(t, "")
}

func (s serving) lookAt(t *testing.T, id string) *looker {
	t.Helper()
	conn, _, err := websocket.Dial(context.Background(), "ws://"+s.address+"/bench?id="+id, nil)
	if err != nil {
		t.Fatal(err)
	}
	conn.SetReadLimit(1 << 20)
	t.Cleanup(func() { conn.CloseNow() })
	l := &looker{conn: conn, closed: make(chan websocket.StatusCode, 1)}
	welcomed := make(chan bool, 1)
	go func() {
		for {
			kind, text, err := conn.Read(context.Background())
			if err != nil {
				l.closed <- websocket.CloseStatus(err)
				return
			}
			l.mu.Lock()
			if kind == websocket.MessageBinary {
				l.deg = float64(int32(binary.LittleEndian.Uint32(text[12+4*4:]))) * 1e-5
			} else {
				var m struct {
					Type, Bench string
					Found       bool
				}
				json.Unmarshal(text, &m)
				switch m.Type {
				case "stop":
					var stop bench.StopMessage
					if json.Unmarshal(text, &stop) == nil && stop.Reason != "" {
						l.stops = append(l.stops, stop)
					}
				case "welcome":
					l.bench, l.found = m.Bench, m.Found
				}
			}
			l.mu.Unlock()
			if kind == websocket.MessageBinary {
				select {
				case welcomed <- true:
				default:
				}
			}
		}
	}()
	<-welcomed
	return l
}

func (l *looker) say(t *testing.T, text string) {
	t.Helper()
	if err := l.conn.Write(context.Background(), websocket.MessageText, []byte(text)); err != nil {
		t.Fatal(err)
	}
}

func (l *looker) now() (deg float64, stops []bench.StopMessage) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.deg, slices.Clone(l.stops)
}

// until waits for a condition of what the page has heard; the test ends by its own time limit where it never holds.
func (l *looker) until(is func(deg float64, stops []bench.StopMessage) bool) {
	for !is(l.now()) {
		time.Sleep(time.Millisecond)
	}
}

// hold has the page hold a control, now one way and now the other, until joint 5 has turned by more than so many degrees, or the arm has
// stopped before because the machine had no time for it.
func (l *looker) hold(t *testing.T, turned float64) (h held) {
	t.Helper()
	from, stops := l.now()
	l.press++
	h = held{
		text: fmt.Sprintf(`{"type":"hold","press":%d,"directions":[{"frame":"joint","axis":4,"sign":%d}]}`, l.press, 2*(l.press%2)-1),
		at:   time.Now(), stop: len(stops),
	}
	l.say(t, h.text)
	l.until(func(deg float64, stops []bench.StopMessage) bool {
		h.turned = math.Abs(deg-from) > turned
		return h.turned || len(stops) > h.stop
	})
	return h
}

// held is a hold that was said.
type held struct {
	text   string
	at     time.Time
	turned bool // as far as was wanted
	stop   int  // which stop is its end
}

// moves has the page hold a control until the arm moves.
func (l *looker) moves(t *testing.T) held {
	t.Helper()
	for {
		if h := l.hold(t, 0); h.turned {
			return h
		}
	}
}

// A process that is asked to end tells every page so, and ends with success.
func TestSIGTERMTellsEveryPage(t *testing.T) {
	s := serve(t)
	var pages []*looker
	for range 10 {
		pages = append(pages, s.look(t))
	}
	pages[0].moves(t)
	if err := s.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	if err := s.Wait(); err != nil {
		t.Errorf("it ended with %v", err)
	}
	for i, p := range pages {
		if why := <-p.closed; why != websocket.StatusGoingAway {
			t.Errorf("page %d was closed with %v", i, why)
		}
	}
}

// However late the machine wakes up, the arm goes no farther than the lease of its hold and the way to a stop allow, whether renewals wait
// to be read or not.
func TestAProcessThatWasStoppedDoesNotMakeUpForIt(t *testing.T) {
	const speed = `{"type":"speed","mm_s":50,"deg_s":60}`
	for _, renewed := range []bool{false, true} {
		s := serve(t)
		p := s.look(t)
		p.say(t, speed)
		for tries := 1; ; tries++ {
			// So late in the lease that what a late frame may make up for leads beyond its end.
			h := p.hold(t, 3.5)
			within := h.turned && s.stopped(t) && time.Since(h.at) < bench.Lease
			for i := 0; within && i < 10; i++ { // a second in all, four leases
				if time.Sleep(100 * time.Millisecond); renewed {
					p.say(t, h.text)
				}
			}
			s.Process.Signal(syscall.SIGCONT)
			p.until(func(_ float64, stops []bench.StopMessage) bool { return len(stops) > h.stop })
			_, stops := p.now()
			stop, most := stops[h.stop], onTime(t, speed, h.text)
			if stop.Travel > most.Travel+1e-6 || stop.Reason != most.Reason {
				t.Errorf("the arm went %.2f° and stopped because of %q; where nothing is late, %.2f° and %q", stop.Travel, stop.Reason, most.Travel, most.Reason)
			}
			if within {
				break
			}
			if tries == 20 {
				t.Log("this machine is too busy to stop a process within a lease")
				break
			}
		}
	}
}

// stopped stops the process, and returns true when it stands still.
func (s serving) stopped(t *testing.T) bool {
	t.Helper()
	s.Process.Signal(syscall.SIGSTOP)
	var status syscall.WaitStatus
	if _, err := syscall.Wait4(s.Process.Pid, &status, syscall.WUNTRACED, nil); err != nil || !status.Stopped() {
		t.Fatalf("it was not stopped: %v, %v", status, err)
	}
	return true
}

// onTime is how a hold that is never renewed ends, on a clock that is never late.
func onTime(t *testing.T, requests ...string) (stop bench.StopMessage) {
	t.Helper()
	offer := bench.Offer{Arms: scenarios.ShippedArms()}
	b := bench.New(&offer, bench.Env{Random: rand.Uint64})
	b.Connect(bench.Welcome{}, words.English)
	now := time.Now()
	for _, request := range requests {
		b.Request([]byte(request), now)
	}
	for b.Busy() {
		now = now.Add(time.Second / jog.TickRate)
		b.Advance(1, now)
	}
	b.Tell(now, func(m bench.Message) {
		if !m.Frame && strings.HasPrefix(string(m.Text), `{"type":"stop"`) {
			if err := json.Unmarshal(m.Text, &stop); err != nil {
				t.Fatal(err)
			}
		}
	})
	return stop
}

// An arm is found where it last stood at rest: by the next process after an orderly end, and after a sudden one in the middle of a jog
// where that began, or on its way where it had been under way for long. One process at a time has the folder.
func TestArmsAreFoundWhereTheyStood(t *testing.T) {
	data := filepath.Join(t.TempDir(), "data")
	found := func(id string, deg, off float64) (serving, *looker) {
		t.Helper()
		s := serve(t, "--data", data)
		p := s.lookAt(t, id)
		if at, _ := p.now(); p.bench != id || !p.found || math.Abs(at-deg) > off+1e-3 {
			t.Fatalf("bench %s at %g, found %t; want %s at %g ± %g", p.bench, at, p.found, id, deg, off)
		}
		return s, p
	}
	s := serve(t, "--data", data)
	p := s.look(t)
	if p.found {
		t.Error("a new bench is told to be found")
	}
	p.say(t, `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	p.until(func(_ float64, stops []bench.StopMessage) bool { return len(stops) > 0 })
	if status, _, errs := do("serve", "--listen", "127.0.0.1:0", "--key", filepath.Join(t.TempDir(), "key.pem"), "--new-key", "--data", data); status != exitBad || !strings.Contains(errs, "is in use by another handrule: process") {
		t.Errorf("a second process: status %d, %s", status, errs)
	}
	s.Process.Signal(syscall.SIGTERM)
	s.Wait()
	s, p = found(p.bench, 5, 0)
	h := p.moves(t)
	s.Process.Kill()
	s.Wait()
	found(p.bench, 5, onTime(t, h.text).Travel)
}

func TestAges(t *testing.T) {
	for text, want := range map[string]time.Duration{"30d": 720 * time.Hour, "12h": 12 * time.Hour, "90m": 90 * time.Minute} {
		if got, err := age(text); err != nil || got != want {
			t.Errorf("%s is %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "30", "d", "-1d", "5m", "99999d", "1e9d", "4000d", "99999999999999d", "soon"} {
		if got, err := age(text); err == nil {
			t.Errorf("%q is %v", text, got)
		}
	}
}
