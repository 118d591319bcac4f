package drive

import "testing"

// The address that a server says is found whole, and where it says two it is the last.
func TestTheAddressIsFoundWhole(t *testing.T) {
	for line, want := range map[string]string{
		"handrule serves on http://127.0.0.1:40211 (Ctrl+C ends it)\n":                           "127.0.0.1:40211",
		"handrule serves on https://college.example/arm, listening on 10.0.0.2:443 (Ctrl+C …)\n": "10.0.0.2:443",
	} {
		if found := address.FindStringSubmatch(line); found == nil || found[1] != want {
			t.Errorf("%q: %q", line, found)
		}
	}
}
