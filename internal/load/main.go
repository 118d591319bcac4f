// Command load drives a server with many learners at once and prints what it cost: the processor time of the server, how late
// the frames came, and how many. It starts the server itself, on this machine, and stops it.
//
//	load -server bin/handrule -learners 600 -seconds 60 -runs 3
package main

import (
	"cmp"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"sync/atomic"
	"time"

	"handrule/internal/drive"
)

type options struct {
	server   string
	learners int
	idle     int
	rooms    bool
	seconds  int
	runs     int
	speed    float64
	classes  int
}

func main() {
	var o options
	flag.StringVar(&o.server, "server", "bin/handrule", "the program to start")
	flag.IntVar(&o.learners, "learners", 600, "who move their arms all the time")
	flag.IntVar(&o.idle, "idle", 0, "who are connected and do nothing")
	flag.BoolVar(&o.rooms, "rooms", false, "show the room to move")
	flag.IntVar(&o.seconds, "seconds", 60, "how long each run is measured")
	flag.IntVar(&o.runs, "runs", 3, "how many runs")
	flag.Float64Var(&o.speed, "speed", 50, "mm/s")
	flag.IntVar(&o.classes, "classes", 0, "how many classes the learners are in, so many in each: one follows its instructor's arm; of several, half move their own")
	flag.Parse()
	if o.classes > 0 {
		for range o.runs {
			if err := measureClasses(o); err != nil {
				fmt.Fprintln(os.Stderr, "load:", err)
				os.Exit(1)
			}
		}
		return
	}
	var all []figures
	for run := range o.runs {
		f, err := measure(o)
		if err != nil {
			fmt.Fprintln(os.Stderr, "load:", err)
			os.Exit(1)
		}
		fmt.Printf("run %d: %s\n", run+1, f)
		all = append(all, f)
	}
	fmt.Printf("median: %s\n", median(all))
}

// figures are what a run comes to.
type figures struct {
	cores    float64 // of processor time for each second, of the server
	frames   float64 // a second and learner
	slowest  float64 // the same of the learner with the fewest
	p50, p99 time.Duration
	bytes    float64       // of a frame
	rooms    float64       // a second and learner
	memory   int           // of the server, kB resident
	lost     int           // holds that ended by themselves
	press    time.Duration // from a press to the first new pose, p99, of one more learner
}

func (f figures) String() string {
	return fmt.Sprintf("%.2f cores; %.1f frames/s each, the fewest %.1f; late %.1f ms (p50), %.1f ms (p99); %.0f bytes a frame; %.1f rooms/s each; %d MB; %d holds lost; press to pose %.1f ms (p99)",
		f.cores, f.frames, f.slowest, ms(f.p50), ms(f.p99), f.bytes, f.rooms, f.memory/1000, f.lost, ms(f.press))
}

func ms(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }

// median takes the median of each figure.
func median(all []figures) (m figures) {
	mid := func(of func(figures) float64) float64 {
		var x []float64
		for _, f := range all {
			x = append(x, of(f))
		}
		slices.Sort(x)
		return x[len(x)/2]
	}
	m.cores = mid(func(f figures) float64 { return f.cores })
	m.frames = mid(func(f figures) float64 { return f.frames })
	m.slowest = mid(func(f figures) float64 { return f.slowest })
	m.p50 = time.Duration(mid(func(f figures) float64 { return float64(f.p50) }))
	m.p99 = time.Duration(mid(func(f figures) float64 { return float64(f.p99) }))
	m.bytes = mid(func(f figures) float64 { return f.bytes })
	m.rooms = mid(func(f figures) float64 { return f.rooms })
	m.memory = int(mid(func(f figures) float64 { return float64(f.memory) }))
	m.press = time.Duration(mid(func(f figures) float64 { return float64(f.press) }))
	m.lost = int(mid(func(f figures) float64 { return float64(f.lost) }))
	return m
}

func measure(o options) (f figures, err error) {
	s, _, end, err := start(o.server, o.learners+o.idle+10)
	if err != nil {
		return f, err
	}
	defer end()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	var measuring atomic.Bool
	learners := make([]*learner, o.learners+o.idle)
	for i := range learners {
		learners[i] = &learner{moves: i < o.learners, rooms: o.rooms, speed: o.speed, measuring: &measuring}
		if err := learners[i].connect(ctx, s.Address); err != nil {
			return f, err
		}
	}
	var all sync.WaitGroup
	for i, l := range learners {
		all.Go(func() { l.read() })
		if l.moves {
			all.Go(func() { l.hold(ctx, time.Duration(i)*time.Millisecond) })
		}
	}
	presser := &learner{moves: true, speed: o.speed, measuring: &measuring}
	if err := presser.connect(ctx, s.Address); err != nil {
		return f, err
	}
	all.Go(func() { presser.press(ctx) })
	time.Sleep(5 * time.Second)
	before, begun := s.ProcessorTime(), time.Now()
	measuring.Store(true)
	time.Sleep(time.Duration(o.seconds) * time.Second)
	measuring.Store(false)
	passed := time.Since(begun)
	f.cores = (s.ProcessorTime() - before).Seconds() / passed.Seconds()
	f.memory = s.Resident()
	cancel()
	all.Wait()

	var late histogram
	f.slowest = math.Inf(1)
	bytes, frames, rooms := 0, 0, 0
	for _, l := range learners[:o.learners] {
		late.add(&l.late)
		frames += l.frames
		bytes += l.bytes
		rooms += l.roomsHeard
		f.lost += l.lost
		f.slowest = min(f.slowest, float64(l.frames)/passed.Seconds())
	}
	if o.learners > 0 {
		f.frames = float64(frames) / passed.Seconds() / float64(o.learners)
		f.rooms = float64(rooms) / passed.Seconds() / float64(o.learners)
		f.bytes = float64(bytes) / float64(max(frames, 1))
	}
	if o.learners == 0 {
		f.slowest = 0
	}
	f.press = presser.late.quantile(0.99)
	f.p50, f.p99 = late.quantile(0.5), late.quantile(0.99)
	return f, nil
}

// start starts a server that keeps its data and settings in a folder of its own; end ends it.
func start(program string, benches int) (s *drive.Server, dir string, end func(), err error) {
	if dir, err = os.MkdirTemp("", "handrule-load"); err != nil {
		return nil, "", nil, err
	}
	os.Setenv("XDG_CONFIG_HOME", dir) // which the server inherits
	s, err = drive.Start(program, nil, "serve", "--listen", "127.0.0.1:0", "--benches", strconv.Itoa(benches), "--key", filepath.Join(dir, "key.pem"), "--new-key", "--data", filepath.Join(dir, "data"))
	if err != nil {
		os.RemoveAll(dir)
		return nil, "", nil, err
	}
	return s, dir, func() {
		s.Stop()
		os.RemoveAll(dir)
	}, nil
}

// learner is one page: it holds a control, now one way and now the other, and hears what its bench tells.
type learner struct {
	moves, rooms bool
	speed        float64
	measuring    *atomic.Bool
	path         string   // of the bench; "/bench" where nothing is said
	head         []string // headers of its connection
	conn         *drive.Socket

	late                            histogram
	frames, bytes, roomsHeard, lost int
}

func (l *learner) connect(ctx context.Context, address string) (err error) {
	if l.conn, err = drive.Dial(address, cmp.Or(l.path, "/bench"), l.head...); err != nil {
		return err
	}
	context.AfterFunc(ctx, func() { l.conn.Close() })
	if !l.moves {
		return nil
	}
	l.say(map[string]any{"type": "show", "room": l.rooms, "plot": false, "of": "tcp", "form": "fixed_xyz"})
	l.say(map[string]any{"type": "cell", "id": "glazing-bench"})
	l.say(map[string]any{"type": "increment", "mm": 10, "deg": 90})
	l.say(map[string]any{"type": "speed", "mm_s": l.speed, "deg_s": 60})
	l.say(map[string]any{"type": "step", "direction": map[string]any{"frame": "joint", "axis": 4, "sign": 1}})
	return nil
}

func (l *learner) say(message any) {
	text, _ := json.Marshal(message)
	l.conn.Write(text)
}

const (
	renewal = 25 * time.Millisecond // as often as the page does (web/src/input/holds.ts)
	turn    = 81                    // renewals after which the arm goes the other way
)

func (l *learner) hold(ctx context.Context, after time.Duration) {
	select {
	case <-ctx.Done():
		return
	case <-time.After(3*time.Second + after):
	}
	ticker := time.NewTicker(renewal)
	defer ticker.Stop()
	for n := 0; ; n++ {
		press, sign := n/turn+1, 1-2*(n/turn%2)
		text := fmt.Appendf(nil, `{"type":"hold","press":%d,"directions":[{"frame":"base","axis":1,"sign":%d}]}`, press, sign)
		if l.conn.Write(text) != nil {
			return
		}
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
		}
	}
}

func (l *learner) read() {
	for {
		kind, text, err := l.conn.Read()
		if err != nil {
			return
		}
		if !l.measuring.Load() {
			continue
		}
		if kind == drive.OpBinary && len(text) > 8 {
			l.frames++
			l.bytes += len(text)
			l.late.note(lateness(text))
			continue
		}
		var head struct{ Type, Reason string }
		if json.Unmarshal(text, &head) == nil {
			switch {
			case head.Type == "room":
				l.roomsHeard++
			case head.Type == "stop" && head.Reason == "link lost":
				l.lost++
			}
		}
	}
}

// press presses and lets go, over and over, and notes how long the first new pose takes.
func (l *learner) press(ctx context.Context) {
	select {
	case <-ctx.Done():
		return
	case <-time.After(4 * time.Second):
	}
	for n := 1; ; n++ {
		begun := time.Now()
		hold := fmt.Appendf(nil, `{"type":"hold","press":%d,"directions":[{"frame":"joint","axis":0,"sign":%d}]}`, n, 1-2*(n%2))
		if l.conn.Write(hold) != nil {
			return
		}
		for first := true; ; {
			kind, text, err := l.conn.Read()
			if err != nil {
				return
			}
			if first && kind == drive.OpBinary {
				first = false
				if l.measuring.Load() {
					l.late.note(time.Since(begun))
				}
				l.say(map[string]any{"type": "release"})
			}
			var head struct{ Type string }
			if kind == drive.OpText && json.Unmarshal(text, &head) == nil && head.Type == "stop" {
				break
			}
		}
	}
}

// histogram counts durations in tenths of a millisecond up to a second.
type histogram struct{ counts [10_001]int }

func (h *histogram) note(d time.Duration) {
	h.counts[min(max(0, int(d/(100*time.Microsecond))), len(h.counts)-1)]++
}

func (h *histogram) add(other *histogram) {
	for i, n := range other.counts {
		h.counts[i] += n
	}
}

func (h *histogram) quantile(part float64) time.Duration {
	all := 0
	for _, n := range h.counts {
		all += n
	}
	seen := 0
	for i, n := range h.counts {
		if seen += n; float64(seen) >= part*float64(all) {
			return time.Duration(i) * 100 * time.Microsecond
		}
	}
	return 0
}
