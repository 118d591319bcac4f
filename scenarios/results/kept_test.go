package results

import (
	"bytes"
	"compress/gzip"
	"crypto/ed25519"
	"encoding/base64"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"handrule/scenarios/armfile"
	"handrule/scenarios/lesson"
)

const keptLesson = "title: A\narm: wren\nstages:\n  - text: a\n    reach: {joint: J1, angle_deg: 5, tolerance_deg: 1}\n" +
	"  - text: b\n    read: {measure: x, tolerance: 1}\n  - text: c\n"

func keptRun(t *testing.T) *lesson.Run {
	t.Helper()
	l, err := lesson.Parse("a.yaml", []byte(keptLesson), lesson.Around{Arm: wren}, lesson.Deal{Seed: 7})
	if err != nil {
		t.Fatal(err)
	}
	run := lesson.NewRun(l)
	d, err := l.Drive(l.Start)
	if err != nil {
		t.Fatal(err)
	}
	far := 12.5
	run.Enter(1, d)
	if _, err := run.Answer(d, lesson.Answer{Number: &far}); err != nil {
		t.Fatal(err)
	}
	run.Progress.Stages[0].Done = true
	return run
}

func TestProgressIsKeptAndTakenBack(t *testing.T) {
	_, key, _ := ed25519.GenerateKey(nil)
	run := keptRun(t)
	kept := Kept{Stage: 1, Progress: run.Progress}
	text, err := Seal(kept, key)
	if err != nil {
		t.Fatal(err)
	}
	back, err := Unseal(text, key)
	again := lesson.NewRun(run.Lesson)
	if err != nil || back.Stage != 1 || again.Resume(back.Progress) != nil {
		t.Fatalf("%+v %v", back, err)
	}
	if is, was := inJSON(t, again.Progress), inJSON(t, run.Progress); is != was || !strings.Contains(is, "12.5 mm") {
		t.Errorf("is %s, was %s", is, was)
	}
	if strings.Contains(text, "reach") || len(text) > 200 {
		t.Errorf("not sealed, or not small: %d bytes", len(text))
	}
	if again, _ := Seal(kept, key); again == text {
		t.Error("the same progress is sealed alike twice")
	}
}

// The most bytes that progress can have fit into the characters that a learning platform keeps of a lesson.
func TestTheLargestProgressFits(t *testing.T) {
	sealed := 12 + 1 + lesson.MostPacked + 16 // AES-GCM's nonce and tag (NIST SP 800-38D)
	if n := base64.RawURLEncoding.EncodedLen(sealed); n > 4096 {
		t.Errorf("%d characters", n)
	}
}

// What an earlier handrule kept is read: by place, because its stages had no identity.
func TestProgressOfTheOldFormIsTakenUp(t *testing.T) {
	_, key, _ := ed25519.GenerateKey(nil)
	run := keptRun(t)
	var old map[string]any
	if err := json.Unmarshal([]byte(inJSON(t, run.Progress)), &old); err != nil {
		t.Fatal(err)
	}
	for _, stage := range old["stages"].([]any) {
		delete(stage.(map[string]any), "id")
	}
	var packed bytes.Buffer
	zip := gzip.NewWriter(&packed)
	json.NewEncoder(zip).Encode(map[string]any{"stage": 1, "progress": old})
	zip.Close()
	sealer, err := sealer(key)
	if err != nil {
		t.Fatal(err)
	}
	nonce := make([]byte, sealer.NonceSize())
	text := base64.RawURLEncoding.EncodeToString(sealer.Seal(nonce, nonce, packed.Bytes(), []byte("handrule progress 1")))
	back, err := Unseal(text, key)
	again := lesson.NewRun(run.Lesson)
	if err != nil || back.Stage != 1 || again.Resume(back.Progress) != nil {
		t.Fatalf("%+v %v", back, err)
	}
	if is, was := inJSON(t, again.Progress), inJSON(t, run.Progress); is != was {
		t.Errorf("is %s, was %s", is, was)
	}
}

func wren(string) (*armfile.Arm, error) {
	text, err := os.ReadFile("../arms/wren.yaml")
	if err != nil {
		return nil, err
	}
	return armfile.Parse("wren.yaml", text)
}

func inJSON(t *testing.T, v any) string {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// Whichever byte is changed, cut off or added, and whoever else sealed it: the progress is refused.
func TestProgressCannotBeForged(t *testing.T) {
	_, key, _ := ed25519.GenerateKey(nil)
	_, other, _ := ed25519.GenerateKey(nil)
	progress := keptRun(t).Progress
	text, _ := Seal(Kept{Progress: progress}, key)
	sealed, _ := base64.RawURLEncoding.DecodeString(text)
	for i := range sealed {
		changed := append([]byte{}, sealed...)
		changed[i] ^= 1
		if _, err := Unseal(base64.RawURLEncoding.EncodeToString(changed), key); err == nil {
			t.Fatalf("byte %d can be changed", i)
		}
	}
	foreign, _ := Seal(Kept{Progress: progress}, other)
	for _, bad := range []string{"", "?", "AAAA", text[:len(text)-4], text + "AAAA", foreign} {
		if _, err := Unseal(bad, key); err == nil {
			t.Errorf("%.20q was taken", bad)
		}
	}
}
