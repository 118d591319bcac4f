package main

import (
	"encoding/json"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"
)

// classOf is a server that has a class with what stands in the files, for whoever has the secret.
func classOf(t *testing.T, secret string, files []string) string {
	t.Helper()
	all := struct {
		Class   string   `json:"class"`
		Results []string `json:"results"`
	}{Class: "ACDEFG"}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		all.Results = append(all.Results, string(text))
	}
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch {
		case r.Header.Get("Authorization") != "Bearer "+secret:
			http.Error(w, "only the instructor may see this", http.StatusForbidden)
		case r.URL.Path == "/arm/class/ACDEFG/answers.csv":
			fmt.Fprintf(w, "question,asked\n1,%s\n", r.URL.RawQuery)
		case r.URL.Path != "/arm/class/ACDEFG/results":
			http.Error(w, "There is no class with this code.", http.StatusNotFound)
		default:
			json.NewEncoder(w).Encode(all)
		}
	}))
	t.Cleanup(s.Close)
	return s.URL + "/arm/"
}

// The results of a class come from the server that has it, and are verified and tabulated like files.
func TestTheResultsOfAClass(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	t.Setenv("HOME", t.TempDir())
	secret, err := instructorLink(false)
	if err != nil {
		t.Fatal(err)
	}
	key, files := classFolder(t, "Ada", "=1+2")
	server := classOf(t, secret, files)
	status, out, errs := do("results", "--key", key, "--class", "ACDEFG", "--server", server)
	rows := gradebook(t, out)
	if status != 0 || errs != "" || len(rows) != 2 || rows[0]["learner"] != "Ada" || rows[1]["learner"] != "'=1+2" || rows[1]["file"] != "ACDEFG 2" || rows[0]["verified"] != "yes" {
		t.Errorf("status %d, %s, %v", status, errs, rows)
	}
	status, out, _ = do("results", "--key", key, "--class", "ACDEFG", "--server", server, "--tell", "number")
	head, _, _ := strings.Cut(out, "\n")
	if status != 0 || strings.Contains(out, "Ada") || !strings.HasPrefix(head, "file,verified,number,lesson,") {
		t.Errorf("status %d: %s", status, out)
	}
	if status, out, _ := do("results", "--key", key, "--tell", "none", files[0]); status != 0 || strings.Contains(out, "Ada") || !strings.HasPrefix(out, "file,verified,lesson,") {
		t.Errorf("status %d: %s", status, out)
	}
	for query, args := range map[string][]string{"bom=0": nil, "": {"--bom"}, "bom=0&tell=learner%2Cnumber": {"--tell", "learner,number"}, "bom=0&tell=": {"--tell", "none"}} {
		if status, out, errs := do(append([]string{"results", "--class", "ACDEFG", "--answers", "--server", server}, args...)...); status != 0 || out != "question,asked\n1,"+query+"\n" {
			t.Errorf("status %d, %s: %s", status, errs, out)
		}
	}
	other, _ := classFolder(t, "Eve")
	gone := httptest.NewServer(http.NotFoundHandler())
	gone.Close()
	dumb, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer dumb.Close()
	go func() {
		for {
			c, err := dumb.Accept()
			if err != nil {
				return
			}
			c.Write([]byte("220 ready\r\n"))
			c.Close()
		}
	}()
	strange := httptest.NewTLSServer(http.NotFoundHandler())
	strange.Config.ErrorLog = log.New(io.Discard, "", 0)
	defer strange.Close()
	for _, c := range []struct {
		status int
		says   string
		args   []string
	}{
		{2, "no class with this code", []string{"--class", "XXXXXX", "--server", server}},
		{2, gone.URL + "/: no server runs there. A class is with the server that has it: start that with handrule serve, or", []string{"--class", "ACDEFG", "--server", gone.URL + "/"}},
		{2, "what answers there is no server of classes", []string{"--class", "ACDEFG", "--server", "http://" + dumb.Addr().String()}},
		{2, "its certificate is not trusted", []string{"--class", "ACDEFG", "--server", strange.URL}},
		{2, "no machine is known by the name \"nowhere.invalid\"", []string{"--class", "ACDEFG", "--server", "https://nowhere.invalid/"}},
		{2, "others can read", []string{"--class", "ACDEFG", "--server", "http://college.example/"}},
		{2, "an address such as", []string{"--class", "ACDEFG", "--server", "college.example"}},
		{2, "some of learner, number, email", []string{"--class", "ACDEFG", "--server", server, "--tell", "name"}},
		{2, "name it with --class", []string{"--answers", "a.json"}},
		{2, "no class with this code", []string{"--answers", "--class", "XXXXXX", "--server", server}},
		{2, "not both", []string{"--class", "ACDEFG", "a.json"}},
		{1, "ACDEFG 1: ", []string{"--key", other, "--class", "ACDEFG", "--server", server}},
	} {
		args := append([]string{"results"}, c.args...)
		if c.args[0] != "--key" {
			args = append(args, "--key", key)
		}
		if status, _, errs := do(args...); status != c.status || !strings.Contains(errs, c.says) {
			t.Errorf("%v: status %d, %q", c.args, status, errs)
		}
	}
	// Whoever is not the instructor gets nothing, and is told so.
	if _, err := instructorLink(true); err != nil {
		t.Fatal(err)
	}
	if status, _, errs := do("results", "--key", key, "--class", "ACDEFG", "--server", server); status != 2 || !strings.Contains(errs, "only the instructor") {
		t.Errorf("status %d, %s", status, errs)
	}
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	if status, _, errs := do("results", "--key", key, "--class", "ACDEFG", "--server", server); status != 2 || !strings.Contains(errs, "is not kept here") {
		t.Errorf("status %d, %s", status, errs)
	}
}
