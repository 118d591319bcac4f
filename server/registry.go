package server

import (
	"cmp"
	"crypto/rand"
	"encoding/hex"
	"net/netip"
	"strings"
	"sync"
	"time"

	"github.com/coder/websocket"

	"handrule/words"
)

// errFull answers a page that comes when every bench is in use.
var errFull = words.NewProblem("problem.full")

// Why a page is sent away that did nothing wrong.
var (
	takenOver = closing{websocket.StatusCode(4001), "this bench was opened in another page"}
	gaveWay   = closing{websocket.StatusCode(4002), "nothing was done here for long, and others came"}
)

// How long a page that is connected has to do nothing before it gives way to another, where every bench is in use.
const (
	unusedGivesWay = 30 * time.Second // that never did anything
	usedGivesWay   = 15 * time.Minute
)

// crowd is how many times as many benches as another address one has, so that its pages that never did anything give way at once.
const crowd = 4

// registry holds the benches. A bench stays when its page leaves, so that the arm is found where it was.
type registry struct {
	most int
	make func(id string) *seat
	kept func(id string) (bool, error) // whether such a bench is kept, which may not be here yet

	perAddress int // see share; 0 for what is usual

	mu      sync.Mutex
	benches map[string]*tenancy
}

// tenancy is a seat and who has it.
type tenancy struct {
	*seat
	address string // of the page that it was made for; see addressOf
	first   bool   // it is that of somebody in a class, who come first

	use      sync.Mutex  // held by the session at the bench
	leave    func(error) // asks that session to go; nil when there is none
	sessions int         // at the bench or waiting for it
	since    time.Time   // when the last one left
}

func newRegistry(most int, makeSeat func(id string) *seat) *registry {
	return &registry{most: most, make: makeSeat, benches: map[string]*tenancy{}}
}

// guestOf is whose page comes to a bench.
type guestOf struct {
	address string // see addressOf
	class   bool   // of somebody in a class, who come first
}

// open returns the bench with this id, or a new one, for the caller alone: the page that had it is sent away
// first. The caller must call the returned function when it is done.
func (r *registry) open(id string, whose guestOf, leave func(error)) (*seat, func(), error) {
	kept := false
	if r.kept != nil && r.find(id) == nil {
		var err error
		if kept, err = r.kept(id); err != nil {
			return nil, nil, err
		}
	}
	r.mu.Lock()
	p, known := r.benches[id]
	if !known {
		gone, room := r.makeRoom(whose, time.Now())
		if !room {
			r.mu.Unlock()
			return nil, nil, errFull
		}
		if gone != nil {
			defer gone.giveUp()
		}
		if !kept {
			id = newID()
		}
		p = &tenancy{seat: r.make(id), address: whose.address}
		p.isNew = !kept
		r.benches[p.id] = p
	}
	if p.leave != nil {
		p.leave(takenOver)
	}
	p.first = whose.class
	p.leave = leave
	p.sessions++
	r.mu.Unlock()

	p.use.Lock()
	return p.seat, func() {
		p.use.Unlock()
		r.mu.Lock()
		defer r.mu.Unlock()
		p.sessions--
		if p.sessions == 0 {
			p.leave, p.since = nil, time.Now()
		}
	}, nil
}

// makeRoom sees to it that there is room for a bench for that guest, and reports false where there is none. It returns the
// seat that was given up for it, if one was.
//
// Where every bench is in use, one is given up that will be missed least: first one that its page has left without having
// done anything; then one of the address that has the most. A page cannot make others lose theirs by coming often: of an
// address with no more benches than its own, nothing but the former is given up. Who is in a class takes the place of anybody who
// is in none, and gives way only to others who are.
func (r *registry) makeRoom(whose guestOf, now time.Time) (gone *seat, room bool) {
	count := map[string]int{}
	for _, p := range r.benches {
		count[p.address]++
	}
	if len(r.benches) < r.most && (whose.class || count[whose.address] < r.share(whose.address)) {
		return nil, true
	}
	var least *tenancy
	for _, p := range r.benches {
		if !r.givesWay(p, whose, count, now) {
			continue
		}
		if least == nil || missed(p, count, now).compare(missed(least, count, now)) < 0 {
			least = p
		}
	}
	if least == nil {
		return nil, false
	}
	delete(r.benches, least.id)
	if least.leave != nil {
		least.leave(gaveWay)
	}
	return least.seat, true
}

// share is how many benches one address may have: as many as was said, or else a quarter is kept for the others. This machine's own pages
// may have all; they may be anybody's where another program passes them on.
func (r *registry) share(address string) int {
	if address == thisMachine {
		return r.most
	}
	if r.perAddress > 0 {
		return r.perAddress
	}
	return r.most - r.most/4
}

func (r *registry) givesWay(p *tenancy, whose guestOf, count map[string]int, now time.Time) bool {
	address := whose.address
	if whose.class != p.first {
		return whose.class
	}
	own, full := p.address == address, len(r.benches) >= r.most
	gone := p.sessions == 0
	switch {
	case !own && !full:
		return false // The address has its share, and that is all.
	case gone && !p.used.Load():
		return true
	case !own && count[p.address] <= count[address]:
		return false
	case gone:
		return true
	case p.used.Load():
		return p.idle(now) >= usedGivesWay
	case !own && count[p.address] >= crowd*(count[address]+1):
		return true
	}
	return p.idle(now) >= unusedGivesWay
}

// loss says how much a bench would be missed.
type loss struct {
	first   bool // somebody in a class
	nothing bool // nobody is there, and nothing was done
	others  int  // that its address has
	used    bool
	here    bool // a page is there
	idle    time.Duration
}

func missed(p *tenancy, count map[string]int, now time.Time) loss {
	l := loss{first: p.first, others: count[p.address], used: p.used.Load(), here: p.sessions > 0}
	if l.here {
		l.idle = p.idle(now)
	} else {
		l.idle = now.Sub(p.since)
	}
	l.nothing = !l.here && !l.used
	return l
}

// compare is below zero where the former will be missed less.
func (l loss) compare(other loss) int {
	return cmp.Or(order(l.first, other.first), -order(l.nothing, other.nothing), cmp.Compare(other.others, l.others), order(l.here, other.here), order(l.used, other.used), cmp.Compare(other.idle, l.idle))
}

// order is 1 where only the former is so, -1 where only the latter is.
func order(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

// thisMachine stands for its own addresses.
const thisMachine = "this machine"

// addressOf is where a page comes from, as far as it counts for limits: of IPv6 the network, which one page can have whole.
func addressOf(remote string) string {
	at, err := netip.ParseAddrPort(remote)
	if err != nil {
		return thisMachine // as with a socket that has no address
	}
	ip := at.Addr().Unmap()
	switch {
	case ip.IsLoopback():
		return thisMachine
	case ip.Is6():
		network, _ := ip.WithZone("").Prefix(64) // which every address of this kind has
		return network.String()
	}
	return ip.String()
}

// find returns the seat with the bench of that id; nil where it is not here.
func (r *registry) find(id string) *seat {
	r.mu.Lock()
	defer r.mu.Unlock()
	if p := r.benches[id]; p != nil {
		return p.seat
	}
	return nil
}

// rest puts the benches to rest that nobody has been at for a while.
func (r *registry) rest(now time.Time) {
	var all []*seat
	r.mu.Lock()
	for _, p := range r.benches {
		if p.sessions == 0 && now.Sub(p.since) >= restAfter {
			all = append(all, p.seat)
		}
	}
	r.mu.Unlock()
	for _, s := range all {
		s.rest()
	}
}

// each calls f with every seat.
func (r *registry) each(f func(*seat)) {
	for _, s := range r.all() {
		f(s)
	}
}

// all returns every seat.
func (r *registry) all() []*seat {
	r.mu.Lock()
	defer r.mu.Unlock()
	all := make([]*seat, 0, len(r.benches))
	for _, p := range r.benches {
		all = append(all, p.seat)
	}
	return all
}

// newID returns a name that cannot be guessed, so that nobody opens another learner's bench.
func newID() string {
	var id [16]byte
	rand.Read(id[:]) // never fails
	return hex.EncodeToString(id[:])
}

// isID reports whether a text may be a name that newID returned.
func isID(text string) bool {
	var id [16]byte
	n, err := hex.Decode(id[:], []byte(text[:min(len(text), 2*len(id))]))
	return err == nil && n == len(id) && len(text) == 2*n && strings.ToLower(text) == text
}

// short is a bench's name in the log, by which nobody can open it.
func short(id string) string { return id[:min(8, len(id))] }
