package results

import (
	"bytes"
	"crypto/ed25519"
	"crypto/x509"
	"encoding/base64"
	"encoding/json"
	"encoding/pem"
	"errors"
	"fmt"
	"handrule/scenarios/lesson"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func sample() Result {
	off := 12.5
	return Result{
		Learner:  "Ada",
		Finished: time.Date(2026, 3, 2, 10, 30, 0, 0, time.UTC),
		Progress: lesson.Progress{Lesson: "a", Title: "A lesson", Arm: "wren", Seed: 7, Stages: []lesson.StageProgress{
			{Task: "reach", Done: true, Tries: 2, Seconds: 90, Jogs: 5, Contacts: 1, Hints: 1},
			{Task: "predict", Done: true, Tries: 1, Seconds: 30, Answers: []lesson.Given{{Answer: "x +", Good: true, Error: &off, Unit: "°"}}},
			{Task: "choose", GivenUp: true, Tries: 1},
			{},
		}},
	}
}

func signed(t *testing.T, r Result) ([]byte, ed25519.PublicKey) {
	t.Helper()
	key, err := OpenKey(filepath.Join(t.TempDir(), "new", "key.pem"))
	if err != nil {
		t.Fatal(err)
	}
	text, err := Sign(r, key)
	if err != nil {
		t.Fatal(err)
	}
	return text, key.Public().(ed25519.PublicKey)
}

func TestASignedResultIsReadBack(t *testing.T) {
	text, key := signed(t, sample())
	var compact bytes.Buffer
	if err := json.Compact(&compact, text); err != nil {
		t.Fatal(err)
	}
	for _, text := range [][]byte{text, compact.Bytes()} {
		if r, err := Read(text, key); err != nil || r.Learner != "Ada" || len(r.Progress.Stages) != 4 || *r.Progress.Stages[1].Answers[0].Error != 12.5 {
			t.Errorf("%+v %v", r, err)
		}
	}
}

// A result of the form before the stages had identities is read as well.
func TestAResultOfTheOldFormIsRead(t *testing.T) {
	_, key, _ := ed25519.GenerateKey(nil)
	result := []byte(`{"learner":"Ada","finished":"2026-03-02T10:30:00Z","progress":{"lesson":"a","title":"A","arm":"wren","seed":7,"stages":[` +
		`{"title":"","task":"reach","done":true,"given_up":false,"tries":1,"seconds":2,"jogs":1,"contacts":0,"hints":0,"answers":[],"noticed":[]}]}}`)
	signature := base64.StdEncoding.EncodeToString(ed25519.Sign(key, append([]byte("handrule result 1\n"), result...)))
	text := func(form string) []byte {
		return fmt.Appendf(nil, `{"form":%q,"result":%s,"signature":%q}`, form, result, signature)
	}
	if r, err := Read(text("handrule result 1"), key.Public().(ed25519.PublicKey)); err != nil || r.Learner != "Ada" || !r.Progress.Done() {
		t.Errorf("%+v %v", r, err)
	}
	if _, err := Read(text("handrule result 2"), key.Public().(ed25519.PublicKey)); err != ErrEditedOld {
		t.Errorf("a signature of one form was taken for another: %v", err)
	}
}

// A result from before answers were told in the words of the lesson's file is read as before: another key is told as that.
func TestAResultOfTheThirdFormIsRead(t *testing.T) {
	_, key, _ := ed25519.GenerateKey(nil)
	_, other, _ := ed25519.GenerateKey(nil)
	public := key.Public().(ed25519.PublicKey)
	result := fmt.Appendf(nil, `{"learner":"Ada","finished":"2026-03-02T10:30:00Z","key":%q,"tries_vouched":true,"progress":{"lesson":"a","title":"A","arm":"wren","seed":7,"stages":[`+
		`{"title":"","task":"choose","done":false,"given_up":false,"tries":1,"seconds":2,"jogs":0,"contacts":0,"hints":0,"answers":[{"answer":"J1","good":false,"error":null,"unit":""}],"noticed":[]}]}}`, KeyID(public))
	text := fmt.Appendf(nil, `{"form":"handrule result 3","result":%s,"signature":%q}`, result,
		base64.StdEncoding.EncodeToString(ed25519.Sign(key, append([]byte("handrule result 3\n"), result...))))
	if r, err := Read(text, public); err != nil || r.Progress.Stages[0].Answers[0].Answer != "J1" {
		t.Errorf("%+v %v", r, err)
	}
	if _, err := Read(text, other.Public().(ed25519.PublicKey)); err != (UnknownKey{KeyID(public)}) {
		t.Errorf("%v", err)
	}
}

// A result of the form before it was counted how often an assessment was begun is read as before, and does not say it.
func TestAResultOfTheFifthFormIsRead(t *testing.T) {
	_, key, _ := ed25519.GenerateKey(nil)
	public := key.Public().(ed25519.PublicKey)
	result := fmt.Appendf(nil, `{"learner":"Ada","finished":"2026-03-02T10:30:00Z","key":%q,"assessment":true,"tries_vouched":true,"progress":{"lesson":"a","title":"A","arm":"wren","seed":7,`+
		`"began":"2026-03-02T10:00:00Z","handed_in":"2026-03-02T10:30:00Z","stages":[]}}`, KeyID(public))
	text := fmt.Appendf(nil, `{"form":"handrule result 5","result":%s,"signature":%q}`, result,
		base64.StdEncoding.EncodeToString(ed25519.Sign(key, append([]byte("handrule result 5\n"), result...))))
	if r, err := Read(text, public); err != nil || !r.Assessment || r.Progress.Times != 0 {
		t.Errorf("%+v %v", r, err)
	}
}

// Every single change to the result's text is found out, whichever byte it is made to.
func TestAnEditedResultIsFoundOut(t *testing.T) {
	text, key := signed(t, sample())
	for _, edit := range [][2]string{{`"Ada"`, `"Bob"`}, {`"tries": 2`, `"tries": 1`}, {`"contacts": 1`, `"contacts": 0`}, {`12.5`, `1.25`}, {`"seed": 7`, `"seed": 8`}} {
		if strings.Count(string(text), edit[0]) != 1 {
			t.Fatalf("%s is not once in\n%s", edit[0], text)
		}
		if _, err := Read([]byte(strings.Replace(string(text), edit[0], edit[1], 1)), key); !errors.Is(err, ErrEdited) {
			t.Errorf("%s: %v", edit[1], err)
		}
	}
	start, end := bytes.Index(text, []byte(`"result"`))+len(`"result": `), bytes.Index(text, []byte(`"signature"`))-4
	for i := start; i < end; i++ {
		if strings.ContainsRune(" \n", rune(text[i])) {
			continue
		}
		changed := bytes.Clone(text)
		changed[i] ^= 1
		if _, err := Read(changed, key); err == nil {
			t.Fatalf("byte %d, %q, can be changed", i, text[i])
		}
	}
	_, other := signed(t, sample())
	if r, err := Read(text, other); err != (UnknownKey{KeyID(key)}) || r.Learner != "Ada" {
		t.Errorf("another server's key: %v", err)
	}
	if _, err := Read(text, other, key); err != nil {
		t.Errorf("of two keys the second one fits: %v", err)
	}
}

func TestFilesThatAreNoResults(t *testing.T) {
	_, key := signed(t, sample())
	for _, test := range []struct{ text, says string }{
		{"", "it is empty"}, {"{", "it ends too early"}, {"hello", "from its character 1 on"}, {"{}", "its form"}, {"[]", "it holds a JSON array and no fields"},
		{`{"form":"x"}`, "its form"}, {`{"form":3}`, "its field form"}, {`{"farm":"x"}`, `unknown field "farm"`},
		{`{"form":"handrule result 3","result":{},"signature":"?"}`, "the signature does not fit"},
		{`{"form":"handrule result 1"}`, "it holds no result"}, {strings.Repeat("[", 1e5), "is not a result file"},
	} {
		if _, err := Read([]byte(test.text), key); err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%.40q: want %q in %v", test.text, test.says, err)
		}
	}
	if _, err := Open(t.TempDir(), key); err == nil {
		t.Error("a folder was read")
	}
	if _, err := Open("nowhere.json", key); err == nil || err.Error() != "nowhere.json: there is no such file" {
		t.Errorf("%v", err)
	}
}

func TestKeysAreKept(t *testing.T) {
	path := filepath.Join(t.TempDir(), "key.pem")
	first, err := OpenKey(path)
	if err != nil {
		t.Fatal(err)
	}
	again, err := OpenKey(path)
	if err != nil || !first.Equal(again) {
		t.Errorf("%v", err)
	}
	if info, _ := os.Stat(path); info.Mode().Perm() != 0o600 {
		t.Errorf("others can read it: %v", info.Mode())
	}
	der, err := x509.MarshalPKIXPublicKey(first.Public())
	if err != nil {
		t.Fatal(err)
	}
	public := pem.EncodeToMemory(&pem.Block{Type: "PUBLIC KEY", Bytes: der})
	half := filepath.Join(t.TempDir(), "public.pem")
	if err := os.WriteFile(half, public, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{path, half} {
		if key, err := OpenVerifyingKey(path); err != nil || !key.Equal(first.Public()) {
			t.Errorf("%s: %v", path, err)
		}
	}
	if _, err := OpenKey(half); err == nil {
		t.Error("half a key signs")
	}
}

// A name that a spreadsheet would take for a formula is marked as text, also where cells are parted at semicolons; what
// would not be seen of it is shown.
func TestTheTableIsNoSpreadsheetProgram(t *testing.T) {
	r := sample()
	for name, want := range map[string]string{
		`=HYPERLINK("http://x","y")`: `"'=HYPERLINK(""http://x"",""y"")"`, "Ada;=1": "Ada;'=1", "Ada;\t@x": `Ada;\t@x`, "\u202eadA": `\u202eadA`,
	} {
		r.Learner = name
		var out strings.Builder
		if err := (Table{Take: TakeBest, Zone: time.UTC}).Write(&out, []Row{{File: "a.json", Result: r}}); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(out.String(), "\na.json,yes,"+want+",,,A lesson,") {
			t.Errorf("%q is written as %s", name, out.String())
		}
	}
}

// FuzzRead reads anything as a file that a learner hands in. What is taken as signed is what the key has signed, whatever was added around it.
func FuzzRead(f *testing.F) {
	_, key, _ := ed25519.GenerateKey(nil)
	text, err := Sign(sample(), key)
	if err != nil {
		f.Fatal(err)
	}
	want, err := json.Marshal(sample().Progress)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	f.Add(bytes.Replace(text, []byte("Ada"), []byte("Eve"), 1))
	f.Add([]byte(`{"form":"handrule result 1","result":{},"signature":""}`))
	f.Add([]byte(`{"form":"handrule practice 1"}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		r, err := Read(text, key.Public().(ed25519.PublicKey))
		if err != nil {
			return
		}
		if got, _ := json.Marshal(r.Progress); r.Learner != "Ada" || !bytes.Equal(got, want) {
			t.Errorf("%s is taken as signed: %+v", text, r)
		}
	})
}
