package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"time"
)

const (
	// byTurns hand in a result each time: one of so many.
	byTurns = 10
	// looksOn is how long an arm is looked at that came back: more than a lease and the way to a stop.
	looksOn = 700 * time.Millisecond
	// soonBack is what is asked for.
	soonBack = 3 * time.Second
)

// killed is what was seen of it when processes were killed.
type killed struct {
	times                                   int
	arms, pages                             spread // until they were back
	behind                                  spread // where they stand, of those that were under way
	work                                    spread // of the other process's processor, until all were
	moving, elsewhere, unfound, still, late int    // arms
	empty                                   int    // times that nobody was at the process
}

func (k *killed) String() string {
	if k.times == 0 {
		return "never"
	}
	return fmt.Sprintf(`%d times, with %d arms there, %d of them under way
  an arm was back after: %v; %d later than %v (%.3g %%)
  it stood where it was so long before the kill: %v; %d stood elsewhere, %d were not found, %d did not stand still
  a page of the class was back after: %v
  the other process worked until all were back: %v; %d times nobody was there`,
		k.times, len(k.arms), k.moving, k.arms, k.late, soonBack, 100*float64(k.late)/max(1, float64(len(k.arms))), k.behind, k.elsewhere, k.unfound, k.still, k.pages, k.work, k.empty)
}

// killProcesses kills the one handrule process and then the other, while all arms are driven and all answer.
func (c *cluster) killProcesses(ctx context.Context, times int) error {
	bucket, err := c.store.Bucket("probe")
	if err != nil {
		return err
	}
	var machine calm
	go machine.watch(ctx, bucket)
	var k [2]killed // on a calm machine, and on one that had other work
	lost := 0
	for n := range times {
		var one killed
		machine.since()
		if err := c.killProcess(ctx, n, &one); err != nil {
			return err
		}
		of := 0
		if is, late, write := machine.since(); !is {
			of = 1
			if c.logs {
				fmt.Printf("the machine stood still: a timer came %v late, a write took %v; %d arms stood elsewhere\n", late, write, one.elsewhere)
			}
		}
		k[of].add(&one)
		found, err := c.look()
		if err != nil {
			return err
		}
		lost += found.answers // of which the next time a later one is looked at
		if found.answers = lost; (n+1)%10 == 0 || n+1 == times {
			fmt.Printf("a process was killed %v\nand while the machine stood still for other work %v\nof all so far: %v\n\n", &k[0], &k[1], found)
		}
	}
	return nil
}

func (k *killed) add(one *killed) {
	k.times++
	k.arms, k.pages, k.work, k.behind = append(k.arms, one.arms...), append(k.pages, one.pages...), append(k.work, one.work...), append(k.behind, one.behind...)
	k.moving, k.elsewhere, k.unfound, k.still, k.late, k.empty = k.moving+one.moving, k.elsewhere+one.elsewhere, k.unfound+one.unfound, k.still+one.still, k.late+one.late, k.empty+one.empty
}

func (c *cluster) killProcess(ctx context.Context, n int, k *killed) error {
	if err := c.each(func(l *learner) error { return l.steps(ctx) }); err != nil {
		return err
	}
	for _, l := range c.learners {
		go l.holds(ctx, false)
	}
	// What an arm's rest costs to be kept is spread over the first two seconds.
	time.Sleep(2*time.Second + rand.N(time.Second))
	var handed []chan error
	for i := n % byTurns; i < len(c.members); i += byTurns {
		done := make(chan error, 1)
		handed = append(handed, done)
		go func() { done <- c.members[i].handsIn(ctx, rand.N(400*time.Millisecond)) }()
	}
	time.Sleep(200 * time.Millisecond)
	victim := c.servers[n%2]
	for _, l := range c.learners {
		l.killing()
	}
	other := c.servers[(n+1)%2]
	worked := other.ProcessorTime()
	at := time.Now()
	victim.Process.Kill()
	victim.Wait()
	// Who is told on after that by the connection they have is at the other process.
	if err := c.each(func(l *learner) error {
		return until(ctx, "a page is back", func() bool {
			l.mu.Lock()
			defer l.mu.Unlock()
			return l.back.After(at) || l.framed.After(at.Add(looksOn))
		})
	}); err != nil {
		return err
	}
	for _, m := range c.members {
		if err := until(ctx, "a page of the class is back", func() bool { m.mu.Lock(); defer m.mu.Unlock(); return m.conn != nil }); err != nil {
			return err
		}
		m.mu.Lock()
		if m.back.After(at) {
			k.pages = append(k.pages, m.back.Sub(at))
		}
		m.mu.Unlock()
	}
	k.work = append(k.work, other.ProcessorTime()-worked)
	time.Sleep(looksOn)
	hit := 0
	for _, l := range c.learners {
		l.mu.Lock()
		if l.back.After(at) {
			hit++
			k.see(l, l.back.Sub(at))
			if right, _ := l.standsRight(); c.logs && (!right || !l.found || l.strays) {
				fmt.Printf("bench %s stands at %v, found %t, strays %t, was under way %t; it stood at %v, and was at %v\n", l.bench, l.begun, l.found, l.strays, l.moved, l.before, l.pose)
			}
		}
		l.mu.Unlock()
	}
	if hit == 0 {
		k.empty++
	}
	for _, done := range handed {
		if err := <-done; err != nil {
			return err
		}
	}
	if err := c.each(func(l *learner) error {
		l.letGo()
		return until(ctx, "an arm stands", func() bool { l.mu.Lock(); defer l.mu.Unlock(); return !l.moves })
	}); err != nil {
		return err
	}
	return victim.start()
}

// see takes note of an arm that is back.
func (k *killed) see(l *learner, after time.Duration) {
	k.arms = append(k.arms, after)
	count := func(is bool, n *int) {
		if is {
			*n++
		}
	}
	count(l.moved, &k.moving)
	count(!l.found, &k.unfound)
	right, behind := l.standsRight()
	count(!right, &k.elsewhere)
	if right && l.moved {
		k.behind = append(k.behind, behind)
	}
	count(l.strays, &k.still)
	count(after > soonBack, &k.late)
}
