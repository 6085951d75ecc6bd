package finding

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"crownweir/grammar"
	"crownweir/lint"
	"crownweir/lint/sheet/closing"
	"crownweir/lint/sheet/prose"
)

const (
	gutterWidth = 5 // of the line number beside an excerpt
	copiesShown = 3
)

// text is the format for people: a line that can be searched and clicked,
// then the excerpt with its marker, the section and the remedy.
type text struct {
	out  *bufio.Writer
	opts Options
}

func newText(w io.Writer, opts Options) Writer {
	return &text{bufio.NewWriter(w), opts}
}

// Plan writes the findings of one plan.
func (t *text) Plan(p Plan) error {
	mappers := map[string]*grammar.Mapper{}
	for _, e := range p.Entries {
		t.first(e)
		if t.opts.Detail == FirstLine {
			continue
		}
		switch {
		case e.Waived != nil:
			t.line("", waivedLine(*e.Waived))
		case e.Known:
			t.line("", "listed in the baseline, not counted")
		default:
			if source, ok := p.Sources[e.File]; ok && mappers[e.File] == nil {
				mappers[e.File] = grammar.NewMapper(source)
			}
			t.body(e, mappers[e.File])
		}
	}
	return t.out.Flush()
}

// Close writes the sums and the caution.
func (t *text) Close(totals Totals) error {
	if t.opts.Detail == Full && totals.Summary.all() > 0 {
		fmt.Fprintln(t.out)
	}
	fmt.Fprintln(t.out, summaryLine(totals))
	for _, line := range closing.Lines(totals.Judged(), totals.Unknowns, totals.Books) {
		fmt.Fprintln(t.out, prose.Line(line))
	}
	return t.out.Flush()
}

func (t *text) first(e Entry) {
	word, role := label(e)
	paint := t.opts.Paint
	fmt.Fprintf(t.out, "%s %s %s %s\n",
		paint.as(RolePlace, fmt.Sprintf("%s:%d:%d:", prose.Line(e.File), e.Start.Line, e.Start.Column)),
		paint.as(role, word+":"),
		prose.Line(e.Message),
		paint.as(RoleRule, "["+e.Rule+"]"))
}

func (t *text) body(e Entry, source *grammar.Mapper) {
	if n := e.Start.Line; source != nil && n >= 1 && n <= source.Lines() {
		line, end := source.LineText(n), e.End.Column
		if e.End.Line > n {
			end = utf8.RuneCountInString(line) + 1
		}
		shown, marker := excerpt(line, e.Start.Column, end)
		_, role := label(e)
		t.gutter(strconv.Itoa(n), shown)
		marker = strings.Replace(marker, strings.TrimLeft(marker, " "), t.opts.Paint.as(role, strings.TrimLeft(marker, " ")), 1)
		if e.Note != "" {
			marker += " " + prose.Line(e.Note)
		}
		t.gutter("", marker)
	}
	if len(e.Copies) > 0 {
		t.line("also stands for: ", copiesLine(e.Copies))
	}
	for _, r := range e.Related {
		t.line("", fmt.Sprintf("%s:%d:%d: %s", r.File, r.Start.Line, r.Start.Column, r.Message))
	}
	if e.Section != "" {
		t.line("", e.Section)
	}
	if e.Remedy != "" {
		t.line("would satisfy: ", e.Remedy)
	}
}

func (t *text) gutter(number, content string) {
	left := fmt.Sprintf("%*s |", gutterWidth, number)
	if content == "" {
		fmt.Fprintln(t.out, t.opts.Paint.as(RoleGutter, left))
		return
	}
	fmt.Fprintf(t.out, "%s %s\n", t.opts.Paint.as(RoleGutter, left), content)
}

func (t *text) line(lead, content string) {
	left := strings.Repeat(" ", gutterWidth+1) + "="
	fmt.Fprintf(t.out, "%s %s%s\n", t.opts.Paint.as(RoleGutter, left), t.opts.Paint.as(RoleRemedy, lead), prose.Line(content))
}

// label is the word in a finding's first line, where the severity stands.
func label(e Entry) (string, Role) {
	switch {
	case e.Waived != nil:
		return "waived", RoleAside
	case e.Known:
		return "known", RoleAside
	case e.Severity == lint.Correction:
		return string(e.Severity), RoleCorrection
	case e.Severity == lint.Caution:
		return string(e.Severity), RoleCaution
	}
	return string(e.Severity), RoleAdvice
}

func waivedLine(w lint.Waiver) string {
	line := fmt.Sprintf("waived on line %d because %q", w.Line, w.Because)
	if w.Approved != "" {
		line += fmt.Sprintf(", approved %q", w.Approved)
	}
	if w.Until != "" {
		line += ", until " + w.Until
	}
	return line
}

func copiesLine(copies []string) string {
	if len(copies) <= copiesShown+1 {
		return strings.Join(copies, ", ")
	}
	return fmt.Sprintf("%s, … and %d more", strings.Join(copies[:copiesShown], ", "), len(copies)-copiesShown)
}

func summaryLine(t Totals) string {
	s := t.Summary
	line := fmt.Sprintf("%s: %s, %s, %s, %d waived",
		count(t.Files, "plan", "plans"),
		count(s.Correction, "correction", "corrections"),
		count(s.Caution, "caution", "cautions"),
		count(s.Advice, "piece of advice", "pieces of advice"),
		s.Waived)
	if s.Known > 0 {
		line += fmt.Sprintf(", %d known", s.Known)
	}
	return line
}

func (s Summary) all() int { return s.Correction + s.Caution + s.Advice + s.Waived + s.Known }

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
