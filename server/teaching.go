package server

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"errors"
	"io"
	"math/rand/v2"
	"net/http"
	"strings"
	"time"

	"github.com/coder/websocket"
	"github.com/go-chi/chi/v5"

	"handrule/server/bench"
	"handrule/server/class"
	"handrule/server/store"
	"handrule/words"
)

// This file is who gets into classes, and as what. Instructors have a private link. It is changed at once for a cookie that scripts
// cannot read and foreign sites cannot use, and so leaves the address. Learners have a code, and a token of their own by which they
// come back.

const (
	instructorCookie = "handrule-instructor"
	cookieLasts      = 30 * 24 * time.Hour
)

var errNotInstructor = errors.New("only the instructor may do that")

// cookieOf is what the instructor's cookie holds: it is made from the link, so that a new link ends it, and the link cannot be made
// from it.
func cookieOf(link string) string {
	mac := hmac.New(sha256.New, []byte(link))
	io.WriteString(mac, "an instructor's cookie")
	return hex.EncodeToString(mac.Sum(nil))
}

// same compares in a time that tells nothing.
func same(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

// isInstructor reports whether a request comes from the instructor: with the cookie, or with the link's secret as a program sends it.
func (s *Server) isInstructor(r *http.Request) bool {
	if s.opts.Instructor == "" {
		return false
	}
	if secret, bears := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer "); bears {
		return same(secret, s.opts.Instructor)
	}
	cookie, err := r.Cookie(instructorCookie)
	return err == nil && same(cookie.Value, cookieOf(s.opts.Instructor))
}

// serveTeach changes the private link for the cookie. The right link always leads in: it is too long to be guessed.
func (s *Server) serveTeach(w http.ResponseWriter, r *http.Request) {
	if s.opts.Instructor == "" || !same(chi.URLParam(r, "secret"), s.opts.Instructor) {
		address := addressOf(s.opts.Front.from(r))
		if !s.guesses.allow(address, time.Now()) {
			http.Error(w, "too many tries from this address; wait a minute", http.StatusTooManyRequests)
			return
		}
		s.guesses.wrong(address, time.Now())
		http.Error(w, "this is not the instructor's link; handrule serve prints it when it starts", http.StatusForbidden)
		return
	}
	http.SetCookie(w, &http.Cookie{
		Name: instructorCookie, Value: cookieOf(s.opts.Instructor), Path: s.opts.Front.path(), MaxAge: int(cookieLasts / time.Second),
		HttpOnly: true, SameSite: http.SameSiteLaxMode, Secure: s.secure(r),
	})
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Location", "../#/class") // relative to the link, wherever the page lies
	w.WriteHeader(http.StatusSeeOther)
}

// forgetInstructor ends the instructor's rights on a device.
func (s *Server) forgetInstructor(w http.ResponseWriter, r *http.Request) {
	http.SetCookie(w, &http.Cookie{Name: instructorCookie, Path: s.opts.Front.path(), MaxAge: -1, HttpOnly: true, SameSite: http.SameSiteLaxMode, Secure: s.secure(r)})
	w.WriteHeader(http.StatusNoContent)
}

// secure reports whether people reach the server over https.
func (s *Server) secure(r *http.Request) bool {
	return r.TLS != nil || s.opts.Front.Public != nil && s.opts.Front.Public.Scheme == "https"
}

// serveClass connects a page with a class: the instructor's, or that of a learner who has the code.
func (s *Server) serveClass(w http.ResponseWriter, r *http.Request) {
	s.connect(w, r, func(ctx context.Context, page courier, address string) {
		m := &member{courier: page, in: languageOf(r), since: time.Now(), address: address, told: map[string]uint64{}}
		m.begin()
		go m.writeWaiting(ctx)
		welcome, err := s.admit(ctx, r, m)
		if err != nil {
			problem := class.Tell(err, m.in)
			m.problem(problem)
			code := websocket.StatusTryAgainLater
			if problem.Fatal {
				code = classOver
			}
			page.end(closing{code, ""})
			return
		}
		defer s.school.leave(m.room)
		m.run(ctx, welcome)
	})
}

// admit finds the class that a page wants to be in, and as what it is there.
func (s *Server) admit(ctx context.Context, r *http.Request, m *member) (class.Welcome, error) {
	query := r.URL.Query()
	code, token := class.ReadCode(query.Get("code")), query.Get("token")
	welcome := class.Welcome{Role: class.Learner, Days: s.opts.ClassDays, Secure: s.secure(r)}
	if m.who.Role = class.Learner; s.isInstructor(r) && query.Get("as") != "learner" {
		m.who.Role, welcome.Role = class.Instructor, class.Instructor
	} else {
		if len(token) < tokenLength {
			token = newToken()
		}
		m.who.Learner = class.LearnerOf(token)
		welcome.Token, welcome.Learner = token, m.who.Learner
	}
	if code == "" {
		return welcome, words.NewProblem("class.problem.none")
	}
	room, err := s.letIn(ctx, m, code, false)
	if err != nil {
		return welcome, err
	}
	m.room = room
	welcome.Code, welcome.Address = code, s.learnersAddress(r)+"#/class/"+code
	return welcome, nil
}

// letIn lets a page into the class with that code. A newcomer may be guessing it, and waits first where others at the address were wrong
// too often: as long with a right code as with a wrong one, and only once.
func (s *Server) letIn(ctx context.Context, m *member, code string, waited bool) (*room, error) {
	room, err := s.school.enter(ctx, code)
	if err != nil {
		return nil, away(err)
	}
	room.mu.Lock()
	guesses := m.who.Role == class.Learner && !room.class.Met(m.who.Learner)
	waits := guesses && !waited && !s.guesses.allow(m.address, time.Now())
	if !waits {
		if err = room.class.MayEnter(m.who, m.since); err == nil {
			room.comes(m)
		}
	}
	exists := room.class.Exists()
	room.mu.Unlock()
	switch {
	case waits:
		s.school.leave(room) // Nobody has many rooms by guessing.
		m.put(bench.Encode("class-wait", class.Wait{Seconds: int(s.guesses.wait / time.Second)}), false)
		select {
		case <-time.After(s.guesses.wait):
		case <-ctx.Done():
		}
		return s.letIn(ctx, m, code, true)
	case err != nil:
		if guesses && !waited && !exists {
			s.guesses.wrong(m.address, time.Now())
		}
		s.school.leave(room)
		return nil, err
	}
	return room, nil
}

// away says that what must last cannot be reached just now, to people.
func away(err error) error {
	if errors.Is(err, store.ErrAway) {
		return words.NewProblem("class.problem.away")
	}
	return err
}

// tokenLength is the length of the least token that is taken.
const tokenLength = 26

func newToken() string { return newID() }

// learnersAddress is what learners open: the public address, what the host says of itself, or the one that the instructor opened.
func (s *Server) learnersAddress(r *http.Request) string {
	if s.opts.Front.Public != nil {
		return s.opts.Front.Public.String()
	}
	scheme := "http://"
	if r.TLS != nil {
		scheme = "https://"
	}
	if s.opts.Learners != "" && isLocal(r.Host) {
		return s.opts.Learners
	}
	return scheme + r.Host + "/"
}

// tie is between a bench and whose it is in a class. The zero value ties nothing.
type tie struct {
	school *school
	room   *room
	whom   string
}

// tieTime is how long an arm waits for its class: it moves without it.
const tieTime = time.Second

// tieOf finds out whose bench a page in a class asks for: a learner's, or the instructor's. It reports false where the class cannot be
// looked at just now.
func (s *Server) tieOf(ctx context.Context, r *http.Request) (t tie, known bool) {
	code, token := class.ReadCode(r.URL.Query().Get("class")), r.URL.Query().Get("token")
	whom := class.InstructorsArm
	switch {
	case code == "":
		return tie{}, true
	case len(token) >= tokenLength:
		whom = class.LearnerOf(token)
	case !s.isInstructor(r):
		return tie{}, true
	}
	limited, cancel := context.WithTimeout(ctx, tieTime)
	defer cancel()
	room, err := s.school.enter(limited, code)
	if err != nil {
		return tie{}, false
	}
	room.mu.Lock()
	is := room.class.Knows(whom)
	room.mu.Unlock()
	if !is {
		s.school.leave(room)
		return tie{}, true
	}
	return tie{s.school, room, whom}, true
}

// tieLater ties a bench as soon as its class can be looked at, until ctx ends.
func (s *Server) tieLater(ctx context.Context, r *http.Request, slot *seat) {
	for ctx.Err() == nil {
		if t, known := s.tieOf(ctx, r); known {
			defer t.leave()
			defer t.to(slot)()
			<-ctx.Done()
			return
		}
	}
}

// to ties a bench, and returns what unties it.
func (t tie) to(slot *seat) func() {
	if t.room == nil {
		return func() {}
	}
	return t.room.seat(t.whom, slot)
}

func (t tie) leave() {
	if t.room != nil {
		t.school.leave(t.room)
	}
}

// openClass opens a class, for the instructor's page.
func (s *Server) openClass(w http.ResponseWriter, r *http.Request) {
	text, err := io.ReadAll(io.LimitReader(r.Body, class.LongestRequest))
	var request any
	if err == nil {
		request, err = class.Decode(text)
	}
	open, is := request.(*class.OpenRequest)
	if err == nil && !is {
		err = errors.New("a class is opened by an \"open\"")
	}
	var code string
	if err == nil {
		code, err = s.school.open(open, rand.Uint64, time.Now())
	}
	if err != nil {
		http.Error(w, languageOf(r).Tell(away(err)), http.StatusBadRequest)
		return
	}
	s.opts.Log.Info("class opened", "class", code)
	s.answer(w, "class-opened", class.Opened{Code: code})
}

// listClasses lists the instructor's classes.
func (s *Server) listClasses(w http.ResponseWriter, r *http.Request) {
	view := class.ClassesView{Classes: []class.Listing{}}
	codes, err := s.school.codes()
	for _, code := range codes {
		if err == nil {
			err = s.school.look(r.Context(), code, func(c *class.Class) {
				if c.Exists() {
					view.Classes = append(view.Classes, c.Listing())
				}
			})
		}
	}
	if err != nil {
		http.Error(w, languageOf(r).Tell(away(err)), http.StatusServiceUnavailable)
		return
	}
	view.Sort()
	s.answer(w, "classes", view)
}

func (s *Server) answer(w http.ResponseWriter, word string, message any) {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.Write(bench.Encode(word, message))
}

// ofClass serves what the instructor downloads of a class.
func (s *Server) ofClass(serve func(w http.ResponseWriter, r *http.Request, c *class.Class)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		code, found := class.ReadCode(chi.URLParam(r, "code")), false
		w.Header().Set("Cache-Control", "no-store")
		if code != "" {
			err := s.school.look(r.Context(), code, func(c *class.Class) {
				if found = c.Exists(); found {
					serve(w, r, c)
				}
			})
			if err != nil {
				http.Error(w, languageOf(r).Tell(away(err)), http.StatusServiceUnavailable)
				return
			}
		}
		if !found {
			http.Error(w, languageOf(r).Say("class.problem.none"), http.StatusNotFound)
		}
	}
}

// instructorsOnly refuses everybody else, and whatever a foreign page sends.
func (s *Server) instructorsOnly(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !s.isInstructor(r) {
			http.Error(w, "only the instructor may see this: open the link that handrule serve prints, and come back", http.StatusForbidden)
			return
		}
		if r.Method != http.MethodGet && r.Method != http.MethodHead && !s.ownOrigin(r) {
			http.Error(w, "this was sent by a page of another site", http.StatusForbidden)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// ownOrigin reports whether a request comes from a page of this server, or from no page.
func (s *Server) ownOrigin(r *http.Request) bool {
	origin := r.Header.Get("Origin")
	if origin == "" {
		return true
	}
	_, host, _ := strings.Cut(origin, "://")
	return strings.EqualFold(host, r.Host) || s.opts.Front.Public != nil && strings.EqualFold(host, s.opts.Front.Public.Host)
}

// exportClass writes the whole class down.
func exportClass(w http.ResponseWriter, _ *http.Request, c *class.Class) {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Content-Disposition", `attachment; filename="class-`+c.Code+`.json"`)
	w.Write(c.Export())
}

// classResults writes the results that have arrived, as they were signed.
func classResults(w http.ResponseWriter, _ *http.Request, c *class.Class) {
	w.Header().Set("Content-Type", "application/json")
	w.Write(c.ResultsFile())
}
