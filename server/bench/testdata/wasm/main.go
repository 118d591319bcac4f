// The least owner of a bench in a browser: requests come in and messages go out through two functions of the page.
package main

import (
	"syscall/js"
	"time"

	"handrule/scenarios"
	"handrule/server/bench"
	"handrule/words"
)

func main() {
	offer := bench.Offer{Arms: scenarios.ShippedArms(), Cells: scenarios.ShippedCells(), Lessons: scenarios.ShippedLessons()}
	b := bench.New(&offer, bench.Env{Random: func() uint64 { return uint64(time.Now().UnixNano()) }})
	told := js.Global().Get("told")
	tell := func() { b.Tell(time.Now(), func(m bench.Message) { told.Invoke(string(m.Text), m.Frame) }) }
	js.Global().Set("ask", js.FuncOf(func(_ js.Value, asked []js.Value) any {
		b.Request([]byte(asked[0].String()), time.Now())
		tell()
		return nil
	}))
	b.Connect(bench.Welcome{}, words.English)
	tell()
	for range time.Tick(time.Second / 60) {
		if b.Busy() {
			b.Advance(4, time.Now())
		}
		if q := b.Question(); q != nil {
			for !q.Work() {
			}
			b.Answer(q)
		}
		tell()
	}
}
