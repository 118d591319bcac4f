package server

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"runtime/pprof"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/fstest"
	"time"

	"github.com/coder/websocket"
	"golang.org/x/time/rate"

	"handrule/internal/draws"
)

// crowded is a server of so many benches to which pages may come as often as they like.
func crowded(t *testing.T, benches int) string {
	t.Helper()
	s := New(Options{Offer: shipped(), MaxBenches: benches, Static: fstest.MapFS{}})
	s.opens.rate = rate.Inf
	listener := listen(t)
	serveIn(t, s, listener)
	return listener.Addr().String()
}

// settled is how many goroutines and bytes there are once there are no more than these, or else after minutes.
func settled(most int, mostBytes uint64) (goroutines int, bytes uint64) {
	for deadline := time.Now().Add(3 * time.Minute); ; runtime.Gosched() {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		goroutines, bytes = runtime.NumGoroutine(), m.HeapAlloc
		if goroutines <= most && bytes <= mostBytes || time.Now().After(deadline) {
			return goroutines, bytes
		}
	}
}

// Pages that come, jog and go leave nothing behind: neither goroutines nor memory, however many they were.
func TestPagesThatComeAndGoLeaveNothing(t *testing.T) {
	times := 400
	if draws.Thorough() {
		times = 4000
	}
	address := crowded(t, 20)
	come := func(n int) {
		var pages sync.WaitGroup
		for range 4 {
			pages.Go(func() {
				for i := range n / 4 {
					p := drop(t, address, "")
					p.hear("welcome")
					if i%4 > 0 {
						p.say(`{"type":"hold","press":1,"directions":[{"frame":"joint","axis":4,"sign":1}]}`)
						p.say(`{"type":"aim","direction":{"frame":"base","axis":1,"sign":1}}`)
						p.hear(frame)
					}
					if i%2 == 0 {
						p.conn.CloseNow() // without a word
					} else {
						p.conn.Close(1000, "")
					}
				}
			})
		}
		pages.Wait()
	}
	come(times / 2) // so that the benches there may be are there
	goroutines, bytes := settled(36+writers, math.MaxUint64)
	come(times)
	// A packer of 0.8 MB comes for each of the four who write benches down, and stays, when they first write at the same time.
	most, mostBytes := goroutines+2, bytes+4<<20
	afterwards, more := settled(most, mostBytes)
	t.Logf("%d pages: %d goroutines, %d KB; before, %d and %d KB", times, afterwards, more>>10, goroutines, bytes>>10)
	if afterwards > most || more > mostBytes {
		t.Errorf("%d goroutines, %d KB; before, %d and %d KB", afterwards, more>>10, goroutines, bytes>>10)
	}
}

// drop connects a page that nobody looks after: the test has to close it.
func drop(t testing.TB, address, id string) page {
	t.Helper()
	conn, err := dial(t, address, id)
	if err != nil {
		t.Fatal(err)
	}
	return page{t, conn, t.Context()}
}

func dial(t testing.TB, address, id string) (*websocket.Conn, error) {
	conn, _, err := websocket.Dial(t.Context(), "ws://"+address+"/bench?id="+id, nil)
	if err == nil {
		conn.SetReadLimit(1 << 20)
	}
	return conn, err
}

// Learners come, jog, look, compare ways, do lessons, go and come back. After the first part of the time there are no more
// goroutines and no more memory than then. HANDRULE_SOAK says how long, for 500 of them; without it, a few come for a moment.
func TestSoak(t *testing.T) {
	learners, length := 30, 4*time.Second
	if text := os.Getenv("HANDRULE_SOAK"); text != "" {
		var err error
		if length, err = time.ParseDuration(text); err != nil {
			t.Fatal(err)
		}
		learners = 500
	}
	address := crowded(t, learners+learners/4) // Who left without a word is noticed later.
	var all, here sync.WaitGroup
	here.Add(learners)
	var over atomic.Bool
	var asked, came, failed atomic.Int64
	for i := range learners {
		all.Go(func() {
			random := rand.New(rand.NewPCG(uint64(i), 1))
			id := ""
			isHere := sync.OnceFunc(here.Done)
			for press := 1; !over.Load(); {
				conn, bench := welcomed(t, address, id)
				if conn == nil { // A busy machine may not let it ask in time, or not have noticed yet who left.
					failed.Add(1)
					time.Sleep(100 * time.Millisecond)
					continue
				}
				came.Add(1)
				isHere()
				id = bench
				go func() { // hears on, and does not look
					for {
						if _, _, err := conn.Read(t.Context()); err != nil {
							return
						}
					}
				}()
				for range 5 + random.IntN(40) {
					if over.Load() {
						break
					}
					press++
					asked.Add(1)
					if conn.Write(t.Context(), websocket.MessageText, []byte(something(random, press))) != nil {
						break
					}
					time.Sleep(time.Duration(20+random.IntN(200)) * time.Millisecond)
				}
				conn.CloseNow()
				if random.IntN(3) == 0 {
					id = ""
				}
			}
		})
	}
	here.Wait()
	begun := time.Now()
	type sample struct {
		goroutines int
		bytes      uint64
	}
	tell := func(sample) {}
	var samples []sample
	if learners >= 500 { // a table for people to read
		fmt.Printf("| minutes | goroutines | heap, MB | requests | pages that came | in vain |\n| ---: | ---: | ---: | ---: | ---: | ---: |\n")
		tell = func(s sample) {
			fmt.Printf("| %.1f | %d | %.1f | %d | %d | %d |\n", time.Since(begun).Minutes(), s.goroutines, float64(s.bytes)/(1<<20), asked.Load(), came.Load(), failed.Load())
		}
	}
	for range 12 {
		time.Sleep(length / 12)
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		samples = append(samples, sample{runtime.NumGoroutine(), m.HeapAlloc})
		tell(samples[len(samples)-1])
	}
	over.Store(true)
	all.Wait()
	most := func(of []sample) (m sample) {
		for _, s := range of {
			m.goroutines, m.bytes = max(m.goroutines, s.goroutines), max(m.bytes, s.bytes)
		}
		return m
	}
	third := len(samples) / 3
	first, last := most(samples[:2*third]), most(samples[2*third:])
	if last.bytes > first.bytes*5/4+16<<20 || last.goroutines > first.goroutines*5/4+20 {
		t.Errorf("it grows: %+v, then %+v", first, last)
	}
	const stay = 16 + writers // of the server and of the test
	goroutines, bytes := settled(stay, math.MaxUint64)
	tell(sample{goroutines, bytes}) // when all have gone
	if goroutines > stay {
		var where strings.Builder
		pprof.Lookup("goroutine").WriteTo(&where, 1)
		t.Errorf("%d goroutines are left:\n%.5000s", goroutines, where.String())
	}
}

// welcomed connects with a bench and returns its name, or no connection where there is no room for it yet.
func welcomed(t *testing.T, address, id string) (*websocket.Conn, string) {
	conn, err := dial(t, address, id)
	if err != nil {
		return nil, ""
	}
	for {
		kind, text, err := conn.Read(t.Context())
		if err != nil {
			conn.CloseNow()
			return nil, ""
		}
		var welcome struct{ Type, Bench string }
		if kind == websocket.MessageText && json.Unmarshal(text, &welcome) == nil && welcome.Type == "welcome" {
			return conn, welcome.Bench
		}
	}
}

// something is what a learner may ask for.
func something(random *rand.Rand, press int) string {
	direction := func() string {
		frames := []string{"joint", "base", "tool", "world"}
		return fmt.Sprintf(`{"frame":%q,"axis":%d,"sign":%d}`, frames[random.IntN(len(frames))], random.IntN(6), 2*random.IntN(2)-1)
	}
	switch random.IntN(20) {
	case 0, 1, 2, 3, 4, 5:
		return fmt.Sprintf(`{"type":"hold","press":%d,"directions":[%s]}`, press, direction())
	case 6, 7, 8, 9:
		return fmt.Sprintf(`{"type":"step","direction":%s}`, direction())
	case 10, 11:
		return fmt.Sprintf(`{"type":"aim","direction":%s}`, direction())
	case 12:
		return fmt.Sprintf(`{"type":"frame","frame":%q,"task":""}`, []string{"joint", "base", "tool"}[random.IntN(3)])
	case 13:
		return `{"type":"undo"}`
	case 14:
		return fmt.Sprintf(`{"type":"ways","do":"numbers","numbers":[%d,%d,200,180,0,0]}`, 250+random.IntN(150), random.IntN(200)-100)
	case 15:
		return fmt.Sprintf(`{"type":"lesson","id":%q}`, []string{"", "assessment", "two-ways", "straight-lines"}[random.IntN(4)])
	case 16:
		return fmt.Sprintf(`{"type":"show","room":%v,"plot":%v,"of":"tcp","form":"fixed_xyz"}`, random.IntN(2) == 0, random.IntN(2) == 0)
	case 17:
		return fmt.Sprintf(`{"type":"predict-first","on":%v}`, random.IntN(2) == 0)
	case 18:
		return `{"type":"save-log"}`
	}
	return `{"type":"release"}`
}
