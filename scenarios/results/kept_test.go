package results

import (
	"crypto/ed25519"
	"encoding/base64"
	"reflect"
	"strings"
	"testing"
)

func TestProgressIsKeptAndTakenBack(t *testing.T) {
	_, key, _ := ed25519.GenerateKey(nil)
	kept := Kept{Stage: 1, Progress: sample().Progress}
	text, err := Seal(kept, key)
	if err != nil {
		t.Fatal(err)
	}
	if back, err := Unseal(text, key); err != nil || !reflect.DeepEqual(back, kept) {
		t.Errorf("%+v %v", back, err)
	}
	if strings.Contains(text, "reach") || len(text) > 2000 {
		t.Errorf("not sealed, or not small: %d bytes", len(text))
	}
	if again, _ := Seal(kept, key); again == text {
		t.Error("the same progress is sealed alike twice")
	}
}

// Whichever byte is changed, cut off or added, and whoever else sealed it: the progress is refused.
func TestProgressCannotBeForged(t *testing.T) {
	_, key, _ := ed25519.GenerateKey(nil)
	_, other, _ := ed25519.GenerateKey(nil)
	text, _ := Seal(Kept{Progress: sample().Progress}, key)
	sealed, _ := base64.RawURLEncoding.DecodeString(text)
	for i := range sealed {
		changed := append([]byte{}, sealed...)
		changed[i] ^= 1
		if _, err := Unseal(base64.RawURLEncoding.EncodeToString(changed), key); err == nil {
			t.Fatalf("byte %d can be changed", i)
		}
	}
	foreign, _ := Seal(Kept{Progress: sample().Progress}, other)
	for _, bad := range []string{"", "?", "AAAA", text[:len(text)-4], text + "AAAA", foreign} {
		if _, err := Unseal(bad, key); err == nil {
			t.Errorf("%.20q was taken", bad)
		}
	}
}
