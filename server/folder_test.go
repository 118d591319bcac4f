package server

import (
	"net/http"
	"net/http/httptest"
	"testing"
	"testing/fstest"
)

// A site's folder is served as any web host does: its page for "/", each file with its kind, packed for who takes that, nothing outside it; and
// below a path where a proxy has it there.
func TestASiteIsServed(t *testing.T) {
	site := fstest.MapFS{
		"index.html":    {Data: []byte("<!doctype html>")},
		"es.html":       {Data: []byte("<!doctype html><title>Español</title>")},
		"bench.wasm":    {Data: []byte("\x00asm")},
		"bench.wasm.br": {Data: []byte("packed")},
	}
	for _, at := range []struct{ public, below, ancestors string }{
		{"", "/", "frame-ancestors 'none'"},
		{"https://college.example/arm/", "/arm/", "frame-ancestors https://lms.example"},
	} {
		var frames []string
		if at.public != "" {
			frames = []string{"https://lms.example"}
		}
		f := front(t, at.public, nil, frames)
		handler := folderHandler(site, false, &f)
		get := func(path, accepts string) *httptest.ResponseRecorder {
			r, w := httptest.NewRequest(http.MethodGet, path, nil), httptest.NewRecorder()
			if at.public != "" {
				r.Host = "college.example"
			}
			if accepts != "" {
				r.Header.Set("Accept-Encoding", accepts)
			}
			handler.ServeHTTP(w, r)
			return w
		}
		for path, want := range map[string]string{"": "<!doctype html>", "es.html": "<!doctype html><title>Español</title>", "bench.wasm": "\x00asm"} {
			if w := get(at.below+path, ""); w.Code != http.StatusOK || w.Body.String() != want {
				t.Errorf("%s%s is answered with %d, %q", at.below, path, w.Code, w.Body)
			}
		}
		w := get(at.below+"bench.wasm", "gzip, br")
		if h := w.Header(); w.Body.String() != "packed" || h.Get("Content-Encoding") != "br" || h.Get("Content-Type") != "application/wasm" || h.Get("X-Content-Type-Options") != "nosniff" {
			t.Errorf("the program is answered with %q, %v", w.Body, h)
		}
		if policy := w.Header().Get("Content-Security-Policy"); policy != at.ancestors {
			t.Errorf("its policy is %s", policy)
		}
		for _, path := range []string{"lessons.json", "..%2f..%2fetc%2fpasswd", "es.html/../../bench.wasm.br/.."} {
			if w := get(at.below+path, ""); w.Code == http.StatusOK {
				t.Errorf("%s%s is answered with %q", at.below, path, w.Body)
			}
		}
	}
}
