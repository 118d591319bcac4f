package server

import (
	"bytes"
	"crypto/ed25519"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"handrule/scenarios/results"
	"handrule/server/class"
	"handrule/web"
)

// This file is what the instructor takes away of a class: the report for paper, and the table for a gradebook.

// classReport writes the class down for paper. By itself it names nobody.
func (s *Server) classReport(w http.ResponseWriter, r *http.Request, c *class.Class) {
	query, in := r.URL.Query(), languageOf(r)
	paper := query.Get("paper")
	if !slices.Contains(web.Papers, paper) {
		paper = web.Papers[0]
	}
	var page bytes.Buffer
	if err := web.Report(c.Report(query.Get("names") == "1", in, time.Now()), paper).Render(web.In(r.Context(), in), &page); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src "+web.ReportStyleSource()+"; base-uri 'none'; form-action 'none'; frame-ancestors "+noAncestors)
	w.Write(page.Bytes())
}

// classTable writes the results that have arrived as a table for a gradebook: by itself the best of each learner and lesson, with all
// that tells whose it is.
func (s *Server) classTable(w http.ResponseWriter, r *http.Request, c *class.Class) {
	query := r.URL.Query()
	t := results.Table{Take: results.TakeBest, Zone: time.Local, BOM: forSpreadsheet(r), Tell: told(r)}
	switch take := results.Take(query.Get("take")); take {
	case results.TakeLast, results.TakeEvery:
		t.Take = take
	}
	var rows []results.Row
	for i, text := range c.Results() {
		result, err := results.Read([]byte(text), s.opts.Key.Public().(ed25519.PublicKey))
		rows = append(rows, results.Row{File: fmt.Sprintf("%s %d", c.Code, i+1), Result: result, Err: err})
	}
	asTable(w, "class-"+c.Code)
	if err := t.Write(w, rows); err != nil {
		s.opts.Log.Warn("the table of a class is not written whole", "class", c.Code, "why", err)
	}
}

// classAnswers writes the answers to the questions of a class as a table, with all that tells whose they are.
func (s *Server) classAnswers(w http.ResponseWriter, r *http.Request, c *class.Class) {
	t := class.AnswersTable{Zone: time.Local, BOM: forSpreadsheet(r), Tell: told(r), In: languageOf(r)}
	asTable(w, "class-"+c.Code+"-answers")
	if err := t.Write(w, c); err != nil {
		s.opts.Log.Warn("the answers of a class are not written whole", "class", c.Code, "why", err)
	}
}

// told is which columns are to tell whose a row is; nil: all.
func told(r *http.Request) []string {
	if query := r.URL.Query(); query.Has("tell") {
		return strings.Split(query.Get("tell"), ",")
	}
	return nil
}

// forSpreadsheet reports whether a table is to begin with a byte order mark: one from the page is opened in a spreadsheet.
func forSpreadsheet(r *http.Request) bool { return r.URL.Query().Get("bom") != "0" }

// asTable says that what follows is a table, to be saved under that name.
func asTable(w http.ResponseWriter, name string) {
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`.csv"`)
}
