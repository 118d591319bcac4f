package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"handrule/internal/drive"
	"handrule/scenarios/results"
	"handrule/server/class"
	"handrule/server/store"
)

// beginHour has an instructor open a class and ask for a number, and learners join, each with an arm.
func (c *cluster) beginHour(ctx context.Context, learners int) error {
	link, err := drive.InstructorLink(c.dir)
	if err != nil {
		return err
	}
	key, err := results.OpenSigningKey(c.keyFile())
	if err != nil {
		return err
	}
	if c.facts, err = c.store.Bucket("classes"); err != nil {
		return err
	}
	if c.code, err = drive.OpenClass(ctx, c.address, link); err != nil {
		return err
	}
	front := &learner{address: c.address, path: "/bench?class=" + c.code, head: []string{drive.Bearer(link)}}
	go front.run(ctx)
	if err := until(ctx, "the instructor has an arm", front.here); err != nil {
		return err
	}
	if err := c.ask(link); err != nil {
		return err
	}
	for range learners {
		m := &member{address: c.address, code: c.code, key: key}
		c.members = append(c.members, m)
		go m.run(ctx)
	}
	if err := until(ctx, "all have joined and see the question", func() bool {
		for _, m := range c.members {
			m.mu.Lock()
			token, question, words := m.token, m.question, m.words
			m.mu.Unlock()
			if words != "" {
				fmt.Println("the class says", words)
			}
			if token == "" || question == 0 {
				return false
			}
		}
		return true
	}); err != nil {
		return err
	}
	for _, m := range c.members {
		l := &learner{address: c.address, path: "/bench?class=" + c.code + "&token=" + m.token}
		c.learners = append(c.learners, l)
		go l.run(ctx)
		go m.answers(ctx)
	}
	return c.each(func(l *learner) error { return until(ctx, "a page has its arm", l.here) })
}

// ask asks for a number, as soon as the arm in front is known.
func (c *cluster) ask(link string) error {
	conn, err := drive.Dial(c.address, "/class?code="+c.code, drive.Bearer(link))
	if err != nil {
		return err
	}
	defer conn.Close()
	for {
		_, text, err := conn.Read()
		if err != nil {
			return err
		}
		var told struct {
			Type  string
			Count int
		}
		json.Unmarshal(text, &told)
		switch {
		case told.Type == "front":
			conn.Write([]byte(`{"type":"ask","kind":"number","jog":"","measure":{"of":"x","frame":"base","task":"","joint":0},"text":"","options":[],"right":[]}`))
		case told.Type == "class-problem":
			return fmt.Errorf("the class says %s", text)
		case told.Type == "question" && told.Count > 0:
			return nil
		}
	}
}

// losses counts what the pages were told is kept, and is not.
type losses struct{ answers, acknowledged, results, arrived, less, fewer int }

func (l losses) String() string {
	return fmt.Sprintf("%d of %d acknowledged answers lost, %d of %d results; an answer shown older than acknowledged %d times, results fewer %d times",
		l.answers, l.acknowledged, l.results, l.arrived, l.less, l.fewer)
}

// look holds what the pages were told against what is kept.
func (c *cluster) look() (found losses, err error) {
	for _, m := range c.members {
		m.mu.Lock()
		id, kept, arrived := m.id, m.kept, m.arrived
		found.less, found.fewer = found.less+m.less, found.fewer+m.fewer
		m.mu.Unlock()
		found.acknowledged, found.arrived = found.acknowledged+kept, found.arrived+arrived
		if kept > 0 {
			var answer class.Answer
			text, err := c.patiently(fmt.Sprintf("%s.answer.1.1.%s", c.code, id))
			if err == nil {
				err = json.Unmarshal(text, &answer)
			}
			if err != nil && !errors.Is(err, store.ErrNone) {
				return found, err
			}
			if answer.Reply.Number == nil || int(*answer.Reply.Number) < kept {
				found.answers++
			}
		}
		for n := range arrived {
			switch _, err := c.patiently(fmt.Sprintf("%s.result.%s.lesson-%d", c.code, id, n+1)); {
			case errors.Is(err, store.ErrNone):
				found.results++
			case err != nil:
				return found, err
			}
		}
	}
	return found, nil
}

// patiently reads a fact, and waits while nobody can be asked.
func (c *cluster) patiently(key string) ([]byte, error) {
	for end := time.Now().Add(time.Minute); ; {
		e, err := c.facts.Get(key)
		if !errors.Is(err, store.ErrAway) || time.Now().After(end) {
			return e.Value, err
		}
	}
}
