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

// Sign is the unit as it stands behind a number.
func (l *Language) Sign() string {
	if l.unit == Inch {
		return "in"
	}
	return "mm"
}

// LengthNumber writes a length in mm as a number of the unit, to so many decimals of a mm. An inch has one decimal more, as
// drawings with both units have it (common practice, no source).
func (l *Language) LengthNumber(mm float64, decimals int) string {
	if l.unit == Inch {
		return l.Fixed(mm/MMPerInch, decimals+1)
	}
	return l.Fixed(mm, decimals)
}

// SignedLengthNumber is LengthNumber with a plus sign before positive numbers.
func (l *Language) SignedLengthNumber(mm float64, decimals int) string {
	return plusSign(l.LengthNumber(mm, decimals))
}

// Length is LengthNumber with the unit.
func (l *Language) Length(mm float64, decimals int) string {
	return l.LengthNumber(mm, decimals) + " " + l.Sign()
}

// ShortLength is Length without zeros at its end.
func (l *Language) ShortLength(mm float64, most int) string {
	if l.unit == Inch {
		return l.Short(mm/MMPerInch, most+1) + " in"
	}
	return l.Short(mm, most) + " mm"
}
