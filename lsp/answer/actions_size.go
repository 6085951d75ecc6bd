package answer

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint"
	"crownweir/lint/fit"
)

// sizeRun offers the smallest size of a run that satisfies the rules, found by
// trying; where that would take too long, what the ledger asks of a run of which
// the size is to be worked out, is missing or is too small.
func (a *actor) sizeRun(s placed, r *grammar.Run) {
	runs := a.facts.runsOf(s)
	if a.c == nil || len(runs) == 0 {
		return
	}
	for _, run := range runs {
		if run.SizeOf == system.Found || run.Existing {
			return
		}
	}
	doubt := "; not tried against the rules"
	if tried := a.fit(s); tried != nil {
		if len(tried.Left) == 0 {
			a.fitted(runs, tried)
			return
		}
		doubt = "; not proved: " + tried.Left[0].Why
	}
	ask, ok := a.facts.least(a.c, runs)
	have, written := r.Size.Value.Size()
	if !ok || written && have >= ask.size {
		return
	}
	size := quantity.FormatSize(ask.size)
	edit := Edit{s.file.loc(r.Size.Span), size}
	switch {
	case r.Solve.Text != "":
		edit.At.Span = r.Solve.Span
	case !written:
		end := r.Ends().End
		edit = Edit{s.file.loc(grammar.Span{Start: end, End: end}), " " + size}
	}
	a.offer(Action{Title: fmt.Sprintf("size %s: %s, asked by %s%s", runs[0].Subject(), size, ask.why, doubt), Kind: "refactor.rewrite", Edits: []Edit{edit}})
}

// mostTrials is how often the plan is judged for one run before the trying is
// broken off; a size takes about ten.
const mostTrials = 40

// fit is the run at a statement sized by trying; nil where that cannot be or
// was broken off. It is worked out once for each.
func (a *actor) fit(s placed) *fit.Result {
	if known, ok := a.facts.fitted[s.place()]; ok {
		return known
	}
	if a.Try == nil || a.brief {
		return nil
	}
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	trials := 0
	result, err := fit.Run(ctx, func(parse func(path, source string) *grammar.File) *lint.Report {
		if trials++; trials == mostTrials {
			stop()
		}
		return a.Try(parse)
	}, s.file.path, s.Pos().Start)
	if err != nil || len(result.Sizes)+len(result.Left) == 0 {
		result = nil
	}
	if a.facts.fitted == nil {
		a.facts.fitted = map[place]*fit.Result{}
	}
	a.facts.fitted[s.place()] = result
	return result
}

// fitted offers sizes that were found by trying, where they are not those that
// stand there.
func (a *actor) fitted(runs []*system.Run, tried *fit.Result) {
	var edits []Edit
	var says []string
	for _, z := range tried.Sizes {
		if z.Text == z.Was {
			continue
		}
		edits = append(edits, Edit{system.Loc{File: z.File, Span: z.Span}, z.Text})
		say := strings.TrimSpace(z.Text)
		if strings.HasPrefix(z.What, "trap in ") {
			say = "its trap " + say
		}
		switch {
		case z.Below == 0:
			say += ", the smallest there is"
		case z.Bound != nil:
			say += fmt.Sprintf(", the least by trial: %s brings %s", quantity.FormatSize(z.Below), z.Bound.Rule)
		}
		says = append(says, say)
	}
	if len(edits) == 0 {
		return
	}
	title := fmt.Sprintf("size %s: %s", runs[0].Subject(), strings.Join(says, "; "))
	if slices.ContainsFunc(runs, func(r *system.Run) bool { return r.Kind == system.Vent && a.facts.openRun(a.c, r) }) {
		title += moreOnceKnown
	}
	if f, n := a.brought(tried.Report); n > 0 {
		title += fmt.Sprintf("; then %s on %s", f.Rule, f.Subject)
		if n > 1 {
			title += fmt.Sprintf(" and %d more", n-1)
		}
	}
	a.offer(Action{Title: title, Kind: "refactor.rewrite", Edits: edits})
}

// brought is the first breach that a report has and the plan's has not, and how
// many there are: a size that satisfies the rules for its own run may be too
// large or too small for what it meets.
func (a *actor) brought(after *lint.Report) (first *lint.Finding, n int) {
	known := map[string]bool{}
	for i := range a.Report.Findings {
		known[a.Report.Findings[i].ID] = true
	}
	for i := range after.Findings {
		if f := &after.Findings[i]; f.Severity == lint.Correction && f.Waived == nil && !known[f.ID] {
			if n++; first == nil {
				first = f
			}
		}
	}
	return first, n
}
