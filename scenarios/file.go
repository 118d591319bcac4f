package scenarios

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"unicode/utf8"
)

// largestFile is how large an arm, lesson or jog file may be. The three that ship are below 8 KiB.
const largestFile = 256 << 10

// readFile returns the text of an ordinary file of a sensible size. Anything else, such as a directory or a
// device, is refused before it is opened.
func readFile(path string) ([]byte, error) {
	refuse := func(format string, args ...any) ([]byte, error) {
		return nil, Errors{{File: path, Message: fmt.Sprintf(format, args...)}}
	}
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return refuse("there is no such file")
	case err != nil:
		return refuse("cannot be read: %v", withoutPath(err))
	case info.IsDir():
		return refuse("is a directory; give the file in it")
	case !info.Mode().IsRegular():
		return refuse("is not an ordinary file")
	case info.Size() > largestFile:
		return refuse("is too large: %d bytes, where %d are plenty", info.Size(), largestFile)
	}
	file, err := os.Open(path)
	if err != nil {
		return refuse("cannot be read: %v", withoutPath(err))
	}
	defer file.Close()
	// The file may grow between the look and the reading.
	text, err := io.ReadAll(io.LimitReader(file, largestFile+1))
	if err != nil {
		return refuse("cannot be read: %v", withoutPath(err))
	}
	return text, nil
}

// withoutPath returns the reason of a file system error; the message already starts with the path.
func withoutPath(err error) error {
	var pathError *fs.PathError
	if errors.As(err, &pathError) {
		return pathError.Err
	}
	return err
}

// plainText returns the text of a file as a source, or reports why it is not text at all.
func plainText(file string, text []byte) (*source, error) {
	if len(text) > largestFile {
		return nil, Errors{{File: file, Message: fmt.Sprintf("is too large: more than %d bytes", largestFile)}}
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	s := newSource(file, strings.ToValidUTF8(string(text), "\uFFFD"))
	line, column := 1, 1
	for rest := text; len(rest) > 0; {
		c, size := utf8.DecodeRune(rest)
		switch {
		case c == utf8.RuneError && size == 1:
			s.add(place{line, column}, "is not text in UTF-8: there is a stray byte %#02x", rest[0])
		case c < ' ' && c != '\n' && c != '\r' && c != '\t':
			s.add(place{line, column}, "is not plain text: there is a control character %#02x", c)
		}
		if len(s.problems) > 0 {
			return nil, s.err()
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
