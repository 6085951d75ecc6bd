package system

import (
	"fmt"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
)

// records keeps inspections, found values, tests and waivers, and lays the
// found values over the plan.
func (b *builder) records() {
	inspected := false
	for _, in := range b.insts {
		if _, ok := in.stmt.(*grammar.Inspection); ok {
			inspected = true
		}
	}
	for _, in := range b.insts {
		switch st := in.stmt.(type) {
		case *grammar.Found:
			b.record(in)
			if !inspected {
				b.stray(in, "found", "belongs to no inspection", "write `inspection rough-in on DATE` in the plan")
			}
			b.found(in, st)
		case *grammar.Test:
			b.record(in)
			if !inspected {
				b.stray(in, "test", "belongs to no inspection", "write `inspection rough-in on DATE` in the plan")
			}
		case *grammar.Waive, *grammar.Inspection:
			b.record(in)
		case *grammar.Note:
			if st.On.First.Text != "" {
				if _, _, ok := b.Subject(grammar.Subject{From: st.On}, in.copy); !ok {
					b.unknownName("point or tag", st.On.First, in.file.Path, in.copy, b.subjectNames())
				}
			}
		}
	}
}

func (b *builder) record(in inst) {
	b.Records = append(b.Records, &Record{Stmt: in.stmt, File: in.file.Path, Copy: in.copy})
}

func (b *builder) stray(in inst, subject, why, remedy string) {
	b.problem(Problem{Rule: "stray-record", Loc: Loc{in.file.Path, in.stmt.Pos()}, Subject: subject, Copy: in.copy,
		Message: fmt.Sprintf("`%s` %s", in.stmt.Keyword(), why), Remedy: remedy})
}

func (b *builder) subjectNames() []string {
	return append(keys(b.byName), keys(b.byTag)...)
}

// Subject finds what a found or waive line names: points, or the runs of a
// tag or between two ends.
func (s *System) Subject(sub grammar.Subject, c *Copy) (points []*Point, runs []*Run, ok bool) {
	names, fine := sub.From.Names()
	if !fine {
		return nil, nil, false
	}
	if sub.To.First.Text != "" {
		tos, fine := sub.To.Names()
		if !fine || len(tos) != len(names) {
			return nil, nil, false
		}
		for i, n := range names {
			for _, r := range s.Between(c.Prefix()+n, c.Prefix()+tos[i]) {
				if sub.System.Text == "" || sub.System.Text == r.Kind.String() {
					runs = append(runs, r)
				}
			}
		}
		return nil, runs, len(runs) > 0
	}
	for _, n := range names {
		full := c.Prefix() + n
		switch p, tagged := s.byName[full], s.byTag[full]; {
		case p != nil:
			points = append(points, p)
		case len(tagged) > 0:
			runs = append(runs, tagged...)
		default:
			return nil, nil, false
		}
	}
	return points, runs, true
}

// found lays a measured value over what the plan says.
func (b *builder) found(in inst, st *grammar.Found) {
	points, runs, ok := b.Subject(st.Subject, in.copy)
	if !ok {
		near := grammar.Nearest(st.Subject.From.First.Text, b.subjectNames())
		remedy := "name a point, a tag or a run by its ends"
		if near != "" {
			remedy = "write " + near
		}
		b.problem(Problem{Rule: "stray-record", Loc: Loc{in.file.Path, st.Subject.Span}, Subject: st.Subject.From.String(), Copy: in.copy,
			Message: fmt.Sprintf("`found` names %s, which the plan does not have", SubjectText(st.Subject)), Remedy: remedy, Suggest: near})
		return
	}
	loc := Loc{in.file.Path, st.Pos()}
	for _, p := range points {
		if p.FoundAt == nil {
			p.FoundAt = map[string]Loc{}
		}
		if st.With.Text != "" {
			if p.Kind == Junction {
				p.Kind = Fitting
			}
			if p.Kind == Fitting {
				p.Word = st.With.Text
			}
			p.FoundAt["fitting"] = loc
		}
		if st.Without.Text != "" {
			if p.Without == nil {
				p.Without = map[string]Loc{}
			}
			p.Without[st.Without.Text] = loc
		}
		for _, a := range st.Attrs {
			attrs := []grammar.Attr{a}
			for _, old := range p.Attrs {
				if old.Key != a.Key {
					attrs = append(attrs, old)
				}
			}
			p.Attrs = attrs
			p.FoundAt[a.Key] = loc
		}
	}
	for _, r := range runs {
		if r.FoundAt == nil {
			r.FoundAt, r.FoundVal = map[string]Loc{}, map[string]grammar.Attr{}
		}
		if st.With.Text != "" {
			r.FoundAt["with "+st.With.Text] = loc
		}
		if st.Without.Text != "" {
			r.FoundAt["without "+st.Without.Text] = loc
		}
		for _, a := range st.Attrs {
			r.FoundAt[a.Key], r.FoundVal[a.Key] = loc, a
			b.foundOnRun(r, a)
		}
	}
}

func (b *builder) foundOnRun(r *Run, a grammar.Attr) {
	switch a.Key {
	case "size":
		if sz, ok := a.Size(); ok {
			r.Size, r.SizeOf, r.Solve = sz, Found, false
		}
	case "fall":
		q, ok := a.Qty()
		if !ok || q.Kind != quantity.Grade {
			return
		}
		for _, p := range r.Pipes {
			for i := range p.Parts {
				if pt := &p.Parts[i]; pt.IsLeg() && pt.Posture == LevelLeg {
					pt.Fall = Num{q.SI, Found}
				}
			}
		}
	case "length": // of the run's only leg, else of its longest
		q, ok := a.Qty()
		if !ok || q.Kind != quantity.Length {
			return
		}
		var longest *Part
		rest := 0.0
		for _, p := range r.Pipes {
			for i := range p.Parts {
				pt := &p.Parts[i]
				if !pt.IsLeg() || !pt.Length.Known() {
					continue
				}
				if longest == nil || pt.Length.V > longest.Length.V {
					longest = pt
				}
				rest += pt.Length.V
			}
		}
		if longest != nil {
			longest.Length = Num{max(0, q.SI-(rest-longest.Length.V)), Found}
		}
	}
}

// SubjectText prints what a found or waive line names.
func SubjectText(s grammar.Subject) string {
	if s.To.First.Text != "" {
		return s.From.String() + " to " + s.To.String()
	}
	return s.From.String()
}
