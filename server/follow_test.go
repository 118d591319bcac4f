package server

import (
	"testing"
	"testing/fstest"
	"time"

	"handrule/server/class"
	"handrule/server/store"
)

// FuzzWhatProcessesTell lets anything be told between processes: whom pages follow and how they read it, which is as a page asked for it, who is
// here, from where the arm is looked at, which bench was taken, and what is seen of an arm.
func FuzzWhatProcessesTell(f *testing.F) {
	for _, text := range []string{
		`{"whom":"instructor","subject":"seen.x","reading":{"read_in":{"frame":"task","task":"tray"},"of":"flange","form":"zyx","unit":"inch"},"in":"es","new":true}`,
		`{"whom":"instructor","subject":"","reading":{"read_in":{"frame":"nowhere","task":"\u202e"},"of":"?","form":"?","unit":"?"},"in":"xx"}`,
		`{"process":"another","here":["a","instructor",""]}`, `{"view":{"from_mm":[1e300,0,0],"at_mm":[0,0,0]}}`, `{"bench":"x","at":"y","revision":99}`, `null`, `[]`, "\x00{}", "\x01", "",
	} {
		f.Add(text)
	}
	s := New(Options{Offer: shipped(), Static: fstest.MapFS{}})
	r := quietRoom(f, store.InMemory(), s.home.restore)
	f.Fuzz(func(t *testing.T, text string) {
		arm := &seat{id: newID(), home: s.home, clock: s.clock, thinkers: s.thinkers, bench: s.home.newBench()}
		defer r.seat(class.InstructorsArm, arm)()
		for _, hear := range []func([]byte){r.wanted, r.hearPresence, r.hearLook, (&stream{room: r}).pass} {
			hear([]byte(text))
		}
		arm.showAll(time.Now())
		r.tell(time.Now())
		r.tell(time.Now().Add(presenceLasts + time.Second))
	})
}
