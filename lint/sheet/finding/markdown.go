package finding

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"crownweir/lint/sheet/closing"
)

// markdown writes one table a plan, for a review's comment.
type markdown struct {
	out *bufio.Writer
}

func newMarkdown(w io.Writer, _ Options) Writer { return &markdown{bufio.NewWriter(w)} }

// Plan writes the findings of one plan.
func (m *markdown) Plan(p Plan) error {
	fmt.Fprintf(m.out, "## %s\n\n", prose(p.Path))
	if len(p.Entries) == 0 {
		fmt.Fprint(m.out, "No findings.\n\n")
		return m.out.Flush()
	}
	fmt.Fprint(m.out, "| Place | | Finding | Section | Would satisfy |\n| --- | --- | --- | --- | --- |\n")
	for _, e := range p.Entries {
		word, _ := label(e)
		message := prose(e.Message) + " `" + e.Rule + "`"
		if e.Waived != nil {
			message += "<br>" + prose(waivedLine(*e.Waived))
		}
		if len(e.Copies) > 0 {
			message += "<br>also stands for: " + prose(copiesLine(e.Copies))
		}
		fmt.Fprintf(m.out, "| %s:%d:%d | %s | %s | %s | %s |\n",
			prose(e.File), e.Start.Line, e.Start.Column, word, message, prose(e.Section), prose(e.Remedy))
	}
	fmt.Fprintln(m.out)
	return m.out.Flush()
}

// Close writes the sums and the caution.
func (m *markdown) Close(t Totals) error {
	fmt.Fprintf(m.out, "%s.\n\n", summaryLine(t))
	for _, line := range closing.Lines(t.Judged(), t.Unknowns, t.Books) {
		fmt.Fprintf(m.out, "- %s\n", prose(line))
	}
	return m.out.Flush()
}

// prose makes a text stand for itself inside a table's cell.
func prose(text string) string {
	var b strings.Builder
	for _, r := range plain(text) {
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
