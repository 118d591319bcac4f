package form

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"handrule/internal/files"
)

// LargestFile is how large an arm, lesson or jog file may be. The three that ship are below 8 KiB.
const LargestFile = 256 << 10

// ReadFile returns the text of an ordinary file of a sensible size. Anything else, such as a directory or a
// device, is refused before it is opened.
func ReadFile(path string) ([]byte, error) { return ReadFileUpTo(path, LargestFile) }

// ReadFileUpTo does the same with a file of another kind, which may be as large as that.
func ReadFileUpTo(path string, most int64) ([]byte, error) {
	refuse := func(format string, args ...any) ([]byte, error) {
		return nil, Errors{{File: path, Message: fmt.Sprintf(format, args...)}}
	}
	text, err := files.Read(path, most)
	var large files.TooLarge
	switch {
	case err == nil:
		return text, nil
	case errors.Is(err, fs.ErrNotExist):
		return refuse("there is no such file")
	case errors.Is(err, files.ErrNotOrdinary) && files.IsFolder(path):
		return refuse("is a directory; give the file in it")
	case errors.Is(err, files.ErrNotOrdinary), errors.As(err, &large):
		return refuse("%v", err)
	}
	return refuse("cannot be read: %v", WithoutPath(err))
}

// WithoutPath returns the reason of a file system error; the message already starts with the path.
func WithoutPath(err error) error {
	var pathError *fs.PathError
	if errors.As(err, &pathError) {
		return pathError.Err
	}
	return err
}

// PlainText returns the text of a file as a source, or reports why it is not text at all. A line may end in a line feed, a
// carriage return or both.
func PlainText(file string, text []byte) (*Source, error) {
	return PlainTextUpTo(file, text, LargestFile)
}

// PlainTextUpTo does the same with a text of another kind, which may be as long as that.
func PlainTextUpTo(file string, text []byte, most int) (*Source, error) {
	if len(text) > most {
		return nil, Errors{{File: file, Message: fmt.Sprintf("is too large: more than %d bytes", most)}}
	}
	if wide(text) {
		return nil, Errors{{File: file, Message: "is text in UTF-16; save it as UTF-8, which editors offer as an encoding"}}
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	text = bytes.ReplaceAll(bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n")), []byte("\r"), []byte("\n"))
	s := newSource(file, strings.ToValidUTF8(string(text), "\uFFFD"))
	line, column := 1, 1
	for rest := text; len(rest) > 0; {
		c, size := utf8.DecodeRune(rest)
		switch {
		case c == utf8.RuneError && size == 1:
			s.Add(Place{line, column}, "is not text in UTF-8: there is a stray byte %#02x", rest[0])
		case c < ' ' && c != '\n' && c != '\t':
			s.Add(Place{line, column}, "is not plain text: there is a control character %#02x", c)
		}
		if len(s.Problems) > 0 {
			return nil, s.Err()
		}
		column++
		if c == '\n' {
			line, column = line+1, 1
		}
		rest = rest[size:]
	}
	if strings.TrimSpace(string(text)) == "" {
		return nil, Errors{{File: file, Message: "is empty"}}
	}
	return s, nil
}

// wide reports whether a text is in UTF-16: it begins with that byte order mark (RFC 2781, section 3.2), or every other byte of
// its beginning is zero.
func wide(text []byte) bool {
	if bytes.HasPrefix(text, []byte{0xff, 0xfe}) || bytes.HasPrefix(text, []byte{0xfe, 0xff}) {
		return true
	}
	begin := text[:min(len(text), 16)]
	zeros := [2]int{}
	for i, b := range begin {
		if b == 0 {
			zeros[i%2]++
		}
	}
	return len(begin) >= 4 && (zeros[0] == len(begin)/2 && zeros[1] == 0 || zeros[1] == len(begin)/2 && zeros[0] == 0)
}

// IsName tells a bare name, such as wren, from a path.
func IsName(ref string) bool { return !strings.ContainsAny(ref, `./\`) }

// FileID is a file's name without its directory and ending.
func FileID(file string) string {
	base := filepath.Base(file)
	return strings.TrimSuffix(base, filepath.Ext(base))
}
