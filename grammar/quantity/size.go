package quantity

import (
	"math"
	"strings"
)

// nominal pairs a nominal pipe size in inches with its metric designation DN
// in millimetres (ISO 6708 names; 75 and 80 are both in use for 3 inches).
var nominal = [...]struct {
	inches Size
	dn     int
}{
	{0.25, 8}, {0.375, 10}, {0.5, 15}, {0.625, 0}, {0.75, 20}, {1, 25}, {1.25, 32}, {1.5, 40}, {2, 50}, {2.5, 65},
	{3, 75}, {3, 80}, {4, 100}, {5, 125}, {6, 150}, {8, 200}, {10, 250}, {12, 300}, {15, 375},
}

// Sizes lists the nominal sizes, smallest first.
func Sizes() []Size {
	var out []Size
	for _, n := range nominal {
		if len(out) == 0 || out[len(out)-1] != n.inches {
			out = append(out, n.inches)
		}
	}
	return out
}

// Size reads a Length as a nominal pipe size: inches as printed, metric as
// DN. False where the value is no length or no size of that name is made.
func (v Value) Size() (Size, bool) {
	if v.Kind != Length || v.SI <= 0 {
		return 0, false
	}
	if strings.HasSuffix(v.Text, "m") {
		mm := v.SI * 1e3
		for _, n := range nominal {
			if n.dn != 0 && math.Abs(mm-float64(n.dn)) < 1e-6 {
				return n.inches, true
			}
		}
		return 0, false
	}
	inches := v.SI / metresPerInch
	for _, n := range nominal {
		if math.Abs(inches-float64(n.inches)) < 1e-6 {
			return n.inches, true
		}
	}
	return 0, false
}

// ParseSize reads a nominal pipe size such as `1-1/2"` or `50mm`.
func ParseSize(text string) (Size, bool) {
	v, ok := Parse(text)
	if !ok {
		return 0, false
	}
	return v.Size()
}

// Inches is the nominal size as a number.
func (s Size) Inches() float64 { return float64(s) }

// String prints as FormatSize does.
func (s Size) String() string { return FormatSize(s) }
