package worksheet

import (
	_ "embed"
	"html/template"
)

//go:embed page.html
var pageText string

var sheetPage = template.Must(template.New("sheet").Funcs(template.FuncMap{
	"lines": func(n int) []struct{} { return make([]struct{}, n) },
}).Parse(pageText))
