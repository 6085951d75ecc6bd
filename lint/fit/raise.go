package fit

import (
	"slices"

	"crownweir/grammar/quantity"
	"crownweir/lint"
)

// raise makes sizes larger until no finding is left that larger ones mend:
// first to what findings propose, then step by step where they only name
// pipes. What no size mends is spent, and its tokens stay where they were.
func (s *solver) raise() {
	for s.err() == nil {
		s.propose()
		var open []*lint.Finding
		for _, f := range s.mendable() {
			if len(s.beside(f)) > 0 {
				open = append(open, f)
			}
		}
		if len(open) == 0 {
			return
		}
		s.climb(open)
	}
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

// climb mends findings that propose nothing. Each looks first at the tokens
// where it stands, then at those it names, then at those beside them, and tries
// what it is with the smallest of them larger: one size, two sizes, all findings
// at once. What mends one, or moves it to another place, is kept.
func (s *solver) climb(open []*lint.Finding) {
	kept := map[*token]quantity.Size{}
	open = s.press(open, kept)
	was := map[string][]*token{}
	for _, ring := range []func(*lint.Finding) []*token{s.own, s.named, s.beside} {
		tokens, wide := map[string][]*token{}, []*lint.Finding{}
		for _, f := range open {
			if tokens[f.ID] = ring(f); len(tokens[f.ID]) > len(was[f.ID]) {
				wide = append(wide, f)
			}
		}
		for _, f := range s.mend(wide, tokens, kept) {
			open = slices.DeleteFunc(open, func(o *lint.Finding) bool { return o == f })
		}
		was = tokens
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

// mend tries larger floors under the tokens of findings and notes the first
// that mends or moves each. It gives back the findings that were.
func (s *solver) mend(open []*lint.Finding, tokens map[string][]*token, kept map[*token]quantity.Size) (done []*lint.Finding) {
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
			return done
		}
		at := placesOf(after)
		open = nil
		for _, f := range tried {
			if start, still := at[f.ID]; still && start == f.Place.StartByte {
				open = append(open, f)
				continue
			}
			done = append(done, f)
			for _, t := range tokens[f.ID] {
				kept[t] = max(kept[t], t.atLeast(floor[f.ID]))
			}
		}
	}
	return done
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

func placesOf(r *lint.Report) map[string]int {
	out := map[string]int{}
	for _, f := range breaches(r) {
		out[f.ID] = f.StartByte
	}
	return out
}
