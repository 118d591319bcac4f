package server

import (
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/andybalholm/brotli"

	"handrule/words"
)

// The page is made once for each language; packed it is the same, and who has it is not sent it again.
func TestThePageIsMadeOnce(t *testing.T) {
	s := New(Options{Offer: shipped(), Bundled: true, Static: fstest.MapFS{}})
	handler := s.Handler(false)
	load := func(language, encoding, tag string) *httptest.ResponseRecorder {
		request, response := httptest.NewRequest("GET", "/", nil), httptest.NewRecorder()
		request.Header.Set("Accept-Language", language)
		request.Header.Set("Accept-Encoding", encoding)
		request.Header.Set("If-None-Match", tag)
		handler.ServeHTTP(response, request)
		return response
	}
	english, spanish := load("en", "", ""), load("es", "", "")
	if english.Code != http.StatusOK || english.Header().Get("Content-Type") != "text/html; charset=utf-8" || !strings.Contains(english.Body.String(), `<html lang="en"`) || !strings.Contains(spanish.Body.String(), `<html lang="es"`) {
		t.Fatalf("%d %v %.200s %.200s", english.Code, english.Header(), english.Body, spanish.Body)
	}
	tag := ""
	for _, c := range []struct {
		takes, encoding string
		unpack          func(io.Reader) (io.Reader, error)
	}{
		{"gzip, deflate, br", "br", func(r io.Reader) (io.Reader, error) { return brotli.NewReader(r), nil }},
		{"gzip, deflate", "gzip", func(r io.Reader) (io.Reader, error) { return gzip.NewReader(r) }},
	} {
		packed := load("en", c.takes, "")
		if packed.Header().Get("Content-Encoding") != c.encoding || packed.Body.Len() > english.Body.Len()/3 {
			t.Errorf("%v, %d bytes", packed.Header(), packed.Body.Len())
		}
		if packed.Header().Get("ETag") == tag {
			t.Errorf("packed in two ways it has one tag, %s", tag)
		}
		tag = packed.Header().Get("ETag")
		if unpacked, err := c.unpack(packed.Body); err != nil {
			t.Error(err)
		} else if text, err := io.ReadAll(unpacked); err != nil || string(text) != english.Body.String() {
			t.Errorf("unpacked from %s it differs: %v", c.encoding, err)
		}
	}
	if again := load("en", "gzip", tag); again.Code != http.StatusNotModified || again.Body.Len() > 0 {
		t.Errorf("%d, %d bytes", again.Code, again.Body.Len())
	}
	if other := load("es", "gzip", tag); other.Code != http.StatusOK {
		t.Errorf("%d", other.Code)
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	for range 50 {
		load("en", "gzip", tag)
	}
	runtime.ReadMemStats(&after)
	if cost := (after.TotalAlloc - before.TotalAlloc) / 50; cost > 20<<10 {
		t.Errorf("it is made anew: %d bytes", cost)
	}
}

// A class that opens the page at the same time has it made once.
func TestThePageIsMadeOnceForAllWhoAskAtOnce(t *testing.T) {
	p := &pages{}
	whom := pageFor{language: words.Languages[0]}
	first := make(chan *madePage, 30)
	for range cap(first) {
		go func() {
			made, err := p.in(whom)
			if err != nil {
				t.Error(err)
			}
			first <- made
		}()
	}
	one := <-first
	for range cap(first) - 1 {
		if <-first != one {
			t.Fatal("it was made more than once")
		}
	}
}

func BenchmarkPage(b *testing.B) {
	for b.Loop() {
		if _, err := (&pages{}).in(pageFor{language: words.Languages[0]}); err != nil {
			b.Fatal(err)
		}
	}
}
