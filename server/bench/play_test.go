package bench

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// watched runs the clock tick by tick until nothing goes on, and adds where the arm was at every tick.
func watched(t *testing.T, b *Bench, now time.Time, trace *[]kinematics.Joints) {
	t.Helper()
	for range 200_000 {
		if !b.Busy() {
			return
		}
		before := b.drive().Ticks
		b.Advance(1, now)
		if b.drive().Ticks > before {
			*trace = append(*trace, b.drive().Joints())
		}
	}
	t.Fatal("it does not end")
}

// driven is a bench on which somebody drives, and where the arm was at every tick.
type drivenBench struct {
	*Bench
	t     *testing.T
	sent  *hearing
	trace []kinematics.Joints
	press int
}

func driving(t *testing.T) *drivenBench {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"cell","id":"glazing-bench"}`)
	return &drivenBench{Bench: b, t: t, sent: sent}
}

// does asks the bench for something and waits until the arm stands.
func (d *drivenBench) does(text string) {
	d.t.Helper()
	before := d.drive().Ticks
	ask(d.t, d.Bench, noon, text)
	if d.drive().Ticks > before {
		d.trace = append(d.trace, d.drive().Joints()) // a jog's first tick is made at once
	}
	watched(d.t, d.Bench, noon, &d.trace)
}

// holds holds directions for so many ticks and lets go.
func (d *drivenBench) holds(directions string, ticks int) {
	d.t.Helper()
	d.press++
	text, _ := json.Marshal(d.press)
	ask(d.t, d.Bench, noon, `{"type":"hold","press":`+string(text)+`,"directions":[`+directions+`]}`)
	d.trace = append(d.trace, d.drive().Joints())
	for n := 1; n < ticks && d.drive().Moving(); n++ {
		d.Advance(1, noon)
		d.trace = append(d.trace, d.drive().Joints())
	}
	ask(d.t, d.Bench, noon, `{"type":"release"}`)
	watched(d.t, d.Bench, noon, &d.trace)
}

func (d *drivenBench) saved() string {
	ask(d.t, d.Bench, noon, `{"type":"save-log"}`)
	return last[LogFile](d.t, d.sent).Text
}

func playRequest(text string) string {
	request, _ := json.Marshal(map[string]string{"type": "play", "name": "jogs.txt", "text": text})
	return string(request)
}

func sameTrace(t *testing.T, what string, got, want []kinematics.Joints) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: %d ticks, not %d", what, len(got), len(want))
	}
	for i := range want {
		if got[i] != want[i] {
			t.Fatalf("%s: tick %d: at %v, not %v", what, i, got[i], want[i])
		}
	}
}

// A session of all that can be driven, its log saved, and driven again by the page's bench and by what handrule trace runs,
// is the same motion bit for bit: steps and holds, directions together, refusals, contact, the set distance, other tools and
// speeds, a frame and a TCP that were taught, and jogs that were undone.
func TestASavedLogIsTheSameMotionBitForBit(t *testing.T) {
	d := driving(t)
	d.does(`{"type":"increment","mm":100,"deg":90}`)
	d.does(`{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`)
	d.does(`{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	undone := len(d.trace)
	d.does(`{"type":"step","direction":{"frame":"base","axis":0,"sign":-1}}`)
	d.does(`{"type":"undo"}`)
	d.trace = d.trace[:undone] // an undone jog is in no log
	d.does(`{"type":"speed","mm_s":37.7,"deg_s":11.1}`)
	d.holds(`{"frame":"base","axis":1,"sign":1}`, 137)
	d.holds(`{"frame":"base","axis":0,"sign":-1},{"frame":"base","axis":1,"sign":-1},{"frame":"base","axis":5,"sign":1}`, 211)
	d.holds(`{"frame":"joint","axis":0,"sign":1},{"frame":"joint","axis":3,"sign":-1}`, 90)
	d.holds(`{"frame":"tool","axis":3,"sign":-1},{"frame":"tool","axis":4,"sign":1}`, 75)
	d.does(`{"type":"teach","do":"origin","name":""}`)
	d.does(`{"type":"increment","mm":33.3,"deg":7.7}`)
	d.does(`{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`)
	d.does(`{"type":"teach","do":"x","name":""}`)
	d.does(`{"type":"step","direction":{"frame":"tool","axis":0,"sign":-1}}`)
	d.does(`{"type":"teach","do":"xy","name":""}`)
	d.does(`{"type":"teach","do":"frame","name":"tray"}`)
	d.does(`{"type":"step","direction":{"frame":"task","task":"tray","axis":1,"sign":-1}}`)
	d.holds(`{"frame":"task","task":"tray","axis":5,"sign":-1}`, 60)
	d.does(`{"type":"step","direction":{"frame":"task","task":"tile","axis":2,"sign":1}}`)
	tool := cellfile.WithTCP(d.drive().Setup().Tool, d.drive().Tool().Position)
	tool.TCP.Position.X += 1.0 / 3
	d.mounted.found = &tool
	d.does(`{"type":"tool","name":"` + tool.Name + `"}`)
	d.does(`{"type":"step","direction":{"frame":"tool","axis":4,"sign":1}}`)
	d.does(`{"type":"tool","name":"glaze-cup"}`)
	d.does(`{"type":"set-distance","mm":12.5}`)
	d.does(`{"type":"speed","mm_s":250,"deg_s":30}`)
	d.holds(`{"frame":"world","axis":2,"sign":-1}`, 5000) // until the set distance stops it
	d.does(`{"type":"set-distance","mm":0}`)
	d.holds(`{"frame":"world","axis":2,"sign":-1}`, 5000) // until it touches
	d.does(`{"type":"step","direction":{"frame":"world","axis":2,"sign":1}}`)
	d.holds(`{"frame":"base","axis":0,"sign":1}`, 3)

	reasons := map[jog.Reason]bool{}
	for _, e := range d.driven.log.Entries() {
		reasons[e.Stop.Reason] = true
		if e.Changed {
			t.Errorf("%v counts as changed on its way", e.Jog)
		}
	}
	for _, want := range []jog.Reason{jog.Done, jog.Released, jog.Singularity, jog.SetDistance, jog.Contact} {
		if !reasons[want] {
			t.Errorf("no jog of the session ended by %q", want)
		}
	}

	text := d.saved()
	again := driving(t)
	again.does(playRequest(text))
	if m := last[PlayMessage](t, again.sent); m.Playing || m.Problem != "" || m.Done != m.Of {
		t.Fatalf("%+v in\n%s", m, text)
	}
	sameTrace(t, "played", again.trace, d.trace)
	if twice := again.saved(); twice != text {
		t.Errorf("the log of the play is\n%s\nand not\n%s", twice, text)
	}

	steps, err := jogfile.Parse("jogs.txt", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	fresh := driving(t)
	stand := fresh.stand()
	var traced []kinematics.Joints
	unlike, err := jogfile.Rehearse(&stand, fresh.drive(), "jogs.txt", steps, func(event string) {
		if !strings.HasPrefix(event, "start ") {
			traced = append(traced, fresh.drive().Joints())
		}
	})
	if err != nil || unlike != nil {
		t.Fatal(err, unlike)
	}
	sameTrace(t, "traced", traced, d.trace)
}

// A play ends where somebody takes a control, and where a jog cannot be completed; what was driven is in the log.
func TestAPlayCanBeStoppedAndStopsByItself(t *testing.T) {
	const text = "joint J5 +90\nbase y +100\nbase x +900 # too far\nbase y -100\n"
	d := driving(t)
	d.does(playRequest(text))
	m := last[PlayMessage](t, d.sent)
	if m.Playing || m.Done != 2 || m.Of != 4 || m.Line != 3 || !strings.Contains(m.Problem, "Line 3, base x +900") {
		t.Errorf("%+v", m)
	}
	if n := d.driven.log.Len(); n != 3 {
		t.Errorf("%d jogs are in the log, want 3", n)
	}

	for _, stop := range []string{
		`{"type":"release"}`, `{"type":"frame","frame":"base","task":""}`, `{"type":"speed","mm_s":5,"deg_s":5}`,
		`{"type":"step","direction":{"frame":"joint","axis":0,"sign":1}}`, `{"type":"set-distance","mm":5}`, `{"type":"restart"}`,
		`{"type":"cell","id":""}`, `{"type":"arm","id":"plover"}`, `{"type":"hold","press":1,"directions":[{"frame":"joint","axis":0,"sign":1}]}`,
	} {
		d := driving(t)
		ask(t, d.Bench, noon, playRequest(text))
		for range 100 {
			d.Advance(1, noon)
		}
		if d.control.playing == nil || !last[PlayMessage](t, d.sent).Playing {
			t.Fatal("it does not play")
		}
		ask(t, d.Bench, noon, stop)
		if d.control.playing != nil || last[PlayMessage](t, d.sent).Playing {
			t.Errorf("%s does not stop it", stop)
		}
		finish(t, d.Bench, noon.Add(time.Second))
		if d.driven.log.Len() > 2 {
			t.Errorf("%s: it went on", stop)
		}
	}
}

// What is wrong with a file is told with line and column, and nothing moves.
func TestAFileThatCannotBePlayed(t *testing.T) {
	for _, c := range []struct{ text, says string }{
		{"bsae x +1", "jogs.txt:1:1: unknown word"},
		{"joint J1 +5\nbase x +10 let-go", "jogs.txt:2:"},
		{"base x +", "a jog that is held needs its end"},
		{"task tray x +10", `jogs.txt:1:1: there is no task frame "tray"`},
		{"\n  mount-tool hammer\n  base x +10", "jogs.txt:3:3: Wren has no tool"},
		{"", "is empty"},
		{"\x00", "control character"},
	} {
		d := driving(t)
		before := d.drive().Joints()
		d.does(playRequest(c.text))
		if m := last[PlayMessage](t, d.sent); m.Playing || !strings.Contains(m.Problem, c.says) {
			t.Errorf("%q: want %q in %+v", c.text, c.says, m)
		}
		if d.drive().Joints() != before || d.Busy() {
			t.Errorf("%q: moved", c.text)
		}
	}
	d := driving(t)
	d.does(`{"type":"lesson","id":"first-straight-line"}`)
	request, _ := Decode([]byte(playRequest("joint J1 +5")))
	if err := d.Handle(request, noon); err == nil || d.Busy() {
		t.Error("a lesson lets a file be played")
	}
}

// pageLog is what a page has of the log.
type pageLog struct {
	first int
	lines []string
	most  int // entries in one message
}

func (p *pageLog) hear(all []any) {
	for _, m := range all {
		if m, ok := m.(LogMessage); ok {
			from := min(len(p.lines), max(0, m.First-p.first))
			p.lines = append([]string{}, p.lines[from:min(len(p.lines), max(from, m.From-p.first))]...)
			p.first, p.most = m.First, max(p.most, len(m.Entries))
			for _, e := range m.Entries {
				p.lines = append(p.lines, e.Line)
			}
		}
	}
}

// The page is sent what is new in the log, and its last entries when it comes back.
func TestTheLogIsSentOnce(t *testing.T) {
	d := driving(t)
	var page pageLog
	for range 3 {
		d.does(`{"type":"step","direction":{"frame":"joint","axis":0,"sign":1}}`)
		if n := len(last[LogMessage](t, d.sent).Entries); n != 1 {
			t.Errorf("%d entries were sent", n)
		}
	}
	d.does(`{"type":"undo"}`)
	page.hear(d.sent.all())
	if got := strings.Join(page.lines, ", "); got != "J1, +5°, J1, +5°" {
		t.Errorf("the page has %s", got)
	}
	d.Connect(Welcome{}, words.English)
	if m := last[LogMessage](t, d.sent); m.From != 0 || len(m.Entries) != 2 || !m.Undo {
		t.Errorf("%+v", m)
	}
}

// However long the log is, and whatever was given up of it or undone, the page has its last entries, and no message has more.
func TestThePageHasTheLastOfTheLog(t *testing.T) {
	d := driving(t)
	d.does(`{"type":"increment","mm":1,"deg":1}`)
	var page pageLog
	check := func(what string) {
		t.Helper()
		page.hear(d.sent.all())
		d.sent.forget()
		var want []string
		log := &d.driven.log
		for i := max(0, log.Len()-logListed); i < log.Len(); i++ {
			e := log.Entry(i)
			want = append(want, spoken.Driven(&e, d.in))
		}
		if got := page.lines[max(0, len(page.lines)-logListed):]; !slices.Equal(got, want) || page.most > logTold {
			t.Fatalf("%s: the page has %q, the log %q; %d in one message", what, got, want, page.most)
		}
	}
	for i := range 1020 {
		d.does(fmt.Sprintf(`{"type":"step","direction":{"frame":"joint","axis":0,"sign":%d}}`, 1-2*(i/40%2)))
		if i%37 == 0 || i > 995 {
			check(fmt.Sprint("step ", i))
		}
		if i%150 == 149 {
			d.does(`{"type":"undo"}`)
			check("undo")
		}
	}
	for range 40 {
		d.does(`{"type":"undo"}`)
		check("undone")
	}
	d.Connect(Welcome{}, words.English)
	page = pageLog{}
	check("connected anew")
}

// A file with a long name and much that is wrong with it is answered with less than was asked, whatever is told of it.
func TestALongNameIsNotSaidOverAndOver(t *testing.T) {
	b, _ := testBench()
	b.Tell(noon, func(Message) {})
	text := strings.Repeat("base x +1 until-stopped\n", 999) + strings.Repeat("bsae x +1\n", 999)
	request, _ := json.Marshal(map[string]string{"type": "play", "name": strings.Repeat("n", 200_000), "text": text})
	told := 0
	b.Request(request, noon)
	b.Tell(noon, func(m Message) { told += len(m.Text) })
	if told == 0 || told > len(request)/4 {
		t.Errorf("a request of %d bytes is answered with %d", len(request), told)
	}
}
