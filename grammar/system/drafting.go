package system

import (
	"fmt"
	"sort"
	"strings"

	"crownweir/grammar"
)

// drafting judges the plan as a drawing: what is not connected, what leads
// nowhere, what runs uphill, what has no size. It counts what it looked at.
func (b *builder) drafting() {
	for _, path := range b.Order {
		f := b.Files[path]
		b.look("unreadable-line", len(f.Statements))
		b.Problems = append(b.Problems, Unread(f)...)
	}
	b.unconnected()
	b.drainEnds()
	b.ventEnds()
	b.supplyEnds()
	b.uphill()
	b.unsized()
	b.unused()
}

// Unread lists what could not be read of a file.
func Unread(f *grammar.File) []Problem {
	var out []Problem
	for _, pr := range f.Problems {
		out = append(out, Problem{Rule: pr.Rule, Loc: Loc{f.Path, pr.Span}, Message: pr.Message, Remedy: pr.Remedy, Suggest: pr.Suggest,
			Subject: strings.TrimSpace(clip(f.Source, pr.Span))})
	}
	return out
}

// look counts subjects a drafting rule looked at.
func (b *builder) look(rule string, n int) {
	if b.Looked == nil {
		b.Looked = map[string]int{}
	}
	b.Looked[rule] += n
}

func clip(src string, s grammar.Span) string {
	if s.Start < 0 || s.End > len(src) || s.Start >= s.End {
		return ""
	}
	text := src[s.Start:s.End]
	if i := strings.IndexAny(text, "\r\n"); i >= 0 {
		text = text[:i]
	}
	if len(text) > 60 {
		text = strings.ToValidUTF8(text[:60], "")
	}
	return text
}

func (b *builder) unconnected() {
	h := b.Header
	for _, p := range b.Points {
		if p.Kind != Fixture || p.Existing {
			continue
		}
		b.look("unconnected-fixture", 1)
		var lacks []string
		if h.Drainage && p.Fixture.NeedsDrain && len(p.Node.DrainOut) == 0 {
			lacks = append(lacks, "drain")
		}
		if h.Water {
			cold, hot := false, false
			for _, w := range p.Node.WaterIn {
				if netOf(w.Kind()) == ColdNet {
					cold = true
				} else {
					hot = true
				}
			}
			if p.Fixture.NeedsCold && !cold {
				lacks = append(lacks, "cold")
			}
			if p.Fixture.NeedsHot && !hot {
				lacks = append(lacks, "hot")
			}
		}
		if len(lacks) == 0 {
			continue
		}
		title := p.Fixture.Title
		if title == "" {
			title = p.Word
		}
		b.problem(Problem{Rule: "unconnected-fixture", Loc: p.Loc, Subject: p.Name, Copy: p.Copy,
			Message: fmt.Sprintf("%s %s has no %s", title, p.Name, strings.Join(lacks, ", no ")),
			Remedy:  fmt.Sprintf("write `%s %s`", lacks[0], endsFor(lacks[0], p.Local))})
	}
}

func endsFor(system, name string) string {
	if system == "drain" {
		return name + " to …"
	}
	return "… to " + name
}

// lonely reports a run that begins or ends at a name no other line has.
func (b *builder) lonely(r *Run, ref grammar.Ref, p *Point, verb string) {
	have, _ := b.guess(func() []string {
		var out []string
		for _, q := range b.Points {
			if q != p && q.Copy == p.Copy && (q.Kind == Fixture || q.Uses > 0) {
				out = append(out, q.Local)
			}
		}
		sort.Strings(out)
		return out
	})
	near := grammar.Nearest(p.Local, have)
	pr := Problem{Rule: "unknown-name", Loc: Loc{r.File, ref.Span}, Subject: p.Name, Copy: r.Copy, Suggest: near,
		Message: fmt.Sprintf("%s %s at %s, which no other line names", r.Kind, verb, p.Local),
		Remedy:  "name a fixture or a point that another run reaches, or begin the run with a `cleanout`"}
	if near != "" {
		pr.Message += "; did you mean " + near
		pr.Remedy = "write " + near
		if q, ok := b.byName[p.Copy.Prefix()+near]; ok {
			pr.Related = []RelatedLoc{{q.Loc, near + " stands here"}}
		}
	}
	b.problem(pr)
}

func (b *builder) drainEnds() {
	for _, n := range b.Nodes {
		if n.Circle || len(n.DrainIn)+len(n.DrainOut) == 0 {
			continue
		}
		b.look("dead-end-drain", 1)
		b.look("splitting-drain", 1)
		if len(n.DrainOut) == 0 && !b.takesDrain(n) {
			p := named(n.DrainIn, 0)
			r := p.Run
			b.problem(Problem{Rule: "dead-end-drain", Loc: Loc{r.File, r.Stmt.To.Span}, Subject: r.Subject(), Copy: r.Copy,
				Message: fmt.Sprintf("%s %s ends at %s and reaches no outfall", r.Kind, r.Subject(), n.Name()),
				Remedy:  fmt.Sprintf("carry it on from %s to the building drain or an outfall", n.Name())})
		}
		if len(n.DrainIn) == 0 && len(n.VentOut)+len(n.VentIn) == 0 && len(n.Points) == 1 && n.Points[0].Kind == Junction && n.Points[0].Uses == 1 {
			r := named(n.DrainOut, 0).Run
			if len(r.Stmt.Items) == 0 || !isCleanout(r.Stmt.Items[0]) {
				b.lonely(r, r.Stmt.From, n.Points[0], "begins")
			}
		}
		if len(n.DrainOut) > 1 && n.Find(Fixture) == nil {
			r, first := named(n.DrainOut, 1).Run, named(n.DrainOut, 0).Run
			b.problem(Problem{Rule: "splitting-drain", Loc: Loc{r.File, r.Stmt.From.Span}, Subject: r.Subject(), Copy: r.Copy,
				Message: fmt.Sprintf("drain forks at %s: %s and %s both leave it", n.Name(), first.Subject(), r.Subject()),
				Remedy:  "let one drain leave the point; turn the other round if it flows in",
				Related: []RelatedLoc{{Loc{first.File, first.Stmt.From.Span}, "the other leaves here"}}})
		}
	}
}

func isCleanout(it grammar.Item) bool {
	return it.Kind == grammar.Device && it.Word.Text == "cleanout"
}

// takesDrain: drains may end here.
func (b *builder) takesDrain(n *Node) bool {
	for _, p := range n.Points {
		switch p.Kind {
		case Outfall, ExistingDrain, ExistingStack:
			return true
		case Fixture: // a receptor, for what reaches it indirectly
			for _, d := range n.DrainIn {
				if d.Kind() != Indirect {
					return false
				}
			}
			return true
		}
	}
	return false
}

func (b *builder) ventEnds() {
	for _, n := range b.Nodes {
		if n.Circle || len(n.VentIn)+len(n.VentOut) == 0 {
			continue
		}
		b.look("dead-end-vent", 1)
		onDrain := len(n.DrainIn)+len(n.DrainOut) > 0
		if len(n.VentOut) == 0 && !onDrain && n.Find(Terminal) == nil && n.Find(ExistingVent) == nil && n.Find(ExistingStack) == nil {
			r := named(n.VentIn, 0).Run
			b.problem(Problem{Rule: "dead-end-vent", Loc: Loc{r.File, r.Stmt.To.Span}, Subject: r.Subject(), Copy: r.Copy,
				Message: fmt.Sprintf("vent %s ends at %s and reaches no open air", r.Subject(), n.Name()),
				Remedy:  fmt.Sprintf("carry it on from %s to another vent or a terminal", n.Name())})
		}
		if len(n.VentIn) == 0 && !onDrain && len(n.Points) == 1 && n.Points[0].Kind == Junction {
			r := named(n.VentOut, 0).Run
			if n.Points[0].Uses == 1 {
				b.lonely(r, r.Stmt.From, n.Points[0], "begins")
			} else {
				b.problem(Problem{Rule: "dead-end-vent", Loc: Loc{r.File, r.Stmt.From.Span}, Subject: r.Subject(), Copy: r.Copy,
					Message: fmt.Sprintf("vent %s begins at %s, which no drain reaches", r.Subject(), n.Name()),
					Remedy:  "begin it at the point of the drain it is taken off"})
			}
		}
	}
}

func (b *builder) supplyEnds() {
	if !b.Header.Water {
		return
	}
	fed := make([]bool, len(b.Nodes))
	for _, n := range b.waterOrder {
		if !fed[n.ID] {
			for _, p := range n.Points {
				switch p.Kind {
				case Main, ExistingSupply, Heater:
					fed[n.ID] = true
				}
			}
		}
		for _, w := range n.WaterIn {
			fed[n.ID] = fed[n.ID] || fed[w.From.ID]
		}
	}
	for _, n := range b.Nodes {
		if len(n.WaterIn)+len(n.WaterOut) == 0 {
			continue
		}
		b.look("dead-end-supply", 1)
		if len(n.WaterOut) > 0 && len(n.WaterIn) == 0 && !fed[n.ID] {
			r := named(n.WaterOut, 0).Run
			b.problem(Problem{Rule: "dead-end-supply", Loc: Loc{r.File, r.Stmt.From.Span}, Subject: r.Subject(), Copy: r.Copy,
				Message: fmt.Sprintf("%s %s begins at %s, which no source feeds", r.Kind, r.Subject(), n.Name()),
				Remedy:  "begin it at a main, a heater, a manifold or another supply pipe"})
		}
	}
	b.sourcelessRings()
}

// sourcelessRings reports supply pipes that feed each other in a circle and
// that nothing else leads to: none of them begins anywhere.
func (b *builder) sourcelessRings() {
	reached := make([]bool, len(b.Nodes))
	var queue []*Node
	reach := func(n *Node) {
		if !reached[n.ID] {
			reached[n.ID] = true
			queue = append(queue, n)
		}
	}
	for _, n := range b.Nodes {
		start := len(n.WaterIn) == 0 // told above where nothing feeds it
		for _, p := range n.Points {
			start = start || p.Kind == Main || p.Kind == ExistingSupply || p.Kind == Heater
		}
		if start {
			reach(n)
		}
	}
	follow := func() {
		for i := 0; i < len(queue); i++ {
			for _, w := range queue[i].WaterOut {
				reach(w.To)
			}
		}
		queue = queue[:0]
	}
	follow()
	var left []*Pipe
	for _, p := range b.Pipes {
		if p.Kind().Water() && p.Kind() != Return && !reached[p.From.ID] {
			left = append(left, p)
		}
	}
	sort.SliceStable(left, func(i, j int) bool { return left[i].Run.Name() < left[j].Run.Name() })
	for _, p := range left {
		if reached[p.From.ID] {
			continue
		}
		// against the flow into the ring itself, so that what hangs on it is not told too
		at, seen := p.From, map[*Node]bool{}
		for !seen[at] {
			seen[at] = true
			at = named(at.WaterIn, 0).From
		}
		first := named(at.WaterOut, 0)
		r := first.Run
		b.problem(Problem{Rule: "dead-end-supply", Loc: Loc{r.File, r.Stmt.From.Span}, Subject: r.Subject(), Copy: r.Copy,
			Message: fmt.Sprintf("%s %s is part of a ring that no source feeds", r.Kind, r.Subject()),
			Remedy:  "lead a service or another supply pipe into the ring"})
		reach(at)
		follow()
	}
}

func (b *builder) uphill() {
	told := map[*Run]bool{}
	for _, p := range b.Pipes {
		if !p.Kind().Sanitary() {
			continue
		}
		b.look("uphill-drain", 1)
		if told[p.Run] {
			continue
		}
		for i := range p.Parts {
			pt := &p.Parts[i]
			if !pt.IsLeg() {
				continue
			}
			r := p.Run
			switch {
			case pt.Posture == Upright && !pt.Down:
				b.problem(Problem{Rule: "uphill-drain", Loc: Loc{r.File, pt.Item.Span}, Subject: r.Subject(), Copy: r.Copy,
					Message: fmt.Sprintf("%s %s climbs: leg `%s`", r.Kind, r.Subject(), legText(pt)),
					Remedy:  "let it fall, or lift the waste with an ejector and a `discharge`"})
			case pt.Posture == LevelLeg && pt.Fall.Known() && pt.Fall.V < -1e-9:
				pr := Problem{Rule: "uphill-drain", Loc: Loc{r.File, pt.Item.Span}, Subject: r.Subject(), Copy: r.Copy,
					Message: fmt.Sprintf("%s %s climbs: its fall %s is %s", r.Kind, r.Subject(), fallOrigin(pt.Fall.Origin), fallText(pt.Fall.V)),
					Remedy:  "lower the end it runs to, or raise the end it comes from"}
				if pt.Fall.Origin == Found {
					pr.Basis, pr.Loc = "found", r.FoundAt["fall"]
				}
				b.problem(pr)
			default:
				continue
			}
			told[r] = true
			break
		}
	}
}

func fallOrigin(o Origin) string {
	switch o {
	case Worked, Suit:
		return "worked out from its two ends"
	case Found:
		return "as found"
	}
	return "as written"
}

func fallText(v float64) string {
	sign := ""
	if v < 0 {
		sign, v = "-", -v
	}
	return fmt.Sprintf("%s%.3g in/ft", sign, v*12)
}

func (b *builder) unsized() {
	for _, r := range b.Runs {
		if r.Kind == Indirect && len(r.Stmt.Items) <= 1 {
			continue
		}
		b.look("unsized-run", 1)
		if r.Size > 0 || r.Existing {
			continue
		}
		pr := Problem{Rule: "unsized-run", Loc: Loc{r.File, r.Stmt.Ends()}, Subject: r.Subject(), Copy: r.Copy,
			Message: fmt.Sprintf("%s %s has no size", r.Kind, r.Subject()), Remedy: "write its nominal size, as 2\", after its ends"}
		if r.Solve {
			pr.Loc.Span = r.Stmt.Solve.Span
			pr.Message = fmt.Sprintf("size of %s %s is left to be solved", r.Kind, r.Subject())
			pr.Remedy = "write the size, or let `crownweir size` find it"
		}
		b.problem(pr)
	}
}

func (b *builder) unused() {
	for _, p := range b.Points {
		switch p.Kind {
		case Fixture, Object, Junction, ExistingVent:
			continue
		}
		b.look("unused-point", 1)
		if p.Uses > 0 {
			continue
		}
		b.problem(Problem{Rule: "unused-point", Loc: p.Loc, Subject: p.Name, Copy: p.Copy,
			Message: fmt.Sprintf("%s %s is named by no run", p.Decl.Keyword(), p.Name), Remedy: "connect it, or take the line out"})
	}
}
