//go:build unix

// Command attack lets one page flood a real server in every way known while two learners jog beside it, and prints what that
// costs the learners: how far apart the frames of their moving arms come, and whether holds are lost. Each flood runs in pairs
// with a quiet time, and the median of the pairs counts, because the machine is shared. Times are only printed. What does not
// depend on the machine decides the exit status: memory, holds that were lost, and how the server ends.
package main

import (
	"bufio"
	"cmp"
	"context"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"
)

func main() {
	server := flag.String("server", "bin/handrule", "the program to attack")
	only := flag.String("only", "", "one flood, by its name; all of them unless told otherwise")
	pairs := flag.Int("pairs", 5, "how often each flood runs, and as often the quiet time beside it")
	seconds := flag.Float64("seconds", 3, "how long each runs")
	share := flag.Float64("share", 0.5, "of one core, that the flooding page's own program may use")
	address := flag.String("flood", "", "") // in the program that this one starts for a flood
	flag.Parse()
	length := time.Duration(*seconds * float64(time.Second))
	if *address != "" {
		flood(*only, *address, length, *share)
		return
	}
	if err := attack(*server, *only, *pairs, length, *share); err != nil {
		fmt.Fprintln(os.Stderr, "attack:", err)
		os.Exit(1)
	}
}

// The bounds that do not depend on the machine.
const (
	mostMemory     = 400 << 20 // bytes that the server may have at any time
	mostGoroutines = 5000      // as many as its benches may need
	lastSignal     = 2 * time.Second
	// goal is by how many ms a flood may delay another page's frames; it is only printed.
	goal = 5.0
)

func attack(program, only string, pairs int, length time.Duration, share float64) error {
	var bad []error
	fmt.Printf("%s, %d pairs of %g s each; p99 of the time between frames of two learners, in ms\n\n", time.Now().Format("2 January 2006"), pairs, length.Seconds())
	fmt.Println("| flood | quiet | flooded | more, median of the pairs | cores, quiet | cores, flooded | holds lost, quiet | holds lost, flooded | most MB | goroutines |")
	fmt.Println("| --- | --- | --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |")
	worst, most := "", math.Inf(-1)
	for _, name := range floodNames() {
		if only != "" && only != name {
			continue
		}
		r, err := against(program, name, pairs, length, share)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		fmt.Printf("| %s | %s | %s | %.1f | %.2f | %.2f | %d | %d | %d | %d |\n", name, listed(r.quiet), listed(r.flooded), r.more(),
			median(r.quietCores), median(r.cores), r.quietLost, r.lost, r.memory>>20, r.goroutines)
		if r.more() > most {
			worst, most = name, r.more()
		}
		if r.goroutines > mostGoroutines {
			bad = append(bad, fmt.Errorf("%s: the server had %d goroutines", name, r.goroutines))
		}
		if r.memory > mostMemory {
			bad = append(bad, fmt.Errorf("%s: the server had %d MB", name, r.memory>>20))
		}
		if r.lost > r.quietLost {
			bad = append(bad, fmt.Errorf("%s: %d holds were lost, %d in the quiet", name, r.lost, r.quietLost))
		}
		if r.end != nil {
			bad = append(bad, fmt.Errorf("%s: %w", name, r.end))
		}
	}
	if worst != "" {
		fmt.Printf("\nThe worst flood is %s: %.1f ms more, where at most %g is the goal.\n", worst, most, goal)
	}
	return errors.Join(bad...)
}

// result is what a flood did.
type result struct {
	quiet, flooded    []float64 // p99 of the time between frames, ms, a number a run
	quietCores, cores []float64 // that the server used
	quietLost, lost   int       // holds that ended although they were renewed in time
	memory            int64     // bytes, the most that the server had
	goroutines        int       // that a server had in the midst of the flood
	end               error     // how the server ended, nil where that was right
}

// more is the median of how much later frames came in the flooded run of each pair.
func (r *result) more() float64 {
	var all []float64
	for i := range r.quiet {
		all = append(all, r.flooded[i]-r.quiet[i])
	}
	return median(all)
}

func median(xs []float64) float64 {
	xs = slices.Sorted(slices.Values(xs))
	return xs[len(xs)/2]
}

func listed(xs []float64) string {
	var words []string
	for _, x := range xs {
		words = append(words, strconv.FormatFloat(x, 'f', 1, 64))
	}
	return strings.Join(words, " ")
}

func against(program, name string, pairs int, length time.Duration, share float64) (r result, err error) {
	s, err := start(program)
	if err != nil {
		return r, err
	}
	defer s.kill()
	var learners []*learner
	for range 2 {
		l, err := sit(s.address)
		if err != nil {
			return r, err
		}
		learners = append(learners, l)
		go l.jog()
	}
	defer func() {
		for _, l := range learners {
			l.leave()
		}
	}()
	run := func() (p99, cores float64, lost int) {
		for _, l := range learners {
			l.measured()
		}
		begun, used := time.Now(), s.used()
		time.Sleep(length)
		cores = (s.used() - used) / time.Since(begun).Seconds()
		var gaps []float64
		for _, l := range learners {
			more, some := l.measured()
			gaps, lost = append(gaps, more...), lost+some
		}
		return percentile(gaps, 0.99), cores, lost
	}
	take := func(p99s, cores *[]float64, lost *int) {
		p, c, l := run()
		*p99s, *cores = append(*p99s, p), append(*cores, c)
		*lost += l
	}
	run() // until everything is warm
	for range pairs {
		take(&r.quiet, &r.quietCores, &r.quietLost)
		end, err := flooded(s.address, name, length, share)
		if err != nil {
			return r, err
		}
		take(&r.flooded, &r.cores, &r.lost)
		end()
		r.memory = max(r.memory, s.memory())
	}
	r.end = s.stop()
	r.goroutines, err = crowd(program, name, share)
	return r, err
}

// flooded begins a flood, in a program of its own that everybody else goes before.
func flooded(address, name string, length time.Duration, share float64) (end func(), err error) {
	flooding := exec.Command(os.Args[0], "-flood", address, "-only", name, "-seconds", fmt.Sprint(length.Seconds()), "-share", fmt.Sprint(share))
	flooding.Stderr = os.Stderr
	if err := flooding.Start(); err != nil {
		return nil, err
	}
	syscall.Setpriority(syscall.PRIO_PROCESS, flooding.Process.Pid, 19)
	return func() {
		flooding.Process.Kill()
		flooding.Wait()
	}, nil
}

// crowd is how many goroutines a server has in the midst of a flood. They are counted in what it says when it is told to quit,
// which is its end.
func crowd(program, name string, share float64) (goroutines int, err error) {
	s, err := start(program)
	if err != nil {
		return 0, err
	}
	defer s.kill()
	const length = 1500 * time.Millisecond
	end, err := flooded(s.address, name, 2*length, share)
	if err != nil {
		return 0, err
	}
	defer end()
	time.Sleep(length)
	s.Process.Signal(syscall.SIGQUIT)
	s.done <- <-s.done // all is written when it has ended
	return strings.Count(s.said.String(), "\ngoroutine "), nil
}

// percentile is that of the numbers, which is how far apart the worst are where there are none.
func percentile(xs []float64, p float64) float64 {
	if len(xs) == 0 {
		return -1
	}
	xs = slices.Sorted(slices.Values(xs))
	return xs[int(p*float64(len(xs)-1))]
}

// process is the server under attack.
type process struct {
	*exec.Cmd
	address string
	done    chan error
	said    strings.Builder // on its standard error; to be read when it has ended
}

var listens = regexp.MustCompile(`http://([0-9.:]+)`)

func start(program string) (*process, error) {
	dir, err := os.MkdirTemp("", "attack")
	if err != nil {
		return nil, err
	}
	defer time.AfterFunc(time.Minute, func() { os.RemoveAll(dir) })
	cmd := exec.Command(program, "serve", "--listen", "127.0.0.1:0", "--key", filepath.Join(dir, "key.pem"), "--new-key", "--data", filepath.Join(dir, "data"))
	p := &process{Cmd: cmd, done: make(chan error, 1)}
	cmd.Stderr = &p.said
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	if found := listens.FindStringSubmatch(line); found != nil {
		p.address = found[1]
	} else {
		p.Process.Kill()
		return nil, fmt.Errorf("the server said %q: %w", line, cmp.Or(err, errors.New("no address")))
	}
	go func() { p.done <- cmd.Wait() }()
	return p, nil
}

// used is the processors' time that the server has had, in seconds.
func (p *process) used() float64 {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", p.Process.Pid))
	if err != nil {
		return 0 // only this system tells
	}
	_, rest, _ := strings.Cut(string(text), ") ")
	fields := strings.Fields(rest)
	if len(fields) < 13 {
		return 0
	}
	user, _ := strconv.ParseFloat(fields[11], 64)
	system, _ := strconv.ParseFloat(fields[12], 64)
	return (user + system) / 100 // ticks a second
}

// memory is what the server has in memory, and the most that it had.
func (p *process) memory() (bytes int64) {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", p.Process.Pid))
	if err != nil {
		return 0 // only this system tells
	}
	for line := range strings.Lines(string(text)) {
		if rest, is := strings.CutPrefix(line, "VmHWM:"); is {
			kb, _ := strconv.ParseInt(strings.Fields(rest)[0], 10, 64)
			bytes = kb << 10
		}
	}
	return bytes
}

// stop asks the server to end, beside pages that are connected, and says what was wrong about how it did.
func (p *process) stop() error {
	began := time.Now()
	p.Process.Signal(syscall.SIGTERM)
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	select {
	case err := <-p.done:
		p.done <- err
		if err != nil {
			return fmt.Errorf("the server ended with %w", err)
		}
		if took := time.Since(began); took > lastSignal {
			fmt.Fprintf(os.Stderr, "the server ended %.1f s after SIGTERM\n", took.Seconds())
		}
		return nil
	case <-ctx.Done():
		return errors.New("the server did not end")
	}
}

func (p *process) kill() {
	p.Process.Kill()
	<-p.done
}

func init() { runtime.GOMAXPROCS(min(2, runtime.NumCPU())) }
