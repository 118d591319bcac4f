//go:build js && wasm

// Command handrule-import reads an arm from a URDF file for a page, as `handrule import` does, compiled to WebAssembly (make alone). It runs in a worker of the
// page (web/src/ownarm/importer.ts), which calls the function importArm that this program sets.
package main

import (
	"encoding/json"
	"io/fs"
	"slices"
	"syscall/js"
	"testing/fstest"

	"handrule/scenarios/form"
	"handrule/scenarios/urdf"
)

// job is what the page asks.
type job struct {
	File          string   `json:"file"` // what it is called
	Text          string   `json:"text"`
	Base          string   `json:"base"`
	Tip           string   `json:"tip"`
	Forward       string   `json:"forward"`
	MountHeightMM float64  `json:"mount_height_mm"`
	Paths         []string `json:"paths"` // of the files that were chosen with it, beside it
}

// answer is what it hears.
type answer struct {
	Arm      string    `json:"arm"` // an arm file; "" where there is none
	Notes    []string  `json:"notes"`
	Problems []problem `json:"problems"`
}

// problem is what is wrong with the file, and where, counted from 1.
type problem struct {
	Line    int    `json:"line"`
	Column  int    `json:"column"`
	Message string `json:"message"`
}

func main() {
	// importArm(job, read, reading) returns the answer, both as JSON; read(path) returns what a file holds, reading(path) hears of each mesh.
	js.Global().Set("importArm", js.FuncOf(func(_ js.Value, args []js.Value) any {
		text, err := json.Marshal(work([]byte(args[0].String()), args[1], args[2]))
		if err != nil {
			panic(err)
		}
		return string(text)
	}))
	js.Global().Get("begun").Invoke()
	select {}
}

func work(asked []byte, read, reading js.Value) answer {
	var j job
	if err := json.Unmarshal(asked, &j); err != nil {
		panic(err)
	}
	arm, notes, err := urdf.Parse(j.File, []byte(j.Text), urdf.Options{
		Base: j.Base, Tip: j.Tip, Forward: j.Forward, MountHeight: j.MountHeightMM, MeshPath: ".",
		Meshes: &chosen{paths: j.Paths, read: read}, Chosen: true, Reading: func(file string) { reading.Invoke(file) },
	})
	told := answer{Notes: append([]string{}, notes...), Problems: []problem{}}
	if err != nil {
		for _, p := range form.ProblemsOf(j.File, err) {
			told.Problems = append(told.Problems, problem{max(p.Line, 1), max(p.Column, 1), p.Message})
		}
		return told
	}
	told.Arm = string(arm.Text())
	return told
}

// chosen are the files that were chosen on the page. One is read when it is looked at; the last one stays.
type chosen struct {
	paths []string
	read  js.Value
	last  fstest.MapFS
}

func (c *chosen) Open(name string) (fs.File, error) {
	if !slices.Contains(c.paths, name) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	if c.last[name] == nil {
		array := c.read.Invoke(name)
		data := make([]byte, array.Length())
		js.CopyBytesToGo(data, array)
		c.last = fstest.MapFS{name: {Data: data}}
	}
	return c.last.Open(name)
}
