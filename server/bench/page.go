package bench

import (
	"bytes"
	"encoding/json"
	"fmt"
	"hash/maphash"
	"slices"
	"time"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// This file tells the page: each view is made after whatever may have changed it, compared with what the page was told last,
// and told where it differs. So nothing that changes the bench has to think of the page.

// page is the page that is connected: what it shows, asks and was told.
type page struct {
	shows   ShowRequest
	author  bool           // of the files that are served: it is told what is wrong with them
	alone   bool           // with a bench of its own
	aim     *jog.Direction // of the next step; nil: nothing is aimed at
	renewal renewal        // the last hold that was asked for
	press   int            // the number of the press that holds, or last held
	asked   time.Time      // when the page asked for anything last
	now     time.Time      // the owner's, when anything was done or told last
	log     logTellings
	plotted int64 // the tick up to which the page was told of the recording under way

	watches bool   // it is a watcher's
	touched bool   // something may have changed that a tick does not change
	told    []told // what the page was told last, by view
	frame   frameTold
	play    PlayMessage // how the playing of a file stands, or ended
	letters []letter    // that answer what the page asked for
}

// letter is a message that is told once.
type letter struct {
	word    string
	message any
}

// armKey is what is told of the arm and its tools.
type armKey struct {
	arm   *armfile.Arm
	cell  *cellfile.Cell
	found *kinematics.Tool
}

// told is what the page knows of a view: the key that it was made for, and a digest of its text.
type told struct {
	key    any
	digest uint64
}

var digestSeed = maphash.MakeSeed()

// Message is what the page is to be told: one JSON object, or a binary frame. A frame may be left out where another follows it.
// The text is the receiver's only until it returns.
type Message struct {
	Text  []byte
	Frame bool
}

// A view is one thing that the page shows of the bench. Where there is a key, the view is made only when the key is another than
// it was; it must be comparable.
type view struct {
	word string
	key  func(b *Bench) any
	make func(b *Bench) any // nil: it is not to be told now

	watched bool // it is told to watchers, too
}

// underFrame is how many of the views are told before the frame.
const underFrame = 5

// views are all of them, in the order in which they are told. What a later one is drawn on comes before it.
var views = []view{
	{"offer", func(b *Bench) any { return offerKey{b.offer, b.own.arm} }, func(b *Bench) any { return b.offerView() }, false},
	{"arm", func(b *Bench) any { return armKey{b.mounted.arm, b.mounted.cell, b.mounted.found} }, func(b *Bench) any { return armMessage(b.mounted.arm, b.tools(), b.in) }, true},
	{"cell", nil, func(b *Bench) any { return b.cellMessage() }, true},
	{"setup", nil, func(b *Bench) any { return b.chosen }, true},
	{"frames", nil, func(b *Bench) any { return b.framesView() }, true},
	// Here comes the frame.
	{"motion", nil, func(b *Bench) any { return b.motionView() }, true},
	{"nearest", nil, func(b *Bench) any { return b.nearestView() }, true},
	{"note", nil, func(b *Bench) any { return b.noteView() }, true},
	{"lesson", nil, func(b *Bench) any { return b.lessonMessage() }, false},
	{"stop", func(b *Bench) any { return b.driven.stopped }, func(b *Bench) any { return b.stopView() }, true},
	{"log", func(b *Bench) any { return b.page.log.changes }, func(b *Bench) any { return b.logView() }, false},
	{"teach", nil, func(b *Bench) any { return b.teachMessage() }, false},
	{"clock", func(b *Bench) any { return b.clockKey() }, func(b *Bench) any { return b.clockView() }, false},
	{"progress", func(b *Bench) any { return b.progressKey() }, func(b *Bench) any { return b.progressView() }, false},
	{"predictions", nil, func(b *Bench) any { return b.predictionsView() }, false},
	{"ways", nil, func(b *Bench) any { return b.waysView() }, false},
	{"play", nil, func(b *Bench) any { return b.playView() }, false},
	{"faults", nil, func(b *Bench) any { return b.faults() }, false},
	{"recording", func(b *Bench) any { return b.recordingKey(b.plot.OfJoint) }, func(b *Bench) any { return b.recordingView(b.plot.OfJoint) }, false},
	{"recording", func(b *Bench) any { return b.recordingKey(b.plot.InFrame) }, func(b *Bench) any { return b.recordingView(b.plot.InFrame) }, false},
	{"ghost", func(b *Bench) any { return b.ghostTold() }, func(b *Bench) any { return b.ghostView() }, true},
	{"room", func(b *Bench) any { return b.thoughts.room.found }, func(b *Bench) any { return b.roomView() }, false},
}

// Connect begins to tell a page that speaks that language, which knows nothing yet. The page is told everything, beginning with
// the welcome.
func (b *Bench) Connect(welcome Welcome, in *words.Language) {
	b.speak(in)
	b.page = newPage()
	welcome.Wire, welcome.LeaseMS, welcome.Choices = WireVersion, int(Lease/time.Millisecond), choicesIn[words.MM]
	b.page.author, b.page.alone = welcome.Author, welcome.Alone
	b.tell("welcome", welcome)
	b.takeUpLesson()
}

// newPage is a page that knows nothing yet.
func newPage() *page {
	return &page{touched: true, shows: ShowRequest{Of: OfTCP, Form: spoken.FixedXYZ}, told: make([]told, len(views))}
}

// renewal is a hold as it was asked for. The text that renews it is the same, and comes every few frames.
type renewal struct {
	text []byte
	hold *HoldRequest
}

// Renews reports whether a request does no more than to renew the hold under way, word for word as it was asked for.
func (b *Bench) Renews(text []byte) bool {
	r := &b.page.renewal
	return r.hold != nil && r.hold.Press == b.page.press && bytes.Equal(text, r.text)
}

// Request does what the page asks in a text, and answers what cannot be done with a problem.
func (b *Bench) Request(text []byte, now time.Time) {
	if b.Renews(text) {
		b.Handle(b.page.renewal.hold, now) // It was taken before.
		return
	}
	request, err := Decode(text)
	if err == nil {
		err = b.Handle(request, now)
	}
	if hold, is := request.(*HoldRequest); is && err == nil {
		b.page.renewal = renewal{append(b.page.renewal.text[:0], text...), hold}
	}
	if err != nil {
		b.tell("problem", Problem{Message: spoken.Tell(err, b.in), Refused: true})
	}
}

// tell answers what the page asked for.
func (b *Bench) tell(word string, message any) {
	b.page.letters = append(b.page.letters, letter{word, message})
}

// Complain tells the page what it did wrong.
func (b *Bench) Complain(message string) { b.tell("problem", Problem{Message: message}) }

// Say says it in the page's language.
func (b *Bench) Say(key string) string { return b.in.Say(key) }

// complain tells the page what cannot be done.
func (b *Bench) complain(err error) { b.Complain(spoken.Tell(err, b.in)) }

// News reports whether there is something to tell besides the pose of an arm in motion.
func (b *Bench) News() bool { return b.page.touched || len(b.page.letters) > 0 }

// Tell hands out all that the page does not know yet. The due time is stamped on frames: when the tick they show should have
// been.
func (b *Bench) Tell(due time.Time, to func(Message)) {
	p := b.page
	if p.told == nil {
		return // nobody is connected
	}
	if due.After(p.now) {
		p.now = due
	}
	letters := p.letters
	p.letters = nil
	for _, l := range letters {
		to(Message{Text: Encode(l.word, l.message)})
	}
	touched := p.touched
	p.touched = false
	if touched && !p.watches {
		b.touchWatchers()
	}
	// That a motion begins, or that the arm was put elsewhere, is told before the pose; that it stands is told after it.
	ahead := p.frame.put != b.put || b.drive().Moving() && !p.frame.moving
	news := b.makeFrame(due)
	if touched {
		b.thoughts.due = b.thoughts.due || !p.watches
		for i := range underFrame {
			b.tellView(i, to)
		}
	}
	if ahead {
		b.tellView(motionAt, to)
	}
	if news {
		to(Message{Text: p.frame.text, Frame: true})
	}
	if !touched {
		b.tellMotion(to)
		return
	}
	for i := underFrame; i < len(views); i++ {
		b.tellView(i, to)
	}
}

// tellView tells a view where it is not as the page knows it.
func (b *Bench) tellView(i int, to func(Message)) {
	v, known := &views[i], &b.page.told[i]
	if b.page.watches && !v.watched {
		return
	}
	if v.key != nil {
		key := v.key(b)
		if known.digest != 0 && key == known.key {
			return
		}
		known.key = key
	}
	message := v.make(b)
	if message == nil {
		return
	}
	text := Encode(v.word, message)
	if digest := maphash.Bytes(digestSeed, text) | 1; digest != known.digest {
		known.digest = digest
		to(Message{Text: text})
	}
}

// retell makes every view anew, because what they are made with has changed. The page is told those that differ.
func (b *Bench) retell() {
	for i := range b.page.told {
		b.page.told[i].key = nil
	}
	b.logged(0)
}

// show takes note of what the page shows.
func (b *Bench) show(r *ShowRequest) error {
	if r.Of != OfTCP && r.Of != OfFlange {
		return fmt.Errorf("an orientation is read of %q or %q, not of %q", OfTCP, OfFlange, clip(string(r.Of)))
	}
	if !slices.Contains(spoken.Forms, r.Form) {
		return fmt.Errorf("there is no form %q of an orientation", clip(string(r.Form)))
	}
	b.page.shows = *r
	b.page.frame = frameTold{}
	return nil
}

// Encode writes one reply: the message's fields after its type word.
func Encode(word string, message any) []byte {
	var text bytes.Buffer
	text.WriteString(`{"type":"` + word + `"`)
	head := text.Len()
	text.WriteByte(',')
	if err := json.NewEncoder(&text).Encode(message); err != nil {
		return Encode(word, allFinite(message)) // The only error there can be is of a number that is none.
	}
	all := text.Bytes()
	all = all[:len(all)-1] // without the encoder's newline
	if len(all)-head == len(",{}") {
		return append(all[:head], '}')
	}
	copy(all[head+1:], all[head+2:]) // without the message's own brace
	return all[:len(all)-1]
}
