package lesson

import (
	"cmp"
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"

	"handrule/kinematics/jog"
	"handrule/scenarios/form"
)

// Choose is a question with options. What is right is computed where the option says when, and marked otherwise.
type Choose struct {
	form.Block
	Question string   `field:"question,required" about:"The question, one line."`
	Several  bool     `field:"several" about:"More than one option may be right, and all that are have to be chosen."`
	Shows    *Shows   `field:"shows" about:"What the picture shows after an answer to an option that says nothing of its own: of a jog the line, and its way once it may be told."`
	Options  []Option `field:"options,required" most:"8" about:"What to choose from."`
}

// Option is one of them.
type Option struct {
	form.Block
	Text  string     `field:"text,required" about:"What it says."`
	When  *Condition `field:"when" about:"It is right when this is so, which is computed."`
	Right bool       `field:"right" about:"It is right. For practice and safety, where nothing can be computed."`
	Why   string     `field:"why" about:"What to say when it was chosen, before what was computed for it."`
	Shows *Shows     `field:"shows" about:"What the picture shows when it was chosen, where nothing is computed for it."`

	inFile string // its text in the lesson's file, where this one is a translation's
}

// Kind is "choose".
func (*Choose) Kind() string { return "choose" }

func (c *Choose) validate(l *Lesson, _ *Stage) {
	if len(c.Options) == 1 {
		c.Add("options", "are one; a question needs at least two")
	}
	c.Shows.validate(l)
	for i := range c.Options {
		o := &c.Options[i]
		o.Together("when", "right")
		o.Together("when", "shows")
		o.Shows.validate(l)
		if o.When != nil {
			o.When.validate(l)
		}
	}
}

func (c *Choose) Truth(l *Lesson, d *jog.Drive) (t Truth, err error) {
	var words, measured []string
	for i := range c.Options {
		o := &c.Options[i]
		right := o.Right
		if o.When != nil {
			v, unclear := Value{}, false
			if right, v, unclear, err = o.When.holds(l, d); err != nil {
				return t, fmt.Errorf("option %d: %w", i+1, err)
			}
			measured = append(measured, fmt.Sprintf("for option %d, %s is %s", i+1, o.When.Measure, v))
			if unclear {
				t.Unclear = fmt.Sprintf("option %d depends on %s, which is %s, too near to its bound", i+1, o.When.Measure, v)
			}
		}
		if right {
			t.Answer.Options = append(t.Answer.Options, i)
			words = append(words, o.Text)
		}
	}
	t.Words = strings.Join(words, "; ")
	switch n := len(words); {
	case n == 0:
		t.Unclear = "no option is right; mark one with right: true, or say when one is"
		if len(measured) > 0 {
			t.Unclear = "no option is right; " + strings.Join(measured, "; ")
		}
	case n > 1 && !c.Several:
		t.Unclear = fmt.Sprintf("%d options are right: %s; write several: true where all have to be chosen", n, t.Words)
	}
	return t, nil
}

func (c *Choose) grade(l *Lesson, d *jog.Drive, a Answer) (v Verdict, err error) {
	truth, err := c.Truth(l, d)
	if err != nil {
		return v, err
	}
	given := slices.Compact(slices.Sorted(slices.Values(a.Options)))
	for _, i := range given {
		if i < 0 || i >= len(c.Options) {
			return v, fmt.Errorf("there are options 0 to %d, not %d", len(c.Options)-1, i)
		}
	}
	v.Right = truth.Words
	v.Done = slices.Equal(given, truth.Answer.Options)
	v.off(float64(Different(given, truth.Answer.Options)), "options")
	return v, nil
}

// An answer is packed as the options' bits, with two bytes of a hash of them all that tells when they have become others.
func (c *Choose) pack(a Answer) []byte {
	hash := c.hash()
	return []byte{bits(a.Options), hash[0], hash[1]}
}

func (c *Choose) unpack(packed []byte) (a Answer, ok bool) {
	if hash := c.hash(); len(packed) != 3 || packed[1] != hash[0] || packed[2] != hash[1] {
		return a, false
	}
	a.Options = setBits(packed[0])
	return a, !slices.ContainsFunc(a.Options, func(i int) bool { return i >= len(c.Options) })
}

func (c *Choose) told(packed []byte) string {
	return c.saying(packed, func(o *Option) string { return o.Text })
}

// saying puts together what is said of the options of an answer.
func (c *Choose) saying(packed []byte, said func(*Option) string) string {
	a, ok := c.unpack(packed)
	if !ok {
		return untold
	}
	var texts []string
	for _, i := range a.Options {
		texts = append(texts, said(&c.Options[i]))
	}
	return strings.Join(texts, "; ")
}

// inFile is an answer in the words of the lesson's file, where these are not those in which it is told; else "". All answers but
// options are told alike in every language.
func inFile(task Asked, packed []byte) string {
	c, ok := task.(*Choose)
	if !ok {
		return ""
	}
	if text := c.saying(packed, (*Option).textInFile); text != c.told(packed) {
		return text
	}
	return ""
}

func (o *Option) textInFile() string { return cmp.Or(o.inFile, o.Text) }

// hash is of the options in the lesson's file, so that an answer means the same in every language.
func (c *Choose) hash() [2]byte {
	var texts []string
	for i := range c.Options {
		texts = append(texts, c.Options[i].textInFile())
	}
	sum := sha256.Sum256([]byte(strings.Join(texts, "\n")))
	return [2]byte(sum[:2])
}
