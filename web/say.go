package web

import (
	"context"
	"crypto/sha256"
	"encoding/base64"

	"handrule/words"
)

type languageKey struct{}

// In returns a context in which the page's components speak a language.
func In(ctx context.Context, l *words.Language) context.Context {
	return context.WithValue(ctx, languageKey{}, l)
}

// Place says where the page is and what is beside it. Addresses are relative to the page's own, so that it may lie anywhere.
type Place struct {
	Program  string // the version of the program that it comes from
	Bundle   string // the folder of its scripts and styles, with a slash at its end
	Icon     string
	Notices  string // of the parts of others
	Own      string // the folder with a bench of the page's own; "" where a server has it
	Lesson   string // the one that the page is for, in a package for a learning platform; "" for none
	Pages    string // what the names of its pages in all languages begin with
	Entry    bool   // the page looks which language its reader prefers
	Manifest string // of an installable page, "" for none
	Classes  bool   // the server has classes
	Teaches  bool   // it is the instructor's page
	Policy   string // its Content-Security-Policy, where no server sends one
}

// Served is the place of a page that the server sends.
func Served(program string) Place {
	return Place{Program: program, Bundle: "static/dist/", Icon: "static/icon.svg", Notices: "notices"}
}

// Early is the one script that stands in the page itself: browsers load no other from a file, and what a frame leaves out
// (?embed=1) is never seen.
const Early = `{
  const { classList } = document.documentElement;
  if (location.protocol === "file:") classList.add("is-file");
  if (/[?&]embed=1(&|$)/.test(location.search)) classList.add("embedded");
}`

// EarlySource is what a policy allows it by.
func EarlySource() string {
	sum := sha256.Sum256([]byte(Early))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

type placeKey struct{}

// At returns a context in which the page lies at that place.
func At(ctx context.Context, place Place) context.Context {
	return context.WithValue(ctx, placeKey{}, place)
}

func placeOf(ctx context.Context) Place {
	if place, set := ctx.Value(placeKey{}).(Place); set {
		return place
	}
	return Served("")
}

func language(ctx context.Context) *words.Language {
	if l, set := ctx.Value(languageKey{}).(*words.Language); set {
		return l
	}
	return words.English
}

// say returns a text of the catalogue in the page's language.
func say(ctx context.Context, key string, values ...string) string {
	return language(ctx).Say(key, values...)
}
