package finding

import (
	"strings"

	"crownweir/lint/sheet/prose"

	"github.com/mattn/go-runewidth"
)

const (
	tabStop      = 4
	excerptWidth = 160 // cells of a source line shown; a longer one is cut around the marker
	excerptLead  = 40  // cells kept before the marker where a line is cut
)

// cell is one code point as it is drawn: what is shown and how many columns
// of a terminal it takes.
type cell struct {
	shown string
	width int
}

// cells draws a source line. Tabs are spread out, and what would steer a
// terminal is shown as a replacement mark.
func cells(line string) []cell {
	// fixed, so that the bytes do not depend on the reader's locale
	condition := &runewidth.Condition{StrictEmojiNeutral: true}
	var drawn []cell
	at := 0
	for _, r := range line {
		c := cell{string(r), condition.RuneWidth(r)}
		switch {
		case r == '\t':
			c.width = tabStop - at%tabStop
			c.shown = strings.Repeat(" ", c.width)
		case r == '\uFEFF': // of a file that begins with a byte order mark
			c = cell{}
		case prose.Steers(r):
			c = cell{"\uFFFD", 1}
		}
		drawn = append(drawn, c)
		at += c.width
	}
	return drawn
}

// excerpt draws a source line and the marker under its columns from start up
// to end (code points from 1, end exclusive). The marker covers at least one
// cell and may stand just past the line's end.
func excerpt(line string, start, end int) (shown, marker string) {
	drawn := cells(line)
	from := min(max(start-1, 0), len(drawn))
	to := min(max(end-1, from), len(drawn))
	lead, span := width(drawn[:from]), width(drawn[from:to])
	before, after := 0, len(drawn)
	if width(drawn) > excerptWidth {
		before = from
		for room := excerptLead; before > 0 && drawn[before-1].width <= room; before-- {
			room -= drawn[before-1].width
		}
		after = before
		for room := excerptWidth; after < len(drawn) && drawn[after].width <= room; after++ {
			room -= drawn[after].width
		}
	}
	lead -= width(drawn[:before])
	span = min(span, max(width(drawn[before:after])-lead, 0))
	var text strings.Builder
	if before > 0 {
		text.WriteString("…")
		lead++
	}
	for _, c := range drawn[before:after] {
		text.WriteString(c.shown)
	}
	if after < len(drawn) {
		text.WriteString("…")
	}
	return strings.TrimRight(text.String(), " "), strings.Repeat(" ", lead) + strings.Repeat("^", max(span, 1))
}

func width(drawn []cell) int {
	sum := 0
	for _, c := range drawn {
		sum += c.width
	}
	return sum
}
