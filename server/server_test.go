package server

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"handrule/scenarios"
	"handrule/server/bench"
	"net"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/coder/websocket"
)

func shipped() bench.Offer {
	return bench.Offer{Arms: scenarios.ShippedArms(), Cells: scenarios.ShippedCells(), Lessons: scenarios.ShippedLessons()}
}

// start serves a sandbox on a free port of this machine and returns its address.
func start(t testing.TB, benches int) string {
	_, address := startServer(t, benches)
	return address
}

func startServer(t testing.TB, benches int) (*Server, string) {
	t.Helper()
	s := New(Options{
		Offer: shipped(), MaxBenches: benches,
		Static: fstest.MapFS{"page.css": {Data: []byte("body {}")}},
	})
	listener := listen(t)
	serveIn(t, s, listener)
	return s, listener.Addr().String()
}

// listen listens on a port of this machine.
func listen(t testing.TB) net.Listener {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	return listener
}

// serveIn lets a server serve until the test ends, and sees that it ends cleanly.
func serveIn(t testing.TB, s *Server, listener net.Listener) {
	t.Cleanup(serveUntilEnd(t, s, listener))
}

// serveUntilEnd lets a server serve until it is ended, and sees that it ends cleanly.
func serveUntilEnd(t testing.TB, s *Server, listener net.Listener) (end func()) {
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- s.Serve(ctx, listener) }()
	return func() {
		stop()
		if err := <-done; err != nil {
			t.Errorf("did not end cleanly: %v", err)
		}
	}
}

// page is a page for a test. It waits as long as the test may take.
type page struct {
	t    testing.TB
	conn *websocket.Conn
	ctx  context.Context
}

func visit(t testing.TB, address, id string) page {
	t.Helper()
	p := drop(t, address, id)
	t.Cleanup(func() { p.conn.CloseNow() })
	return p
}

func (p page) say(text string) {
	if err := p.conn.Write(p.ctx, websocket.MessageText, []byte(text)); err != nil {
		p.t.Fatal(err)
	}
}

// floods says the same over and over, until the connection ends.
func (p page) floods(text string) {
	for p.conn.Write(p.ctx, websocket.MessageText, []byte(text)) == nil {
	}
}

// frame is what hear is asked for to wait for a binary frame.
const frame = "a frame"

// hear reads on until a message of one of the types comes. Of a frame it tells the angle of J5.
func (p page) hear(words ...string) map[string]any {
	p.t.Helper()
	for {
		kind, text, err := p.conn.Read(p.ctx)
		if err != nil {
			p.t.Fatalf("waiting for %q: %v", words, err)
		}
		var message map[string]any
		if kind == websocket.MessageBinary {
			message = map[string]any{"type": frame, "j5": float64(int32(binary.LittleEndian.Uint32(text[12+4*4:]))) * 1e-5}
		} else if err := json.Unmarshal(text, &message); err != nil {
			p.t.Fatal(err)
		}
		if slices.Contains(words, message["type"].(string)) {
			return message
		}
	}
}

// closed reads on until the server closes, and returns why.
func (p page) closed() websocket.StatusCode {
	for {
		if _, _, err := p.conn.Read(p.ctx); err != nil {
			return websocket.CloseStatus(err)
		}
	}
}

func TestTheBenchIsFoundAgain(t *testing.T) {
	address := start(t, 3)
	first := visit(t, address, "")
	id := first.hear("welcome")["bench"].(string)
	first.hear("ghost") // the last of what a bench tells at first
	first.say(`{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	first.hear("stop")
	first.conn.Close(websocket.StatusNormalClosure, "")

	again := visit(t, address, id)
	if got := again.hear("welcome")["bench"]; got != id {
		t.Fatalf("bench %v, want %v", got, id)
	}
	if j5 := again.hear(frame)["j5"].(float64); j5 < 4.999 || j5 > 5.001 {
		t.Errorf("J5 is at %v, want 5", j5)
	}
	third := visit(t, address, id)
	third.hear("welcome")
	if why := again.closed(); why != takenOver.status {
		t.Errorf("the page whose bench was opened elsewhere was closed with %v", why)
	}
}

func TestALostConnectionStopsTheArm(t *testing.T) {
	address := start(t, 3)
	first := visit(t, address, "")
	id := first.hear("welcome")["bench"].(string)
	first.hear("ghost") // the last of what a bench tells at first
	first.say(`{"type":"hold","press":1,"directions":[{"frame":"joint","axis":0,"sign":1}]}`)
	first.hear(frame)
	first.conn.CloseNow()
	again := visit(t, address, id)
	if motion := again.hear("motion"); motion["moving"] != nil {
		t.Error("the arm still moves")
	}
	if reason := again.hear("stop")["reason"]; reason != "link lost" {
		t.Errorf("stopped by %q", reason)
	}
}

func TestHostilePagesHarmNobody(t *testing.T) {
	address := start(t, 3)
	quiet := visit(t, address, "")
	quiet.hear("ghost")

	big := visit(t, address, "")
	big.say(`{"type":"` + strings.Repeat("x", maxMessage) + `"}`)
	if why := big.closed(); why != websocket.StatusMessageTooBig {
		t.Errorf("an oversized message closed with %v", why)
	}

	flood := visit(t, address, "")
	go flood.floods(`{"type":"release"}`)
	if says := flood.hear("problem")["message"].(string); !strings.Contains(says, "too much at once") {
		t.Errorf("the flood was told %q", says)
	}
	if why := flood.closed(); why != websocket.StatusPolicyViolation {
		t.Errorf("a flood that goes on closed with %v", why)
	}

	quiet.say(`{"type":"nonsense"}`)
	quiet.hear("problem")
	quiet.say(`{"type":"step","direction":{"frame":"joint","axis":0,"sign":1}}`)
	quiet.hear("stop")
}

func TestBenchesAreBounded(t *testing.T) {
	address := start(t, 1)
	first := visit(t, address, "")
	first.hear("welcome")
	if why := visit(t, address, "").closed(); why != websocket.StatusTryAgainLater {
		t.Errorf("a bench too many closed with %v", why)
	}
}

func TestForeignOriginsAreRefused(t *testing.T) {
	address := start(t, 1)
	foreign := http.Header{"Origin": {"http://elsewhere.example"}}
	_, response, err := websocket.Dial(context.Background(), "ws://"+address+"/bench", &websocket.DialOptions{HTTPHeader: foreign})
	if err == nil || response == nil || response.StatusCode != http.StatusForbidden {
		t.Errorf("a foreign origin was answered with %v, %v", response, err)
	}
	request, _ := http.NewRequest("GET", "http://"+address+"/", nil)
	request.Host = "elsewhere.example"
	response, err = http.DefaultClient.Do(request)
	if err != nil {
		t.Fatal(err)
	}
	response.Body.Close()
	if response.StatusCode != http.StatusForbidden {
		t.Errorf("a foreign name was answered with %d", response.StatusCode)
	}
}

func TestAnUnbuiltPageSaysSo(t *testing.T) {
	address := start(t, 1)
	response, err := http.Get("http://" + address + "/")
	if err != nil {
		t.Fatal(err)
	}
	defer response.Body.Close()
	text := make([]byte, 4096)
	n, _ := response.Body.Read(text)
	if response.StatusCode != http.StatusServiceUnavailable || !strings.Contains(string(text[:n]), "make build") {
		t.Errorf("%d: %s", response.StatusCode, text[:n])
	}
	if policy := response.Header.Get("Content-Security-Policy"); !strings.Contains(policy, "script-src 'self'") || strings.Contains(policy, "unsafe") {
		t.Errorf("content security policy %q", policy)
	}
}

// HEAD asks for the header of what GET would answer (RFC 9110, 9.3.2).
func TestHeadIsAnsweredLikeGet(t *testing.T) {
	address := start(t, 1)
	for _, path := range []string{"/static/page.css", "/no-such-page"} {
		get, err := http.Get("http://" + address + path)
		if err != nil {
			t.Fatal(err)
		}
		get.Body.Close()
		head, err := http.Head("http://" + address + path)
		if err != nil {
			t.Fatal(err)
		}
		head.Body.Close()
		if head.StatusCode != get.StatusCode || head.Header.Get("Content-Type") != get.Header.Get("Content-Type") {
			t.Errorf("%s: HEAD %d %q, GET %d %q", path, head.StatusCode, head.Header.Get("Content-Type"), get.StatusCode, get.Header.Get("Content-Type"))
		}
	}
}

// From a control's press to the first new pose on the page's socket. The worst of a hundred is told as p99.
func BenchmarkPressToFirstPose(b *testing.B) {
	p := visit(b, start(b, 1), "")
	p.hear("ghost")
	var all []time.Duration
	press := 0
	for b.Loop() {
		press++
		begun := time.Now()
		p.say(fmt.Sprintf(`{"type":"hold","press":%d,"directions":[{"frame":"joint","axis":0,"sign":%d}]}`, press, 1-2*(press%2)))
		p.hear(frame)
		all = append(all, time.Since(begun))
		b.StopTimer()
		p.say(`{"type":"release"}`)
		p.hear("stop")
		b.StartTimer()
	}
	slices.Sort(all)
	b.ReportMetric(float64(all[len(all)*99/100].Microseconds()), "p99-µs")
}

// get asks the routes for a path, as it stands.
func get(s *Server, path string) *httptest.ResponseRecorder {
	response := httptest.NewRecorder()
	s.Handler(false).ServeHTTP(response, httptest.NewRequest("GET", path, nil))
	return response
}

// The notices of the parts of others are a page of plain text, in the packed form where there is one.
func TestNoticesAreServed(t *testing.T) {
	s := New(Options{Static: fstest.MapFS{"dist/notices.txt": {Data: []byte("notices")}, "dist/notices.txt.br": {Data: []byte("packed")}}})
	plain := get(s, "/notices")
	if plain.Code != http.StatusOK || plain.Body.String() != "notices" || plain.Header().Get("Content-Type") != "text/plain; charset=utf-8" {
		t.Errorf("%d %v %q", plain.Code, plain.Header(), plain.Body)
	}
	request, response := httptest.NewRequest("GET", "/notices", nil), httptest.NewRecorder()
	request.Header.Set("Accept-Encoding", "br")
	if s.Handler(false).ServeHTTP(response, request); response.Body.String() != "packed" || response.Header().Get("Content-Encoding") != "br" {
		t.Errorf("%v %q", response.Header(), response.Body)
	}
	if without := get(New(Options{Static: fstest.MapFS{}}), "/notices"); without.Code != http.StatusNotFound {
		t.Errorf("%d", without.Code)
	}
}

// What reads URDF files is a worker of the page, which alone may compile a program, and its program, which is there packed alone.
func TestTheReaderOfURDFIsServed(t *testing.T) {
	s := New(Options{Static: fstest.MapFS{"dist/importer.js": {Data: []byte("worker")}, "alone/import.wasm.gz": {Data: []byte("packed")}}})
	worker := get(s, "/static/dist/importer.js")
	if policy := worker.Header().Get("Content-Security-Policy"); worker.Body.String() != "worker" || policy != "default-src 'none'; script-src 'wasm-unsafe-eval'; connect-src 'self'" {
		t.Errorf("%d %q %q", worker.Code, policy, worker.Body)
	}
	request, response := httptest.NewRequest("GET", "/static/dist/import.wasm", nil), httptest.NewRecorder()
	request.Header.Set("Accept-Encoding", "gzip, br")
	s.Handler(false).ServeHTTP(response, request)
	if h := response.Header(); response.Body.String() != "packed" || h.Get("Content-Encoding") != "gzip" || h.Get("Content-Type") != "application/wasm" || strings.Contains(h.Get("Content-Security-Policy"), "unsafe") {
		t.Errorf("%d %v %q", response.Code, h, response.Body)
	}
	if plain := get(s, "/static/dist/import.wasm"); plain.Code != http.StatusNotAcceptable || !strings.Contains(plain.Body.String(), "accept gzip") {
		t.Errorf("%d %q", plain.Code, plain.Body)
	}
	for _, path := range []string{"/static/dist/importer.js", "/static/dist/import.wasm"} {
		if without := get(New(Options{Static: fstest.MapFS{}}), path); without.Code != http.StatusNotFound {
			t.Errorf("%s: %d", path, without.Code)
		}
	}
}

func dialRaw(t *testing.T, address string) net.Conn {
	t.Helper()
	conn, err := net.Dial("tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	return conn
}

// Every page is told when the server ends, also beside those that do not listen, which it does not wait for.
func TestPagesAreToldThatTheServerEnds(t *testing.T) {
	s := New(Options{Offer: shipped(), MaxBenches: 50, Static: fstest.MapFS{}})
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(ctx, listener) }()
	var pages []page
	for range 20 {
		p := visit(t, listener.Addr().String(), "")
		p.hear("welcome")
		pages = append(pages, p)
	}
	for range 5 { // that do not even answer a close frame
		deaf := dialRaw(t, listener.Addr().String())
		fmt.Fprint(deaf, "GET /bench HTTP/1.1\r\nHost: localhost\r\nConnection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n\r\n")
		if _, err := deaf.Read(make([]byte, 1)); err != nil {
			t.Fatal(err)
		}
	}
	pages[0].say(`{"type":"hold","press":1,"directions":[{"frame":"joint","axis":4,"sign":1}]}`)
	pages[0].hear(frame)
	stop()
	if err := <-ended; err != nil {
		t.Error(err)
	}
	for i, p := range pages {
		if why := p.closed(); why != websocket.StatusGoingAway {
			t.Errorf("page %d was closed with %v", i, why)
		}
	}
	if _, err := net.Dial("tcp", listener.Addr().String()); err == nil {
		t.Error("it still listens")
	}
}
