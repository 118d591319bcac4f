package server

import (
	"context"
	"io/fs"
	"net"
	"net/http"
	"strings"

	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"
)

// ServeFolder serves the files of a site (package site) as any web host does, until ctx ends.
func ServeFolder(ctx context.Context, listener net.Listener, site fs.FS) error {
	return serveUntil(ctx, listener, folderHandler(site, loopback(listener.Addr())), func(context.Context) {})
}

func folderHandler(site fs.FS, localOnly bool) http.Handler {
	r := chi.NewRouter()
	r.Use(middleware.Recoverer, middleware.GetHead)
	if localOnly {
		r.Use(localHost)
	}
	all := newStaticHandler(site)
	r.Get("/*", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("X-Content-Type-Options", "nosniff") // Its pages have a policy of their own.
		if r.URL.Path == "/" {
			all.serve(w, r, "index.html")
			return
		}
		all.serve(w, r, strings.TrimPrefix(r.URL.Path, "/"))
	})
	return r
}
