package server

import (
	"mime"
	"net/http"
	"path"
	"strings"

	"github.com/go-chi/chi/v5"

	"handrule/internal/files"
	"handrule/scenarios/mesh"
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
	serveOpen(w, r, picture, mime.TypeByExtension(path.Ext(name)))
}

// serveOpen answers with a file as it is read. Its name may stand for another one soon.
func serveOpen(w http.ResponseWriter, r *http.Request, file *files.File, kind string) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "no-cache")
	http.ServeContent(w, r, "", file.Info.ModTime(), file)
}

// meshTypes are what files of meshes are called, which systems know by their ending in different ways or not at all.
var meshTypes = map[string]string{".stl": "model/stl", ".obj": "model/obj", ".mtl": "model/mtl", ".gltf": "model/gltf+json", ".glb": "model/gltf-binary", ".png": "image/png", ".jpg": "image/jpeg", ".jpeg": "image/jpeg"}

// serveMesh answers with a file that an arm's meshes are in, as it is read.
func (s *Server) serveMesh(w http.ResponseWriter, r *http.Request) {
	name, offer := chi.URLParam(r, "*"), s.home.offer.Load()
	if offer.Folder == nil || !offer.Holds(chi.URLParam(r, "id"), name) { // one of those it names, and nothing else
		http.NotFound(w, r)
		return
	}
	file, err := files.OpenIn(offer.Folder, name, mesh.LargestFile)
	if err != nil {
		http.NotFound(w, r)
		return
	}
	defer file.Close()
	kind := meshTypes[strings.ToLower(path.Ext(name))]
	if kind == "" {
		kind = "application/octet-stream"
	}
	serveOpen(w, r, file, kind)
}
