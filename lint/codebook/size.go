package codebook

import (
	"slices"
	"strconv"
	"strings"

	"crownweir/grammar/quantity"
)

// SizeKey writes a nominal size as the rows and columns of tables write it:
// "1-1/2", "3/4", "4". A fall in inches per foot is written the same way.
func SizeKey(size quantity.Size) string {
	whole := int(size)
	rest := float64(size) - float64(whole)
	if rest == 0 {
		return strconv.Itoa(whole)
	}
	for den := 2; den <= 64; den *= 2 {
		if num := rest * float64(den); num == float64(int(num)) {
			fraction := strconv.Itoa(int(num)) + "/" + strconv.Itoa(den)
			if whole == 0 {
				return fraction
			}
			return strconv.Itoa(whole) + "-" + fraction
		}
	}
	return strconv.FormatFloat(float64(size), 'g', -1, 64)
}

// ParseSize reads a size as tables write it. ok is false for other words.
func ParseSize(key string) (size quantity.Size, ok bool) {
	whole, fraction, both := strings.Cut(key, "-")
	if !both {
		if strings.Contains(key, "/") {
			return parseFraction(key)
		}
		n, ok := parseDigits(key)
		return quantity.Size(n), ok
	}
	n, ok := parseDigits(whole)
	if !ok {
		return 0, false
	}
	part, ok := parseFraction(fraction)
	return quantity.Size(n) + part, ok
}

func parseFraction(text string) (quantity.Size, bool) {
	num, den, found := strings.Cut(text, "/")
	n, okN := parseDigits(num)
	d, okD := parseDigits(den)
	if !found || !okN || !okD || d == 0 {
		return 0, false
	}
	return quantity.Size(float64(n) / float64(d)), true
}

// parseDigits takes digits alone: no sign, no point.
func parseDigits(text string) (int, bool) {
	if text == "" || len(text) > 6 {
		return 0, false
	}
	for i := range len(text) {
		if text[i] < '0' || text[i] > '9' {
			return 0, false
		}
	}
	n, err := strconv.Atoi(text)
	return n, err == nil
}

func sortSizes(sizes []quantity.Size) { slices.Sort(sizes) }

// kindRowHolds tells whether a row such as "pex to 1" speaks of a kind and size.
func kindRowHolds(key, kind string, size quantity.Size) bool {
	rest, ok := strings.CutPrefix(key, kind+" ")
	if !ok {
		return false
	}
	bound, over := "", false
	if bound, over = strings.CutPrefix(rest, "over "); !over {
		if bound, ok = strings.CutPrefix(rest, "to "); !ok {
			return false
		}
	}
	limit, ok := ParseSize(bound)
	if !ok {
		return false
	}
	return over == (size > limit)
}
