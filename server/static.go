package server

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strings"
)

// staticHandler serves files with a tag of their content, in the packed form beside them (.br, .gz) where the page
// takes it.
type staticHandler struct {
	files fs.FS
	tags  map[string]string
}

func newStaticHandler(files fs.FS) *staticHandler {
	h := &staticHandler{files: files, tags: map[string]string{}}
	_ = fs.WalkDir(files, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return nil
		}
		if text, err := fs.ReadFile(files, name); err == nil {
			sum := sha256.Sum256(text)
			h.tags[name] = `"` + hex.EncodeToString(sum[:8]) + `"`
		}
		return nil
	})
	return h
}

// packed are the packed forms, best first.
var packed = []struct{ encoding, suffix string }{{"br", ".br"}, {"gzip", ".gz"}}

func (h *staticHandler) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h.serve(w, r, path.Clean(strings.TrimPrefix(r.URL.Path, "/")))
}

// serve answers with the file of that name; one that is there in packed form alone only to who takes that.
func (h *staticHandler) serve(w http.ResponseWriter, r *http.Request, name string) {
	_, plain := h.tags[name]
	_, zipped := h.tags[name+".gz"]
	if !plain && !zipped || strings.HasSuffix(name, ".go") {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", mime.TypeByExtension(path.Ext(name)))
	w.Header().Set("Cache-Control", "no-cache")
	w.Header().Add("Vary", "Accept-Encoding")
	for _, p := range packed {
		if _, there := h.tags[name+p.suffix]; there && strings.Contains(r.Header.Get("Accept-Encoding"), p.encoding) {
			w.Header().Set("Content-Encoding", p.encoding)
			name += p.suffix
			break
		}
	}
	if _, there := h.tags[name]; !there {
		http.Error(w, "this file is sent packed; accept gzip", http.StatusNotAcceptable)
		return
	}
	w.Header().Set("ETag", h.tags[name])
	http.ServeFileFS(w, r, h.files, name)
}

// digest tells one set of files from another.
func digest(files fs.FS) string {
	all := sha256.New()
	_ = fs.WalkDir(files, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return nil
		}
		text, err := fs.ReadFile(files, name)
		if err == nil {
			fmt.Fprintf(all, "%s %d\n", name, len(text))
			all.Write(text)
		}
		return nil
	})
	return hex.EncodeToString(all.Sum(nil)[:8])
}
