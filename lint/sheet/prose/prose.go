// Package prose makes a plan's own words safe to stand in an output: a name
// or note may hold anything, and none of it is to steer a terminal or break a
// table.
//
// It knows nothing of findings or schedules.
package prose

import (
	"strings"
	"unicode"
)

// Steers tells a character that moves the cursor or turns the direction of
// writing instead of being seen.
func Steers(r rune) bool {
	return unicode.IsControl(r) || r == '\u2028' || r == '\u2029' || unicode.Is(unicode.Bidi_Control, r)
}

// Line makes a text safe to stand on one line of a terminal.
func Line(text string) string {
	if strings.IndexFunc(text, Steers) < 0 {
		return text
	}
	return strings.Map(func(r rune) rune {
		if Steers(r) {
			return '\uFFFD'
		}
		return r
	}, text)
}

// Markdown makes a text stand for itself inside a table's cell.
func Markdown(text string) string {
	var b strings.Builder
	for _, r := range Line(text) {
		switch r {
		case '|', '*', '_', '`', '[', ']', '\\', '#', '~':
			b.WriteByte('\\')
			b.WriteRune(r)
		case '<':
			b.WriteString("&lt;")
		case '>':
			b.WriteString("&gt;")
		case '&':
			b.WriteString("&amp;")
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}
