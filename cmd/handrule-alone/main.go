//go:build js && wasm

// Command handrule-alone is a bench for one page without a server, compiled to WebAssembly (make alone). It runs in a worker of
// the page (web/src/link/worker.ts), which calls the functions of the object `bench` that this program sets, and hears what the
// bench tells through `told(text)` and `told(bytes)`.
package main

import (
	"syscall/js"
	"time"

	"handrule/server/bench"
	"handrule/server/single"
	"handrule/words"
)

// owner is made by begin.
var owner *single.Owner

func main() {
	told := js.Global().Get("told")
	array := js.Global().Get("Uint8Array")
	tell := func(m bench.Message) {
		if !m.Frame {
			told.Invoke(string(m.Text))
			return
		}
		frame := array.New(len(m.Text))
		js.CopyBytesToJS(frame, m.Text)
		told.Invoke(frame)
	}
	functions := map[string]func([]js.Value) any{
		// begin(catalog, language) returns what is wrong, or null.
		"begin": func(args []js.Value) any {
			in := words.Find(args[1].String())
			if in == nil {
				in = words.English
			}
			var err error
			owner, err = single.New([]byte(args[0].String()), in, tell)
			return said(err)
		},
		// lacks(id) says whether a lesson has to be read before it can be opened; read(text) reads it.
		"lacks": func(args []js.Value) any { return owner.Lacks(args[0].String()) },
		"read":  func(args []js.Value) any { return said(owner.Read([]byte(args[0].String()))) },
		// connect(bench, anew, program, state, log) begins to tell the page.
		"connect": func(args []js.Value) any {
			welcome := bench.Welcome{Bench: args[0].String(), Program: args[2].String()}
			owner.Connect(welcome, args[1].String(), bytes(args[3]), bytes(args[4]), time.Now())
			return nil
		},
		"ask": func(args []js.Value) any {
			owner.Request([]byte(args[0].String()), time.Now())
			return owner.Moves()
		},
		"complain": func(args []js.Value) any {
			owner.Complain(args[0].String(), time.Now())
			return nil
		},
		// frame(late) is to be called sixty times a second while it returns true; late is by how many ms it comes late.
		"frame": func(args []js.Value) any {
			now := time.Now()
			return owner.Frame(now, now.Add(-time.Duration(args[0].Float()*float64(time.Millisecond))))
		},
		// think returns true while there is more to think about.
		"think": func([]js.Value) any { return owner.Think(time.Now()) },
		"moves": func([]js.Value) any { return owner.Moves() },
		"asks":  func([]js.Value) any { return owner.Asks() },
		// keep returns what is to be kept of the bench, or null.
		"keep": func([]js.Value) any {
			state, log, lesson, ok := owner.Keep()
			if !ok {
				return nil
			}
			return map[string]any{"state": copied(array, state), "log": copied(array, log), "lesson": lesson}
		},
	}
	object := map[string]any{}
	for name, f := range functions {
		object[name] = js.FuncOf(func(_ js.Value, args []js.Value) any { return f(args) })
	}
	js.Global().Set("bench", object)
	js.Global().Get("begun").Invoke()
	select {}
}

// said is what is wrong, for the worker.
func said(err error) any {
	if err == nil {
		return nil
	}
	return err.Error()
}

func copied(array js.Value, text []byte) js.Value {
	all := array.New(len(text))
	js.CopyBytesToJS(all, text)
	return all
}

// bytes returns those of an array, none for null.
func bytes(array js.Value) []byte {
	if array.IsNull() || array.IsUndefined() {
		return nil
	}
	all := make([]byte, array.Length())
	js.CopyBytesToGo(all, array)
	return all
}
