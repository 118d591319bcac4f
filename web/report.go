package web

import (
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"strconv"
)

// reportStyle stands in the report itself, so that a report that is saved is whole.
//
//go:embed report.css
var reportStyle string

// ReportStyleSource is what a policy allows it by.
func ReportStyleSource() string {
	sum := sha256.Sum256([]byte(reportStyle))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// Papers are the papers that a report is made for.
var Papers = []string{"a4", "letter"}

func whole(n int) string { return strconv.Itoa(n) }

// part is a count in percent of all, for the length of a bar.
func part(n, all int) string {
	if all == 0 {
		return "0"
	}
	return strconv.Itoa(100 * n / all)
}
