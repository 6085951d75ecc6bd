package answer

import (
	"fmt"
	"slices"
	"strings"

	"crownweir/grammar"
	"crownweir/lint"
	"crownweir/lint/rule"
)

// An Action is a change of the plan that can be had at a place.
type Action struct {
	Title string
	// Kind is "quickfix", "refactor.rewrite", "refactor.extract",
	// "refactor.inline" or "source.fixAll".
	Kind  string
	Edits []Edit
	// Findings are the ids of what it answers.
	Findings []string
	// Preferred: the one change that puts a finding right.
	Preferred bool
}

// Actions lists what can be done about a span of a file: fixes of what is found
// there, waivers with a reason to be written, sizes, assumed values written
// out, runs joined and split, repeated lines made a typical. Where brief is set
// nothing is tried against the rules that was not before: a client asks so at
// every move of the cursor, to show that there is something to do.
func Actions(p *Plan, path string, span grammar.Span, brief bool) []Action {
	f := p.file(path)
	if f == nil || f.stale {
		return nil
	}
	span.Start, span.End = f.clamp(span.Start), f.clamp(span.End)
	a := actor{Plan: p, file: f, span: span, brief: brief}
	var unlock func()
	a.facts, a.c, unlock = p.lock()
	defer unlock()
	a.fixes()
	a.waivers()
	if s, ok := f.at(span.Start); ok {
		a.rewrites(s.own(), s)
	}
	if span.End > span.Start {
		a.typical()
	}
	return a.out
}

// FixAll is every fix that is the only one of its finding and lies in one file
// alone; edits that touch each other are left out but for the first.
func FixAll(p *Plan, path string) []Edit {
	f := p.file(path)
	if f == nil || f.stale || p.Report == nil {
		return nil
	}
	var out []Edit
	for i := range p.Report.Findings {
		fd := &p.Report.Findings[i]
		if fd.Waived != nil || len(fd.Fixes) != 1 {
			continue
		}
		edits := p.fixEdits(fd.Fixes[0])
		if edits == nil || slices.ContainsFunc(edits, func(e Edit) bool {
			return e.At.File != path || slices.ContainsFunc(out, func(o Edit) bool { return touch(o.At.Span, e.At.Span) })
		}) {
			continue
		}
		out = append(out, edits...)
	}
	slices.SortFunc(out, func(a, b Edit) int { return a.At.Span.Start - b.At.Span.Start })
	return out
}

func touch(a, b grammar.Span) bool { return a.Start <= b.End && b.Start <= a.End }

// actor gathers the actions of a span.
type actor struct {
	*Plan
	file  *file
	span  grammar.Span
	brief bool
	facts *facts
	c     *rule.Case // nil where nothing was judged
	out   []Action
}

func (a *actor) offer(act Action) { a.out = append(a.out, act) }

// found lists the findings that the span touches.
func (a *actor) found() []*lint.Finding {
	return a.findings(a.facts, a.file.loc(a.span))
}

func (a *actor) fixes() {
	for _, f := range a.found() {
		if f.Waived != nil {
			continue
		}
		for _, fix := range f.Fixes {
			if edits := a.fixEdits(fix); edits != nil {
				a.offer(Action{Title: fmt.Sprintf("%s (%s)", fix.Title, f.Rule), Kind: "quickfix", Edits: edits,
					Findings: []string{f.ID}, Preferred: len(f.Fixes) == 1})
			}
		}
	}
}

// fixEdits are the edits of a fix, in whatever files of the plan they lie; nil
// where one of them lies in none, or in a text that has changed since.
func (p *Plan) fixEdits(fix lint.Fix) []Edit {
	var out []Edit
	for _, e := range fix.Edits {
		file := p.file(e.File)
		if file == nil || file.stale || e.StartByte < 0 || e.EndByte < e.StartByte || e.EndByte > len(file.source) {
			return nil
		}
		out = append(out, Edit{file.loc(grammar.Span{Start: e.StartByte, End: e.EndByte}), e.Text})
	}
	return out
}

// waivers offer a line that lets a finding stand, with a reason to be written.
func (a *actor) waivers() {
	plan := a.Plan.file(a.Path)
	if plan == nil || plan.stale {
		return
	}
	for _, f := range a.found() {
		if f.Waived != nil || catalogue()[f.Rule].Family == "Drafting" {
			continue
		}
		subject := a.subjectOf(f)
		line := fmt.Sprintf("waive %s on %s because \"reason to be written\"", f.Rule, subject)
		a.offer(Action{Title: fmt.Sprintf("waive %s on %s, with a reason", f.Rule, subject), Kind: "quickfix",
			Edits: []Edit{plan.appended(line)}, Findings: []string{f.ID}})
	}
}

// appended is the edit that writes a line behind the last waiver, else at the
// end.
func (f *file) appended(line string) Edit {
	eol := f.eol()
	for i := len(f.stmts) - 1; i >= 0; i-- {
		s := f.stmts[i]
		if _, ok := s.Statement.(*grammar.Waive); ok && s.typical == nil {
			end := lineEnd(f.source, s.Pos().End)
			return Edit{f.loc(grammar.Span{Start: end, End: end}), eol + line}
		}
	}
	end := len(f.source)
	text := line + eol
	if end > 0 && f.source[end-1] != '\n' {
		text = eol + line
	}
	return Edit{f.loc(grammar.Span{Start: end, End: end}), text}
}

// eol is how the file ends its lines.
func (f *file) eol() string {
	if n := strings.IndexByte(f.source, '\n'); n > 0 && f.source[n-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}

// rewrites offer other ways to write a statement. s is what it says, whole the
// line it stands on, which may be an exception.
func (a *actor) rewrites(s, whole placed) {
	switch st := s.Statement.(type) {
	case *grammar.Run:
		a.sizeRun(s, st)
		a.material(s, st)
		a.fall(s, st)
		if _, except := whole.Statement.(*grammar.Except); !except {
			a.join(s, st)
			a.splitRun(s, st)
		}
	case *grammar.Point:
		a.heights(s, st)
	}
}
