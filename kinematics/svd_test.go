package kinematics

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// The decomposition is that of gonum's general one (LAPACK's dgesvd in Go), also where the columns are nearly dependent.
func TestThinSVDIsTheGeneralOne(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for trial := range 500 {
		n := 3 + random.IntN(60)
		a, b, general, right := make([][]float64, n), make([]float64, n), mat.NewDense(n, 3, nil), mat.NewDense(n, 1, nil)
		squeeze := math.Pow(10, -6*random.Float64())
		for i := range a {
			x, y, z := random.NormFloat64(), random.NormFloat64(), random.NormFloat64()
			a[i] = []float64{x, y, x - y + squeeze*z}
			b[i] = random.NormFloat64()
			general.SetRow(i, a[i])
			right.Set(i, 0, b[i])
		}
		got := svdOf(a)
		var svd mat.SVD
		if !svd.Factorize(general, mat.SVDThin) {
			t.Fatal("gonum finds no decomposition")
		}
		want := svd.Values(nil)
		for j := range want {
			if math.Abs(got.values[j]-want[j]) > 1e-12*want[0] {
				t.Fatalf("trial %d: singular value %d is %v, want %v", trial, j, got.values[j], want[j])
			}
		}
		var v, x mat.Dense
		svd.VTo(&v)
		svd.SolveTo(&x, right, 3)
		weak := r3.Vec{X: v.At(0, 2), Y: v.At(1, 2), Z: v.At(2, 2)}
		if off := r3.Norm(r3.Cross(weak, got.column(2))); off > 1e-9 {
			t.Fatalf("trial %d: the weakest direction is off by %v", trial, off)
		}
		solution := got.solve(b, 3)
		solved, expected := r3.Vec{X: solution[0], Y: solution[1], Z: solution[2]}, r3.Vec{X: x.At(0, 0), Y: x.At(1, 0), Z: x.At(2, 0)}
		if r3.Norm(r3.Sub(solved, expected)) > 1e-9/squeeze*(1+r3.Norm(expected)) {
			t.Fatalf("trial %d: the solution is %v, want %v", trial, solved, expected)
		}
	}
}
