// Package server serves the sandbox over HTTP: the page, the pictures of lessons, and over a WebSocket a bench for every page
// (package bench). It carries what pages ask and benches tell, runs the clock that lets all arms move, gives long questions
// their share of the machine, and sees to limits. It computes no geometry and knows nothing of lessons.
package server

import (
	"context"
	"crypto/ed25519"
	"crypto/subtle"
	"errors"
	"io/fs"
	"log/slog"
	"math/rand/v2"
	"net"
	"net/http"
	"sync"
	"time"

	"github.com/coder/websocket"
	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"
	"golang.org/x/time/rate"

	"handrule/scenarios/results"
	"handrule/scenarios/spoken"
	"handrule/server/bench"
	"handrule/server/store"
	"handrule/static"
	"handrule/web"
)

// Options say what to serve.
type Options struct {
	bench.Offer
	Jogs       fs.FS // a folder with jog files that pages may play, in jogs/; nil for none
	Static     fs.FS // style sheet, icons and, under dist/, the page's bundle
	Bundled    bool  // whether the bundle is there
	MaxBenches int   // at once; 0 means 1000
	PerAddress int   // of these, how many an address other than this machine's may have; 0 means three quarters
	MaxClasses int   // open at once; 0 means 500
	Log        *slog.Logger
	Front      Front // how people reach it

	// Author is what a page hands in that is to be told what is wrong with the files that are served. "" is nobody.
	Author string

	// Share of the machine that long questions may have, such as the room to move; 0 means a quarter.
	Share float64

	// Store keeps what must last; nil: this process's memory.
	Store store.Store

	// Instructor is the secret of the instructor's private link. "" lets nobody open a class.
	Instructor string
	// Learners is the address that learners open, where the instructor opened the page by a name of this machine alone.
	Learners string
	// ClassDays is how long a class is kept after it ended; 0 means 90.
	ClassDays int

	// Key signs results. Without one the server makes its own, and what it signs can be verified nowhere else.
	Key ed25519.PrivateKey
}

// Server serves the sandbox.
type Server struct {
	opts     Options
	home     *home
	ledger   *ledger
	benches  *registry
	school   *school
	guesses  guesses
	opens    opens
	pages    parting
	page     pages
	clock    *clock
	thinkers *thinkers
	version  string          // of what is served to pages
	stop     context.Context // ends when the server does
	broken   error           // why it cannot serve
}

// New returns a server that does not listen yet.
func New(opts Options) *Server {
	if opts.MaxBenches == 0 {
		opts.MaxBenches = 1000
	}
	if opts.MaxClasses == 0 {
		opts.MaxClasses = 500
	}
	if opts.Share == 0 {
		opts.Share = defaultShare
	}
	if opts.Log == nil {
		opts.Log = slog.New(slog.DiscardHandler)
	}
	lasts := opts.Store != nil
	if !lasts {
		opts.Store = store.InMemory()
	}
	if opts.ClassDays == 0 {
		opts.ClassDays = 90
	}
	if opts.Key == nil {
		_, opts.Key, _ = ed25519.GenerateKey(nil) // Reading random numbers does not fail.
	}
	s := &Server{opts: opts, clock: newClock(), thinkers: newThinkers(opts.Share), opens: opens{byAddress{rate: openRate, burst: openBurst}}, guesses: guesses{byAddress: byAddress{rate: guessRate, burst: guessBurst}, wait: guessWait}, version: digest(opts.Static), stop: context.Background()}
	s.page.version, s.page.classes = s.version, opts.Instructor != ""
	var counted store.Bucket // nil: with the process all is over
	var err error
	if lasts {
		counted, s.broken = opts.Store.Bucket(LedgerBucket)
	}
	s.ledger = newLedger(counted, opts.Log)
	s.home = &home{env: bench.Env{Random: rand.Uint64, Vault: results.Vault{Key: opts.Key}, Ledger: s.ledger}, self: newID(), all: opts.Store, lasts: lasts, log: opts.Log}
	s.home.store, err = opts.Store.Bucket(BenchBucket)
	s.broken = errors.Join(s.broken, err)
	s.home.scribe = newScribe(s.home)
	s.home.offer.Store(&opts.Offer)
	public := opts.Key.Public().(ed25519.PublicKey)
	facts, err := opts.Store.Bucket(classBucket)
	s.broken = errors.Join(s.broken, err)
	s.school = newSchool(opts.Store, facts, s.home.restore, s.home.lesson, func(text []byte) (results.Result, error) { return results.Read(text, public) }, opts.Log)
	s.school.most = opts.MaxClasses
	s.benches = newRegistry(opts.MaxBenches, func(id string) *seat {
		return &seat{id: id, home: s.home, clock: s.clock, thinkers: s.thinkers}
	})
	s.benches.kept, s.benches.perAddress = s.home.keeps, opts.PerAddress
	return s
}

// SetOffer offers something else from now on. Every bench takes up what has changed of what it has open, with the arm
// where it stands where that can be.
func (s *Server) SetOffer(o bench.Offer) {
	s.home.offer.Store(&o)
	s.benches.each(func(seat *seat) { seat.setOffer(&o) })
}

// answerTimeout is how long an answer may take to be fetched; the largest picture needs 35 kB/s. A page's connection with its
// bench is no answer and has no such end.
const answerTimeout = time.Minute

// partingTime is how long answers may still take when the server ends, and pages to hear that it does.
const partingTime = time.Second

// Serve answers on the listener until ctx ends, then lets every page go and returns nil.
func (s *Server) Serve(ctx context.Context, listener net.Listener) error {
	if s.broken != nil {
		return s.broken
	}
	deaf, err := s.home.hearClaims(s.benches.find)
	if err != nil {
		return err
	}
	defer deaf()
	unheard, err := s.ledger.listen(ctx)
	if err != nil {
		return err
	}
	defer unheard()
	s.stop = ctx
	var running sync.WaitGroup
	running.Go(func() { s.clock.run(ctx) })
	running.Go(func() { s.thinkers.run(ctx) })
	running.Go(func() { s.putAway(ctx) })
	running.Go(func() { s.home.scribe.run(ctx) })
	running.Go(func() { s.ledger.run(ctx) })
	defer func() {
		running.Wait()
		s.home.scribe.last(s.benches.all())
	}()
	return serveUntil(ctx, listener, s.Handler(loopback(listener.Addr())), s.pages.wait) // Each page is told.
}

// serveUntil answers on the listener until ctx ends, then waits as it is told, and lets answers under way end.
func serveUntil(ctx context.Context, listener net.Listener, handler http.Handler, wait func(context.Context)) error {
	httpServer := &http.Server{
		Handler:           handler,
		ReadHeaderTimeout: 5 * time.Second,
		WriteTimeout:      answerTimeout,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    32 << 10,
	}
	done := make(chan error, 1)
	go func() { done <- httpServer.Serve(listener) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	limited, cancel := context.WithTimeout(context.Background(), partingTime)
	defer cancel()
	wait(limited)
	if httpServer.Shutdown(limited) != nil {
		httpServer.Close() // on those who do not fetch what they asked for
	}
	if err := <-done; !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

// Handler returns the routes. When localOnly is set, only requests by a local name are answered, or by the public one.
func (s *Server) Handler(localOnly bool) http.Handler {
	r := chi.NewRouter()
	front := &s.opts.Front
	r.Use(middleware.Recoverer, middleware.GetHead, s.careful, front.hosts(localOnly))
	r.Get("/bench", s.serveBench)
	r.Get("/class", s.serveClass)
	r.Get("/teach/{secret}", s.serveTeach)
	r.Group(func(r chi.Router) {
		r.Use(s.instructorsOnly, middleware.Compress(5))
		r.Get("/classes", s.listClasses)
		r.Post("/classes", s.openClass)
		r.Post("/classes/not-me", s.forgetInstructor)
		r.Get("/class/{code}/export", s.ofClass(exportClass))
		r.Get("/class/{code}/results", s.ofClass(classResults))
		r.Get("/class/{code}/results.csv", s.ofClass(s.classTable))
		r.Get("/class/{code}/answers.csv", s.ofClass(s.classAnswers))
		r.Get("/class/{code}/report", s.ofClass(s.classReport))
	})
	r.Group(func(r chi.Router) {
		r.Use(middleware.Compress(5))
		r.Get("/", s.servePage)
		r.Get("/lessons/{id}/*", s.servePicture)
		r.Get("/arms/{id}/*", s.serveMesh)
		r.Get("/jogs/{file}", s.serveJogs)
		files := newStaticHandler(s.opts.Static)
		r.Method(http.MethodGet, "/static/*", http.StripPrefix("/static/", files))
		r.Get("/static/dist/importer.js", serveImporter(files))
		r.Get("/static/dist/"+static.ImportProgram, func(w http.ResponseWriter, r *http.Request) {
			files.serve(w, r, static.AloneFolder+static.ImportProgram)
		})
		r.Get("/notices", func(w http.ResponseWriter, r *http.Request) { files.serve(w, r, static.NoticesFile) })
	})
	return front.below(r)
}

// isAuthor reports whether a page is that of the author of what is served.
func (s *Server) isAuthor(r *http.Request) bool {
	given := r.URL.Query().Get("author")
	return s.opts.Author != "" && subtle.ConstantTimeCompare([]byte(given), []byte(s.opts.Author)) == 1
}

// serveBench connects a page with its bench, or with a new one.
func (s *Server) serveBench(w http.ResponseWriter, r *http.Request) {
	s.connect(w, r, func(ctx context.Context, page courier, address string) {
		tie, known := s.tieOf(ctx, r)
		defer tie.leave()
		slot, leave, err := s.benches.open(r.URL.Query().Get("id"), guestOf{address, tie.room != nil}, page.end)
		if err != nil {
			page.end(closing{websocket.StatusTryAgainLater, spoken.Tell(err, languageOf(r))})
			return
		}
		defer leave()
		if known {
			defer tie.to(slot)()
		} else {
			var later sync.WaitGroup
			later.Go(func() { s.tieLater(ctx, r, slot) })
			defer later.Wait()
		}
		here := &session{courier: page, seat: slot, in: languageOf(r), limit: rate.NewLimiter(messageRate, messageBurst)}
		s.opts.Log.Info("bench opened", "bench", slot.id[:8])
		here.run(ctx, bench.Welcome{Bench: slot.id, Program: s.version, Author: s.isAuthor(r)})
		if s.stop.Err() != nil {
			s.home.scribe.write(slot) // before the page is told, and goes to another process
		}
		s.opts.Log.Info("bench left", "bench", slot.id[:8], "why", context.Cause(ctx))
	})
}

// connect lets a page connect, and has it served until ctx ends; then the page is told why.
func (s *Server) connect(w http.ResponseWriter, r *http.Request, serve func(ctx context.Context, page courier, address string)) {
	address := addressOf(s.opts.Front.from(r))
	wait, ok := s.opens.wait(address, time.Now())
	if !ok {
		w.Header().Set("Retry-After", "5")
		http.Error(w, "too many pages connect from this address", http.StatusTooManyRequests)
		return
	}
	select {
	case <-time.After(wait):
	case <-r.Context().Done():
		return
	}
	over := &metered{ResponseWriter: w}
	conn, err := websocket.Accept(over, r, &websocket.AcceptOptions{OriginPatterns: s.opts.Front.origins()}) // refuses foreign origins
	if err != nil {
		return
	}
	defer s.pages.come()()
	defer conn.CloseNow()
	ctx, end := context.WithCancelCause(context.Background())
	defer end(nil)
	defer context.AfterFunc(s.stop, func() { end(closing{websocket.StatusGoingAway, "the sandbox was closed"}) })()
	serve(ctx, courier{conn: conn, outlet: over.outlet, out: newOutbox(), end: end}, address)
	var why closing
	if errors.As(context.Cause(ctx), &why) {
		over.outlet.part()
		conn.Close(why.status, why.why)
	}
}

// careful sets the headers that keep a page to itself: nothing from elsewhere, no script but the bundle and the page's early one, and in no
// frame but of these sites; the instructor's in none.
func (s *Server) careful(next http.Handler) http.Handler {
	policy := "default-src 'none'; script-src 'self' " + web.EarlySource() + "; style-src 'self'; img-src 'self' data: blob:; " +
		"connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors "
	ancestors := s.opts.Front.ancestors()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h, may := w.Header(), ancestors
		if _, err := r.Cookie(instructorCookie); err == nil {
			may = noAncestors
		}
		h.Set("Content-Security-Policy", policy+may)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		next.ServeHTTP(w, r)
	})
}

// serveImporter answers with the worker that reads URDF files. It alone may compile a program, and do nothing but fetch one: a worker has the policy that it
// comes with (Content Security Policy Level 3, 4.2.2).
func serveImporter(files *staticHandler) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy", "default-src 'none'; script-src 'wasm-unsafe-eval'; connect-src 'self'")
		files.serve(w, r, "dist/importer.js")
	}
}

func loopback(addr net.Addr) bool {
	tcp, ok := addr.(*net.TCPAddr)
	return ok && tcp.IP.IsLoopback()
}
