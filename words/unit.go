package words

// Unit is what lengths are read in. Everything is computed in mm; an inch reading is a mm reading divided, never another number.
type Unit string

const (
	MM   Unit = "mm"
	Inch Unit = "inch"
)

// MMPerInch is exact (the international inch of 1959, from memory).
const MMPerInch = 25.4

// Reading returns the language with lengths read in that unit.
func (l *Language) Reading(u Unit) *Language {
	own := *l
	own.unit = u
	return &own
}

// Length writes a length in mm with its unit, to so many decimals of a mm. An inch has one decimal more, as drawings with both
// units have it (common practice, no source).
func (l *Language) Length(mm float64, decimals int) string {
	if l.unit == Inch {
		return l.Fixed(mm/MMPerInch, decimals+1) + " in"
	}
	return l.Fixed(mm, decimals) + " mm"
}

// ShortLength is Length without zeros at its end.
func (l *Language) ShortLength(mm float64, most int) string {
	if l.unit == Inch {
		return l.Short(mm/MMPerInch, most+1) + " in"
	}
	return l.Short(mm, most) + " mm"
}
