package schedule

import (
	"bytes"
	"fmt"
	"strings"

	"crownweir/lint/sheet/prose"

	"github.com/mattn/go-runewidth"
)

// writeText aligns the columns for a screen of fixed width letters.
func writeText(b *bytes.Buffer, s Sheet) {
	fmt.Fprintln(b, prose.Line(heading(s)))
	for _, whole := range s.Tables {
		t := whole.shown()
		fmt.Fprintln(b)
		if len(s.Tables) > 1 {
			fmt.Fprintln(b, prose.Line(t.Name))
		}
		width := make([]int, len(t.Columns))
		right := make([]bool, len(t.Columns))
		for i, c := range t.Columns {
			width[i] = columns(c.Name)
			right[i] = numeric(t, i)
		}
		for _, row := range t.Rows {
			for i, c := range row {
				width[i] = max(width[i], columns(shownText(c)))
			}
		}
		line := func(cells []string) {
			var l strings.Builder
			for i, text := range cells {
				gap := strings.Repeat(" ", width[i]-columns(text))
				if right[i] {
					l.WriteString(gap + text)
				} else {
					l.WriteString(text + gap)
				}
				l.WriteString("  ")
			}
			fmt.Fprintln(b, strings.TrimRight(l.String(), " "))
		}
		var head []string
		for _, c := range t.Columns {
			head = append(head, c.Name)
		}
		if len(t.Rows) > 0 {
			line(head)
		}
		for _, row := range t.Rows {
			var cells []string
			for _, c := range row {
				cells = append(cells, shownText(c))
			}
			line(cells)
		}
		for _, note := range t.Notes {
			fmt.Fprintf(b, "note: %s\n", prose.Line(note))
		}
	}
	fmt.Fprintln(b)
	for _, l := range s.Closing {
		fmt.Fprintln(b, prose.Line(l))
	}
}

// numeric tells whether a column holds numbers, beside blanks and words that
// stand in for one.
func numeric(t Table, i int) bool {
	n := 0
	for _, row := range t.Rows {
		if row[i].IsNumber {
			n++
		}
	}
	return n*2 > len(t.Rows) || n > 0 && t.Columns[i].Unit != ""
}

func shownText(c Cell) string {
	if c.Text == "" {
		return "-"
	}
	return prose.Line(c.Text)
}

// columns of a terminal that a text takes.
func columns(text string) int {
	// fixed, so that the bytes do not depend on the reader's locale
	return (&runewidth.Condition{StrictEmojiNeutral: true}).StringWidth(text)
}
