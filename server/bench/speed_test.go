package bench

import (
	"fmt"
	"testing"
	"time"
)

// moving is a bench whose arm moves to and fro over the glazing bench at a speed, mm/s, with a page that shows no room.
func moving(b *testing.B, speed float64) (*Bench, func()) {
	bench, _ := testBench()
	ask(b, bench, noon, `{"type":"cell","id":"glazing-bench"}`)
	ask(b, bench, noon, `{"type":"increment","mm":10,"deg":90}`)
	ask(b, bench, noon, `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	finish(b, bench, noon)
	ask(b, bench, noon, `{"type":"frame","frame":"base","task":""}`)
	ask(b, bench, noon, fmt.Sprintf(`{"type":"speed","mm_s":%g,"deg_s":15}`, speed))
	press, sign, left := 0, 1, 0
	now := noon
	return bench, func() {
		now = now.Add(16 * time.Millisecond)
		if left--; left <= 0 {
			press++
			sign, left = -sign, 60
		}
		if left%5 == 0 {
			hold := fmt.Appendf(nil, `{"type":"hold","press":%d,"directions":[{"frame":"base","axis":1,"sign":%d}]}`, press, sign)
			bench.Request(hold, now)
		}
		bench.Advance(4, now)
	}
}

// A frame of a moving bench all told but for writing it: the ticks with contact, the pose, the encoding.
func BenchmarkStreamedFrame(b *testing.B) {
	for _, speed := range []float64{50, 250} {
		b.Run(fmt.Sprintf("%g mm/s", speed), func(b *testing.B) {
			bench, frame := moving(b, speed)
			bytes, frames, texts := 0, 0, 0
			hear := func(m Message) {
				bytes += len(m.Text)
				if m.Frame {
					frames++
				} else {
					texts++
				}
			}
			for range 100 {
				frame()
				bench.Tell(noon, hear)
			}
			bytes, frames, texts = 0, 0, 0
			b.ReportAllocs()
			for b.Loop() {
				frame()
				bench.Tell(noon, hear)
			}
			b.ReportMetric(float64(bytes)/float64(max(frames, 1)), "bytes/frame")
			b.ReportMetric(float64(texts)/float64(max(frames, 1)), "texts/frame")
		})
	}
}

// A press and a release all told: the stop, the log, and every view that they might change. The arm goes to and fro.
func BenchmarkPressAndRelease(b *testing.B) {
	bench, _ := moving(b, 50)
	hear := func(Message) {}
	press, sign, now := 0, 1, noon
	once := func() {
		press, sign = press+1, -sign
		bench.Request(fmt.Appendf(nil, `{"type":"hold","press":%d,"directions":[{"frame":"base","axis":1,"sign":%d}]}`, press, sign), now)
		bench.Tell(now, hear)
		bench.Advance(1, now)
		bench.Request([]byte(`{"type":"release"}`), now)
		for bench.Busy() {
			bench.Advance(1, now)
		}
		bench.Tell(now, hear)
	}
	for range 1100 { // The log is full then.
		once()
	}
	b.ReportAllocs()
	for b.Loop() {
		once()
	}
}
