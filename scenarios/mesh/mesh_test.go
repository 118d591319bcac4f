package mesh_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/draws"
	"handrule/kinematics"
	"handrule/scenarios/mesh"
)

// binarySTL writes triangles as a binary STL file.
func binarySTL(triangles [][3]r3.Vec) []byte {
	var b bytes.Buffer
	b.Write(make([]byte, 80))
	binary.Write(&b, binary.LittleEndian, uint32(len(triangles)))
	for _, t := range triangles {
		b.Write(make([]byte, 12))
		b.Write(points([][3]r3.Vec{t}))
		b.Write(make([]byte, 2))
	}
	return b.Bytes()
}

// turnedBody is the surface of a body of revolution about some axis, bent and noisy, as castings are.
func turnedBody(r *rand.Rand) (triangles [][3]r3.Vec) {
	const rings, round = 12, 16
	axis := r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()})
	turn := kinematics.RotationAbout(axis, 3*r.Float64())
	long, wide, bend := 40+400*r.Float64(), 10+80*r.Float64(), 60*r.Float64()
	var points [rings + 1][round]r3.Vec
	for i := range points {
		s := float64(i) / rings
		for k := range points[i] {
			a := 2 * math.Pi * float64(k) / round
			w := wide * (0.6 + 0.4*math.Cos(5*s)) * (1 + 0.2*r.Float64())
			points[i][k] = turn.Apply(r3.Vec{X: w*math.Cos(a) + bend*s*s, Y: 0.7 * w * math.Sin(a), Z: long * s})
		}
	}
	for i := range rings {
		for k := range round {
			a, b, c, d := points[i][k], points[i][(k+1)%round], points[i+1][k], points[i+1][(k+1)%round]
			triangles = append(triangles, [3]r3.Vec{a, b, d}, [3]r3.Vec{a, d, c})
		}
	}
	return triangles
}

// outside is how far a point is outside all capsules, by the nearest point of each axis among many.
func outside(p r3.Vec, held []kinematics.Capsule) float64 {
	best := math.Inf(1)
	for _, c := range held {
		along := r3.Sub(c.To, c.From)
		s := 0.0
		if n := r3.Norm2(along); n > 0 {
			s = min(1, max(0, r3.Dot(r3.Sub(p, c.From), along)/n))
		}
		best = min(best, r3.Norm(r3.Sub(p, r3.Add(c.From, r3.Scale(s, along))))-c.Radius)
	}
	return best
}

// Every vertex is within, and so is every point of every triangle; and the capsules stand off no farther than is told, give or take what lies
// between the points at which that is measured.
func TestCapsulesHoldTheMesh(t *testing.T) {
	r := rand.New(rand.NewPCG(draws.Seed(), 3))
	worst, loosest := 0.0, 0.0
	for n := range 60 {
		body := turnedBody(r)
		m, err := mesh.Read("a.stl", binarySTL(body), nil)
		if err != nil {
			t.Fatal(err)
		}
		held := m.Hold(1 + n%4)
		if len(held) == 0 || len(held) > 1+n%4 {
			t.Fatalf("%d capsules", len(held))
		}
		for _, tri := range m.Triangles {
			for range 4 {
				u, v := r.Float64(), r.Float64()
				if u+v > 1 {
					u, v = 1-u, 1-v
				}
				a, b, c := m.Points[tri[0]], m.Points[tri[1]], m.Points[tri[2]]
				inside := r3.Add(a, r3.Add(r3.Scale(u, r3.Sub(b, a)), r3.Scale(v, r3.Sub(c, a))))
				for _, p := range []r3.Vec{a, b, c, inside} {
					worst = max(worst, outside(p, held))
				}
			}
		}
		// Points all over the capsules, at random; the nearest of many points of the surface is a little farther than the surface.
		told, off := m.StandOff(held), 0.0
		var surface []r3.Vec
		for _, tri := range m.Triangles {
			for u := 0.0; u <= 1; u += 0.25 {
				for v := 0.0; u+v <= 1; v += 0.25 {
					a, b, c := m.Points[tri[0]], m.Points[tri[1]], m.Points[tri[2]]
					surface = append(surface, r3.Add(a, r3.Add(r3.Scale(u, r3.Sub(b, a)), r3.Scale(v, r3.Sub(c, a)))))
				}
			}
		}
		for range 150 {
			c := held[r.IntN(len(held))]
			p := r3.Add(r3.Add(c.From, r3.Scale(r.Float64(), r3.Sub(c.To, c.From))), r3.Scale(c.Radius, r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()})))
			if math.Abs(outside(p, held)) > 1e-6*c.Radius {
				continue // within one of them
			}
			near := math.Inf(1)
			for _, q := range surface {
				near = min(near, r3.Norm(r3.Sub(p, q)))
			}
			off = max(off, near)
		}
		loosest = max(loosest, off-told)
	}
	if worst > 1e-6 {
		t.Errorf("a point is %g mm outside", worst)
	}
	if loosest > 5 {
		t.Errorf("capsules stand off %g mm farther than is told", loosest)
	}
	t.Logf("farthest outside %.2g mm; farther off than told by at most %.2g mm", worst, loosest)
}

// A tube's capsule is known beforehand: a cylinder of radius 30 from -100 to 100 is held by radius 30/cos of what its sixteen edges leave out.
func TestATubeIsHeldClosely(t *testing.T) {
	var text strings.Builder
	for _, z := range []float64{-100, 100} {
		for k := range 64 {
			a := 2 * math.Pi * float64(k) / 64
			fmt.Fprintf(&text, "v %g %g %g\n", 30*math.Cos(a), 30*math.Sin(a), z)
		}
	}
	for k := range 64 {
		fmt.Fprintf(&text, "f %d//1 %d//1 %d//1 %d//1\n", k+1, (k+1)%64+1, 64+(k+1)%64+1, 64+k+1)
	}
	m, err := mesh.Read("tube.OBJ", []byte(text.String()), nil)
	if err != nil {
		t.Fatal(err)
	}
	held := m.Hold(1)
	if len(held) != 1 || held[0].Radius < 30 || held[0].Radius > 31 || math.Abs(math.Abs(held[0].From.Z)-100) > 8 {
		t.Errorf("%+v", held)
	}
}

func TestBadMeshesAreRefused(t *testing.T) {
	good := binarySTL([][3]r3.Vec{{{X: 1}, {Y: 1}, {Z: 1}}})
	nan := bytes.Clone(good)
	binary.LittleEndian.PutUint32(nan[84+12:], math.Float32bits(float32(math.NaN())))
	many := bytes.Clone(good)
	binary.LittleEndian.PutUint32(many[80:], math.MaxUint32)
	for name, test := range map[string]struct{ file, text, says string }{
		"truncated":       {"a.stl", string(good[:100]), "says that it has 1 triangles, and ends after 0"},
		"only a head":     {"a.stl", "abc", "ends after 3 bytes"},
		"not finite":      {"a.stl", string(nan), "triangle 1 has a corner"},
		"a huge count":    {"a.stl", string(many), "says that it has 4294967295 triangles"},
		"no triangles":    {"a.stl", string(make([]byte, 84)), "has no triangles"},
		"text, cut off":   {"a.stl", "solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\n", "ends within a facet"},
		"text, no number": {"a.stl", "solid x\nfacet normal 0 0 1\nvertex 0 0 zero\n", "line 3 has \"zero\""},
		"a point too far": {"a.obj", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 4\n", "line 4 names the point \"4\"; there are 3"},
		"infinite":        {"a.obj", "v 0 0 Inf\n", "line 1 has \"Inf\""},
		"a long line":     {"a.obj", strings.Repeat("v", 70_000), "more than 64 KB"},
		"another kind":    {"a.dae", "", "of a kind that is not read (.dae)"},
	} {
		if _, err := mesh.Read(test.file, []byte(test.text), nil); err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Whatever the bytes, a mesh is refused or held.
func FuzzMesh(f *testing.F) {
	r := rand.New(rand.NewPCG(1, 2))
	f.Add("a.stl", binarySTL(turnedBody(r)))
	f.Add("a.stl", []byte("solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\nendsolid"))
	f.Add("a.obj", []byte("v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1/2/3 2 -1\n"))
	f.Fuzz(func(t *testing.T, name string, data []byte) {
		if len(data) > 100_000 {
			return
		}
		m, err := mesh.Read(name, data, nil)
		if err != nil {
			return
		}
		held := m.Hold(3)
		for _, tri := range m.Triangles {
			for _, i := range tri {
				if off := outside(m.Points[i], held); !(off <= 1e-6*(1+r3.Norm(m.Points[i]))) {
					t.Fatalf("a vertex is %g outside", off)
				}
			}
		}
	})
}
