// Package single owns one bench where there is no server: it reads what is offered from files that package site has written,
// runs the arm's ticks by a clock that it is told, answers long questions a slice at a time, and writes the bench down whenever
// it stands. It has no transport: cmd/handrule-alone is compiled to WebAssembly and carries its messages to the page.
package single
