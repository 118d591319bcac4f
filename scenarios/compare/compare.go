// Package compare holds an arm file against what the real arm's display shows: it chooses poses in which every kind of slip would show, tells
// how far each reading is off, names the likeliest single cause by trying each, and fits zero offsets and the tool by least squares.
//
// Only X, Y and Z are compared. What they cannot show, such as the zero of joint 6 with a tool on its axis, it says it cannot tell.
package compare

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
)

// Reading is one pose of the real arm as its display shows it.
type Reading struct {
	Joints kinematics.Joints
	At     r3.Vec // of the TCP in the base frame, mm
}

// Cause is one thing that may be wrong, with the number that explains the readings best.
type Cause struct {
	Kind  string  // one of Kinds
	Joint int     // 0 to 5, for a joint's sign or zero
	Value float64 // of the zero in rad; of the height and the tool in mm; of the unit the number of mm that one shown is
	RMS   float64 // what is left of the residuals, mm

	sum float64 // of squares
}

// The kinds of cause.
const (
	None   = "none"
	Sign   = "sign"
	Zero   = "zero"
	Height = "height"
	Tool   = "tool"
	Unit   = "unit"
)

// Verdicts.
const (
	Agrees     = "agrees"
	Named      = "named"
	CannotTell = "cannot tell"
	NoSingle   = "no single cause"
)

// Result is what a comparison finds.
type Result struct {
	Off     []r3.Vec // of each reading: shown less computed, mm
	RMS     float64  // of their components, mm
	Verdict string
	Causes  []Cause // that explain the readings; one where it is named
	Unseen  []Cause // that these readings could not show: Sign and Zero of joints, without a value
}

// What counts.
const (
	// Tolerance is how far off readings may be in the root mean square, mm: a display's last digits and a hand that taught the TCP.
	Tolerance = 1.5
	// leastNoise is what readings are off at least, mm; and a cause is named if every other is less likely by e to the power of clearly/2.
	leastNoise = 0.2
	clearly    = 25
	// seen is how many mm a degree of a joint must move the TCP in some pose for its zero to be seen.
	seen = 0.3
)

// Diagnose compares readings with the arm, with that TCP in the flange's frame.
func Diagnose(arm *kinematics.Arm, tcp kinematics.Pose, readings []Reading) Result {
	m := &model{arm, tcp, readings}
	none := m.tried(Cause{Kind: None}, 0)
	r := Result{RMS: none.RMS}
	for _, d := range readings {
		r.Off = append(r.Off, r3.Sub(d.At, m.at(d.Joints)))
	}
	for i := range 6 {
		if !m.sees(i) {
			r.Unseen = append(r.Unseen, Cause{Kind: Sign, Joint: i}, Cause{Kind: Zero, Joint: i})
		}
	}
	if none.RMS <= Tolerance {
		r.Verdict = Agrees
		return r
	}
	causes := m.causes()
	slices.SortFunc(causes, func(a, b Cause) int { return sign(a.sum - b.sum) })
	best := causes[0]
	if best.RMS > Tolerance {
		r.Verdict = NoSingle
		return r
	}
	noise := max(leastNoise, best.RMS)
	for _, c := range causes {
		if c.sum-best.sum <= clearly*noise*noise {
			r.Causes = append(r.Causes, c)
		}
	}
	r.Verdict = Named
	if len(r.Causes) > 1 {
		r.Verdict = CannotTell
	}
	return r
}

func sign(x float64) int {
	switch {
	case x < 0:
		return -1
	case x > 0:
		return 1
	}
	return 0
}

// model is an arm with readings of it.
type model struct {
	arm      *kinematics.Arm
	tcp      kinematics.Pose
	readings []Reading
}

func (m *model) at(q kinematics.Joints) r3.Vec { return m.arm.Forward(q).Mul(m.tcp).Position }

// sees reports whether a joint's angle shows in where the TCP is.
func (m *model) sees(joint int) bool {
	for _, d := range m.readings {
		q := d.Joints
		q[joint] += kinematics.Radians(1)
		if r3.Norm(r3.Sub(m.at(q), m.at(d.Joints))) > seen {
			return true
		}
	}
	return false
}

// tried returns the cause with what it leaves of the residuals, of which it uses up so many.
func (m *model) tried(c Cause, fitted int) Cause {
	c.sum = 0
	for _, d := range m.readings {
		c.sum += r3.Norm2(m.left(c, d))
	}
	c.RMS = math.Sqrt(c.sum / float64(max(1, 3*len(m.readings)-fitted)))
	return c
}

// left is what a reading is off if the cause holds.
func (m *model) left(c Cause, d Reading) r3.Vec {
	q, shown := d.Joints, d.At
	switch c.Kind {
	case Sign:
		q[c.Joint] = 2*m.arm.Joints[c.Joint].Measured - q[c.Joint] // it counts the other way from where it was measured
	case Zero:
		q[c.Joint] += c.Value
	case Height:
		shown.Z -= c.Value
	case Unit:
		shown = r3.Scale(c.Value, shown)
	case Tool:
		flange := m.arm.Forward(q).Mul(m.tcp)
		return r3.Sub(shown, r3.Add(flange.Position, r3.Scale(c.Value, m.arm.Forward(q).Rotation.Z)))
	}
	return r3.Sub(shown, m.at(q))
}

// causes returns every single cause with its best number. Causes that the readings cannot show are left out.
func (m *model) causes() (all []Cause) {
	for i := range 6 {
		if m.sees(i) {
			all = append(all, m.tried(Cause{Kind: Sign, Joint: i}, 0), m.zero(i))
		}
	}
	for _, mm := range []float64{25.4, 1 / 25.4, 1000} {
		all = append(all, m.tried(Cause{Kind: Unit, Value: mm}, 0))
	}
	// A height and a tool's length move the computed place in proportion.
	for _, kind := range []string{Height, Tool} {
		up, n := 0.0, 0.0
		for _, d := range m.readings {
			way := r3.Vec{Z: 1}
			if kind == Tool {
				way = m.arm.Forward(d.Joints).Rotation.Z
			}
			up, n = up+r3.Dot(way, m.left(Cause{Kind: None}, d)), n+1
		}
		all = append(all, m.tried(Cause{Kind: kind, Value: up / n}, 1))
	}
	return all
}

// zero finds the zero offset of a joint that leaves least: by steps all round, then by halving them. The sum is that of a sine and a cosine of
// the offset, so that there is one least.
func (m *model) zero(joint int) Cause {
	best := Cause{Kind: Zero, Joint: joint, sum: math.Inf(1)}
	try := func(value float64) {
		if c := m.tried(Cause{Kind: Zero, Joint: joint, Value: value}, 1); c.sum < best.sum {
			best = c
		}
	}
	const steps = 36
	for i := range steps {
		try(float64(i-steps/2) * 2 * math.Pi / steps)
	}
	for step := math.Pi / steps; step > 1e-9; step /= 2 {
		centre := best.Value
		try(centre - step)
		try(centre + step)
	}
	return best
}

// Fit is a least-squares fit of all zero offsets and the TCP.
type Fit struct {
	Zeros         kinematics.Joints // to be added to the joints' angles, rad
	TCP           r3.Vec            // in the flange's frame, mm
	Before, After float64           // root mean square of the residuals' components, mm
	Unsure        bool              // some of it the readings do not settle; that part is left as it was
}

// EnoughForFit is how many readings a fit needs.
const EnoughForFit = 6

// FitZeros fits zero offsets and the TCP to the readings, by the iteration of Gauss and Newton.
func FitZeros(arm *kinematics.Arm, tcp kinematics.Pose, readings []Reading) (f Fit, ok bool) {
	if len(readings) < EnoughForFit {
		return f, false
	}
	const unknowns = 9
	f.TCP = tcp.Position
	rows := 3 * len(readings)
	rms := func() float64 {
		sum := 0.0
		for _, d := range readings {
			sum += r3.Norm2(r3.Sub(d.At, arm.Forward(moved(d.Joints, f.Zeros)).Apply(f.TCP)))
		}
		return math.Sqrt(sum / float64(rows))
	}
	f.Before = rms()
	reach := arm.Reach()
	for range 30 {
		var j [][]float64
		var off []float64
		for _, d := range readings {
			q := moved(d.Joints, f.Zeros)
			flange, jacobian := arm.Jacobian(q, kinematics.Pose{Position: f.TCP, Rotation: kinematics.NoRotation})
			turn := flange.Rotation.Matrix()
			left := r3.Sub(d.At, flange.Position)
			for row, x := range []float64{left.X, left.Y, left.Z} {
				off = append(off, x)
				line := make([]float64, 0, unknowns)
				for col := range 6 {
					line = append(line, jacobian[row][col]/reach)
				}
				j = append(j, append(line, turn[row][:]...))
			}
		}
		step, rank := kinematics.LeastSquares(j, off, 1e-3)
		f.Unsure = rank < unknowns
		size := 0.0
		for i := range 6 {
			f.Zeros[i] += step[i] / reach
			size += math.Abs(step[i])
		}
		f.TCP = r3.Add(f.TCP, r3.Vec{X: step[6], Y: step[7], Z: step[8]})
		if size+math.Abs(step[6])+math.Abs(step[7])+math.Abs(step[8]) < 1e-9 {
			break
		}
	}
	f.After = rms()
	return f, f.After <= f.Before
}

func moved(q, by kinematics.Joints) kinematics.Joints {
	for i := range q {
		q[i] += by[i]
	}
	return q
}

// Poses returns poses for a comparison, the same each time: within the limits, the TCP above the mounting surface, every joint well away from
// where it was measured so that its sign shows, and, of many such, those that tell the zeros, the tool and the height apart best.
func Poses(arm *armfile.Arm, tcp kinematics.Pose, count int) []kinematics.Joints {
	const tries, away = 400, 25 // degrees
	g := arm.Geometry
	r := rand.New(rand.NewPCG(5, 9))
	var candidates []kinematics.Joints
	for n := 0; n < 50*tries && len(candidates) < tries; n++ {
		var q kinematics.Joints
		for i, j := range g.Joints {
			low, high := max(j.Min, j.Measured-2.2), min(j.Max, j.Measured+2.2)
			if !(low < high) {
				low, high = j.Min, j.Max
			}
			q[i] = low + (high-low)*(0.08+0.84*r.Float64())
			if least, off := min(kinematics.Radians(away), (high-low)/5), q[i]-j.Measured; math.Abs(off) < least {
				q[i] = j.Measured + math.Copysign(least, off)
			}
			q[i] = kinematics.Radians(math.Round(kinematics.Degrees(q[i]))) // whole degrees, to be jogged to by hand
		}
		if !g.Within(q) {
			continue
		}
		floor := -arm.MountHeight + 60
		links := g.Links(q)
		low := g.Forward(q).Mul(tcp).Position.Z
		for _, c := range arm.Body {
			if c.Link > 1 {
				low = min(low, links[c.Link].Apply(c.From).Z-c.Radius, links[c.Link].Apply(c.To).Z-c.Radius)
			}
		}
		if low > floor || n > 40*tries {
			candidates = append(candidates, q)
		}
	}
	// Greedily, each next pose makes the determinant of the unknowns' normal matrix largest (a D-optimal choice; Fedorov, Theory of Optimal
	// Experiments; from memory).
	reach := g.Reach()
	var normal information
	for i := range normal {
		normal[i][i] = 1e-3
	}
	var chosen []kinematics.Joints
	for len(chosen) < count && len(candidates) > 0 {
		best, at := math.Inf(-1), 0
		var next information
		for n, q := range candidates {
			with := normal
			_, jacobian := g.Jacobian(q, tcp)
			z := g.Forward(q).Rotation.Z
			for row, along := range []float64{z.X, z.Y, z.Z} {
				var v [8]float64
				for col := range 6 {
					v[col] = jacobian[row][col] / reach
				}
				v[6] = along
				if row == 2 {
					v[7] = 1
				}
				with.add(&v)
			}
			if d := with.logDet(); d > best {
				best, at, next = d, n, with
			}
		}
		normal = next
		chosen = append(chosen, candidates[at])
		candidates = slices.Delete(candidates, at, at+1)
	}
	return chosen
}

// information is the normal matrix of eight unknowns: six zeros, the tool's length, the height.
type information [8][8]float64

func (m *information) add(v *[8]float64) {
	for i := range m {
		for k := range m {
			m[i][k] += v[i] * v[k]
		}
	}
}

// logDet is the logarithm of its determinant, by Cholesky's decomposition.
func (m information) logDet() (sum float64) {
	for i := range m {
		for k := range i {
			for j := i; j < len(m); j++ {
				m[j][i] -= m[j][k] * m[i][k]
			}
		}
		root := math.Sqrt(m[i][i])
		for j := i; j < len(m); j++ {
			m[j][i] /= root
		}
		sum += 2 * math.Log(root)
	}
	return sum
}

// Words says what a cause is, in a sentence without its end. Joints' names are the arm's.
func (c Cause) Words(arm *kinematics.Arm) string {
	deg := form.Decimal(math.Round(kinematics.Degrees(c.Value)*100) / 100)
	mm := form.Decimal(math.Round(c.Value*10) / 10)
	switch c.Kind {
	case Sign:
		return fmt.Sprintf("%s counts the other way round on the real arm: turn its axis round in the arm file", arm.Joints[c.Joint].Name)
	case Zero:
		reads := form.Decimal(math.Round(kinematics.Degrees(arm.Joints[c.Joint].Measured-c.Value)*100) / 100)
		return fmt.Sprintf("%s stands at %s° of the arm file where the real arm shows 0 (reads_deg: %s would mend it)", arm.Joints[c.Joint].Name, deg, strings.Replace(reads, "−", "-", 1))
	case Height:
		return fmt.Sprintf("the real arm counts its height from elsewhere: its Z is %s mm more than the arm file's", mm)
	case Tool:
		return fmt.Sprintf("the real arm's tool is %s mm longer than the arm file's, along the flange's Z", mm)
	case Unit:
		switch {
		case c.Value > 100:
			return "the real arm shows metres"
		case c.Value > 1:
			return "the real arm shows inches"
		}
		return "the lengths of the arm file are in inches; times 25.4 they are mm"
	}
	return ""
}
