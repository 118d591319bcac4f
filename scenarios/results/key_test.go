package results

import (
	"bytes"
	"crypto/ed25519"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

const keyPathVariable = "HANDRULE_TEST_KEY_PATH"

// TestMain lets the test be run again as a server that starts: it opens a key and says which.
func TestMain(m *testing.M) {
	path := os.Getenv(keyPathVariable)
	if path == "" {
		os.Exit(m.Run())
	}
	bytes.NewBuffer(nil).ReadFrom(os.Stdin) // Its end is the sign to go.
	key, err := OpenKey(path)
	if err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	fmt.Printf("%x", key.Public())
}

// Servers that start at the same time, each a process of its own, sign with one key.
func TestServersThatStartTogetherMakeOneKey(t *testing.T) {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	for range 5 {
		path := filepath.Join(t.TempDir(), "handrule", "results.pem")
		wait, start, err := os.Pipe()
		if err != nil {
			t.Fatal(err)
		}
		servers, said := make([]*exec.Cmd, 6), make([]strings.Builder, 6)
		for i := range servers {
			servers[i] = exec.Command(self)
			servers[i].Env = append(os.Environ(), keyPathVariable+"="+path)
			servers[i].Stdin, servers[i].Stdout = wait, &said[i]
			if err := servers[i].Start(); err != nil {
				t.Fatal(err)
			}
		}
		wait.Close()
		start.Close()
		for i, server := range servers {
			if err := server.Wait(); err != nil || said[i].String() != said[0].String() || said[i].Len() != 2*ed25519.PublicKeySize {
				t.Errorf("%v: %q, the first %q", err, said[i].String(), said[0].String())
			}
		}
		if entries, err := os.ReadDir(filepath.Dir(path)); err != nil || len(entries) != 1 {
			t.Errorf("%v %v", entries, err)
		}
	}
}

func TestOpeningAKeyAtTheSameTime(t *testing.T) {
	for range 50 {
		path := filepath.Join(t.TempDir(), "results.pem")
		keys := make(chan ed25519.PrivateKey)
		for range 8 {
			go func() {
				key, err := OpenKey(path)
				if err != nil {
					t.Error(err)
				}
				keys <- key
			}()
		}
		first := <-keys
		for range 7 {
			if key := <-keys; !key.Equal(first) {
				t.Fatal("two keys")
			}
		}
	}
}

// A key file that is empty or cut short, as a full disk or a copy that was broken off leaves it, is told with what to do, and
// stays as it is.
func TestABrokenKeyIsToldWithWhatToDo(t *testing.T) {
	whole := filepath.Join(t.TempDir(), "whole.pem")
	if _, err := OpenKey(whole); err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(whole)
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct{ text, says string }{
		{"", "delete it and a new key is made"}, {" \n", "delete it and a new key is made"},
		{string(text[:40]), "is cut short or changed"}, {string(text[:len(text)-3]), "is cut short or changed"}, {"key", "is not a key file"},
	} {
		path := filepath.Join(t.TempDir(), "results.pem")
		if err := os.WriteFile(path, []byte(test.text), 0o600); err != nil {
			t.Fatal(err)
		}
		for name, open := range map[string]func() error{
			"to sign":   func() error { _, err := OpenKey(path); return err },
			"to verify": func() error { _, err := OpenVerifyingKey(path); return err },
		} {
			if err := open(); err == nil || !strings.HasPrefix(err.Error(), path+": ") || !strings.Contains(err.Error(), test.says) {
				t.Errorf("%s %q: want %q in %v", name, test.text, test.says, err)
			}
		}
		if left, err := os.ReadFile(path); err != nil || string(left) != test.text {
			t.Errorf("%q became %q", test.text, left)
		}
	}
}

// A folder that cannot be written says which.
func TestAKeyThatCannotBeKept(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(file, "handrule", "results.pem")
	if _, err := OpenKey(path); err == nil || !strings.HasPrefix(err.Error(), path+": ") {
		t.Errorf("%v", err)
	}
}
