package docs

import (
	"encoding/binary"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

var strip = flag.Bool("strip", false, "take the metadata out of the pictures instead of complaining of it")

// Markers of JPEG, by ITU-T T.81, table B.1; the standard library's image/jpeg has the same.
const (
	startOfImage = 0xffd8
	startOfScan  = 0xda
	app0, app15  = 0xe0, 0xef
	comment      = 0xfe
)

// withoutMetadata copies a JPEG's segments, but for its comments and all application data save the JFIF header: what is
// left says how to draw the picture, and nothing about who made it with what. It names what it left out.
func withoutMetadata(file []byte) (clean []byte, left []string, err error) {
	if len(file) < 4 || binary.BigEndian.Uint16(file) != startOfImage {
		return nil, nil, fmt.Errorf("not a JPEG")
	}
	clean = append(clean, file[:2]...)
	for at := 2; ; {
		if at+4 > len(file) || file[at] != 0xff {
			return nil, nil, fmt.Errorf("no segment at byte %d", at)
		}
		marker, end := file[at+1], at+2+int(binary.BigEndian.Uint16(file[at+2:]))
		if end > len(file) {
			return nil, nil, fmt.Errorf("the segment at byte %d is cut off", at)
		}
		jfif := marker == app0 && string(file[at+4:min(at+9, end)]) == "JFIF\x00"
		switch {
		case marker == startOfScan:
			return append(clean, file[at:]...), left, nil
		case marker >= app0 && marker <= app15 && !jfif, marker == comment:
			left = append(left, fmt.Sprintf("segment %#x of %d bytes: %.12q", marker, end-at, file[at+4:end]))
		default:
			clean = append(clean, file[at:end]...)
		}
		at = end
	}
}

// The pictures hold no metadata. `go test ./docs -strip` takes it out of new ones.
func TestPicturesHoldNoMetadata(t *testing.T) {
	all, err := filepath.Glob("*")
	if err != nil {
		t.Fatal(err)
	}
	pictures := 0
	for _, name := range all {
		switch filepath.Ext(name) {
		case ".md", ".go":
			continue
		case ".jpg":
			pictures++
		default:
			t.Errorf("%s: pictures are .jpg here, whose segments this test reads", name)
			continue
		}
		file, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		clean, left, err := withoutMetadata(file)
		switch {
		case err != nil:
			t.Errorf("%s: %v", name, err)
		case len(left) > 0 && *strip:
			if err := os.WriteFile(name, clean, 0o644); err != nil {
				t.Fatal(err)
			}
		case len(left) > 0:
			t.Errorf("%s holds metadata: %v", name, left)
		}
	}
	if pictures == 0 {
		t.Error("no pictures")
	}
}
