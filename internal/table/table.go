// Package table writes tables that a spreadsheet opens: rows of cells with commas between them (CSV, RFC 4180), of which none
// is taken for a formula.
package table

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"
	"strings"

	"handrule/internal/visible"
)

// BOM is a byte order mark, by which some spreadsheets know that a table is in UTF-8.
const BOM = "\ufeff"

// Writer writes the rows of a table.
type Writer struct{ rows *csv.Writer }

// New returns a writer of a table to w.
func New(w io.Writer) Writer { return Writer{csv.NewWriter(w)} }

// Row writes a row. An error shows when the table ends.
func (w Writer) Row(cells ...string) {
	row := make([]string, len(cells))
	for i, cell := range cells {
		row[i] = plain(cell)
	}
	w.rows.Write(row)
}

// End writes what is left, and returns the first error of all.
func (w Writer) End() error {
	w.rows.Flush()
	return w.rows.Error()
}

// plain keeps a cell from being taken for a formula, which one that begins with = + - or @ could be (OWASP, CSV Injection;
// from memory), by an apostrophe before it. A plain number stays one. Where a comma is the decimal sign, a spreadsheet parts
// cells at semicolons and knows nothing of the quotes around this one, so what comes after a semicolon is treated as a cell
// of its own. Tabs and ends of lines are not in the table at all but as escapes.
func plain(cell string) string {
	if x, err := strconv.ParseFloat(cell, 64); err == nil && !strings.ContainsAny(cell, "xX_") && !math.IsInf(x, 0) && !math.IsNaN(x) {
		return cell
	}
	parts := strings.Split(visible.Text(cell), ";")
	for i, part := range parts {
		if begins := strings.TrimLeft(part, " \u00a0\"'"); begins != "" && strings.ContainsRune("=+-@＝＋－＠", []rune(begins)[0]) {
			parts[i] = "'" + part
		}
	}
	return strings.Join(parts, ";")
}
