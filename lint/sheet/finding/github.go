package finding

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"crownweir/lint"
	"crownweir/lint/sheet/closing"
	"crownweir/lint/sheet/prose"
)

// gitHub writes annotations for a workflow run. Waived and known findings are
// notices that say so.
type gitHub struct {
	out *bufio.Writer
}

func newGitHub(w io.Writer, _ Options) Writer { return &gitHub{bufio.NewWriter(w)} }

// Plan writes the findings of one plan.
func (g *gitHub) Plan(p Plan) error {
	for _, e := range p.Entries {
		level, message := "notice", e.Message
		switch {
		case e.Waived != nil:
			message += "\n" + waivedLine(*e.Waived)
		case e.Known:
			message += "\nlisted in the baseline"
		case e.Severity == lint.Correction:
			level = "error"
		case e.Severity == lint.Caution:
			level = "warning"
		}
		if e.Section != "" {
			message += "\n" + e.Section
		}
		if e.Remedy != "" && e.Counts() {
			message += "\nwould satisfy: " + e.Remedy
		}
		place := fmt.Sprintf("file=%s,line=%d,endLine=%d", property(e.File), e.Start.Line, max(e.End.Line, e.Start.Line))
		if e.End.Line <= e.Start.Line { // columns hold only within one line
			place += fmt.Sprintf(",col=%d,endColumn=%d", e.Start.Column, max(e.End.Column, e.Start.Column))
		}
		fmt.Fprintf(g.out, "::%s %s,title=%s::%s\n", level, place, property(e.Rule), data(message))
	}
	return g.out.Flush()
}

// Close writes the sums and the caution as plain lines of the log.
func (g *gitHub) Close(t Totals) error {
	fmt.Fprintln(g.out, summaryLine(t))
	for _, line := range closing.Lines(t.Judged(), t.Unknowns, t.Books) {
		fmt.Fprintln(g.out, prose.Line(line))
	}
	return g.out.Flush()
}

// data escapes the text of a workflow command.
func data(text string) string {
	return strings.NewReplacer("%", "%25", "\r", "%0D", "\n", "%0A").Replace(text)
}

// property escapes the value of a workflow command's property.
func property(text string) string {
	return strings.NewReplacer(":", "%3A", ",", "%2C").Replace(data(text))
}
