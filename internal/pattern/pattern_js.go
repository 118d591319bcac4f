package pattern

import "syscall/js"

// Pattern is a regular expression of ECMAScript. Texts are valid UTF-8 here: they come from the page.
type Pattern struct {
	text     string
	one, all js.Value // one is without the flag that makes a match go on behind the last one
}

var (
	matches  = js.Global().Get("String").Get("prototype").Get("match")
	replaced = js.Global().Get("String").Get("prototype").Get("replace")
)

func Of(text string) *Pattern {
	refuse(text)
	expression := js.Global().Get("RegExp")
	return &Pattern{text, expression.New(text, "su"), expression.New(text, "sug")}
}

func (p *Pattern) String() string { return p.text }

func (p *Pattern) In(text string) bool { return p.one.Call("test", text).Bool() }

func (p *Pattern) First(text string) []string { return texts(p.one.Call("exec", text)) }

func (p *Pattern) All(text string) []string { return texts(matches.Call("call", text, p.all)) }

func (p *Pattern) Replace(text string, by func(match string) string) string {
	f := js.FuncOf(func(_ js.Value, args []js.Value) any { return by(args[0].String()) })
	defer f.Release()
	return replaced.Call("call", text, p.all, f).String()
}

// texts are those of an array, "" for a group that is in no match; nil for null.
func texts(array js.Value) []string {
	if array.IsNull() {
		return nil
	}
	all := make([]string, array.Length())
	for i := range all {
		if text := array.Index(i); !text.IsUndefined() {
			all[i] = text.String()
		}
	}
	return all
}
