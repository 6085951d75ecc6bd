package answer

import (
	"math"
	"sort"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/pressure"
	"crownweir/lint/rule"
)

// A Hint is a few words shown in the text behind an offset, which are not
// written there.
type Hint struct {
	At   system.Loc // an empty span
	Text string
	Tip  string
	Kind string // "load", "flow", "elevation", "fall"
}

// Hints lists the hints of a span of a file, in its order: loads on drains and
// vents, flow and velocity on water, heights at the ends of drains, falls that
// nobody wrote.
func Hints(p *Plan, path string, span grammar.Span) []Hint {
	f := p.file(path)
	if f == nil || f.stale {
		return nil
	}
	known, c, unlock := p.lock()
	defer unlock()
	var out []Hint
	add := func(offset int, text, tip, kind string) {
		if text != "" && span.Start <= offset && offset <= span.End {
			out = append(out, Hint{f.loc(grammar.Span{Start: offset, End: offset}), text, tip, kind})
		}
	}
	for _, s := range f.within(span) {
		r, ok := s.own().Statement.(*grammar.Run)
		if !ok {
			continue
		}
		runs := known.runsOf(s.own())
		if len(runs) == 0 {
			continue
		}
		ends := r.Ends().End
		if c != nil {
			behind := max(ends, r.Size.Span.End, r.Solve.Span.End)
			text, tip, kind := carries(known, c, runs)
			add(behind, text, tip, kind)
		}
		if first := runs[0]; first.Kind.Sanitary() && r.To.Last.Text == "" && r.To.First.Text != "" {
			text, tip := endHeight(first)
			add(r.To.Span.End, text, tip, "elevation")
		}
		if runs[0].Kind.Sanitary() {
			assumedFalls(runs[0], add)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].At.Span.Start < out[j].At.Span.Start })
	return out
}

// carries is the load of the copy of a run that carries most.
func carries(known *facts, c *rule.Case, runs []*system.Run) (text, tip, kind string) {
	h := hover{c: c}
	r := h.heaviest(runs)
	p := r.Pipes[len(r.Pipes)-1]
	if len(runs) > 1 {
		tip = "of " + r.Name() + ", which carries most of " + plural(len(runs), "run", "runs")
	}
	switch {
	case r.Kind.Water():
		l := c.Pressure().Of(r.Pipes[0])
		if l.Flow.How == pressure.NoFlow {
			return "", "", ""
		}
		text = gpm(l.Flow.Q) + " gpm"
		if l.Velocity > 0 {
			text += " " + number(l.Velocity/foot, 1) + " ft/s"
		}
		return text, tip, "flow"
	case r.Kind == system.Vent:
		l := c.Vents.Load(p)
		if l.Traps == 0 {
			return "", "", ""
		}
		text = "serves " + units(l.Units)
		if known.openRun(c, r) {
			text += " or more"
		}
		return text, tip, "load"
	}
	l := c.Ledger.Of(p)
	if l.Fixtures == 0 && l.Units == 0 && l.Unknown == 0 {
		return "", "", ""
	}
	text = units(l.Units)
	if l.Unknown > 0 {
		text += " or more"
	}
	return text, tip, "load"
}

// endHeight is where a run of drain arrives: over its floor, else elevation.
func endHeight(r *system.Run) (text, tip string) {
	n := r.Pipes[len(r.Pipes)-1].To
	z := n.Pos[system.DWV][2]
	if !z.Known() || len(n.Points) == 0 || math.IsNaN(z.V) {
		return "", ""
	}
	q := n.Points[0]
	level := q.Level
	if level == nil {
		level, _ = n.Serves()
	}
	if level == nil {
		return "at " + length(z.V), "elevation, " + from(z)
	}
	return "at " + length(z.V-level.Elevation), overFloor(q, z.V) + ", " + from(z)
}

// assumedFalls tells the falls that level legs have without writing one.
func assumedFalls(r *system.Run, add func(offset int, text, tip, kind string)) {
	for _, p := range r.Pipes {
		for i := range p.Parts {
			pt := &p.Parts[i]
			if !pt.IsLeg() || pt.Posture != system.LevelLeg || !pt.Fall.Known() {
				continue
			}
			switch pt.Fall.Origin {
			case system.Written, system.Found:
				continue
			}
			end := legEnd(pt.Item)
			if pt.Item.FallToSuit {
				end = pt.Item.Span.End
			}
			add(end, "fall "+gradeText(pt.Fall.V), from(pt.Fall), "fall")
		}
	}
}

// gradeText is a fall as the notation writes it, without its unit.
func gradeText(ratio float64) string {
	const unit = " in/ft"
	s := quantity.FormatGrade(ratio)
	if len(s) > len(unit) && s[len(s)-len(unit):] == unit {
		return s[:len(s)-len(unit)]
	}
	return s
}
