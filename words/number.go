package words

import (
	"math"
	"strconv"
	"strings"
)

// Minus is a true minus sign, as wide as a plus.
const Minus = "−"

// narrowSpace parts the digits of long numbers: a point or a comma there would be read as a decimal sign in one language
// or another (ISO 80000-1, 7.3; from memory).
const narrowSpace = "\u202f"

// decimal is the language's decimal sign.
func (l *Language) decimal() string { return l.Say("number.decimal") }

// Fixed writes a number with so many decimals as the language writes it, with a true minus sign and never "−0.0".
func (l *Language) Fixed(x float64, decimals int) string {
	text := strconv.FormatFloat(math.Abs(x), 'f', decimals, 64)
	if x < 0 && strings.Trim(text, "0.") != "" {
		return Minus + l.written(text)
	}
	return l.written(text)
}

// Short writes a number with at most so many decimals, without zeros at its end.
func (l *Language) Short(x float64, most int) string {
	scale := math.Pow10(most)
	text := strconv.FormatFloat(math.Abs(math.Round(x*scale)/scale), 'f', -1, 64)
	if x < 0 && text != "0" {
		return Minus + l.written(text)
	}
	return l.written(text)
}

// Signed is Fixed with a plus sign before positive numbers.
func (l *Language) Signed(x float64, decimals int) string { return plusSign(l.Fixed(x, decimals)) }

// SignedShort is Short with a plus sign before positive numbers.
func (l *Language) SignedShort(x float64, most int) string { return plusSign(l.Short(x, most)) }

func plusSign(text string) string {
	if strings.HasPrefix(text, Minus) || strings.Trim(text, "0.,") == "" {
		return text
	}
	return "+" + text
}

// Localised returns a number that is written with a decimal point and a hyphen or minus as this language writes it.
func (l *Language) Localised(number string) string {
	if rest, negative := strings.CutPrefix(strings.Replace(number, "-", Minus, 1), Minus); negative {
		return Minus + l.written(rest)
	}
	return l.written(number)
}

// written puts the language's decimal sign into digits with a point, and parts five or more before it in threes.
func (l *Language) written(digits string) string {
	whole, decimals, broken := strings.Cut(digits, ".")
	if len(whole) > 4 {
		for at := len(whole) - 3; at > 0; at -= 3 {
			whole = whole[:at] + narrowSpace + whole[at:]
		}
	}
	if !broken {
		return whole
	}
	return whole + l.decimal() + decimals
}

// List puts texts in a row: "a, b and c". Where the decimal sign is a comma, more than a comma parts them.
func (l *Language) List(texts []string) string {
	last := len(texts) - 1
	if last < 1 {
		return strings.Join(texts, "")
	}
	return strings.Join(texts[:last], l.Say("number.list")) + l.Say("list.and") + texts[last]
}
