package results

import (
	"bytes"
	"crypto/ed25519"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"handrule/scenarios/lesson"
	"handrule/scenarios/practice"
	"io"
	"io/fs"
	"slices"
	"strings"
	"time"

	"handrule/internal/files"
)

// Result is what a learner did in a lesson.
type Result struct {
	Learner  string    `json:"learner"` // as they named themselves
	Number   string    `json:"number,omitempty"`
	Email    string    `json:"email,omitempty"`
	Finished time.Time `json:"finished"`

	// Key is the KeyID of the server that signed it; "" in results from before this was told.
	Key string `json:"key,omitempty"`

	// Assessment says that it is the result of one, and not of practice.
	Assessment bool `json:"assessment,omitempty"`

	// TriesVouched says that the server counted every try. It is false where the lesson was gone on with from progress that
	// may not have been the latest, and in results from before this was told.
	TriesVouched bool `json:"tries_vouched"`

	Progress lesson.Progress `json:"progress"`
}

// file is a result as it is saved. The signature is over the bytes of the result with the white space between its parts
// left out, so that a file may be indented anew and nothing else.
type file struct {
	Form      string          `json:"form"`
	Result    json.RawMessage `json:"result"`
	Signature string          `json:"signature"`
}

const (
	form        = "handrule result 6"
	largestFile = 1 << 20
)

// earlierForms are still read: without how often an assessment was begun, before that with an answer in words alone, and before that in
// no words of the lesson's file; so are oldForms: without points and the key's name, and before that without the stages' identities.
var (
	earlierForms = []string{"handrule result 5", "handrule result 4", "handrule result 3"}
	oldForms     = []string{"handrule result 2", "handrule result 1"}
)

// ErrEdited says that a file is not as the server signed it. A file of an old form does not say who that was, so that it may be
// another server's.
var (
	ErrEdited    = errors.New("the signature does not fit: the file was edited")
	ErrEditedOld = errors.New("the signature does not fit: the file was edited, or another server signed it")
)

// UnknownKey says that a file was signed with a key that is not among those it is verified with.
type UnknownKey struct{ ID string }

func (u UnknownKey) Error() string {
	return fmt.Sprintf("it was signed with the key %s, which is not among those given", u.ID)
}

// Sign returns the result as a file.
func Sign(r Result, key ed25519.PrivateKey) ([]byte, error) {
	r.Finished, r.Key = r.Finished.UTC().Truncate(time.Second), KeyID(key.Public().(ed25519.PublicKey))
	signed, err := json.Marshal(r)
	if err != nil {
		return nil, err
	}
	signature := ed25519.Sign(key, message(form, signed))
	return json.MarshalIndent(file{form, signed, base64.StdEncoding.EncodeToString(signature)}, "", "  ")
}

// message is what is signed. The form in front keeps a signature from being used for anything else.
func message(form string, result []byte) []byte { return append([]byte(form+"\n"), result...) }

// Read returns the result in a file that the server of one of these keys signed. UnknownKey tells a file of another server,
// with what stands in it, which nobody vouches for; Unsigned one that nobody signed, likewise; ErrEdited one that was changed.
func Read(text []byte, keys ...ed25519.PublicKey) (r Result, err error) {
	if practice.Is(text) {
		return unsigned(text)
	}
	var f file
	if err := strictly(text, &f); err != nil {
		return r, fmt.Errorf("is not a result file: %w", err)
	}
	old := slices.Contains(oldForms, f.Form)
	if f.Form != form && !slices.Contains(earlierForms, f.Form) && !old {
		return r, fmt.Errorf("is not a result file of this program: its form is %q and not %q", shortened(f.Form), form)
	}
	if len(f.Result) == 0 {
		return r, errors.New("is not a result file: it holds no result")
	}
	var compact bytes.Buffer
	if err := json.Compact(&compact, f.Result); err != nil {
		return r, fmt.Errorf("is not a result file: %w", inWords(err))
	}
	signature, err := base64.StdEncoding.DecodeString(f.Signature)
	signs := func(key ed25519.PublicKey) bool {
		return err == nil && ed25519.Verify(key, message(f.Form, compact.Bytes()), signature)
	}
	wrong := strictly(f.Result, &r)
	named := slices.ContainsFunc(keys, func(key ed25519.PublicKey) bool { return KeyID(key) == r.Key })
	switch {
	case slices.ContainsFunc(keys, signs):
		return r, wrong
	case old:
		return Result{}, ErrEditedOld
	case named || wrong != nil || r.Key == "":
		return Result{}, ErrEdited
	}
	return r, UnknownKey{shortened(r.Key)}
}

// Unsigned says that nobody signed a file: a page without a server saved it, graded in the learner's own browser.
type Unsigned struct{}

func (Unsigned) Error() string {
	return "nobody signed it: it is practice that was graded in the learner's own browser; --practice tabulates it apart"
}

// unsigned returns a result that nobody signed, with Unsigned.
func unsigned(text []byte) (Result, error) {
	p, err := practice.Read(text)
	if err != nil {
		return Result{}, fmt.Errorf("is not a result file: %w", inWords(err))
	}
	return Result{Learner: p.Learner, Number: p.Number, Email: p.Email, Assessment: p.Assessment, Finished: p.Finished, Progress: p.Progress}, Unsigned{}
}

// strictly reads one JSON value, with no fields that are not known and nothing after it.
func strictly(text []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return inWords(err)
	}
	if _, err := d.Token(); err != io.EOF {
		return errors.New("something follows its end")
	}
	return nil
}

// Open reads a result file.
func Open(path string, keys ...ed25519.PublicKey) (Result, error) {
	text, err := readFile(path, largestFile)
	if err != nil {
		return Result{}, err
	}
	r, err := Read(text, keys...)
	if err != nil {
		return r, fmt.Errorf("%s: %w", path, err)
	}
	return r, nil
}

// readFile returns the text of an ordinary file of at most so many bytes.
func readFile(path string, most int64) ([]byte, error) {
	text, err := files.Read(path, most)
	var large files.TooLarge
	switch {
	case err == nil:
		return text, nil
	case errors.Is(err, files.ErrNotOrdinary), errors.As(err, &large):
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return nil, unreadable{path, err}
}

// unreadable is a file that the system does not hand out.
type unreadable struct {
	path string
	err  error
}

func (u unreadable) Error() string {
	if errors.Is(u.err, fs.ErrNotExist) {
		return u.path + ": there is no such file"
	}
	var reason *fs.PathError
	if errors.As(u.err, &reason) {
		return fmt.Sprintf("%s: cannot be read: %v", u.path, reason.Err)
	}
	return u.path + ": cannot be read"
}

func (u unreadable) Unwrap() error { return u.err }

// inWords says in plain words what the JSON reader found.
func inWords(err error) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.Is(err, io.EOF):
		return errors.New("it is empty")
	case errors.Is(err, io.ErrUnexpectedEOF):
		return errors.New("it ends too early, as when only a part of it was saved")
	case errors.As(err, &syntax):
		return fmt.Errorf("it is not as a server wrote it from its character %d on", syntax.Offset)
	case errors.As(err, &kind) && kind.Field != "":
		return fmt.Errorf("its field %s holds what it cannot hold, a JSON %s", kind.Field, kind.Value)
	case errors.As(err, &kind):
		return fmt.Errorf("it holds a JSON %s and no fields", kind.Value)
	}
	return errors.New(strings.TrimPrefix(err.Error(), "json: "))
}

func shortened(text string) string {
	if runes := []rune(text); len(runes) > 40 {
		return string(runes[:40]) + "…"
	}
	return text
}
