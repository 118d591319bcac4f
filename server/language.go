package server

import (
	"net/http"

	"handrule/words"
)

// languageCookie is where a page keeps the language that was chosen on it.
const languageCookie = "handrule-language"

// languageOf returns the language a page is to speak: the one its address asks for (?lang=es), the one chosen before,
// or the one the browser prefers.
func languageOf(r *http.Request) *words.Language {
	if l := words.Find(r.URL.Query().Get("lang")); l != nil {
		return l
	}
	if cookie, err := r.Cookie(languageCookie); err == nil {
		if l := words.Find(cookie.Value); l != nil {
			return l
		}
	}
	return words.Best(r.Header.Get("Accept-Language"))
}
