package results

import (
	"crypto/ed25519"
	"strings"
	"testing"
)

// The numbers depend on the lesson, the deal and the key, and on nothing else.
func TestNumbersAreTheServersOwn(t *testing.T) {
	_, key, _ := ed25519.GenerateKey(nil)
	_, other, _ := ed25519.GenerateKey(nil)
	seen := map[uint64]bool{}
	for deal := range uint64(1000) {
		seen[NumbersOf("a", deal, key)], seen[NumbersOf("b", deal, key)], seen[NumbersOf("a", deal, other)] = true, true, true
	}
	if len(seen) != 3000 || NumbersOf("a", 7, key) != NumbersOf("a", 7, key) {
		t.Errorf("%d of 3000 differ", len(seen))
	}
}

func TestACodeForMoreTime(t *testing.T) {
	_, key, _ := ed25519.GenerateKey(nil)
	_, other, _ := ed25519.GenerateKey(nil)
	code, err := ExtraTime("a", "Zoë Ñ-1", 15, key)
	if err != nil || !strings.HasPrefix(code, "15-zoëñ1-") {
		t.Fatal(code, err)
	}
	for _, typed := range []string{code, strings.ToUpper(code), " " + strings.ToLower(code) + " ", strings.ReplaceAll(code, "-", " - ")} {
		if minutes, who, err := ReadExtraTime("a", typed, key); err != nil || minutes != 15 || who != "zoëñ1" {
			t.Errorf("%q: %d %q %v", typed, minutes, who, err)
		}
	}
	for _, bad := range []string{"", "15", "16" + code[2:], strings.Replace(code, "zo", "bo", 1), code + "A", code[:len(code)-1], "-1-a-b", "15--", strings.Repeat("1", 1000)} {
		if _, _, err := ReadExtraTime("a", bad, key); err == nil {
			t.Errorf("%q was taken", bad)
		}
	}
	if _, _, err := ReadExtraTime("b", code, key); err == nil {
		t.Error("a code of one lesson was taken for another")
	}
	if _, _, err := ReadExtraTime("a", code, other); err == nil {
		t.Error("another server's code was taken")
	}
	for _, bad := range []struct {
		who     string
		minutes int
	}{{"Ada", 0}, {"Ada", 601}, {" - ", 5}} {
		if _, err := ExtraTime("a", bad.who, bad.minutes, key); err == nil {
			t.Errorf("%v: a code was made", bad)
		}
	}
}
