package scenarios

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"sync"

	"handrule/internal/files"
	"handrule/kinematics"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
	"handrule/scenarios/mesh"
)

// meshLooker reads the files of meshes in a folder, each once. It may be used by many at once.
type meshLooker struct {
	beside fs.FS
	keep   bool // keep what was read, to be asked for notes

	mu   sync.Mutex
	read map[string]looked
}

// looked is a mesh that was read: the files that it is in, and how large these are.
type looked struct {
	*mesh.Mesh // nil where it is not kept
	files      []string
	bytes      int64
}

// lookBeside looks at meshes in the folder, from which nothing leads out.
func lookBeside(beside fs.FS) *meshLooker {
	return &meshLooker{beside: beside, read: map[string]looked{}}
}

// arm looks at the meshes of one arm. Colours that are not there are not missed.
func (l *meshLooker) arm() armfile.Look {
	var bytes int64
	counted := map[string]bool{}
	return func(m armfile.Mesh) ([]string, error) {
		l.mu.Lock()
		defer l.mu.Unlock()
		surface, err := l.mesh(m.File)
		if err != nil {
			return nil, err
		}
		if !counted[m.File] {
			bytes += surface.bytes
			counted[m.File] = true
		}
		if bytes > mesh.LargestInAll {
			return nil, fmt.Errorf("is one too many: the meshes of an arm may have %d MB together", mesh.LargestInAll>>20)
		}
		return surface.files, nil
	}
}

func (l *meshLooker) mesh(name string) (found looked, err error) {
	if known, is := l.read[name]; is {
		return known, nil
	}
	beside := func(file string) ([]byte, error) {
		text, err := l.file(file)
		found.bytes += int64(len(text))
		return text, err
	}
	text, err := beside(name)
	if err != nil {
		return found, err
	}
	surface, err := mesh.Read(name, text, beside)
	if err != nil {
		return found, err
	}
	if l.keep {
		found.Mesh = surface
	}
	found.files = []string{name}
	for _, named := range surface.Beside {
		if named.Skip {
			file, err := files.OpenIn(l.beside, named.File, mesh.LargestFile)
			if err != nil {
				continue
			}
			found.bytes += file.Size()
			file.Close()
		}
		found.files = append(found.files, named.File)
	}
	l.read[name] = found
	return found, nil
}

func (l *meshLooker) file(name string) ([]byte, error) {
	if l.beside == nil {
		return nil, errors.New("cannot be read: nothing is beside this file")
	}
	text, err := files.ReadIn(l.beside, name, mesh.LargestFile)
	var large files.TooLarge
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, errors.New("is not in the arm file's folder")
	case errors.Is(err, files.ErrNotOrdinary), errors.As(err, &large):
		return nil, err
	case err != nil: // such as a link that leads out
		return nil, fmt.Errorf("cannot be read: %w", form.WithoutPath(err))
	}
	return text, nil
}

// notes tell how many triangles are drawn, and what of them lies beyond the bodies that can touch.
func (l *meshLooker) notes(arm *armfile.Arm) (notes []string) {
	count := 0
	for _, m := range arm.Meshes {
		surface := l.read[m.File]
		count += len(surface.Triangles)
		body, of := arm.Body, fmt.Sprintf("link %d", m.Link)
		if m.Tool != "" {
			tool, err := arm.Tool(m.Tool)
			if err != nil {
				continue
			}
			body, of = tool.Body, "tool "+form.Quoted(m.Tool)
		}
		held := kinematics.OfLink(body, m.Link)
		if len(held) == 0 {
			notes = append(notes, fmt.Sprintf("note: %s is drawn as %s and has no body: nothing of it is ever said to touch", of, form.Quoted(m.File)))
			continue
		}
		if beyond := surface.Placed(m.At, m.Scale).Beyond(held); beyond >= 0.05 {
			notes = append(notes, fmt.Sprintf("note: what is drawn of %s, %s, reaches up to %s mm beyond the body that can touch", of, form.Quoted(m.File), form.Decimal(math.Round(beyond*10)/10)))
		}
	}
	if len(arm.Meshes) > 0 {
		notes = append(notes, fmt.Sprintf("meshes: %d, of %d triangles", len(arm.Meshes), count))
	}
	return notes
}
