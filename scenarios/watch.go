package scenarios

import (
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"time"
)

// mostWatched is how many files of a folder are looked at. Those beyond are not seen to change.
const mostWatched = 5000

// Watch looks for changes in a folder and what is below it. It must not be copied.
type Watch struct {
	dir        string
	told, last map[string]stamp
}

// stamp is what a file that was saved anew has another of.
type stamp struct {
	time time.Time
	size int64
}

// NewWatch returns a watch that knows the folder as it is now.
func NewWatch(dir string) *Watch {
	now := stamps(dir)
	return &Watch{dir, now, now}
}

// Changed looks at the folder, and reports whether a file was added, saved or removed since it last reported so. A change
// is reported when the next look finds no other, because an editor may be in the middle of saving.
func (w *Watch) Changed() bool {
	now := stamps(w.dir)
	settled := maps.Equal(now, w.last)
	w.last = now
	if !settled || maps.Equal(now, w.told) {
		return false
	}
	w.told = now
	return true
}

// stamps are those of every file in the folder and below, but for hidden ones.
func stamps(dir string) map[string]stamp {
	all := map[string]stamp{}
	filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil: // It may have gone this moment.
			return nil
		case path != dir && entry.Name()[0] == '.' && entry.IsDir():
			return filepath.SkipDir
		case entry.IsDir() || entry.Name()[0] == '.':
			return nil
		case len(all) == mostWatched:
			return filepath.SkipAll
		}
		if info, err := os.Stat(path); err == nil { // a link by where it leads
			all[path] = stamp{info.ModTime(), info.Size()}
		}
		return nil
	})
	return all
}
