package files

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// WriteNew writes a file that only its owner can read, wholly or not at all: beside its place first, and from there to it
// when all is on the disk. Where another has made the file in the meantime that one stays, and the error is fs.ErrExist.
func WriteNew(path string, text []byte) error {
	dir := filepath.Dir(path)
	file, err := os.CreateTemp(dir, "."+filepath.Base(path)+".*.new") // with mode 0600
	if err != nil {
		return err
	}
	defer os.Remove(file.Name())
	if err := fill(file, text); err != nil {
		return err
	}
	// A link, unlike a renaming, does not take the place of a file that is there.
	err = os.Link(file.Name(), path)
	if err != nil && !errors.Is(err, fs.ErrExist) {
		err = writeInPlace(path, text) // This disk has no links.
	}
	if err != nil {
		return err
	}
	return syncDir(dir)
}

// Replace writes a file anew, wholly or not at all: beside its place first, and from there to it when all is on the disk. It keeps
// the permissions of the file, and where the path is a link it leaves that and replaces what it leads to. A file that is not there yet is
// written as by WriteNew.
func Replace(path string, text []byte) error {
	there, err := filepath.EvalSymlinks(path)
	if errors.Is(err, fs.ErrNotExist) {
		return WriteNew(path, text)
	}
	if err != nil {
		return err
	}
	path = there
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	dir := filepath.Dir(path)
	file, err := os.CreateTemp(dir, "."+filepath.Base(path)+".*.new")
	if err != nil {
		return err
	}
	defer os.Remove(file.Name())
	if err := errors.Join(file.Chmod(info.Mode().Perm()), fill(file, text)); err != nil {
		return err
	}
	if err := os.Rename(file.Name(), path); err != nil {
		return err
	}
	return syncDir(dir)
}

func writeInPlace(path string, text []byte) error {
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	err = fill(file, text)
	if err != nil {
		os.Remove(path)
	}
	return err
}

// fill writes all of a file and closes it.
func fill(file *os.File, text []byte) error {
	_, err := file.Write(text)
	return errors.Join(err, file.Sync(), file.Close())
}

// syncDir puts a folder's list of files on the disk. Where the system does not know that, it is no error.
func syncDir(dir string) error {
	folder, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer folder.Close()
	folder.Sync()
	return nil
}
