package finding

import (
	"bufio"
	"fmt"
	"io"

	"crownweir/lint/sheet/closing"
	"crownweir/lint/sheet/prose"
)

// markdown writes one table a plan, for a review's comment.
type markdown struct {
	out *bufio.Writer
}

func newMarkdown(w io.Writer, _ Options) Writer { return &markdown{bufio.NewWriter(w)} }

// Plan writes the findings of one plan.
func (m *markdown) Plan(p Plan) error {
	fmt.Fprintf(m.out, "## %s\n\n", prose.Markdown(p.Path))
	if len(p.Entries) == 0 {
		fmt.Fprint(m.out, "No findings.\n\n")
		return m.out.Flush()
	}
	fmt.Fprint(m.out, "| Place | | Finding | Section | Would satisfy |\n| --- | --- | --- | --- | --- |\n")
	for _, e := range p.Entries {
		word, _ := label(e)
		message := prose.Markdown(e.Message) + " `" + e.Rule + "`"
		if e.Waived != nil {
			message += "<br>" + prose.Markdown(waivedLine(*e.Waived))
		}
		if len(e.Copies) > 0 {
			message += "<br>also stands for: " + prose.Markdown(copiesLine(e.Copies))
		}
		fmt.Fprintf(m.out, "| %s:%d:%d | %s | %s | %s | %s |\n",
			prose.Markdown(e.File), e.Start.Line, e.Start.Column, word, message, prose.Markdown(e.Section), prose.Markdown(e.Remedy))
	}
	fmt.Fprintln(m.out)
	return m.out.Flush()
}

// Close writes the sums and the caution.
func (m *markdown) Close(t Totals) error {
	fmt.Fprintf(m.out, "%s.\n\n", summaryLine(t))
	for _, line := range closing.Lines(t.Judged(), t.Unknowns, t.Books) {
		fmt.Fprintf(m.out, "- %s\n", prose.Markdown(line))
	}
	return m.out.Flush()
}
