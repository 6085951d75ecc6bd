package fit

import (
	"math"
	"slices"

	"crownweir/grammar/quantity"
	"crownweir/lint"
)

// raise makes sizes larger until no finding is left that larger ones mend:
// first to what findings propose, then step by step where they only name
// pipes. What no size mends is spent, and its tokens stay where they were; so
// is what is mended only by breaking something else.
func (s *solver) raise() {
	var start []quantity.Size
	var known faults
	by := map[*token][]string{} // the findings that a token was raised for
	for s.err() == nil {
		s.propose()
		if open := s.vague(); len(open) > 0 {
			if start == nil {
				start, known = s.sizes(), faultsOf(s.now)
			}
			s.climb(open, by)
			continue
		}
		if start == nil || !s.blame(known, by) {
			return
		}
		s.restore(start)
		s.check()
		start, by = nil, map[*token][]string{}
	}
}

// vague are the findings that may be mended and propose nothing. Only breaches
// of the code are worth climbing for, and outlets that lack pressure.
func (s *solver) vague() []*lint.Finding {
	var open []*lint.Finding
	for _, f := range s.mendable() {
		if (s.pressed(f) || f.Severity == lint.Correction) && len(s.beside(f)) > 0 {
			open = append(open, f)
		}
	}
	return open
}

// blame spends the findings for which tokens were raised that a new breach now
// names, and tells whether there were any.
func (s *solver) blame(known faults, by map[*token][]string) bool {
	found := false
	for _, f := range known.added(s.now) {
		if f.Severity != lint.Correction {
			continue
		}
		for _, t := range s.named(f) {
			for _, id := range by[t] {
				s.spent[id], found = true, true
			}
		}
	}
	return found
}

// mendable are the findings that sizes may have brought and may mend: not
// those that stand there word for word with every size left open.
func (s *solver) mendable() []*lint.Finding {
	var out []*lint.Finding
	for _, f := range breaches(s.now) {
		if !s.spent[f.ID] && s.idle[f.ID] != f.Message {
			out = append(out, f)
		}
	}
	return out
}

// propose raises tokens to what findings propose, until none proposes more.
func (s *solver) propose() {
	for s.err() == nil {
		raised := false
		for _, f := range s.mendable() {
			for _, a := range s.asks(f) {
				if size := a.token.atLeast(a.size); size > a.token.size {
					a.token.set(size)
					raised = true
				}
			}
		}
		if !raised {
			return
		}
		s.check()
	}
}

// climb mends findings that propose nothing. Each tries larger sizes first at
// the statements where it stands, one by one and together, then likewise at
// those it names, then at all beside them; all findings at once. What mends one,
// or moves it to another place, is kept.
func (s *solver) climb(open []*lint.Finding, by map[*token][]string) {
	kept := map[*token]quantity.Size{}
	open = s.press(open, kept)
	sets := map[string][][]*token{}
	most := 0
	for _, f := range open {
		sets[f.ID] = s.worthTrying(f)
		most = max(most, len(sets[f.ID]))
	}
	for i := 0; i < most && len(open) > 0; i++ {
		tokens := map[string][]*token{}
		var have []*lint.Finding
		for _, f := range open {
			if i < len(sets[f.ID]) {
				tokens[f.ID] = sets[f.ID][i]
				have = append(have, f)
			}
		}
		done := s.mend(have, tokens, kept)
		for id := range done {
			for _, t := range tokens[id] {
				by[t] = append(by[t], id)
			}
		}
		open = slices.DeleteFunc(open, func(f *lint.Finding) bool { return done[f.ID] })
	}
	for _, f := range open {
		s.spent[f.ID] = true
	}
	for t, size := range kept {
		if size > t.size {
			t.set(size)
		}
	}
	s.check()
}

// mostAlone is how many statements a finding may name for each to be tried alone.
const mostAlone = 6

// worthTrying are the sets of tokens that may mend a finding, the narrowest
// first, none twice.
func (s *solver) worthTrying(f *lint.Finding) [][]*token {
	var out [][]*token
	add := func(set []*token) {
		if len(set) > 0 && !slices.ContainsFunc(out, func(o []*token) bool { return slices.Equal(o, set) }) {
			out = append(out, set)
		}
	}
	for _, ring := range [][]*token{s.own(f), s.named(f)} {
		var alone [][]*token
		for _, t := range ring {
			if n := len(alone); n > 0 && alone[n-1][0].run == t.run {
				alone[n-1] = append(alone[n-1], t)
			} else {
				alone = append(alone, []*token{t})
			}
		}
		if len(alone) <= mostAlone {
			for _, set := range alone {
				add(set)
			}
		}
		add(ring)
	}
	add(s.beside(f))
	return out
}

// mend tries larger floors under the tokens of findings and notes the first
// that mends or moves each. It gives back the ids of the findings that were.
func (s *solver) mend(open []*lint.Finding, tokens map[string][]*token, kept map[*token]quantity.Size) map[string]bool {
	done := map[string]bool{}
	open = s.worthwhile(open, tokens)
	floor := map[string]quantity.Size{}
	for len(open) > 0 && s.err() == nil {
		var tried []*lint.Finding
		after := s.try(func() {
			for _, f := range open {
				next := aboveAll(tokens[f.ID], floor[f.ID])
				if next == 0 {
					continue
				}
				floor[f.ID] = next
				tried = append(tried, f)
				for _, t := range tokens[f.ID] {
					if t.size < next && t.above() > 0 {
						t.set(t.atLeast(next))
					}
				}
			}
		})
		if len(tried) == 0 {
			break
		}
		now := byID(after)
		open = nil
		for _, f := range tried {
			switch n := now[f.ID]; {
			case gone(f, n):
				done[f.ID] = true
				for _, t := range tokens[f.ID] {
					kept[t] = max(kept[t], t.atLeast(floor[f.ID]))
				}
			case gap(n) <= gap(f): // what gets worse is not mended by more of it
				open = append(open, f)
			}
		}
	}
	return done
}

// worthwhile are the findings that the largest sizes of their tokens mend or
// move; it saves the steps between for all others.
func (s *solver) worthwhile(open []*lint.Finding, tokens map[string][]*token) []*lint.Finding {
	now := byID(s.try(func() {
		for _, f := range open {
			for _, t := range tokens[f.ID] {
				t.set(t.sizes[len(t.sizes)-1])
			}
		}
	}))
	var out []*lint.Finding
	for _, f := range open {
		if gone(f, now[f.ID]) {
			out = append(out, f)
		}
	}
	return out
}

func byID(r *lint.Report) map[string]*lint.Finding {
	out := map[string]*lint.Finding{}
	for _, f := range breaches(r) {
		out[f.ID] = f
	}
	return out
}

// gone tells whether a finding is no longer there, or stands elsewhere.
func gone(f, now *lint.Finding) bool { return now == nil || now.StartByte != f.StartByte }

// gap is how far a finding lies from its limit.
func gap(f *lint.Finding) float64 {
	if f.Measured == nil || f.Limit == nil {
		return 0
	}
	return math.Abs(f.Measured.Value - f.Limit.Value)
}

// aboveAll is the floor that lifts the smallest of some tokens by one size
// above the last floor; 0 where none can go.
func aboveAll(tokens []*token, floor quantity.Size) quantity.Size {
	var next quantity.Size
	for _, t := range tokens {
		for _, size := range t.sizes {
			if size > t.size && size > floor && (next == 0 || size < next) {
				next = size
			}
		}
	}
	return next
}
