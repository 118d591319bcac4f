package results

import (
	"bytes"
	"crypto/ed25519"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"handrule/scenarios/lesson"
	"io"
	"io/fs"
	"strings"
	"time"

	"handrule/internal/files"
)

// Result is what a learner did in a lesson.
type Result struct {
	Learner  string    `json:"learner"` // as they named themselves
	Finished time.Time `json:"finished"`

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
	form        = "handrule result 2"
	oldForm     = "handrule result 1" // without the stages' identities; it is still read
	largestFile = 1 << 20
)

// ErrEdited says that a file is not as the server signed it, or was signed by another.
var ErrEdited = errors.New("the signature does not fit: the file was edited, or another server signed it")

// Sign returns the result as a file.
func Sign(r Result, key ed25519.PrivateKey) ([]byte, error) {
	r.Finished = r.Finished.UTC().Truncate(time.Second)
	signed, err := json.Marshal(r)
	if err != nil {
		return nil, err
	}
	signature := ed25519.Sign(key, message(form, signed))
	return json.MarshalIndent(file{form, signed, base64.StdEncoding.EncodeToString(signature)}, "", "  ")
}

// message is what is signed. The form in front keeps a signature from being used for anything else.
func message(form string, result []byte) []byte { return append([]byte(form+"\n"), result...) }

// Read returns the result in a file that this key's server signed. ErrEdited tells a file that it did not sign.
func Read(text []byte, key ed25519.PublicKey) (r Result, err error) {
	var f file
	if err := strictly(text, &f); err != nil {
		return r, fmt.Errorf("is not a result file: %w", err)
	}
	if f.Form != form && f.Form != oldForm {
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
	if err != nil || !ed25519.Verify(key, message(f.Form, compact.Bytes()), signature) {
		return r, ErrEdited
	}
	return r, strictly(f.Result, &r)
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
func Open(path string, key ed25519.PublicKey) (Result, error) {
	text, err := readFile(path, largestFile)
	if err != nil {
		return Result{}, err
	}
	r, err := Read(text, key)
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
