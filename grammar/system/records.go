package system

import (
	"fmt"
	"sort"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
)

// records keeps inspections, found values, tests and waivers, and lays the
// found values over the plan.
func (b *builder) records() {
	days := map[string]bool{}
	latest := ""
	for _, in := range b.insts {
		if st, ok := in.stmt.(*grammar.Inspection); ok {
			days[st.On.Text] = true
			latest = max(latest, st.On.Text)
		}
	}
	// of reports a record that belongs to no inspection, and tells its day.
	of := func(in inst, on grammar.Word) (day string, ok bool) {
		switch {
		case len(days) == 0:
			b.stray(in, in.stmt.Keyword(), "belongs to no inspection", "write `inspection rough-in on DATE` in the plan")
		case on.Text != "" && !days[on.Text]:
			b.stray(in, in.stmt.Keyword(), "names an inspection on "+on.Text+", which the plan does not have", "name one of: "+strings.Join(keys(days), ", "))
			return "", false
		case on.Text != "":
			return on.Text, true
		}
		return latest, true
	}
	type measured struct {
		inst
		day string
	}
	var all []measured
	for _, in := range b.insts {
		switch st := in.stmt.(type) {
		case *grammar.Found:
			b.record(in)
			if day, ok := of(in, st.On); ok {
				all = append(all, measured{in, day})
			}
		case *grammar.Test:
			b.record(in)
			of(in, st.On)
		case *grammar.Waive, *grammar.Inspection:
			b.record(in)
		case *grammar.Note:
			if st.On.First.Text != "" {
				if _, _, ok := b.Subject(grammar.Subject{From: st.On}, in.copy); !ok {
					b.unknownName("point or tag", st.On.First, in.file.Path, in.copy, b.subjectNames)
				}
			}
		}
	}
	// what was measured last stands
	sort.SliceStable(all, func(i, j int) bool { return all[i].day < all[j].day })
	for _, m := range all {
		b.found(m.inst, m.stmt.(*grammar.Found))
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
		have, _ := b.guess(b.subjectNames)
		near := grammar.Nearest(st.Subject.From.First.Text, have)
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
	case "length":
		if q, ok := a.Qty(); ok && q.Kind == quantity.Length {
			foundLength(r, q.SI)
		}
	}
}

// foundLength lays a run's measured length in metres over its legs: over the
// one whose length is not written, else over the longest; where the others
// alone are longer, over all alike.
func foundLength(r *Run, metres float64) {
	var longest, open *Part
	sum, unknown := 0.0, 0
	each := func(do func(pt *Part)) {
		for _, p := range r.Pipes {
			for i := range p.Parts {
				if p.Parts[i].IsLeg() {
					do(&p.Parts[i])
				}
			}
		}
	}
	each(func(pt *Part) {
		switch {
		case !pt.Length.Known():
			open = pt
			unknown++
		case longest == nil || pt.Length.V > longest.Length.V:
			longest = pt
			fallthrough
		default:
			sum += pt.Length.V
		}
	})
	switch {
	case unknown == 1 && metres > sum:
		open.Length = Num{metres - sum, Found}
	case unknown > 0 || longest == nil || sum == 0:
	case metres > sum-longest.Length.V:
		longest.Length = Num{metres - (sum - longest.Length.V), Found}
	default:
		each(func(pt *Part) { pt.Length = Num{pt.Length.V * metres / sum, Found} })
	}
}

// SubjectText prints what a found or waive line names.
func SubjectText(s grammar.Subject) string {
	if s.To.First.Text != "" {
		return s.From.String() + " to " + s.To.String()
	}
	return s.From.String()
}
