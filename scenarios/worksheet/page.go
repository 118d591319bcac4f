package worksheet

import (
	_ "embed"
	"html/template"

	"handrule/words"
)

//go:embed page.html
var pageText string

// sheetPage says its texts in English until it is told otherwise.
var sheetPage = template.Must(template.New("sheet").Funcs(template.FuncMap{
	"lines":  func(n int) []struct{} { return make([]struct{}, n) },
	"say":    words.English.Say,
	"number": func(x float64) string { return words.English.Short(x, 2) },
}).Parse(pageText))
