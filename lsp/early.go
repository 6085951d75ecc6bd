package lsp

import (
	"cmp"
	"slices"
	"time"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lint"
	"crownweir/lsp/answer"
)

// lasting is what a check must have cost last for something to be told before
// the next one is done.
const lasting = 100 * time.Millisecond

// tellEarly tells, before a check is done that takes long, what its text alone
// gives away: lines that cannot be read. What was found last stands until then
// where its lines have gone.
func (s *Server) tellEarly(c *check) {
	last := c.lane.finished()
	if last == nil || last.plan == nil || last.fault != "" || last.took < lasting || !c.own || s.now.Load().client.pull {
		return
	}
	counts := func() bool {
		select {
		case <-c.done:
			return false
		default:
			return s.now.Load().checks[c.doc.key] == c
		}
	}
	if !counts() {
		return
	}
	got, now := c.early(last), s.now.Load()
	s.board.early(c.doc, got.diagnostics(now)[c.doc.key], s.now.Load, counts)
}

// early is a check as far as it can be told from the text and the check before
// it.
func (c *check) early(last *judged) *judged {
	name := last.plan.Path
	v := c.remembered(last, &snapshot{client: newClient(nil)})
	were := map[unread]bool{}
	if f := last.plan.Report.Files[name]; f != nil {
		for _, p := range f.Problems {
			were[unread{p.Rule, p.Span}] = true
		}
	}
	move := func(p lint.Place) lint.Place {
		span := v.moved(system.Loc{File: p.File, Span: spanOf(p)})
		p.StartByte, p.EndByte = span.Start, span.End
		return p
	}
	findings := lint.Unread(c.doc.parsed(name), last.opts)
	for _, f := range last.plan.Report.Findings {
		if f.File == name && were[unread{f.Rule, spanOf(f.Place)}] {
			continue
		}
		f.Place = move(f.Place)
		f.Related = slices.Clone(f.Related)
		for i := range f.Related {
			f.Related[i].Place = move(f.Related[i].Place)
		}
		findings = append(findings, f)
	}
	slices.SortStableFunc(findings, func(a, b lint.Finding) int { return cmp.Compare(a.StartByte, b.StartByte) })
	return &judged{doc: c.doc, files: v.files, plan: &answer.Plan{Path: name, Report: &lint.Report{Path: name, Findings: findings}}}
}

// unread is a line that could not be read, by what is wrong with it and where.
type unread struct {
	rule string
	span grammar.Span
}
