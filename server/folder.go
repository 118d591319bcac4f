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
func ServeFolder(ctx context.Context, listener net.Listener, site fs.FS, front Front) error {
	return serveUntil(ctx, listener, folderHandler(site, loopback(listener.Addr()), &front), func(context.Context) {})
}

func folderHandler(site fs.FS, localOnly bool, front *Front) http.Handler {
	r := chi.NewRouter()
	r.Use(middleware.Recoverer, middleware.GetHead, front.hosts(localOnly))
	all := newStaticHandler(site)
	r.Get("/*", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("X-Content-Type-Options", "nosniff")
		w.Header().Set("Content-Security-Policy", "frame-ancestors "+front.ancestors()) // Its pages have the rest of the policy themselves.
		if r.URL.Path == "/" {
			all.serve(w, r, "index.html")
			return
		}
		all.serve(w, r, strings.TrimPrefix(r.URL.Path, "/"))
	})
	return front.below(r)
}
