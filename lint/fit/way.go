package fit

import (
	"slices"

	"crownweir/grammar/quantity"
	"crownweir/lint"
	"crownweir/lint/pressure"
)

// pressed tells whether a finding weighs a pressure, which the whole way from
// the source decides, or waits to hear what a device takes of it.
func (s *solver) pressed(f *lint.Finding) bool {
	return f.Limit != nil && f.Limit.Unit == "psi" || f.Severity == lint.Caution && len(s.way(f)) > 0
}

// way lists the pipes to the outlets that a finding speaks of and that lack
// pressure, or may.
func (s *solver) way(f *lint.Finding) []*pressure.Pipe {
	if s.now.Case == nil || !s.now.System.Header.Water {
		return nil
	}
	names := map[string]bool{f.Subject: true}
	for _, c := range f.Copies {
		names[c] = true
	}
	a := s.now.Case.Pressure()
	var out []*pressure.Pipe
	for i := range a.Outlets {
		o := &a.Outlets[i]
		if names[o.Point.Name] && o.NeedKnown && (o.Short() || !o.Missing.Missing() && !o.Enough()) {
			out = append(out, a.Way(o)...)
		}
	}
	return out
}

// onWay are the tokens of those pipes.
func (s *solver) onWay(f *lint.Finding) []*token {
	var out []*token
	for _, p := range s.way(f) {
		out = append(out, s.byRun[p.Pipe.Run.Stmt]...)
	}
	return distinct(out)
}

// press mends findings of pressure that the largest pipes would mend: pipe by
// pipe, that which takes the most by friction first. The others are spent.
func (s *solver) press(open []*lint.Finding, kept map[*token]quantity.Size) (rest []*lint.Finding) {
	var weak []*lint.Finding
	for _, f := range open {
		if s.pressed(f) {
			weak = append(weak, f)
		} else {
			rest = append(rest, f)
		}
	}
	if len(weak) == 0 {
		return rest
	}
	largest := byID(s.try(func() {
		for _, f := range weak {
			for _, t := range s.onWay(f) {
				t.set(t.sizes[len(t.sizes)-1])
			}
		}
	}))
	weak = slices.DeleteFunc(weak, func(f *lint.Finding) bool {
		still := largest[f.ID] != nil
		s.spent[f.ID] = s.spent[f.ID] || still
		return still
	})
	before, start := s.now, s.sizes()
	for len(weak) > 0 && s.err() == nil {
		raised := false
		for _, f := range weak {
			if t := s.greediest(f); t != nil && kept[t] <= t.size {
				kept[t] = t.above()
				raised = true
			}
		}
		if !raised {
			break
		}
		for t, size := range kept {
			t.set(max(size, t.size))
		}
		still := byID(s.check())
		var stay []*lint.Finding
		for _, f := range weak {
			if now := still[f.ID]; now != nil {
				stay = append(stay, now)
			}
		}
		weak = stay
	}
	for _, f := range weak {
		s.spent[f.ID] = true
	}
	s.restore(start)
	s.now = before
	return rest
}

// greediest is the token whose pipes take the most pressure by friction of
// those that may be larger; nil where none may.
func (s *solver) greediest(f *lint.Finding) *token {
	loss := map[*token]float64{}
	for _, p := range s.way(f) {
		for _, t := range s.byRun[p.Pipe.Run.Stmt] {
			loss[t] += p.Friction
		}
	}
	var most *token
	for _, t := range s.onWay(f) {
		if t.above() > 0 && (most == nil || loss[t] > loss[most]) {
			most = t
		}
	}
	return most
}
