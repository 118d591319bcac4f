package main

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"time"

	"handrule/internal/drive"
)

// hour is a class with its instructor, whose arm all see.
type hour struct {
	address, link, code string
	front               *learner      // the instructor's arm
	class               *drive.Socket // and their page of the class
	given               atomic.Int64  // answers to the question, as they are told
	pupils              []*pupil
}

// pupil is in a class: a page of the class, and an arm of their own.
type pupil struct {
	*learner // their arm
	class    *drive.Socket
	token    string

	measuring *atomic.Bool
	late      histogram // of the demonstrated arm's frames
	frames    int
	asked     chan int // a round of the question
}

// open opens the class, with the instructor's arm and page.
func (h *hour) open(ctx context.Context, measuring *atomic.Bool, speed float64) error {
	var err error
	if h.code, err = drive.OpenClass(ctx, h.address, h.link); err != nil {
		return err
	}
	h.front = &learner{moves: true, speed: speed, measuring: measuring, path: "/bench?class=" + h.code, head: []string{drive.Bearer(h.link)}}
	if err := h.front.connect(ctx, h.address); err != nil {
		return err
	}
	if h.class, err = drive.Dial(h.address, "/class?code="+h.code, drive.Bearer(h.link)); err != nil {
		return err
	}
	context.AfterFunc(ctx, func() { h.class.Close() })
	go h.listen()
	return nil
}

// listen hears how many have answered.
func (h *hour) listen() {
	for {
		_, text, err := h.class.Read()
		if err != nil {
			return
		}
		var m struct {
			Type  string
			Given int64
		}
		if json.Unmarshal(text, &m) == nil && m.Type == "question" {
			h.given.Store(m.Given)
		}
	}
}

// join lets somebody join who follows the demonstrated arm, with an arm of their own, which moves or stands.
func (h *hour) join(ctx context.Context, moves bool, measuring *atomic.Bool, speed float64) error {
	p := &pupil{measuring: measuring, asked: make(chan int, 10)}
	var err error
	if p.class, err = drive.Dial(h.address, "/class?code="+h.code); err != nil {
		return err
	}
	context.AfterFunc(ctx, func() { p.class.Close() })
	for p.token == "" {
		_, text, err := p.class.Read()
		if err != nil {
			return err
		}
		var m struct{ Type, Token, Message string }
		json.Unmarshal(text, &m)
		if m.Type == "class-problem" {
			return fmt.Errorf("the class says %q", m.Message)
		}
		p.token = m.Token
	}
	p.class.Write(fmt.Appendf(nil, `{"type":"join","name":"Learner %d","number":"","email":""}`, len(h.pupils)+1))
	p.class.Write([]byte(`{"type":"follow","whom":"front","read_in":{"frame":"base","task":""},"shows":{"room":false,"plot":false,"of":"tcp","form":"fixed_xyz"},"unit":"mm"}`))
	p.learner = &learner{moves: moves, speed: speed, measuring: measuring, path: "/bench?class=" + h.code + "&token=" + p.token}
	if err := p.learner.connect(ctx, h.address); err != nil {
		return err
	}
	h.pupils = append(h.pupils, p)
	go p.listen()
	return nil
}

func (p *pupil) listen() {
	round := 0
	for {
		kind, text, err := p.class.Read()
		if err != nil {
			return
		}
		if kind == drive.OpBinary && len(text) > 8 {
			if p.measuring.Load() {
				p.frames++
				p.late.note(lateness(text))
			}
			continue
		}
		var m struct {
			Type, State  string
			Count, Round int
		}
		if json.Unmarshal(text, &m) == nil && m.Type == "question" && m.State == "open" && m.Count > round {
			round = m.Count
			p.asked <- m.Count
		}
	}
}

// lateness is how much later than its tick a frame came.
func lateness(frame []byte) time.Duration {
	due := binary.LittleEndian.Uint32(frame[4:])
	return time.Duration(int32(uint32(time.Now().UnixMicro()/100)-due)) * 100 * time.Microsecond
}

// measureClasses drives a server with classes and prints what that costs. Of a single class the instructor's arm moves, which all follow; of
// several, half of the learners move their own.
func measureClasses(o options) error {
	s, dir, end, err := start(o.server, o.classes*(o.learners+1)+20)
	if err != nil {
		return err
	}
	defer end()
	link, err := drive.InstructorLink(dir)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	var measuring atomic.Bool
	var hours []*hour
	var all sync.WaitGroup
	for range o.classes {
		h := &hour{address: s.Address, link: link}
		if err := h.open(ctx, &measuring, o.speed); err != nil {
			return err
		}
		hours = append(hours, h)
		for i := range o.learners {
			moves := o.classes > 1 && i%2 == 0
			if err := h.join(ctx, moves, &measuring, o.speed); err != nil {
				return err
			}
			arm := h.pupils[i].learner
			all.Go(func() { arm.read() })
			if moves {
				all.Go(func() { arm.hold(ctx, time.Duration(i)*10*time.Millisecond) })
			}
		}
		all.Go(func() { h.front.read() })
		if o.classes == 1 {
			all.Go(func() { h.front.hold(ctx, 0) })
		}
	}
	time.Sleep(10 * time.Second)
	before, begun := s.ProcessorTime(), time.Now()
	measuring.Store(true)
	time.Sleep(time.Duration(o.seconds) * time.Second)
	measuring.Store(false)
	passed := time.Since(begun)
	cores := (s.ProcessorTime() - before).Seconds() / passed.Seconds()
	var late, own histogram
	frames, owned, moving, lost := 0, 0, 0, 0
	for _, h := range hours {
		for _, p := range h.pupils {
			late.add(&p.late)
			own.add(&p.learner.late)
			frames += p.frames
			owned += p.learner.frames
			lost += p.learner.lost
			if p.learner.moves {
				moving++
			}
		}
	}
	pupils := float64(o.classes * o.learners)
	fmt.Printf("%d classes of %d: %.2f cores, %d MB; ", o.classes, o.learners, cores, s.Resident()/1000)
	if o.classes == 1 {
		fmt.Printf("the demonstrated arm %.1f frames/s each, late %.1f ms (p50), %.1f ms (p99)\n", float64(frames)/passed.Seconds()/pupils, ms(late.quantile(0.5)), ms(late.quantile(0.99)))
	} else {
		fmt.Printf("%d move their own arms, %.1f frames/s each, late %.1f ms (p50), %.1f ms (p99), %d holds lost\n", moving, float64(owned)/passed.Seconds()/float64(max(1, moving)), ms(own.quantile(0.5)), ms(own.quantile(0.99)), lost)
	}
	h := hours[0]
	return h.ask(o.classes == 1)
}

// ask asks the class, has everybody answer within a second, and counts.
func (h *hour) ask(front bool) error {
	if front {
		h.front.say(map[string]any{"type": "release"})
	}
	h.class.Write([]byte(`{"type":"ask","kind":"choice","jog":"","measure":{"of":"","frame":"base","task":"","joint":0},"text":"Which?","options":["a","b"],"right":[0]}`))
	var all sync.WaitGroup
	begun := time.Now()
	for _, p := range h.pupils {
		all.Go(func() {
			select {
			case count := <-p.asked:
				time.Sleep(rand.N(time.Second))
				p.class.Write(fmt.Appendf(nil, `{"type":"reply","question":%d,"round":1,"arrow":null,"stays":false,"joints":null,"stop":"","number":null,"options":[%d]}`, count, rand.IntN(2)))
			case <-time.After(20 * time.Second):
			}
		})
	}
	all.Wait()
	answered := time.Now()
	want := int64(len(h.pupils))
	for h.given.Load() < want && time.Since(answered) < 30*time.Second {
		time.Sleep(5 * time.Millisecond)
	}
	fmt.Printf("%d answers within %.1f s: %d counted, the last %.0f ms after it was given\n", want, answered.Sub(begun).Seconds(), h.given.Load(), ms(time.Since(answered)))
	return nil
}
