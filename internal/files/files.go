// Package files opens ordinary files of a sensible size, and nothing else: no folder, pipe or device, and no file that
// became one between the look and the opening.
package files

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
)

// ErrNotOrdinary is told of a path that leads to no ordinary file.
var ErrNotOrdinary = errors.New("is not an ordinary file")

// TooLarge is told of a file of more bytes than are plenty.
type TooLarge struct{ Size, Most int64 }

func (e TooLarge) Error() string {
	return fmt.Sprintf("is too large: %d bytes, where %d are plenty", e.Size, e.Most)
}

// File is an open file. It is read as far as it went when it was opened, also where it grows.
type File struct {
	*io.SectionReader
	Info fs.FileInfo

	file fs.File
}

// Close closes the file.
func (f *File) Close() error { return f.file.Close() }

// Open opens the file at that path.
func Open(path string, most int64) (*File, error) {
	return open(most,
		func() (fs.FileInfo, error) { return os.Stat(path) },
		func() (fs.File, error) { return os.OpenFile(path, os.O_RDONLY|atOnce, 0) })
}

// OpenIn opens a file of a file system: an embedded one, or a Folder.
func OpenIn(in fs.FS, name string, most int64) (*File, error) {
	return open(most,
		func() (fs.FileInfo, error) { return fs.Stat(in, name) },
		func() (fs.File, error) { return in.Open(name) })
}

// open looks before it opens, because opening a device may do something, and at what it has opened, because the path may
// lead elsewhere by then.
func open(most int64, stat func() (fs.FileInfo, error), open func() (fs.File, error)) (*File, error) {
	info, err := stat()
	if err != nil {
		return nil, err
	}
	if err := fit(info, most); err != nil {
		return nil, err
	}
	file, err := open()
	if err != nil {
		return nil, err
	}
	if info, err = file.Stat(); err == nil {
		err = fit(info, most)
	}
	reader, ok := file.(io.ReaderAt)
	if err == nil && !ok {
		err = ErrNotOrdinary
	}
	if err != nil {
		file.Close()
		return nil, err
	}
	return &File{io.NewSectionReader(reader, 0, info.Size()), info, file}, nil
}

func fit(info fs.FileInfo, most int64) error {
	switch {
	case !info.Mode().IsRegular():
		return ErrNotOrdinary
	case info.Size() > most:
		return TooLarge{info.Size(), most}
	}
	return nil
}

// Read returns what the file at that path holds.
func Read(path string, most int64) ([]byte, error) { return all(Open(path, most)) }

// ReadIn returns what a file of a file system holds.
func ReadIn(in fs.FS, name string, most int64) ([]byte, error) { return all(OpenIn(in, name, most)) }

func all(file *File, err error) ([]byte, error) {
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return io.ReadAll(file)
}

// IsFolder reports whether a path leads to a folder.
func IsFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// Folder returns a folder as a file system. No link leads out of it, and opening a pipe does not wait for its other end.
func Folder(dir string) (fs.FS, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, err
	}
	return folder{root}, nil
}

type folder struct{ root *os.Root }

func (f folder) Open(name string) (fs.File, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	file, err := f.root.OpenFile(name, os.O_RDONLY|atOnce, 0)
	if err != nil {
		return nil, err // and no *os.File that is nil
	}
	return file, nil
}

func (f folder) Stat(name string) (fs.FileInfo, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "stat", Path: name, Err: fs.ErrInvalid}
	}
	return f.root.Stat(name)
}
