package quantity

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// The units of the notation in SI. Inch, foot, pound-force, US gallon and bar
// are exact by definition (NIST SP 811, appendix B).
const (
	metresPerInch   = 0.0254
	metresPerFoot   = 0.3048
	pascalsPerPSI   = 6894.757293168361
	pascalsPerBar   = 1e5
	cubicPerGallon  = 3.785411784e-3
	cubicPerLitre   = 1e-3
	secondsPerMin   = 60
	inchesPerFootN  = 12
	longestQuantity = 40 // bytes; a longer text is no quantity
	mostDigits      = 12 // of one number; beyond it a float64 no longer tells eighths
)

// unit is a suffix with the kind it makes and the factor into SI.
type unit struct {
	suffix   string
	kind     Kind
	factor   float64
	fraction bool // `1-1/2` and `3/4` may stand before it
}

var units = [...]unit{
	{`"`, Length, metresPerInch, true},
	{`in`, Length, metresPerInch, true},
	{`ft`, Length, metresPerFoot, false},
	{`mm`, Length, 1e-3, false},
	{`cm`, Length, 1e-2, false},
	{`m`, Length, 1, false},
	{`"/ft`, Grade, 1.0 / inchesPerFootN, true},
	{`in/ft`, Grade, 1.0 / inchesPerFootN, true},
	{`%`, Grade, 1e-2, false},
	{`mm/m`, Grade, 1e-3, false},
	{`psi`, Pressure, pascalsPerPSI, false},
	{`kPa`, Pressure, 1e3, false},
	{`bar`, Pressure, pascalsPerBar, false},
	{`gpm`, Flow, cubicPerGallon / secondsPerMin, false},
	{`L/s`, Flow, cubicPerLitre, false},
	{`gal`, Volume, cubicPerGallon, false},
	{`L`, Volume, cubicPerLitre, false},
	{`F`, Temperature, 0, false},
	{`C`, Temperature, 1, false},
	{`min`, Duration, secondsPerMin, false},
}

// Parse reads one quantity, with its unit and no blank inside; a leading `-`
// is for the whole. Typographic marks are accepted. A wrong form is false.
func Parse(text string) (Value, bool) {
	if len(text) == 0 || len(text) > longestQuantity {
		return Value{}, false
	}
	if c := text[0]; c != '-' && (c < '0' || c > '9') && c < utf8.RuneSelf {
		return Value{}, false
	}
	plain := text
	for i := 0; i < len(text); i++ {
		if text[i] >= utf8.RuneSelf {
			plain = plainMarks(text)
			break
		}
	}
	kind, si, ok := parsePlain(plain)
	if !ok {
		return Value{}, false
	}
	return Value{Kind: kind, SI: si, Text: text}, true
}

func parsePlain(s string) (Kind, float64, bool) {
	sign := 1.0
	if strings.HasPrefix(s, "-") {
		sign, s = -1, s[1:]
	}
	n, rest, form := number(s)
	switch {
	case form == noNumber:
		return None, 0, false
	case rest == "":
		if form == fraction {
			return Grade, sign * n / inchesPerFootN, true
		}
		return Number, sign * n, form == whole || form == decimal
	case rest[0] == '\'':
		if form != whole && form != decimal {
			return None, 0, false
		}
		inches, ok := inchesAfterFeet(rest[1:], form)
		return Length, sign * (n*inchesPerFootN + inches) * metresPerInch, ok
	}
	for i := range units {
		u := &units[i]
		if u.suffix != rest {
			continue
		}
		if !u.fraction && (form == fraction || form == mixed) {
			return None, 0, false
		}
		n *= sign
		if u.kind == Temperature {
			if u.suffix == "F" {
				n = (n - 32) / 1.8
			}
			return Temperature, n, true
		}
		return u.kind, n * u.factor, true
	}
	return None, 0, false
}

// inchesAfterFeet reads what follows the foot mark: nothing, `6"`, `-6"`,
// `6-1/2"` or `3/4"`.
func inchesAfterFeet(s string, feet numberForm) (float64, bool) {
	if s == "" {
		return 0, true
	}
	if feet != whole {
		return 0, false // 2.5'6" says the half foot twice
	}
	n, rest, form := number(strings.TrimPrefix(s, "-"))
	return n, form != noNumber && rest == `"`
}

type numberForm uint8

const (
	noNumber numberForm = iota
	whole               // 3
	decimal             // 0.5
	fraction            // 1/4
	mixed               // 1-1/2
)

// number reads the number at the start of s and gives what follows it.
func number(s string) (n float64, rest string, form numberForm) {
	a, rest := digits(s)
	if a == "" {
		return 0, s, noNumber
	}
	if strings.HasPrefix(rest, ".") {
		b, after := digits(rest[1:])
		if b == "" || len(a)+len(b) > mostDigits {
			return 0, s, noNumber
		}
		n, err := strconv.ParseFloat(s[:len(a)+1+len(b)], 64)
		if err != nil {
			return 0, s, noNumber
		}
		return n, after, decimal
	}
	if len(a) > mostDigits {
		return 0, s, noNumber
	}
	n = value(a)
	if strings.HasPrefix(rest, "/") {
		den, after := digits(rest[1:])
		if den == "" || len(den) > mostDigits || value(den) == 0 {
			return 0, s, noNumber
		}
		return n / value(den), after, fraction
	}
	if len(rest) > 1 && rest[0] == '-' && rest[1] >= '0' && rest[1] <= '9' {
		f, after, form := number(rest[1:])
		if form != fraction || f >= 1 {
			return 0, s, noNumber
		}
		return n + f, after, mixed
	}
	return n, rest, whole
}

func digits(s string) (run, rest string) {
	i := 0
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	return s[:i], s[i:]
}

func value(run string) float64 {
	var n int64
	for i := 0; i < len(run); i++ {
		n = n*10 + int64(run[i]-'0')
	}
	return float64(n)
}

var vulgar = map[rune]string{
	'½': "1/2", '¼': "1/4", '¾': "3/4", '⅓': "1/3", '⅔': "2/3",
	'⅛': "1/8", '⅜': "3/8", '⅝': "5/8", '⅞': "7/8",
}

// plainMarks replaces typographic marks by those of the keyboard.
func plainMarks(text string) string {
	var b strings.Builder
	for _, r := range text {
		switch r {
		case '′', '’':
			b.WriteByte('\'')
		case '″', '”':
			b.WriteByte('"')
		case '−', '–':
			b.WriteByte('-')
		case '⁄':
			b.WriteByte('/')
		default:
			f, ok := vulgar[r]
			if !ok {
				b.WriteRune(r)
				continue
			}
			if so := b.String(); so != "" && so[len(so)-1] >= '0' && so[len(so)-1] <= '9' {
				b.WriteByte('-')
			}
			b.WriteString(f)
		}
	}
	return b.String()
}

// Canonical is the text in the writer's own unit with typographic marks
// replaced: `2′6½″` becomes `2'6-1/2"`. Anything else stands as written.
func (v Value) Canonical() string {
	for i := 0; i < len(v.Text); i++ {
		if v.Text[i] >= utf8.RuneSelf {
			return plainMarks(v.Text)
		}
	}
	return v.Text
}

// clean drops the noise that a conversion through SI leaves beyond the ninth
// decimal, so that 74 inches come back as 74.
func clean(x float64) float64 {
	if math.Abs(x) > 1e6 {
		return x
	}
	return math.Round(x*1e9) / 1e9
}
