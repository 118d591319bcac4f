package server

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"io"
	"math/big"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/coder/websocket"

	"handrule/internal/reference"
)

func front(t *testing.T, public string, proxies, frames []string) Front {
	t.Helper()
	f, err := NewFront(public, proxies, frames)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestWrongWordsForTheFrontAreTold(t *testing.T) {
	for _, bad := range []struct{ public, proxy, frame, says string }{
		{public: "college.example", says: "--public-url"}, {public: "ftp://college.example", says: "--public-url"}, {public: "https://a/?b", says: "--public-url"},
		{proxy: "college", says: "--proxy"}, {proxy: "10.0.0.0/40", says: "--proxy"},
		{frame: "*", says: "--frame-ancestors"}, {frame: "https://a.example; script-src *", says: "--frame-ancestors"}, {frame: "javascript:", says: "--frame-ancestors"},
	} {
		one := func(s string) []string {
			if s == "" {
				return nil
			}
			return []string{s}
		}
		if _, err := NewFront(bad.public, one(bad.proxy), one(bad.frame)); err == nil || !strings.Contains(err.Error(), bad.says) {
			t.Errorf("%+v: %v", bad, err)
		}
	}
}

// What a proxy says of where a request comes from is believed from the proxies that were named, and from nobody else.
func TestOnlyNamedProxiesAreBelieved(t *testing.T) {
	f := front(t, "", []string{"10.0.0.1", "192.168.0.0/16"}, nil)
	for _, test := range []struct{ remote, says, want string }{
		{"10.0.0.1:5", "203.0.113.7", "203.0.113.7"},
		{"10.0.0.1:5", "198.51.100.9, 203.0.113.7", "203.0.113.7"},              // the first was written by whoever sent it
		{"10.0.0.1:5", "198.51.100.9, 203.0.113.7, 192.168.4.4", "203.0.113.7"}, // one proxy behind another
		{"10.0.0.1:5", "", "10.0.0.1"},
		{"10.0.0.1:5", "nonsense", "10.0.0.1"},
		{"203.0.113.8:5", "198.51.100.9", "203.0.113.8"},
	} {
		r := httptest.NewRequest("GET", "/", nil)
		r.RemoteAddr = test.remote
		if test.says != "" {
			r.Header.Set("X-Forwarded-For", test.says)
		}
		if got := addressOf(f.from(r)); got != test.want {
			t.Errorf("%s says %q: from %s, want %s", test.remote, test.says, got, test.want)
		}
	}
}

// The page may be framed by the sites that were named, and by none where none was.
func TestFramesAreTheHostsChoice(t *testing.T) {
	for want, frames := range map[string][]string{"frame-ancestors 'none'": nil, "frame-ancestors 'self' https://lms.example": {"self", "https://lms.example"}} {
		s := New(Options{Offer: shipped(), Static: fstest.MapFS{}, Front: front(t, "", nil, frames)})
		w := httptest.NewRecorder()
		s.Handler(false).ServeHTTP(w, httptest.NewRequest("GET", "/", nil))
		if got := w.Header().Get("Content-Security-Policy"); !strings.HasSuffix(got, want) {
			t.Errorf("the policy is %q, want it to end in %q", got, want)
		}
	}
}

// started runs a server on a port of this machine.
func started(t *testing.T, f Front, secure func(net.Listener) net.Listener) (address string) {
	t.Helper()
	listener := listen(t)
	address = listener.Addr().String()
	if secure != nil {
		listener = secure(listener)
	}
	s := New(Options{Offer: shipped(), Static: fstest.MapFS{"icon.svg": {Data: []byte("<svg/>")}}, Bundled: true, Front: f})
	serveIn(t, s, listener)
	return address
}

// jogs connects with a bench and has it make a step.
func jogs(t *testing.T, address string, o *websocket.DialOptions) error {
	t.Helper()
	ctx := t.Context()
	conn, _, err := websocket.Dial(ctx, address, o)
	if err != nil {
		return err
	}
	defer conn.CloseNow()
	conn.SetReadLimit(1 << 20)
	if err := conn.Write(ctx, websocket.MessageText, []byte(`{"type":"step","direction":{"frame":"joint","axis":0,"sign":1}}`)); err != nil {
		return err
	}
	for frames := 0; frames < 5; {
		kind, _, err := conn.Read(ctx)
		if err != nil {
			return err
		}
		if kind == websocket.MessageBinary {
			frames++
		}
	}
	return nil
}

const proxyConfig = `daemon off;
master_process off;
error_log stderr;
pid %[1]s/pid;
events {}
http {
	access_log off;
	client_body_temp_path %[1]s/body; proxy_temp_path %[1]s/proxy; fastcgi_temp_path %[1]s/f; uwsgi_temp_path %[1]s/u; scgi_temp_path %[1]s/s;
	map $http_upgrade $connection_upgrade { default upgrade; '' close; }
	server {
		listen 127.0.0.1:%[2]d;
		proxy_http_version 1.1;
		proxy_set_header Upgrade $http_upgrade;
		proxy_set_header Connection $connection_upgrade;
		proxy_set_header Host $http_host;
		proxy_set_header X-Forwarded-For $proxy_add_x_forwarded_for;
		location /arm/ { proxy_pass http://%[3]s/; }
		location = /arm { return 301 /arm/; }
		location /whole/ { proxy_pass http://%[4]s; }
		location = /whole { proxy_pass http://%[4]s; }
	}
}
`

// Behind a real reverse proxy, nginx, with the path taken off on the way or left on: the page, its files and its bench are there, the
// bench only for the public origin, and nothing by another name.
func TestBehindAReverseProxy(t *testing.T) {
	program, err := exec.LookPath("nginx")
	if err != nil {
		program = "/usr/sbin/nginx" // which is not in everybody's path
	}
	if _, err := os.Stat(program); err != nil {
		reference.Skip(t, "nginx is not installed: the server behind a reverse proxy is not tested; the package nginx-light has it")
	}
	const public = "college.example"
	off := started(t, front(t, "http://"+public+"/arm/", []string{"127.0.0.1"}, nil), nil)
	on := started(t, front(t, "http://"+public+"/whole", []string{"127.0.0.1"}, nil), nil)
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	port := free.Addr().(*net.TCPAddr).Port
	free.Close()
	dir := t.TempDir()
	config := filepath.Join(dir, "nginx.conf")
	if err := os.WriteFile(config, fmt.Appendf(nil, proxyConfig, dir, port, off, on), 0o600); err != nil {
		t.Fatal(err)
	}
	proxy := exec.Command(program, "-p", dir, "-c", config, "-e", "stderr")
	var said strings.Builder
	proxy.Stderr = &said
	if err := proxy.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan struct{})
	go func() {
		proxy.Wait()
		close(ended)
	}()
	t.Cleanup(func() {
		proxy.Process.Kill()
		<-ended
	})
	at := fmt.Sprintf("127.0.0.1:%d", port)
	for {
		conn, err := net.Dial("tcp", at)
		if err == nil {
			conn.Close()
			break
		}
		select {
		case <-ended:
			t.Fatalf("nginx does not answer: %v\n%s", err, &said)
		default:
		}
	}
	client := http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	fetch := func(path, host string) (int, string, http.Header) {
		r, err := http.NewRequest("GET", "http://"+at+path, nil)
		if err != nil {
			t.Fatal(err)
		}
		r.Host = host
		answer, err := client.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		text, _ := io.ReadAll(answer.Body)
		return answer.StatusCode, string(text), answer.Header
	}
	for _, path := range []string{"/arm/", "/whole/"} {
		if status, text, _ := fetch(path, public); status != 200 || !strings.Contains(text, `src="static/dist/page.js"`) {
			t.Errorf("%s: status %d, %.100s", path, status, text)
		}
		if status, text, _ := fetch(path+"static/icon.svg", public); status != 200 || text != "<svg/>" {
			t.Errorf("%sstatic/icon.svg: status %d, %.100s", path, status, text)
		}
		if status, _, head := fetch(strings.TrimSuffix(path, "/"), public); status != 301 || !strings.HasSuffix(head.Get("Location"), path) {
			t.Errorf("%s without its slash: status %d, to %q", path, status, head.Get("Location"))
		}
		if status, _, _ := fetch(path, "elsewhere.example"); status != 403 {
			t.Errorf("%s by another name: status %d", path, status)
		}
		dial := func(origin string) *websocket.DialOptions {
			return &websocket.DialOptions{Host: public, HTTPHeader: http.Header{"Origin": {origin}}}
		}
		if err := jogs(t, "ws://"+at+path+"bench", dial("http://"+public)); err != nil {
			t.Errorf("%s: no bench: %v", path, err)
		}
		if err := jogs(t, "ws://"+at+path+"bench", dial("http://elsewhere.example")); err == nil {
			t.Errorf("%s: a foreign site's page has a bench", path)
		}
	}
}

// selfSigned writes a certificate for this machine, and its key, and returns who trusts it.
func selfSigned(t *testing.T, dir, name string) (certificate, key string, trust *x509.CertPool) {
	t.Helper()
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	of := &x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: name}, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true,
	}
	der, err := x509.CreateCertificate(rand.Reader, of, of, &private.PublicKey, private)
	if err != nil {
		t.Fatal(err)
	}
	secret, err := x509.MarshalPKCS8PrivateKey(private)
	if err != nil {
		t.Fatal(err)
	}
	certificate, key = filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem")
	for file, block := range map[string]*pem.Block{certificate: {Type: "CERTIFICATE", Bytes: der}, key: {Type: "PRIVATE KEY", Bytes: secret}} {
		if err := os.WriteFile(file, pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	trust = x509.NewCertPool()
	trust.AppendCertsFromPEM(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}))
	return certificate, key, trust
}

// By https the page and its bench are there. A renewed certificate is taken up, a broken one leaves the last good one.
func TestACertificateAndItsKey(t *testing.T) {
	dir := t.TempDir()
	certificate, key, trust := selfSigned(t, dir, "first")
	address := started(t, Front{}, func(l net.Listener) net.Listener {
		secured, err := Secured(l, certificate, key)
		if err != nil {
			t.Fatal(err)
		}
		return secured
	})
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: trust}}}
	answer, err := client.Get("https://" + address + "/")
	if err != nil || answer.StatusCode != 200 {
		t.Fatal(answer, err)
	}
	answer.Body.Close()
	if err := jogs(t, "wss://"+address+"/bench", &websocket.DialOptions{HTTPClient: client}); err != nil {
		t.Error(err)
	}

	k := &keeper{certificate: certificate, key: key}
	if err := k.read(); err != nil {
		t.Fatal(err)
	}
	subject := func(now time.Time) string {
		leaf, err := x509.ParseCertificate(k.get(now).Certificate[0])
		if err != nil {
			t.Fatal(err)
		}
		return leaf.Subject.CommonName
	}
	now := time.Now()
	if got := subject(now); got != "first" {
		t.Errorf("the certificate is of %s", got)
	}
	selfSigned(t, dir, "second")
	later := now.Add(time.Minute)
	for _, file := range []string{certificate, key} {
		if err := os.Chtimes(file, later, later); err != nil {
			t.Fatal(err)
		}
	}
	if got := subject(now.Add(lookAgain)); got != "second" {
		t.Errorf("after it was renewed the certificate is of %s", got)
	}
	if err := os.WriteFile(key, []byte("nothing"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Chtimes(key, later.Add(time.Minute), later.Add(time.Minute)); err != nil {
		t.Fatal(err)
	}
	if got := subject(now.Add(3 * lookAgain)); got != "second" {
		t.Errorf("with a broken key the certificate is of %s", got)
	}
	if _, err := Secured(nil, certificate, key); err == nil {
		t.Error("a key that is none is taken")
	}
}
