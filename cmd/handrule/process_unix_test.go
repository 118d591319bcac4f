//go:build unix

package main

import (
	"bufio"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
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
	deg   float64  // of joint 5
	stops []string // why motions ended
	bench string
	found bool

	closed chan websocket.StatusCode
}

func (s serving) look(t *testing.T) *looker {
	t.Helper()
	return s.lookAt(t, "")
}

func (s serving) lookAt(t *testing.T, bench string) *looker {
	t.Helper()
	conn, _, err := websocket.Dial(context.Background(), "ws://"+s.address+"/bench?id="+bench, nil)
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
					Type, Reason, Bench string
					Found               bool
				}
				if json.Unmarshal(text, &m) == nil && m.Type == "stop" && m.Reason != "" {
					l.stops = append(l.stops, m.Reason)
				}
				if m.Type == "welcome" {
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

func (l *looker) now() (deg float64, stops []string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.deg, append([]string{}, l.stops...)
}

// until waits for a condition of what the page has heard.
func (l *looker) until(t *testing.T, what string, is func(deg float64, stops []string) bool) {
	t.Helper()
	for deadline := time.Now().Add(30 * time.Second); !is(l.now()); time.Sleep(time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("never %s", what)
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
	pages[0].say(t, `{"type":"hold","press":1,"directions":[{"frame":"joint","axis":4,"sign":1}]}`)
	pages[0].until(t, "moving", func(deg float64, _ []string) bool { return deg > 0 })
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

// However late the machine wakes up, the arm goes no farther after the last renewal that it could take than the lease and the
// way to a stop allow, whether renewals wait to be read or not.
func TestAProcessThatWasStoppedDoesNotMakeUpForIt(t *testing.T) {
	const speed = 60.0 // degrees/s
	for _, renewed := range []bool{false, true} {
		s := serve(t)
		p := s.look(t)
		hold := `{"type":"hold","press":1,"directions":[{"frame":"joint","axis":4,"sign":1}]}`
		p.say(t, fmt.Sprintf(`{"type":"speed","mm_s":50,"deg_s":%g}`, speed))
		p.say(t, hold)
		p.until(t, "at speed", func(deg float64, _ []string) bool { return deg > 8 })
		if err := s.Process.Signal(syscall.SIGSTOP); err != nil {
			t.Fatal(err)
		}
		for range 10 { // a second in all, four leases
			if time.Sleep(100 * time.Millisecond); renewed {
				p.say(t, hold)
			}
		}
		before, _ := p.now()
		if err := s.Process.Signal(syscall.SIGCONT); err != nil {
			t.Fatal(err)
		}
		p.until(t, "stopped", func(_ float64, stops []string) bool { return len(stops) > 0 })
		after, stops := p.now()
		// Of the lease, what was left when the process was stopped; of the clock, a frame; and 0.35 s to come to rest.
		if most := speed * (0.225 + 1.0/60 + 0.35); after-before > most || after < before {
			t.Errorf("the arm went %.1f° on, of at most %.1f°", after-before, most)
		}
		t.Logf("the arm went %.1f° on", after-before)
		if stops[0] != "link lost" {
			t.Errorf("it stopped because of %q", stops)
		}
	}
}

// An arm is found where it last stood at rest: by the next process after an orderly end, and after a sudden one in the middle of a jog
// where that began. One process at a time has the folder.
func TestArmsAreFoundWhereTheyStood(t *testing.T) {
	data := filepath.Join(t.TempDir(), "data")
	found := func(bench string, deg float64) (serving, *looker) {
		t.Helper()
		s := serve(t, "--data", data)
		p := s.lookAt(t, bench)
		if at, _ := p.now(); p.bench != bench || !p.found || at < deg-1e-3 || at > deg+1e-3 {
			t.Fatalf("bench %s at %g, found %t; want %s at %g", p.bench, at, p.found, bench, deg)
		}
		return s, p
	}
	s := serve(t, "--data", data)
	p := s.look(t)
	if p.found {
		t.Error("a new bench is told to be found")
	}
	p.say(t, `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	p.until(t, "stopped", func(_ float64, stops []string) bool { return len(stops) > 0 })
	if status, _, errs := do("serve", "--listen", "127.0.0.1:0", "--key", filepath.Join(t.TempDir(), "key.pem"), "--new-key", "--data", data); status != exitBad || !strings.Contains(errs, "is in use by another handrule: process") {
		t.Errorf("a second process: status %d, %s", status, errs)
	}
	s.Process.Signal(syscall.SIGTERM)
	s.Wait()
	s, p = found(p.bench, 5)
	p.say(t, `{"type":"hold","press":1,"directions":[{"frame":"joint","axis":4,"sign":1}]}`)
	p.until(t, "moving", func(deg float64, _ []string) bool { return deg > 5.5 })
	s.Process.Kill()
	s.Wait()
	found(p.bench, 5)
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
