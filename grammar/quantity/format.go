package quantity

import (
	"math"
	"strconv"
)

const sixteenths = 16

// FormatLength prints metres in feet and inches, rounded to a sixteenth of an
// inch: `6'2"`, `5'`, `2'6"`; under two feet in inches alone: `18"`, `1-1/2"`.
func FormatLength(metres float64) string {
	if math.IsNaN(metres) || math.IsInf(metres, 0) {
		return "?"
	}
	n := int64(math.Round(math.Abs(metres) / metresPerInch * sixteenths))
	sign := ""
	if metres < 0 && n > 0 {
		sign = "-"
	}
	const foot = inchesPerFootN * sixteenths
	if n < 2*foot {
		return sign + inchText(n) + `"`
	}
	feet, rest := n/foot, n%foot
	out := sign + strconv.FormatInt(feet, 10) + "'"
	if rest > 0 {
		out += inchText(rest) + `"`
	}
	return out
}

// FormatSize prints a nominal size: `1-1/2"`.
func FormatSize(s Size) string {
	return inchText(int64(math.Round(float64(s)*sixteenths))) + `"`
}

// FormatGrade prints rise per run as inches per foot: `1/4 in/ft`. A fall
// that is no sixteenth of an inch per foot is printed in decimals.
func FormatGrade(ratio float64) string {
	return gradeNumber(ratio*inchesPerFootN) + " in/ft"
}

func gradeNumber(perFoot float64) string {
	n := math.Round(math.Abs(perFoot) * sixteenths)
	if math.Abs(math.Abs(perFoot)-n/sixteenths) > 0.002 {
		return strconv.FormatFloat(perFoot, 'f', 2, 64)
	}
	sign := ""
	if perFoot < 0 && n > 0 {
		sign = "-"
	}
	return sign + inchText(int64(n))
}

// inchText prints sixteenths of an inch as a mixed number.
func inchText(n int64) string {
	whole, part := n/sixteenths, n%sixteenths
	if part == 0 {
		return strconv.FormatInt(whole, 10)
	}
	den := int64(sixteenths)
	for part%2 == 0 {
		part, den = part/2, den/2
	}
	out := strconv.FormatInt(part, 10) + "/" + strconv.FormatInt(den, 10)
	if whole > 0 {
		out = strconv.FormatInt(whole, 10) + "-" + out
	}
	return out
}
