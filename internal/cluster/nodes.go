package main

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

const (
	// resting is how many of the learners step instead of holding, to see when that is kept.
	resting = 10
	// keptWithin is what is asked for, of an answer that is given when a leader is killed.
	keptWithin = 12 * time.Second
	// darkness is how long two of three nodes are gone.
	darkness = 15 * time.Second
)

// streams hold what is written while a node is killed: answers and results, and where arms stand.
var streams = []string{"KV_classes", "KV_benches"}

// killNodes kills the node that leads each of the streams, in turn, has one fall silent, and then kills two of three, while arms are driven and
// all answer.
func (c *cluster) killNodes(ctx context.Context, times, silences int) error {
	var urls []string
	for _, n := range c.nodes {
		urls = append(urls, n.url())
	}
	conn, err := nats.Connect(strings.Join(urls, ","), nats.MaxReconnects(-1), nats.ReconnectWait(50*time.Millisecond), nats.PingInterval(time.Second), nats.MaxPingsOutstanding(1))
	if err != nil {
		return err
	}
	defer conn.Close()
	if c.asks, err = jetstream.New(conn); err != nil {
		return err
	}
	holding, stop := context.WithCancel(ctx)
	defer stop()
	for _, l := range c.learners[c.resting():] {
		go l.holds(holding, true)
	}
	if err := c.step(ctx); err != nil { // so that something is kept of each
		return err
	}
	for _, stream := range streams {
		if err := c.lose(ctx, stream, times, "was killed", (*node).kill, (*node).start); err != nil {
			return err
		}
	}
	if err := c.lose(ctx, streams[0], silences, "fell silent", (*node).freeze, (*node).thaw); err != nil {
		return err
	}
	return c.killTwo(ctx)
}

// lose loses the node that leads a stream, and has it come back.
func (c *cluster) lose(ctx context.Context, stream string, times int, how string, goes func(*node), comes func(*node) error) error {
	if times == 0 {
		return nil
	}
	var all outage
	for range times {
		leader, err := c.leads(ctx, stream)
		if err != nil {
			return err
		}
		if err := c.loseNode(ctx, stream, leader, &all, goes, comes); err != nil {
			return err
		}
	}
	fmt.Printf("%d times the node that leads %s %s: another led after %v; %v\n", times, stream, how, all.led, &all)
	return nil
}

func (c *cluster) resting() int { return min(resting, len(c.learners)-1) }

// outage is what was seen while nodes were gone.
type outage struct {
	led     spread        // until another node led
	answers spread        // that were given or under way then, until they were kept
	pending spread        // until an answer was shown as not kept yet
	steps   spread        // until the last of the arms that made a step then was kept
	slow    int           // answers that took longer than they may
	gap     time.Duration // the longest between two frames of an arm that is driven
	told    int           // pages, of trouble
	losses
}

func (o *outage) String() string {
	return fmt.Sprintf("answers were kept after %v, %d later than %v; %d were shown as pending, after %v; steps were kept after %v; arms moved on, the longest between two frames %d ms; %d pages of arms were told; %v",
		o.answers, o.slow, keptWithin, len(o.pending), o.pending, o.steps, o.gap.Milliseconds(), o.told, o.losses)
}

// loseNode loses a node, waits until all goes on, and has it come back.
func (c *cluster) loseNode(ctx context.Context, stream string, leader *node, o *outage, goes func(*node), comes func(*node) error) error {
	kept, err := c.beginLooking()
	if err != nil {
		return err
	}
	killed := time.Now()
	goes(leader)
	led := make(chan error, 1)
	go func() {
		var after time.Duration
		err := until(ctx, "another node leads", func() bool {
			now, err := c.leader(ctx, stream)
			after = time.Since(killed)
			return err == nil && now != leader
		})
		o.led = append(o.led, after)
		led <- err
	}()
	if err := c.step(ctx); err != nil {
		return err
	}
	if err := c.goOn(ctx, kept, killed, killed, o); err != nil {
		return err
	}
	if err := <-led; err != nil {
		return err
	}
	if err := comes(leader); err != nil {
		return err
	}
	return c.whole(ctx)
}

// killTwo kills two of three nodes, and starts them again when nothing could be kept for a while.
func (c *cluster) killTwo(ctx context.Context) error {
	var o outage
	leader, err := c.leads(ctx, streams[0])
	if err != nil {
		return err
	}
	kept, err := c.beginLooking()
	if err != nil {
		return err
	}
	killed := time.Now()
	victims := []*node{leader}
	for _, n := range c.nodes {
		if len(victims) < 2 && n != leader {
			victims = append(victims, n)
		}
	}
	for _, n := range victims {
		n.kill()
	}
	if err := c.step(ctx); err != nil {
		return err
	}
	time.Sleep(darkness)
	begun := time.Now()
	for _, n := range victims {
		if err := n.start(); err != nil {
			return err
		}
	}
	if err := c.goOn(ctx, kept, killed, begun, &o); err != nil {
		return err
	}
	fmt.Printf("%d of three nodes were killed for %v; counted from their start: %v\n", len(victims), darkness, &o)
	return c.whole(ctx)
}

// beginLooking forgets what pages were told before, and returns the revisions that are kept of the arms that rest.
func (c *cluster) beginLooking() (map[string]uint64, error) {
	time.Sleep(lastMoment) // in which the last of them is written
	for _, l := range c.learners {
		l.mu.Lock()
		l.gap, l.told = 0, 0
		l.mu.Unlock()
	}
	kept := map[string]uint64{}
	for _, l := range c.learners[:c.resting()] {
		e, err := c.benches.Get(l.bench)
		if err != nil {
			return nil, err
		}
		kept[l.bench] = e.Revision
	}
	return kept, nil
}

// step has the arms make a step that rest.
func (c *cluster) step(ctx context.Context) error {
	return each(c.learners[:c.resting()], func(l *learner) error { return l.steps(ctx) })
}

// goOn waits until all is kept again after nodes were killed, and takes note of how long that took: of answers from when they were given, of
// the rest from then on.
func (c *cluster) goOn(ctx context.Context, kept map[string]uint64, killed, from time.Time, o *outage) error {
	for _, l := range c.learners[:c.resting()] {
		if err := until(ctx, "a step is kept", func() bool { e, err := c.benches.Get(l.bench); return err == nil && e.Revision > kept[l.bench] }); err != nil {
			return err
		}
	}
	o.steps = append(o.steps, time.Since(from))
	for _, m := range c.members {
		if err := until(ctx, "answers are kept", func() bool { return m.goesOn(from) }); err != nil {
			return err
		}
		for _, w := range m.since(killed) {
			kept := w.kept
			if w.said.Before(from) {
				kept -= from.Sub(w.said)
			}
			o.answers = append(o.answers, kept)
			if kept > keptWithin {
				o.slow++
				if c.logs {
					fmt.Printf("an answer that was given %v after the kill was pending after %v and kept after %v\n", w.said.Sub(killed), w.pending, w.kept)
				}
			}
			if w.pending > 0 {
				o.pending = append(o.pending, w.pending)
			}
		}
	}
	for _, l := range c.learners {
		l.mu.Lock()
		o.gap = max(o.gap, l.gap)
		o.told += min(1, l.told)
		l.mu.Unlock()
	}
	found, err := c.look()
	found.answers += o.losses.answers // of which the next time a later one is looked at
	o.losses = found
	return err
}

// info asks the nodes about a stream.
func (c *cluster) info(ctx context.Context, stream string) (*jetstream.ClusterInfo, error) {
	limited, cancel := context.WithTimeout(ctx, 250*time.Millisecond)
	defer cancel()
	s, err := c.asks.Stream(limited, stream)
	if err != nil {
		return nil, err
	}
	if s.CachedInfo().Cluster == nil {
		return nil, fmt.Errorf("%s is in no cluster", stream)
	}
	return s.CachedInfo().Cluster, nil
}

// leader is the node that leads a stream, as the stream's own information has it.
func (c *cluster) leader(ctx context.Context, stream string) (*node, error) {
	info, err := c.info(ctx, stream)
	if err != nil {
		return nil, err
	}
	for _, n := range c.nodes {
		if n.name == info.Leader {
			return n, nil
		}
	}
	return nil, fmt.Errorf("nobody leads %s", stream)
}

// leads waits until a node leads a stream. A busy machine may leave a question without an answer.
func (c *cluster) leads(ctx context.Context, stream string) (leader *node, err error) {
	err = until(ctx, "a node leads "+stream, func() bool {
		leader, _ = c.leader(ctx, stream)
		return leader != nil
	})
	return leader, err
}

// whole waits until all three nodes have everything.
func (c *cluster) whole(ctx context.Context) error {
	return until(ctx, "all nodes have everything", func() bool {
		for _, stream := range streams {
			info, err := c.info(ctx, stream)
			if err != nil || info.Leader == "" || len(info.Replicas) != 2 {
				return false
			}
			for _, r := range info.Replicas {
				if !r.Current || r.Offline {
					return false
				}
			}
		}
		return true
	})
}
