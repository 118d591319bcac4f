package server

import (
	"net/http"
	"path"

	"github.com/go-chi/chi/v5"

	"handrule/internal/files"
	"handrule/scenarios/form"
	"handrule/scenarios/jogfile"
)

// serveJogs answers with a jog file that an address names, out of the folder that is served. What is wrong in it the bench says that is to play it.
func (s *Server) serveJogs(w http.ResponseWriter, r *http.Request) {
	name := chi.URLParam(r, "file")
	if s.opts.Jogs == nil || path.Ext(name) != jogfile.Ending {
		http.NotFound(w, r)
		return
	}
	text, err := files.ReadIn(s.opts.Jogs, path.Join(jogfile.Folder, name), form.LargestFile)
	if err != nil {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Cache-Control", "no-cache")
	w.Write(text)
}
