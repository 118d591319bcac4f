package mesh_test

import (
	"math/rand/v2"
	"testing"

	"handrule/scenarios/mesh"
)

// A mesh of as many triangles as the largest files of arms have.
func BenchmarkHold(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 4))
	var body = turnedBody(r)
	for len(body) < 300_000 {
		body = append(body, turnedBody(r)...)
	}
	data := binarySTL(body)
	b.ResetTimer()
	for b.Loop() {
		m, err := mesh.Read("a.stl", data, nil)
		if err != nil {
			b.Fatal(err)
		}
		m.StandOff(m.Hold(3))
	}
}
