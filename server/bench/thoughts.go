package bench

import (
	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// This file hands out what takes long to answer: the numbers that a lesson is opened with, where a step would end, how much room there is, the two ways to a place, what a
// jog that is asked about will do. The arm never waits for any of it.

// How much is done in a slice of work: some tenths of a millisecond.
const (
	looksAtOnce = 64
	ticksAtOnce = 100
)

// topic is what a question is about, the most pressing first.
type topic int

const (
	aboutOpening topic = iota
	aboutPrediction
	aboutGhost
	aboutRoom
	aboutWays
	topics
)

// thoughts are the questions, by topic.
type thoughts struct {
	asked [topics]*Question // the one that was handed out last, nil for none
	due   bool              // something has changed since the last look at what is to be asked
	ghost ghostFound
	room  roomFound
}

// Question is work that takes long. Whoever owns the bench does it in slices when there is time for it, elsewhere and at once
// with the bench if they like: it touches nothing of the bench.
type Question struct {
	topic topic
	key   any // what it depends on
	tick  int64
	work  func() bool // goes on with it; true when it is done
	take  func()      // takes the answer over
}

// Work goes on with the question for a slice of bounded work, well below a millisecond, and reports whether the answer is found.
func (q *Question) Work() bool { return q.work() }

// OfARequest reports whether the question is part of one request of the page, which pays for it as for what is answered at once.
func (q *Question) OfARequest() bool { return q.topic == aboutOpening }

// Asks reports whether Question may have something to ask. It costs next to nothing.
func (b *Bench) Asks() bool {
	return b.thoughts.due || b.page.shows.Room && b.drive().Moving() && b.roomIsOld()
}

// roomIsOld reports whether the room to move of an arm in motion is to be worked out again.
func (b *Bench) roomIsOld() bool {
	last := b.thoughts.asked[aboutRoom]
	return last == nil || b.drive().Ticks-last.tick >= roomTicks
}

// Question returns what is to be worked out next, nil for nothing. It is handed out once.
func (b *Bench) Question() *Question {
	for about := range topics {
		key := b.keyOf(about)
		if key == nil {
			b.thoughts.asked[about] = nil
			continue
		}
		last := b.thoughts.asked[about]
		if last != nil && (last.key == key || about == aboutRoom && b.drive().Moving() && !b.roomIsOld()) {
			continue
		}
		q := &Question{topic: about, key: key, tick: b.drive().Ticks}
		b.thoughts.asked[about] = q
		b.open(q)
		return q
	}
	b.thoughts.due = false
	return nil
}

// Wanted reports whether the answer is still wanted. A room that the arm has moved out of meanwhile is: the page says how old it is.
func (b *Bench) Wanted(q *Question) bool {
	if b.thoughts.asked[q.topic] != q {
		return false
	}
	key := b.keyOf(q.topic)
	if q.topic == aboutRoom && key != nil {
		return key.(roomKey).alike(q.key.(roomKey))
	}
	return key == q.key
}

// Answer takes the answer over, if it is still wanted.
func (b *Bench) Answer(q *Question) {
	if b.Wanted(q) {
		q.take()
		b.page.touched = true
	}
}

// keyOf is what the answer to a topic depends on now, and nil where nothing is asked.
func (b *Bench) keyOf(about topic) any {
	switch about {
	case aboutOpening:
		if o := b.opening; o != nil {
			return o
		}
	case aboutPrediction:
		if p := b.predicting.pending; p != nil {
			return p
		}
	case aboutGhost:
		if key, asked := b.ghostKey(); asked {
			return key
		}
	case aboutRoom:
		if b.page.shows.Room && !b.lesson.hides("room") && !b.predicting.on {
			return roomKey{stand: b.standKey(), frame: b.chosen.Frame, task: b.chosen.Task, speeds: b.speeds()}
		}
	case aboutWays:
		if key, asked := b.waysKey(); asked {
			return key
		}
	}
	return nil
}

// open prepares the work on a question.
func (b *Bench) open(q *Question) {
	switch key := q.key.(type) {
	case *opening:
		b.openOpening(q, key)
	case *pendingPrediction:
		b.openPrediction(q, key)
	case ghostKey:
		b.openGhost(q, key)
	case roomKey:
		b.openRoom(q, key)
	case waysKey:
		b.openWays(q, key)
	}
}

// standKey is an arm as it stands, and what is around it.
type standKey struct {
	joints      kinematics.Joints
	arm         *kinematics.Arm
	tool        kinematics.Pose
	mount       kinematics.Pose
	scene       *clearance.Scene
	setDistance float64
}

func standOf(d *jog.Drive) standKey {
	around := d.Setup()
	return standKey{d.Joints(), around.Arm, around.Tool.TCP, around.Mount, around.Scene, around.SetDistance}
}

func (b *Bench) standKey() standKey { return standOf(b.drive()) }

// speeds are the chosen ones.
func (b *Bench) speeds() jog.Speeds {
	return jog.Speeds{Straight: b.chosen.Speed.MMS, Turn: kinematics.Radians(b.chosen.Speed.DegS)}
}

// The room to move.

// roomTicks is how long the room to move stands while the arm moves before it is worked out again.
const roomTicks = jog.TickRate / 10

// roomKey is what the room to move depends on.
type roomKey struct {
	stand  standKey
	frame  jog.Frame
	task   string
	speeds jog.Speeds
}

// alike reports whether two keys differ by where the arm stands alone.
func (k roomKey) alike(other roomKey) bool {
	k.stand.joints = other.stand.joints
	return k == other
}

// roomFound is the room to move, and for what.
type roomFound struct {
	found *roomKey // nil: none
	tick  int64
	rooms [12]jog.Room
}

func (b *Bench) openRoom(q *Question, key roomKey) {
	survey, err := b.drive().Survey(key.frame, key.task, key.speeds)
	if err != nil {
		q.work, q.take = func() bool { return true }, func() {}
		return
	}
	q.work = func() bool { return survey.Advance(looksAtOnce) }
	q.take = func() { b.thoughts.room = roomFound{&key, q.tick, survey.Rooms()} }
}

// roomView tells the room to move. Its tick tells how old it is once the arm has moved.
func (b *Bench) roomView() any {
	r := &b.thoughts.room
	if r.found == nil || r.found.frame != b.chosen.Frame || r.found.task != b.chosen.Task {
		return nil
	}
	m := RoomMessage{Frame: r.found.frame, Task: r.found.task, Tick: r.tick}
	for i, room := range r.rooms {
		m.Room[i] = RoomView{Free: travel(room.Direction, room.Free)}
		if !room.Endless {
			m.Room[i].Cause, m.Room[i].Brief = spoken.Cause(room.Stop, b.in), spoken.Brief(room.Stop, b.in)
		}
	}
	return m
}

// The ghost.

// ghostKey is what the ghost of the next step depends on.
type ghostKey struct {
	stand     standKey
	way       jog.Direction
	increment IncrementRequest
	speed     SpeedRequest
	unit      words.Unit // that it is told in
}

// ghostFound is where the step would end.
type ghostFound struct {
	key  ghostKey
	view Ghost
}

// ghostKey is false where there is no ghost now: nothing is aimed at, the arm moves, or the ghost would tell what is asked.
func (b *Bench) ghostKey() (ghostKey, bool) {
	if b.page.aim == nil || b.Busy() || b.predicting.on || b.lesson.hides("ghost") && b.lesson.hides("share") {
		return ghostKey{}, false
	}
	return ghostKey{b.standKey(), *b.page.aim, b.chosen.Increment, b.chosen.Speed, b.chosen.Unit}, true
}

func (b *Bench) openGhost(q *Question, key ghostKey) {
	drive, step := b.drive().Standing(), b.stepJog(key.way)
	ahead, err := drive.Foresee(step, jog.AtTCP)
	if err != nil {
		q.work, q.take = func() bool { return true }, func() { b.thoughts.ghost = ghostFound{key, noGhost} }
		return
	}
	q.work = func() bool { return ahead.Advance(ticksAtOnce) }
	q.take = func() { b.thoughts.ghost = ghostFound{key, ghostOf(drive, step, ahead.Ahead(), b.in)} }
}

// noGhost is told where there is none.
var noGhost = Ghost{PathMM: [][3]float64{}}

// ghostTold is the key of what is to be told now: nil while it is not found yet, so that the page keeps what it has.
func (b *Bench) ghostTold() any {
	key, asked := b.ghostKey()
	switch {
	case !asked:
		return false
	case b.thoughts.ghost.key == key:
		return key
	}
	return nil
}

func (b *Bench) ghostView() any {
	key, asked := b.ghostKey()
	switch {
	case !asked:
		return noGhost
	case b.thoughts.ghost.key == key:
		return b.thoughts.ghost.view
	}
	return nil
}

// ghostOf tells what a step does from where the drive stands.
func ghostOf(d *jog.Drive, step jog.Jog, ahead jog.Ahead, in *words.Language) Ghost {
	geometry := d.Arm()
	links := geometry.Links(ahead.Joints)
	g := Ghost{
		Direction: &step.Direction, Links: places(links), TCPPlace: place(geometry.FlangeOf(&links).Mul(d.Tool())),
		Share: ahead.Share(), Travel: travel(step.Direction, ahead.Stop.Travel), PathMM: [][3]float64{},
	}
	now, then := d.Joints().Degrees(), ahead.Joints.Degrees()
	for i := range now {
		g.DeltaDeg[i] = then[i] - now[i]
	}
	for _, p := range ahead.Path {
		g.PathMM = append(g.PathMM, array(p))
	}
	if distance, seconds, err := d.LongestStop(step); err == nil {
		g.AfterRun, g.AfterS = travel(step.Direction, distance), seconds
	}
	if ahead.Stop.Reason != jog.Done {
		stop := stopMessage(ahead.Stop, in)
		g.Stop = &stop
	}
	return g
}
