package dhtable

import (
	"math"

	"handrule/scenarios/form"
	"handrule/scenarios/tabular"
)

// row is a row of the table: mm and rad.
type row struct {
	at                 form.Place
	name               string
	a, alpha, d, theta float64 // theta where the joint stands at zero
	lower, upper       float64
	speed              float64
	hasLimits          bool
}

// columns are those that a table may have. A parameter's name ends in its unit.
var columns = func() map[string]tabular.Column {
	const degree = math.Pi / 180
	all := map[string]tabular.Column{
		"joint": {Name: "joint"}, "speed_deg_s": {Name: "speed", Unit: degree, Kind: tabular.Speed}, "speed_rad_s": {Name: "speed", Unit: 1, Kind: tabular.Speed},
	}
	for _, length := range []string{"a", "d"} {
		for unit, mm := range map[string]float64{"mm": 1, "m": 1000} {
			all[length+"_"+unit] = tabular.Column{Name: length, Unit: mm, Kind: tabular.Length, Need: true}
		}
	}
	for angle, kind := range map[string]tabular.Kind{"alpha": tabular.Twist, "theta": tabular.Own, "zero": tabular.Twist, "lower": tabular.Angle, "upper": tabular.Angle} {
		for unit, rad := range map[string]float64{"deg": degree, "rad": 1} {
			all[angle+"_"+unit] = tabular.Column{Name: angle, Unit: rad, Kind: kind, Need: angle == "alpha" || angle == "theta"}
		}
	}
	return all
}()

// tableOf is a table to be read.
func tableOf(src *form.Source, asWritten bool) *tabular.Table {
	return &tabular.Table{
		Source: src, Columns: columns, AsWritten: asWritten, Such: "joint,a_mm,alpha_deg,d_mm,theta_deg",
		Need: []string{"a_mm or a_m", "alpha_deg or alpha_rad", "d_mm or d_m", "theta_deg or theta_rad"},
	}
}

// rowsOf reads all rows of a table.
func rowsOf(t *tabular.Table) (rows []row) {
	for _, r := range t.Rows() {
		n := r.Numbers
		rows = append(rows, row{
			at: r.At, name: r.Words["joint"], a: n["a"], alpha: n["alpha"], d: n["d"], theta: n["theta"] + n["zero"],
			lower: n["lower"], upper: n["upper"], speed: n["speed"], hasLimits: r.Has("lower") && r.Has("upper"),
		})
		if r.Has("lower") != r.Has("upper") {
			t.Add(r.At, "this row has one limit; give lower and upper, or neither")
		}
	}
	return rows
}
