package bench

import (
	"handrule/scenarios/lesson"
	"time"
)

// Vault keeps what a learner must not forge. Its owner has the key.
type Vault interface {
	// Seal writes the stage a learner is in and the progress so that they can be kept on the learner's own machine.
	Seal(stage int, p lesson.Progress) (string, error)
	// Unseal reads what Seal wrote.
	Unseal(text string) (stage int, p lesson.Progress, err error)
	// Sign returns a result as a file.
	Sign(o lesson.Outcome) ([]byte, error)
	// Numbers returns what the numbers of an assessment are drawn from, for the deal of that number. Nobody else can tell.
	Numbers(lesson string, deal uint64) uint64
	// ExtraTime returns how many minutes more a code gives in an assessment, and for whom.
	ExtraTime(lesson, code string) (minutes int, who string, err error)
}

// largestProgress is the most bytes of sealed progress that the page is given: what it can hand in again.
const largestProgress = 256 << 10

// progressKey is what sealed progress depends on, but for the time that passes.
type progressKey struct {
	run                                             *lesson.Run
	stage, tries, jogs, answers, hints, noticed, ok int
	began, handed                                   time.Time
	extra                                           int
}

func (b *Bench) progressKey() any {
	l := b.lesson
	if l == nil || b.env.Vault == nil {
		return nil
	}
	p := &l.Progress
	k := progressKey{run: l.Run, stage: l.At(), began: p.Began, handed: p.Handed, extra: p.Extra}
	for _, s := range l.Progress.Stages {
		k.tries += s.Tries
		k.jogs += s.Jogs
		k.answers += len(s.Answers)
		k.hints += s.Hints
		k.noticed += len(s.Noticed)
		if s.Done || s.GivenUp {
			k.ok++
		}
	}
	return k
}

// progressView is what the page is to keep of the open lesson.
func (b *Bench) progressView() any {
	l := b.lesson
	if l == nil || b.env.Vault == nil {
		return nil
	}
	b.account()
	token, err := b.env.Vault.Seal(l.At(), l.Progress)
	if err != nil || len(token) > largestProgress {
		return nil
	}
	return ProgressMessage{Lesson: l.Lesson.ID, Token: token}
}
