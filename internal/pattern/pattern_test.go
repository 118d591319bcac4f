package pattern_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"math/rand/v2"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"handrule/internal/pattern"
)

// used are the patterns of the whole program.
func used(t *testing.T) (all []string) {
	t.Helper()
	err := filepath.WalkDir("../..", func(path string, entry fs.DirEntry, err error) error {
		if entry.IsDir() && (entry.Name() == "node_modules" || entry.Name() == "testdata") {
			return fs.SkipDir
		}
		if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			call, is := n.(*ast.CallExpr)
			if !is || len(call.Args) != 1 {
				return true
			}
			f, is := call.Fun.(*ast.SelectorExpr)
			if !is || f.Sel.Name != "Of" {
				return true
			}
			if of, is := f.X.(*ast.Ident); !is || of.Name != "pattern" {
				return true
			}
			text, err := strconv.Unquote(call.Args[0].(*ast.BasicLit).Value)
			if err != nil {
				t.Error(err)
			}
			all = append(all, text)
			return true
		})
		return nil
	})
	if err != nil || len(all) < 10 {
		t.Fatal(len(all), err)
	}
	return all
}

var pieces = strings.SplitAfter("a|J1|J7|x_2|es|name|yes no|"+
	" |  |\t|\n|\r|\u00a0|\u202f|-|- |+|−|:|: |#|,|.|*|/|_|[|]|{|}|\"|$|$h|$h_1|-$h|0|1|12.5|1,270|2|12,|mm|mm/s|mmol|pi|π|θ|θ2|q3|theta_{4}|.yaml|.es.yml|é|𝜃|", "|")

// Every pattern of the program finds the same in Go's package regexp and here, which in a browser's program is the browser's own.
func TestPatternsMeanTheSameInBoth(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	found := 0
	for _, text := range used(t) {
		p, want := pattern.Of(text), regexp.MustCompile("(?s)"+text)
		if p.String() != text {
			t.Errorf("%s says that it is %s", text, p)
		}
		for range 2000 {
			var said string
			for range 1 + r.IntN(9) {
				said += strings.TrimSuffix(pieces[r.IntN(len(pieces))], "|")
			}
			if got, want := p.In(said), want.MatchString(said); got != want {
				t.Fatalf("%s in %q: %v, Go says %v", text, said, got, want)
			}
			if got, want := p.First(said), want.FindStringSubmatch(said); !slices.Equal(got, want) || (got == nil) != (want == nil) {
				t.Fatalf("%s in %q: %q, Go says %q", text, said, got, want)
			}
			all := p.All(said)
			if want := want.FindAllString(said, -1); !slices.Equal(all, want) {
				t.Fatalf("%s in %q: %q, Go says %q", text, said, all, want)
			}
			upper := func(match string) string { return "<" + strings.ToUpper(match) + ">" }
			if got, want := p.Replace(said, upper), want.ReplaceAllStringFunc(said, upper); got != want {
				t.Fatalf("%s in %q: %q, Go says %q", text, said, got, want)
			}
			found += len(all)
		}
	}
	if found < 5000 {
		t.Errorf("only %d matches in all", found)
	}
}

func TestWhatIsReadDifferentlyIsRefused(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a pattern with \\s is taken")
		}
	}()
	pattern.Of(`a\sb`)
}
