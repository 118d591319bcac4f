// Package web is the page: what the server renders around the 3D view. The scripts that fill it with life are in
// src, and are bundled into static/dist/page.js.
package web

//go:generate go tool templ generate -lazy
