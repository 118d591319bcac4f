package server

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/a-h/templ"
	"github.com/andybalholm/brotli"

	"handrule/web"
	"handrule/words"
)

// pages are the page as it is served, in each language. It is made and packed once, so that loading it costs next to nothing.
type pages struct {
	version string
	classes bool     // the server has classes
	made    sync.Map // pageFor to func() (*madePage, error), which makes it once, however many ask at the same time
}

// pageFor is for whom a page is made.
type pageFor struct {
	language *words.Language
	teaches  bool // the instructor
}

type madePage struct {
	plain  []byte
	packed map[string][]byte // by their encodings
	tag    string
}

func (p *pages) in(whom pageFor) (*madePage, error) {
	made, _ := p.made.LoadOrStore(whom, sync.OnceValues(func() (*madePage, error) { return p.make(whom) }))
	return made.(func() (*madePage, error))()
}

func (p *pages) make(whom pageFor) (*madePage, error) {
	var plain, br, zip bytes.Buffer
	place := web.Served(p.version)
	place.Classes, place.Teaches = p.classes, whom.teaches
	if err := web.Page().Render(web.At(web.In(context.Background(), whom.language), place), &plain); err != nil {
		return nil, err
	}
	zips, _ := gzip.NewWriterLevel(&zip, gzip.BestCompression) // The level is a right one, and a buffer takes all.
	for _, packs := range []io.WriteCloser{zips, brotli.NewWriterLevel(&br, brotli.BestCompression)} {
		packs.Write(plain.Bytes())
		packs.Close()
	}
	sum := sha256.Sum256(plain.Bytes())
	return &madePage{plain.Bytes(), map[string][]byte{"br": br.Bytes(), "gzip": zip.Bytes()}, hex.EncodeToString(sum[:8])}, nil
}

func (s *Server) servePage(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Cache-Control", "no-cache")
	h.Add("Vary", "Cookie, Accept-Language, Accept-Encoding")
	language := languageOf(r)
	if !s.opts.Bundled {
		r = r.WithContext(web.At(web.In(r.Context(), language), web.Served(s.version)))
		templ.Handler(web.Unbuilt(), templ.WithStatus(http.StatusServiceUnavailable)).ServeHTTP(w, r)
		return
	}
	page, err := s.page.in(pageFor{language, s.isInstructor(r)})
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	h.Set("Content-Type", "text/html; charset=utf-8")
	text, tag := page.plain, page.tag
	for _, p := range packed {
		if strings.Contains(r.Header.Get("Accept-Encoding"), p.encoding) {
			h.Set("Content-Encoding", p.encoding)
			text, tag = page.packed[p.encoding], page.tag+p.suffix
			break
		}
	}
	h.Set("ETag", `"`+tag+`"`)
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(text))
}
