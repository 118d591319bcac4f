package server

import (
	"fmt"
	"testing"
	"time"
)

// hall is a registry whose benches are empty seats.
func hall(most int) *registry {
	return newRegistry(most, func(id string) *seat { return &seat{id: id} })
}

// guest is somebody at a bench.
type guest struct {
	*tenancy
	goes func()
	why  error // was sent away because of
}

func (r *registry) guest(t *testing.T, address string, used bool, idle time.Duration) *guest {
	t.Helper()
	g := &guest{}
	s, leave, err := r.open("", guestOf{address: address}, func(why error) { g.why = why })
	if err != nil {
		t.Fatalf("there is no room for %s: %v", address, err)
	}
	g.tenancy, g.goes = r.benches[s.id], leave
	s.used.Store(used)
	s.heard.Store(time.Now().Add(-idle).UnixNano())
	return g
}

func (g *guest) stays(r *registry) bool { return r.benches[g.id] == g.tenancy && g.why == nil }

// A hundred pages of one address take no bench that a learner has or had, and learners of other addresses who come find room.
func TestOnePageCannotTakeEveryBench(t *testing.T) {
	r := hall(40)
	here := r.guest(t, "learner", true, 0)
	left := r.guest(t, "another", true, 0)
	left.goes()
	refused := 0
	for range 100 {
		s, leave, err := r.open("", guestOf{address: "attacker"}, func(error) {})
		if err != nil {
			refused++
			continue
		}
		s.heard.Store(time.Now().UnixNano())
		if refused%2 == 0 {
			s.used.Store(true)
		}
		_ = leave
	}
	if refused != 100-30 || len(r.benches) != 32 {
		t.Errorf("%d were refused, %d benches are in use", refused, len(r.benches))
	}
	for i := range 50 { // who come and go
		r.guest(t, fmt.Sprint("newcomer ", i), true, 0).goes()
	}
	if !here.stays(r) || len(r.benches) > 40 {
		t.Errorf("%v, %d benches", here.why, len(r.benches))
	}
}

// Opening a hundred benches in no time gives up none that somebody has used, who may come back.
func TestAnUsedBenchOutlastsAFloodOfNewOnes(t *testing.T) {
	r := hall(10)
	left := r.guest(t, "learner", true, 0)
	left.goes()
	for range 100 {
		r.guest(t, "attacker", false, 0).goes()
	}
	if !left.stays(r) {
		t.Error("the learner's bench was given up")
	}
}

// Who gives way where every bench is in use: in this order.
func TestWhoGivesWay(t *testing.T) {
	r := hall(8) // of which one address may have six
	unusedGone := r.guest(t, "class", false, 0)
	usedGone := r.guest(t, "class", true, 0)
	unusedHere := r.guest(t, "class", false, unusedGivesWay)
	usedHere := r.guest(t, "class", true, usedGivesWay)
	busyUnused := r.guest(t, "class", false, unusedGivesWay/2)
	busy := r.guest(t, "class", true, usedGivesWay/2)
	unusedGone.goes()
	usedGone.goes()
	for i, g := range []*guest{unusedGone, usedGone, unusedHere, usedHere} {
		if !g.stays(r) {
			t.Fatalf("number %d gave way too early", i)
		}
		r.guest(t, "class", true, 0)
		if g.stays(r) {
			t.Fatalf("number %d did not give way", i)
		}
	}
	if unusedHere.why != gaveWay || usedHere.why != gaveWay {
		t.Errorf("they were told %v, %v", unusedHere.why, usedHere.why)
	}
	if _, _, err := r.open("", guestOf{address: "class"}, nil); err == nil || !busyUnused.stays(r) || !busy.stays(r) {
		t.Errorf("%v", err)
	}
}

// A crowd of pages from one address that never did anything gives way to somebody else at once.
func TestACrowdGivesWay(t *testing.T) {
	r := hall(8)
	for range 6 {
		r.guest(t, "crowd", false, 0)
	}
	r.guest(t, "a", true, 0)
	r.guest(t, "b", true, 0)
	c := r.guest(t, "c", true, 0)
	if !c.stays(r) || len(r.benches) != 8 {
		t.Errorf("%d benches", len(r.benches))
	}
}

// One address has no more benches than was said, beside others who find room, and learners of a class who always do.
func TestAnAddressHasAsManyAsWasSaid(t *testing.T) {
	r := hall(8)
	r.perAddress = 2
	for range 2 {
		r.guest(t, "school", true, 0)
	}
	if _, _, err := r.open("", guestOf{address: "school"}, nil); err == nil {
		t.Error("a third bench is had")
	}
	r.guest(t, "another", true, 0)
	if _, _, err := r.open("", guestOf{address: "school", class: true}, nil); err != nil {
		t.Errorf("a learner of a class finds no room: %v", err)
	}
}

func TestAddresses(t *testing.T) {
	for remote, want := range map[string]string{
		"127.0.0.1:80": thisMachine, "[::1]:80": thisMachine, "[::ffff:127.0.0.1]:80": thisMachine, "@": thisMachine,
		"192.0.2.1:80": "192.0.2.1", "[::ffff:192.0.2.1]:80": "192.0.2.1", "[2001:db8::1]:80": "2001:db8::/64", "[2001:db8::2:3]:80": "2001:db8::/64", "[fe80::1%eth0]:80": "fe80::/64",
	} {
		if got := addressOf(remote); got != want {
			t.Errorf("%s is %s, want %s", remote, got, want)
		}
	}
}

// A class may come at once; who comes over and over waits, and then is refused; and addresses are not kept for ever.
func TestConnectingOverAndOver(t *testing.T) {
	o := opens{byAddress{rate: openRate, burst: openBurst}}
	now := time.Unix(0, 0)
	for range openBurst {
		if d, ok := o.wait("class", now); d > 0 || !ok {
			t.Fatalf("%v %v", d, ok)
		}
	}
	waited, refused := 0, 0
	for range 200 {
		if d, ok := o.wait("class", now); !ok {
			refused++
		} else if d > 0 {
			waited++
		}
	}
	if waited != int(openRate*openWait.Seconds()) || refused != 200-waited {
		t.Errorf("%d wait, %d are refused", waited, refused)
	}
	if d, ok := o.wait("another", now); d > 0 || !ok {
		t.Errorf("another waits for %v", d)
	}
	for i := range 3 * mostAddresses {
		o.wait(fmt.Sprint(i), now.Add(time.Hour))
	}
	if len(o.from) > mostAddresses {
		t.Errorf("%d addresses are kept", len(o.from))
	}
}

// However many of a class come at once, before anybody is let in: only who is wrong takes a guess.
func TestOnlyWhoIsWrongGuesses(t *testing.T) {
	g := guesses{byAddress: byAddress{rate: guessRate, burst: guessBurst}}
	now := time.Unix(0, 0)
	for range 300 {
		if !g.allow("school", now) {
			t.Fatal("a class does not come in at once")
		}
	}
	for range 300 { // likewise
		g.wrong("school", now)
	}
	if g.allow("school", now.Add(200*time.Second)) || !g.allow("school", now.Add(300*time.Second)) || !g.allow("another", now) {
		t.Error("wrong guesses cost too much or too little")
	}
}

// Who is in a class takes the place of somebody who is in none, in use or not, and gives way to nobody who is in none.
func TestWhoIsInAClassComesFirst(t *testing.T) {
	r := hall(3)
	var all []*guest
	for i := range 3 {
		all = append(all, r.guest(t, fmt.Sprintf("10.0.0.%d", i), true, time.Duration(i)*time.Minute))
	}
	for i := range 3 {
		s, _, err := r.open("", guestOf{address: "10.1.0.1", class: true}, func(error) {})
		if err != nil {
			t.Fatalf("learner %d of a class finds no room: %v", i+1, err)
		}
		s.used.Store(true)
		s.heard.Store(time.Now().UnixNano())
	}
	for _, g := range all {
		if g.stays(r) {
			t.Error("somebody in no class stays, and a learner of a class would not have come in")
		}
	}
	if _, _, err := r.open("", guestOf{address: "10.2.0.1"}, nil); err == nil {
		t.Error("somebody in no class takes the place of a learner in one")
	}
	if _, _, err := r.open("", guestOf{address: "10.1.0.1", class: true}, func(error) {}); err == nil {
		t.Error("learners of classes take each other's places while they are at work")
	}
}
