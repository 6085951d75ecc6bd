package schedule

import (
	"bytes"
	"fmt"
	"strings"
)

// writeMarkdown writes each table as one of a review's comment.
func writeMarkdown(b *bytes.Buffer, s Sheet) {
	fmt.Fprintf(b, "## %s\n", prose(heading(s)))
	for _, whole := range s.Tables {
		t := whole.shown()
		fmt.Fprintln(b)
		if len(s.Tables) > 1 {
			fmt.Fprintf(b, "### %s\n\n", prose(t.Name))
		}
		if len(t.Rows) > 0 {
			for _, c := range t.Columns {
				fmt.Fprintf(b, "| %s ", prose(c.Name))
			}
			fmt.Fprintln(b, "|")
			for i := range t.Columns {
				if numeric(t, i) {
					fmt.Fprint(b, "| ---: ")
				} else {
					fmt.Fprint(b, "| --- ")
				}
			}
			fmt.Fprintln(b, "|")
		}
		for _, row := range t.Rows {
			for _, c := range row {
				fmt.Fprintf(b, "| %s ", prose(c.Text))
			}
			fmt.Fprintln(b, "|")
		}
		if len(t.Rows) > 0 && len(t.Notes) > 0 {
			fmt.Fprintln(b)
		}
		for _, note := range t.Notes {
			fmt.Fprintf(b, "- %s\n", prose(note))
		}
	}
	fmt.Fprintln(b)
	for _, l := range s.Closing {
		fmt.Fprintf(b, "- %s\n", prose(l))
	}
}

// prose makes a text stand for itself inside a table's cell.
func prose(text string) string {
	var b strings.Builder
	for _, r := range still(text) {
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
