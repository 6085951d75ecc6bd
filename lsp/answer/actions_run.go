package answer

import (
	"fmt"
	"slices"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lint/venting"
)

// join makes one run of the run at the place and the one that follows it, where
// nothing else stands or meets between them.
func (a *actor) join(s placed, r *grammar.Run) {
	runs := a.facts.runsOf(s)
	if len(runs) == 0 || len(r.Items) == 0 || r.To.First.Text == "" || r.From.IsRange() || r.To.IsRange() || strings.Contains(r.To.First.Text, ".") {
		return
	}
	follow, next, ok := a.following(s, r)
	if !ok {
		return
	}
	f := s.file
	// the first run's end becomes the second's, and its items follow
	items := f.text(grammar.Span{Start: next.Items[0].Span.Start, End: next.Items[len(next.Items)-1].Span.End})
	end := r.Items[len(r.Items)-1].Span.End
	edits := []Edit{
		{f.loc(r.To.Span), next.To.String()},
		{f.loc(grammar.Span{Start: end, End: end}), ", " + items},
		{f.loc(f.wholeLines(follow.Pos())), ""},
	}
	a.offer(Action{Title: fmt.Sprintf("join it with %s to %s", next.From.String(), next.To.String()), Kind: "refactor.inline", Edits: edits})
}

// following finds the run that alone goes on where a run ends, written alike.
func (a *actor) following(s placed, r *grammar.Run) (placed, *grammar.Run, bool) {
	none := func() (placed, *grammar.Run, bool) { return placed{}, nil, false }
	n := a.written()
	between := n.mentions[symbol{points, s.scope(), r.To.First.Text}]
	if len(between) != 2 {
		return none()
	}
	for _, m := range between {
		next, ok := m.stmt.Statement.(*grammar.Run)
		if !ok || m.stmt.file != s.file || m.stmt.scope() != s.scope() || next == r {
			continue
		}
		alike := next.Keyword() == r.Keyword() && next.From.First.Text == r.To.First.Text && !next.From.IsRange() && !next.To.IsRange() && next.To.First.Text != "" &&
			next.Solve.Text == "" && r.Solve.Text == "" && next.Material.Text == r.Material.Text && next.Tag.Text == r.Tag.Text && next.Existing == r.Existing && next.Claim.Text == r.Claim.Text
		x, ok1 := r.Size.Value.Size()
		y, ok2 := next.Size.Value.Size()
		if !alike || !ok1 || !ok2 || x != y || len(next.Items) == 0 || next.Items[0].Kind == grammar.PicksUp || next.To.First.Text == r.From.First.Text {
			return none()
		}
		if open(r.Items) && open(next.Items) || flexible(r.Items) != flexible(next.Items) || lowers(next.Items) {
			return none()
		}
		if strings.Contains(s.file.text(r.Pos()), "#") || strings.Contains(s.file.text(next.Pos()), "#") {
			return none() // a remark within would be lost or swallow what follows
		}
		for _, run := range a.facts.runsOf(m.stmt) {
			node := run.Pipes[0].From
			if len(node.Points) != 1 || len(node.VentIn)+len(node.VentOut)+len(node.WaterIn)+len(node.WaterOut)+len(node.DrainIn)+len(node.DrainOut) != 2 {
				return none()
			}
			if run.FoundAt != nil || a.facts.runsOf(s)[0].FoundAt != nil {
				return none()
			}
		}
		return m.stmt, next, true
	}
	return none()
}

// open tells whether what closes gives a leg its length.
func open(items []grammar.Item) bool {
	for i := range items {
		if it := &items[i]; it.Kind == grammar.Leg && (it.By == grammar.ToSuit || it.By == grammar.ToPoint || it.FallToSuit) {
			return true
		}
	}
	return false
}

// flexible tells whether a leg's way is not told: it does not stand in one run
// with legs that close.
func flexible(items []grammar.Item) bool {
	for i := range items {
		if items[i].Kind == grammar.Leg && items[i].Word.Text == "over" {
			return true
		}
	}
	return false
}

// lowers tells whether a height counts from the run's own beginning, which
// would be another one.
func lowers(items []grammar.Item) bool {
	for i := range items {
		if it := &items[i]; it.Kind == grammar.Leg && it.By == grammar.ToHeight && it.Height.Of.Text == "" {
			return true
		}
	}
	return false
}

// wholeLines widens a statement's span over its lines, their ends included,
// where nothing else stands on them.
func (f *file) wholeLines(span grammar.Span) grammar.Span {
	start, end := f.lineStart(span.Start), lineEnd(f.source, span.End)
	if strings.TrimSpace(f.source[start:span.Start]) != "" || strings.TrimSpace(f.source[span.End:end]) != "" {
		return span
	}
	if n := strings.IndexByte(f.source[end:], '\n'); n >= 0 {
		return grammar.Span{Start: start, End: end + n + 1}
	}
	if start > 0 { // the last line: take the line end before it
		start = len(strings.TrimRight(f.source[:start], "\r\n"))
	}
	return grammar.Span{Start: start, End: end}
}

// splitRun makes two runs of one, before the item at the place; at a point that
// it picks up, at that point.
func (a *actor) splitRun(s placed, r *grammar.Run) {
	if len(a.facts.runsOf(s)) == 0 || r.To.First.Text == "" || r.From.IsRange() || r.To.IsRange() {
		return
	}
	at := -1
	for i := range r.Items {
		if within(r.Items[i].Span, a.span.Start) {
			at = i
		}
	}
	if at <= 0 || strings.Contains(s.file.text(r.Pos()), "#") {
		return
	}
	head, tail, point := r.Items[:at], r.Items[at:], ""
	switch it := &r.Items[at]; it.Kind {
	case grammar.PicksUp:
		if it.Ref.IsRange() || at+1 == len(r.Items) {
			return
		}
		point, tail = it.Ref.First.Text, r.Items[at+1:]
	case grammar.Leg:
		k := cursor{Plan: a.Plan, names: a.written(), line: line{typical: s.typical}}
		point = k.free(stemOf(s.Keyword()))
	default:
		return
	}
	if open(head) && open(tail) || lowers(tail) || flexible(r.Items) || !hasLeg(head) || !hasLeg(tail) {
		return
	}
	if a.gathered(a.facts.runsOf(s)) || a.recorded(s, r) {
		return
	}
	f := s.file
	cut := head[len(head)-1].Span.End
	// what stands between the ends and the first item: size, material, marks
	middle := f.text(grammar.Span{Start: r.To.Span.End, End: r.Items[0].Span.Start})
	line := fmt.Sprintf("%s%s %s to %s%s", f.eol(), r.Keyword(), point, r.To.String(), middle)
	a.offer(Action{Title: fmt.Sprintf("split it at %s", point), Kind: "refactor.rewrite", Edits: []Edit{
		{f.loc(r.To.Span), point},
		{f.loc(grammar.Span{Start: cut, End: tail[0].Span.Start}), line},
	}})
}

// recorded tells whether a line that is no run itself, such as a waiver, names a
// run by its ends: in two it would name none.
func (a *actor) recorded(s placed, r *grammar.Run) bool {
	n := a.written()
	for _, m := range n.mentions[symbol{points, s.scope(), r.From.First.Text}] {
		if _, run := m.stmt.Statement.(*grammar.Run); run {
			continue
		}
		for _, o := range n.mentions[symbol{points, s.scope(), r.To.First.Text}] {
			if o.stmt.place() == m.stmt.place() {
				return true
			}
		}
	}
	return false
}

// gathered tells whether a run is part of a branch that a method of venting
// takes as one pipe, such as a circuit's: in two it would be another.
func (a *actor) gathered(runs []*system.Run) bool {
	if a.c == nil {
		return false
	}
	for _, arm := range a.c.Vents.Arms {
		for _, c := range arm.Candidates {
			switch c.Method {
			case venting.Circuit, venting.Combination, venting.WasteStack, venting.SingleStack, venting.Island:
			default:
				continue
			}
			for _, s := range append(slices.Clone(arm.Walk), c.Arm...) {
				if slices.Contains(runs, s.Pipe.Run) {
					return true
				}
			}
			if slices.ContainsFunc(c.Section, func(p *system.Pipe) bool { return slices.Contains(runs, p.Run) }) || c.Vent != nil && slices.Contains(runs, c.Vent.Run) {
				return true
			}
		}
	}
	return false
}

func hasLeg(items []grammar.Item) bool {
	for i := range items {
		if items[i].Kind == grammar.Leg {
			return true
		}
	}
	return false
}
