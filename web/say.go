package web

import (
	"context"

	"handrule/words"
)

type languageKey struct{}

// In returns a context in which the page's components speak a language.
func In(ctx context.Context, l *words.Language) context.Context {
	return context.WithValue(ctx, languageKey{}, l)
}

type programKey struct{}

// From returns a context in which the page says which version of the program it comes from.
func From(ctx context.Context, version string) context.Context {
	return context.WithValue(ctx, programKey{}, version)
}

func program(ctx context.Context) string {
	version, _ := ctx.Value(programKey{}).(string)
	return version
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
