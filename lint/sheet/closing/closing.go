// Package closing holds the words that every sheet ends with: what was judged,
// by which book, what lies outside, and that none of it is an approval.
//
// It refuses to know plans, findings and formats: it turns counts and a book's
// use into lines, the same ones wherever they stand.
package closing

import (
	"fmt"
	"strings"

	"crownweir/lint"
)

// Caution closes every output.
const Caution = "not an approval; the authority having jurisdiction decides; " +
	"work by licensed practice; verify against the adopted code"

// Outside lists what no rule looks at.
func Outside() []string {
	return []string{"fuel gas", "accessibility", "structure", "energy", "materials' listings"}
}

// OutsideLine is Outside as one line.
func OutsideLine() string { return "outside: " + strings.Join(Outside(), ", ") }

// JudgedLine says how many requirements were judged and how they came out.
// Its words are the same whatever the numbers, so that it can be searched for.
func JudgedLine(c lint.Count) string {
	return fmt.Sprintf("%d requirements judged: %d comply, %d break, %d undecided",
		c.Complies+c.Breaks+c.Undecided, c.Complies, c.Breaks, c.Undecided)
}

// Sum adds up counts by rule.
func Sum(verdicts map[string]lint.Count) lint.Count {
	var sum lint.Count
	for _, c := range verdicts {
		sum = Add(sum, c)
	}
	return sum
}

// Add is the sum of two counts.
func Add(a, b lint.Count) lint.Count {
	return lint.Count{
		Complies:  a.Complies + b.Complies,
		Breaks:    a.Breaks + b.Breaks,
		Undecided: a.Undecided + b.Undecided,
	}
}

// BookLine names a code book, its edition, its amendments and how many of the
// limits used are from memory.
func BookLine(b lint.BookUse) string {
	amended := "no amendments"
	if len(b.Amendments) > 0 {
		amended = "amended by " + strings.Join(b.Amendments, ", ")
	}
	return fmt.Sprintf("code book: %s (%s, edition %d), %s; %d %s used, %d of them from memory",
		b.Title, b.Name, b.Edition, amended,
		b.LimitsUsed, plural(b.LimitsUsed, "limit", "limits"), b.FromMemory)
}

// Lines are the closing lines of one sheet, in their order. Counts of several
// plans come summed; books one a code book.
func Lines(judged lint.Count, unknowns int, books []lint.BookUse) []string {
	lines := []string{JudgedLine(judged)}
	if unknowns > 0 {
		lines = append(lines, fmt.Sprintf("%d %s written as unknown", unknowns, plural(unknowns, "fact is", "facts are")))
	}
	lines = append(lines, OutsideLine())
	for _, b := range books {
		lines = append(lines, BookLine(b))
	}
	return append(lines, Caution)
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}
