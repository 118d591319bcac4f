package server

import (
	"mime"
	"net/http"
	"path"

	"github.com/go-chi/chi/v5"
)

// servePicture answers with a picture that a lesson shows. It goes out as it is read, so that a page costs no memory.
func (s *Server) servePicture(w http.ResponseWriter, r *http.Request) {
	name := chi.URLParam(r, "*")
	lesson := s.home.offer.Load().Shown(chi.URLParam(r, "id"), name)
	if lesson == nil {
		http.NotFound(w, r)
		return
	}
	picture, err := lesson.OpenPicture(name) // one of those it shows, and nothing else
	if err != nil {
		http.NotFound(w, r)
		return
	}
	defer picture.Close()
	w.Header().Set("Content-Type", mime.TypeByExtension(path.Ext(name)))
	w.Header().Set("Cache-Control", "no-cache")
	http.ServeContent(w, r, "", picture.Info.ModTime(), picture)
}
