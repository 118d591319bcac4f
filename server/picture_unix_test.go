//go:build unix

package server

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"testing/fstest"

	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/server/bench"
)

// pictured is a server with one lesson, own, that shows one picture, which holds so many bytes and lies at the path.
func pictured(t *testing.T, bytes int64) (s *Server, path string) {
	t.Helper()
	dir := t.TempDir()
	path = filepath.Join(dir, "wrist.png")
	sparse(t, path, bytes)
	own := filepath.Join(dir, "own.yaml")
	if err := os.WriteFile(own, []byte(head+"stages:\n- text: \"![wrist](wrist.png)\"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	l, err := scenarios.OpenLesson(own, 0)
	if err != nil {
		t.Fatal(err)
	}
	return New(Options{Static: fstest.MapFS{}, Offer: bench.Offer{Lessons: []*lesson.Lesson{l}}}), path
}

// sparse makes a file of so many bytes that takes no room on the disk.
func sparse(t *testing.T, path string, bytes int64) {
	t.Helper()
	file, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	if err := file.Truncate(bytes); err != nil {
		t.Fatal(err)
	}
}

// replacements are what a file may have been replaced by since it was looked at.
func replacements(t *testing.T) map[string]func(path string) error {
	return map[string]func(path string) error{
		"by a pipe":         func(path string) error { return syscall.Mkfifo(path, 0o600) },
		"by a folder":       func(path string) error { return os.Mkdir(path, 0o700) },
		"by a link out":     func(path string) error { return os.Symlink("/etc/hostname", path) },
		"by a device":       func(path string) error { return os.Symlink(os.DevNull, path) },
		"by a gigantic one": func(path string) error { sparse(t, path, 1<<30); return nil },
		"by nothing":        func(path string) error { return nil },
	}
}

// A picture is looked at when it is asked for, not only when its lesson was read.
func TestAPictureThatWasReplaced(t *testing.T) {
	for what, replace := range replacements(t) {
		s, path := pictured(t, 8)
		if response := get(s, "/lessons/own/wrist.png"); response.Code != http.StatusOK || response.Body.Len() != 8 {
			t.Fatalf("status %d, %d bytes", response.Code, response.Body.Len())
		}
		if err := os.Remove(path); err != nil {
			t.Fatal(err)
		}
		if err := replace(path); err != nil {
			t.Fatal(err)
		}
		if response := get(s, "/lessons/own/wrist.png"); response.Code != http.StatusNotFound || response.Body.Len() > 100 {
			t.Errorf("%s: status %d, %d bytes", what, response.Code, response.Body.Len())
		}
	}
}

// unread counts what is answered and keeps none of it.
type unread struct {
	http.ResponseWriter
	bytes int
}

func (u *unread) Write(p []byte) (int, error) { u.bytes += len(p); return len(p), nil }

// The largest picture, sent many times, takes a fraction of its size in memory.
func TestPicturesTakeNoMemory(t *testing.T) {
	const size, times = 2 << 20, 20
	s, _ := pictured(t, size)
	handler, sent := s.Handler(false), 0
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	for range times {
		w := &unread{ResponseWriter: httptest.NewRecorder()}
		handler.ServeHTTP(w, httptest.NewRequest("GET", "/lessons/own/wrist.png", nil))
		sent += w.bytes
	}
	runtime.ReadMemStats(&after)
	if asked := after.TotalAlloc - before.TotalAlloc; sent != times*size || asked > size {
		t.Errorf("%d bytes were sent, %d asked for", sent, asked)
	}
}

// A page that has a picture already is not sent it again, and one may ask for a part of it.
func TestAPictureIsAskedForAgain(t *testing.T) {
	s, _ := pictured(t, 100)
	first := get(s, "/lessons/own/wrist.png")
	again := httptest.NewRequest("GET", "/lessons/own/wrist.png", nil)
	again.Header.Set("If-Modified-Since", first.Header().Get("Last-Modified"))
	part := httptest.NewRequest("GET", "/lessons/own/wrist.png", nil)
	part.Header.Set("Range", "bytes=10-19")
	for _, test := range []struct {
		request *http.Request
		status  int
		bytes   int
	}{{again, http.StatusNotModified, 0}, {part, http.StatusPartialContent, 10}} {
		response := httptest.NewRecorder()
		s.Handler(false).ServeHTTP(response, test.request)
		if response.Code != test.status || response.Body.Len() != test.bytes || !strings.HasPrefix(first.Header().Get("Content-Type"), "image/png") {
			t.Errorf("status %d, %d bytes", response.Code, response.Body.Len())
		}
	}
}

// A page that asks and does not fetch the answer does not keep the server from ending.
func TestTheServerEndsBesideAPageThatFetchesNothing(t *testing.T) {
	s, _ := pictured(t, 2<<20)
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(ctx, listener) }()
	page, err := net.Dial("tcp", listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer page.Close()
	// More than fits between the two, so that the server is in the middle of an answer.
	fmt.Fprint(page, strings.Repeat("GET /lessons/own/wrist.png HTTP/1.1\r\nHost: localhost\r\n\r\n", 20))
	if _, err := page.Read(make([]byte, 1)); err != nil {
		t.Fatal(err)
	}
	stop()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}
