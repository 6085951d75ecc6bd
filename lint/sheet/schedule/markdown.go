package schedule

import (
	"bytes"
	"fmt"

	"crownweir/lint/sheet/prose"
)

// writeMarkdown writes each table as one of a review's comment.
func writeMarkdown(b *bytes.Buffer, s Sheet) {
	fmt.Fprintf(b, "## %s\n", prose.Markdown(heading(s)))
	for _, whole := range s.Tables {
		t := whole.shown()
		fmt.Fprintln(b)
		if len(s.Tables) > 1 {
			fmt.Fprintf(b, "### %s\n\n", prose.Markdown(t.Name))
		}
		if len(t.Rows) > 0 {
			for _, c := range t.Columns {
				fmt.Fprintf(b, "| %s ", prose.Markdown(c.Name))
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
				fmt.Fprintf(b, "| %s ", prose.Markdown(c.Text))
			}
			fmt.Fprintln(b, "|")
		}
		if len(t.Rows) > 0 && len(t.Notes) > 0 {
			fmt.Fprintln(b)
		}
		for _, note := range t.Notes {
			fmt.Fprintf(b, "- %s\n", prose.Markdown(note))
		}
	}
	fmt.Fprintln(b)
	for _, l := range s.Closing {
		fmt.Fprintf(b, "- %s\n", prose.Markdown(l))
	}
}
