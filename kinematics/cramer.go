package kinematics

import "gonum.org/v1/gonum/spatial/r3"

// cramer returns what solving three equations takes: x·a + y·b + z·c = v has the solution x = v·rowX/det, y = v·rowY/det,
// z = v·rowZ/det (Cramer's rule). The rows over det are those of the inverse of the matrix with columns a, b and c.
func cramer(a, b, c r3.Vec) (rowX, rowY, rowZ r3.Vec, det float64) {
	rowX = r3.Cross(b, c)
	return rowX, r3.Cross(c, a), r3.Cross(a, b), r3.Dot(a, rowX)
}

// solve3 returns the solution of x·a + y·b + z·c = v, of infinite or no numbers where there is not one.
func solve3(a, b, c, v r3.Vec) r3.Vec {
	rowX, rowY, rowZ, det := cramer(a, b, c)
	return r3.Vec{X: r3.Dot(v, rowX) / det, Y: r3.Dot(v, rowY) / det, Z: r3.Dot(v, rowZ) / det}
}
