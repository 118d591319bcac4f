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
	packed := load("en", "gzip, br", "")
	if packed.Header().Get("Content-Encoding") != "gzip" || packed.Body.Len() > english.Body.Len()/3 {
		t.Errorf("%v, %d bytes", packed.Header(), packed.Body.Len())
	}
	tag := packed.Header().Get("ETag")
	if unzip, err := gzip.NewReader(packed.Body); err != nil {
		t.Error(err)
	} else if text, err := io.ReadAll(unzip); err != nil || string(text) != english.Body.String() {
		t.Errorf("it differs: %v", err)
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
