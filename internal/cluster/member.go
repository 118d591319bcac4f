package main

import (
	"context"
	"crypto/ed25519"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"sync"
	"time"

	"handrule/internal/drive"
	"handrule/scenarios/lesson"
	"handrule/scenarios/results"
)

// member is a learner's page of the class. It answers the question on and on, each time with the next number, so that it can be told
// which answer is kept; and it hands in results. What was not acknowledged when a connection is lost it says once more.
type member struct {
	address, code string
	key           ed25519.PrivateKey

	mu       sync.Mutex
	conn     *drive.Socket
	token    string
	id       string // what others know the learner by
	question int    // that is open
	back     time.Time

	given   int       // the number that was said last
	saidAt  time.Time // for the first time
	kept    int       // the number that was acknowledged last
	pending time.Time // when that one was shown as not kept yet; zero: it was not
	again   bool      // it is to be said once more
	less    int       // how often an older answer was shown than had been acknowledged
	waits   []wait

	handed, arrived int   // results
	at              int64 // when the last of them arrived, as the class has it
	fewer           int   // how often fewer results were shown than had been acknowledged
	words           string
}

// wait is how long one answer took.
type wait struct {
	said    time.Time
	pending time.Duration // until it was shown as not kept yet; 0: it was not
	kept    time.Duration
}

func (m *member) run(ctx context.Context) {
	comesBack(ctx, func() (*drive.Socket, error) {
		m.mu.Lock()
		defer m.mu.Unlock()
		return drive.Dial(m.address, "/class?code="+m.code+"&token="+m.token)
	}, func(conn *drive.Socket) bool {
		answered := m.hear(conn)
		m.mu.Lock()
		defer m.mu.Unlock()
		m.conn = nil
		return answered
	})
}

// hear hears what the class tells until the connection is lost, and reports whether it took the page.
func (m *member) hear(conn *drive.Socket) (answered bool) {
	for {
		_, text, err := conn.Read()
		if err != nil {
			return answered
		}
		var told struct {
			Type, Token, Learner, State, Message string
			Count                                int
			Arrived                              int64
			Joined                               bool
			Mine                                 *struct {
				Number  *float64
				Pending bool
			}
		}
		json.Unmarshal(text, &told)
		m.mu.Lock()
		switch told.Type {
		case "class-welcome":
			answered = true
			m.conn, m.token, m.id, m.back, m.again = conn, told.Token, told.Learner, time.Now(), m.given > m.kept
		case "class-problem":
			m.words, m.again = told.Message, m.given > m.kept
		case "mine":
			if !told.Joined {
				m.write(`{"type":"join","name":"Learner","number":"","email":""}`)
			} else if told.Arrived < m.at {
				m.fewer++
			} else if told.Arrived > m.at { // They are handed in one after the other.
				m.at, m.arrived = told.Arrived, m.handed
			}
		case "question":
			if m.question = 0; told.State == "open" {
				m.question = told.Count
			}
			if told.Mine != nil && told.Mine.Number != nil {
				m.shown(int(*told.Mine.Number), told.Mine.Pending)
			} else if m.kept > 0 {
				m.less++
			}
		}
		m.mu.Unlock()
	}
}

// shown hears which answer is the learner's own.
func (m *member) shown(number int, pending bool) {
	switch {
	case number < m.kept:
		m.less++
	case number == m.given && pending && m.pending.IsZero():
		m.pending = time.Now()
	case number == m.given && !pending && m.kept < number:
		w := wait{said: m.saidAt, kept: time.Since(m.saidAt)}
		if !m.pending.IsZero() {
			w.pending = m.pending.Sub(m.saidAt)
		}
		m.waits = append(m.waits, w)
		m.kept = number
	}
}

// write sends a request. A page that is not connected says it when it is.
func (m *member) write(format string, of ...any) {
	if m.conn != nil {
		m.conn.Write(fmt.Appendf(nil, format, of...))
	}
}

// answers gives one answer after the other, each when the last is kept.
func (m *member) answers(ctx context.Context) {
	for ctx.Err() == nil {
		select {
		case <-ctx.Done():
		case <-time.After(500*time.Millisecond + rand.N(time.Second)):
		}
		m.mu.Lock()
		if m.question > 0 && m.conn != nil && (m.given == m.kept || m.again) {
			if m.given == m.kept {
				m.given++
				m.saidAt, m.pending = time.Now(), time.Time{}
			}
			m.again = false
			m.write(`{"type":"reply","question":%d,"round":1,"arrow":null,"stays":false,"joints":null,"stop":"","number":%d,"options":null}`, m.question, m.given)
		}
		m.mu.Unlock()
	}
}

// handsIn hands in the result of one more lesson, after so long, and once more where the connection was lost, until it has arrived.
func (m *member) handsIn(ctx context.Context, after time.Duration) error {
	m.mu.Lock()
	m.handed++
	n := m.handed
	m.mu.Unlock()
	file, err := results.Sign(results.Result{Learner: "Learner", Finished: time.Now(), Progress: lesson.Progress{Lesson: fmt.Sprint("lesson-", n), Title: "A lesson"}}, m.key)
	if err != nil {
		return err
	}
	text, err := json.Marshal(map[string]string{"type": "finished", "text": string(file)})
	if err != nil {
		return err
	}
	time.Sleep(after)
	var said *drive.Socket
	return until(ctx, "a result arrives", func() bool {
		m.mu.Lock()
		defer m.mu.Unlock()
		if m.conn != nil && m.conn != said {
			said = m.conn
			m.conn.Write(text)
		}
		return m.arrived >= n
	})
}

// since are the answers that were kept and that were said after that, or were under way then.
func (m *member) since(t time.Time) (all []wait) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, w := range m.waits {
		if w.said.Add(w.kept).After(t) {
			all = append(all, w)
		}
	}
	return all
}

// goesOn reports whether an answer is kept that was said after that.
func (m *member) goesOn(t time.Time) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	return len(m.waits) > 0 && m.waits[len(m.waits)-1].said.After(t)
}
