package grammar

import (
	"strings"
	"unicode/utf8"

	"github.com/agnivade/levenshtein"
)

// longestGuess is the length in bytes beyond which no neighbour is looked for.
const longestGuess = 48

// Nearest is the word of list that word most likely stands for, by edit
// distance with a swap of neighbours counted once; "" where nothing is near.
// Of several at one distance the first of the list is taken.
func Nearest(word string, list []string) string {
	if word == "" || len(word) > longestGuess {
		return ""
	}
	low := strings.ToLower(word)
	best, bestAt := "", max(1, utf8.RuneCountInString(word)/3)+1
	for _, candidate := range list {
		if abs(len(candidate)-len(word)) >= bestAt+utf8.UTFMax {
			continue
		}
		d := distance(low, strings.ToLower(candidate))
		if d < bestAt && d < utf8.RuneCountInString(candidate) {
			best, bestAt = candidate, d
		}
	}
	return best
}

func distance(a, b string) int {
	if a == b {
		return 0
	}
	if len(a) == len(b) && swapped(a, b) {
		return 1
	}
	return levenshtein.ComputeDistance(a, b)
}

// swapped tells whether b is a with two neighbours swapped.
func swapped(a, b string) bool {
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	return i+1 < len(a) && a[i] == b[i+1] && a[i+1] == b[i] && a[i+2:] == b[i+2:]
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}
