package fit

import (
	"slices"

	"crownweir/grammar"
	"crownweir/lint"
)

// lower makes sizes smaller, one alone at a time, wherever nothing new is
// found without the larger one, until none can go. What the next smaller size
// would bring stays with each as its bound.
func (s *solver) lower() {
	for again := true; again && s.err() == nil; {
		again = false
		known := faultsOf(s.now)
		for _, t := range s.tokens {
			t.bound = nil
		}
		if len(s.tokens) > s.exact {
			for _, batch := range s.batches(s.asking()) {
				s.evidence(batch, known)
			}
		}
		for _, t := range s.tokens {
			for t.bound == nil && t.below() > 0 && s.err() == nil {
				tried := s.try(func() { t.set(t.below()) })
				if new := known.added(tried); len(new) > 0 {
					t.bound = s.telling(new, t)
					break
				}
				t.set(t.below())
				s.now = tried
				known = faultsOf(tried)
				again = true
			}
		}
	}
}

// telling is the finding that tells best why a token is no smaller: one that
// stands at it, else one that names it, a correction first.
func (s *solver) telling(new []*lint.Finding, t *token) *lint.Finding {
	best, rank := new[0], -1
	for _, f := range new {
		r := 0
		switch {
		case slices.Contains(s.own(f), t):
			r = 4
		case slices.Contains(s.named(f), t):
			r = 2
		}
		if f.Severity == lint.Correction {
			r++
		}
		if r > rank {
			best, rank = f, r
		}
	}
	return best
}

// asking are the tokens of which the ledger itself asks no less than they have.
func (s *solver) asking() []*token {
	asks := s.ledgerAsks()
	var out []*token
	for _, t := range s.tokens {
		if below := t.below(); below > 0 && asks[t] > below {
			out = append(out, t)
		}
	}
	return out
}

// batches sorts tokens into sets in which no two belong to one statement or
// meet at one point.
func (s *solver) batches(tokens []*token) [][]*token {
	type batch struct {
		tokens []*token
		nodes  map[int]bool
		runs   map[*grammar.Run]bool
	}
	nodes := map[*grammar.Run][]int{}
	for _, p := range s.now.System.Pipes {
		nodes[p.Run.Stmt] = append(nodes[p.Run.Stmt], p.From.ID, p.To.ID)
	}
	var all []*batch
	for _, t := range tokens {
		var into *batch
		for _, b := range all {
			free := !b.runs[t.run]
			for _, n := range nodes[t.run] {
				free = free && !b.nodes[n]
			}
			if free {
				into = b
				break
			}
		}
		if into == nil {
			into = &batch{nodes: map[int]bool{}, runs: map[*grammar.Run]bool{}}
			all = append(all, into)
		}
		into.tokens = append(into.tokens, t)
		into.runs[t.run] = true
		for _, n := range nodes[t.run] {
			into.nodes[n] = true
		}
	}
	var out [][]*token
	for _, b := range all {
		out = append(out, b.tokens)
	}
	return out
}

// evidence lowers a batch at once and takes a new finding for a token's bound
// where it stands at that token and names no other of the batch. It stands in
// for the trial of the token alone in large plans, and only where the ledger
// asks the same; the finding tells the words of it.
func (s *solver) evidence(batch []*token, known faults) {
	if s.err() != nil {
		return
	}
	in := map[*token]bool{}
	for _, t := range batch {
		in[t] = true
	}
	tried := s.try(func() {
		for _, t := range batch {
			t.set(t.below())
		}
	})
	for _, f := range known.added(tried) {
		if f.Severity != lint.Correction || f.Limit == nil || !slices.Contains([]string{"in", "units", "count"}, f.Limit.Unit) {
			continue
		}
		var one *token
		several := false
		for _, t := range s.named(f) {
			if in[t] {
				several = several || one != nil
				one = t
			}
		}
		if one != nil && !several && one.bound == nil && slices.Contains(s.own(f), one) {
			one.bound = f
		}
	}
}

// reopened is what is found with tokens left open.
func (s *solver) reopened(tokens ...*token) *lint.Report {
	return s.try(func() {
		for _, t := range tokens {
			t.set(0)
		}
	})
}
