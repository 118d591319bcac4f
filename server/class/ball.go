package class

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// This file draws arrows on a ball, as an SVG of lines for paper: what is behind is dashed, and letters stand for groups.

// marked is an arrow with what is written at its tip.
type marked struct {
	way  r3.Vec
	mark string
}

// eye is the direction that the ball is looked at from.
type eye struct{ right, up, towards r3.Vec }

func eyeFrom(azimuth, elevation float64) eye {
	towards := r3.Vec{X: math.Cos(elevation) * math.Cos(azimuth), Y: math.Cos(elevation) * math.Sin(azimuth), Z: math.Sin(elevation)}
	right := r3.Unit(r3.Cross(r3.Vec{Z: 1}, towards))
	return eye{right, r3.Cross(towards, right), towards}
}

// eyeFor looks at the ball so that the arrow points at the reader's side, but not at the reader.
func eyeFor(truth *r3.Vec) eye {
	for _, azimuth := range []float64{-0.6, 0.7, 2.4, -2.4} {
		e := eyeFrom(azimuth, 0.42)
		if truth == nil {
			return e
		}
		if towards := r3.Dot(e.towards, *truth); towards > 0.05 && towards < 0.85 {
			return e
		}
	}
	return eyeFrom(-0.6, 0.42)
}

// Sizes of the ball, mm on paper.
const (
	ballRadius = 16.0
	ballWhole  = 44.0 // with what is written around it
	ballLetter = 3.2
)

// ball draws every arrow thin, the means of groups thick with their marks, and the right one with a ring.
func ball(arrows [][3]float64, means []marked, truth *r3.Vec, says string) string {
	e := eyeFor(truth)
	var b strings.Builder
	middle := ballWhole / 2
	at := func(v r3.Vec, by float64) (x, y float64) {
		return middle + by*ballRadius*r3.Dot(v, e.right), middle - by*ballRadius*r3.Dot(v, e.up)
	}
	behind := func(v r3.Vec) string {
		if r3.Dot(v, e.towards) < -1e-9 {
			return " behind"
		}
		return ""
	}
	line := func(class string, v r3.Vec, by float64) {
		x, y := at(v, by)
		fmt.Fprintf(&b, `<line class="%s%s" x1="%.2f" y1="%.2f" x2="%.2f" y2="%.2f"/>`, class, behind(v), middle, middle, x, y)
	}
	head := func(class string, v r3.Vec) {
		x, y := at(v, 1)
		dx, dy := x-middle, y-middle
		if size := math.Hypot(dx, dy); size > 2 {
			dx, dy = dx/size, dy/size
			fmt.Fprintf(&b, `<polygon class="%s%s" points="%.2f,%.2f %.2f,%.2f %.2f,%.2f"/>`, class, behind(v), x, y, x-2.2*dx-0.8*dy, y-2.2*dy+0.8*dx, x-2.2*dx+0.8*dy, y-2.2*dy-0.8*dx)
			return
		}
		fmt.Fprintf(&b, `<circle class="%s%s" cx="%.2f" cy="%.2f" r="0.7"/>`, class, behind(v), x, y)
	}
	var taken [][2]float64
	text := func(v r3.Vec, mark string) { // around the tip, best out beyond it, away from what is written already
		x, y := at(v, 1)
		dx, dy := x-middle, y-middle
		if math.Hypot(dx, dy) < 1 {
			dx, dy = 1, -1
		}
		way := math.Atan2(dy, dx)
		var best [2]float64
		room := -1.0
		for _, out := range []float64{2.4, 3.4, 4.4} {
			for _, turn := range []float64{0, 0.6, -0.6, 1.2, -1.2, 1.8, -1.8} {
				sin, cos := math.Sincos(way + turn)
				to := [2]float64{x + out*cos, y + out*sin}
				nearest := ballLetter // farther off is no better
				for _, t := range taken {
					nearest = min(nearest, math.Hypot(t[0]-to[0], t[1]-to[1]))
				}
				inside := min(to[0], to[1]) > ballLetter/2 && max(to[0], to[1]) < ballWhole-ballLetter/2
				if inside && nearest > room {
					best, room = to, nearest
				}
			}
		}
		taken = append(taken, best)
		fmt.Fprintf(&b, `<text x="%.2f" y="%.2f">%s</text>`, best[0], best[1]+ballLetter/3, mark)
	}
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" class="ball" viewBox="0 0 %g %g" width="%gmm" height="%gmm" role="img" aria-label="%s">`, ballWhole, ballWhole, ballWhole, ballWhole, says)
	fmt.Fprintf(&b, `<circle class="edge" cx="%g" cy="%g" r="%g"/>`, middle, middle, ballRadius)
	fmt.Fprintf(&b, `<ellipse class="edge" cx="%g" cy="%g" rx="%g" ry="%.2f"/>`, middle, middle, ballRadius, ballRadius*e.towards.Z)
	for i, axis := range []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
		line("axis", axis, 1.12)
		x, y := at(axis, 1.3)
		taken = append(taken, [2]float64{x, y})
		fmt.Fprintf(&b, `<text class="axis" x="%.2f" y="%.2f">%c</text>`, x, y+ballLetter/3, "XYZ"[i])
	}
	for _, a := range arrows {
		line("one", r3.Vec{X: a[0], Y: a[1], Z: a[2]}, 1)
	}
	for _, m := range means {
		line("mean", m.way, 1)
		head("mean", m.way)
	}
	if truth != nil {
		line("truth", *truth, 1)
		x, y := at(*truth, 1)
		fmt.Fprintf(&b, `<circle class="truth" cx="%.2f" cy="%.2f" r="1.6"/>`, x, y)
	}
	for _, m := range means {
		text(m.way, m.mark)
	}
	b.WriteString(`</svg>`)
	return b.String()
}
