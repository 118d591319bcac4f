package words

import (
	"strconv"
	"strings"

	"handrule/internal/pattern"
)

// Unit is what lengths are read in. Everything is computed in mm; an inch reading is a mm reading divided, never another number.
type Unit string

const (
	MM   Unit = "mm"
	Inch Unit = "inch"
)

// MMPerInch is exact (the international inch; scipy.constants.inch is 0.0254 m).
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

// written is a length or a speed in mm as an author writes it.
var written = pattern.Of("(\\d+(?:[.,]\\d+)*)[ \n\u00a0\u202f]?mm(/s)?\\b")

// coordinate is one as an author writes it, bold or not, in Markdown or HTML, with what stands behind it where that is a unit: "X 75".
var coordinate = pattern.Of("\\b[XYZ][ \n\u00a0\u202f]+(?:\\*\\*|<strong>)?([−-]?)(\\d+(?:[.,]\\d+)*)([ \u00a0\u202f]?(?:mm|°|%|inch))?")

// Beside writes inches in brackets behind every length and coordinate of an author's text, which are in mm, for whoever reads in inches.
func (l *Language) Beside(text string) string {
	if l.unit != Inch {
		return text
	}
	text = coordinate.Replace(text, func(whole string) string {
		parts := coordinate.First(whole)
		mm, err := strconv.ParseFloat(plainNumber(parts[2]), 64)
		if parts[3] != "" || err != nil {
			return whole
		}
		if parts[1] != "" {
			mm = -mm
		}
		return whole + " (" + l.ShortLength(mm, 2) + ")"
	})
	return written.Replace(text, func(length string) string {
		parts := written.First(length)
		mm, err := strconv.ParseFloat(plainNumber(parts[1]), 64)
		if err != nil {
			return length
		}
		decimals := 2
		if parts[2] != "" {
			decimals = 1
		}
		return length + " (" + l.ShortLength(mm, decimals) + parts[2] + ")"
	})
}

// plainNumber writes a number with a point for its decimals, and nothing between its thousands.
func plainNumber(number string) string {
	if i := strings.LastIndexAny(number, ".,"); i >= 0 && number[i] == ',' && len(number)-i != len(",000") {
		return strings.ReplaceAll(number[:i], ".", "") + "." + number[i+1:]
	}
	return strings.ReplaceAll(number, ",", "")
}
