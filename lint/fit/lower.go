package fit

import (
	"slices"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lint"
)

// lower makes sizes smaller, one alone at a time, wherever nothing new is
// found without the larger one, until none can go. What the next smaller size
// would bring stays with each as its bound.
func (s *solver) lower(explain bool) {
	for s.descend(s.evidence) && s.err() == nil {
	}
	if !explain {
		return
	}
	for s.descend(nil) && s.err() == nil {
	}
	known := faultsOf(s.now)
	for _, set := range s.sets() {
		new := known.added(s.together(set))
		for _, t := range set {
			t.with = nil
			if len(new) > 0 {
				t.with = s.telling(new, t)
			}
		}
	}
}

// sets are the sizes of one run that may all be lowered: a pipe and its trap
// bind each other, and neither tells what binds both.
func (s *solver) sets() [][]*token {
	var out [][]*token
	for _, t := range s.tokens {
		set := s.byRun[t.run]
		if len(set) > 1 && set[0] == t && !slices.ContainsFunc(set, func(t *token) bool { return t.below() == 0 }) {
			out = append(out, set)
		}
	}
	return out
}

// together is what is found with a set one size lower.
func (s *solver) together(set []*token) *lint.Report {
	return s.try(func() {
		for _, t := range set {
			t.set(t.below())
		}
	})
}

// descend tries every token once that nothing else binds, and tells whether any
// went lower.
func (s *solver) descend(bind func(faults)) (lowered bool) {
	known := faultsOf(s.now)
	for _, t := range s.tokens {
		t.bound = nil
	}
	for _, set := range s.sets() {
		if tried := s.together(set); len(known.added(tried)) == 0 {
			for _, t := range set {
				t.set(t.below())
			}
			s.now, known, lowered = tried, faultsOf(tried), true
		}
	}
	if bind != nil {
		bind(known)
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
			lowered = true
		}
	}
	return lowered
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

// free are the tokens that may go lower and that nothing binds yet.
func (s *solver) free() []*token {
	var out []*token
	for _, t := range s.tokens {
		if t.bound == nil && t.below() > 0 {
			out = append(out, t)
		}
	}
	return out
}

// batches sorts tokens into sets in which no two belong to one statement, meet
// at one point, or have their points within some pipes of each other.
func (s *solver) batches(tokens []*token, apart int) [][]*token {
	type batch struct {
		tokens []*token
		taken  map[*system.Node]bool
		runs   map[*grammar.Run]bool
	}
	pipes := map[*grammar.Run][]*system.Pipe{}
	for _, p := range s.now.System.Pipes {
		pipes[p.Run.Stmt] = append(pipes[p.Run.Stmt], p)
	}
	var all []*batch
	for _, t := range tokens {
		own := map[*system.Node]bool{}
		for _, p := range pipes[t.run] {
			own[p.From], own[p.To] = true, true
		}
		var into *batch
		for _, b := range all {
			free := !b.runs[t.run]
			for n := range own {
				free = free && !b.taken[n]
			}
			if free {
				into = b
				break
			}
		}
		if into == nil {
			into = &batch{taken: map[*system.Node]bool{}, runs: map[*grammar.Run]bool{}}
			all = append(all, into)
		}
		into.tokens = append(into.tokens, t)
		into.runs[t.run] = true
		for n := range within(own, apart) {
			into.taken[n] = true
		}
	}
	var out [][]*token
	for _, b := range all {
		out = append(out, b.tokens)
	}
	return out
}

// within are the nodes that so many pipes or fewer lead to.
func within(from map[*system.Node]bool, steps int) map[*system.Node]bool {
	out := map[*system.Node]bool{}
	var edge []*system.Node
	for n := range from {
		out[n] = true
		edge = append(edge, n)
	}
	for ; steps > 0; steps-- {
		var next []*system.Node
		for _, n := range edge {
			for _, pipes := range meeting(n) {
				for _, p := range pipes {
					for _, o := range []*system.Node{p.From, p.To} {
						if !out[o] {
							out[o] = true
							next = append(next, o)
						}
					}
				}
			}
		}
		edge = next
	}
	return out
}

// farApart is how many pipes lie between two runs of which the sizes do not
// touch each other's verdicts: longer than a wet vent or a circuit is deep.
const farApart = 4

// evidence binds tokens without a trial of their own: first those of which the
// ledger asks no less than they have, then those that lie far apart.
func (s *solver) evidence(known faults) {
	for _, batch := range s.batches(s.asking(), 0) {
		s.bindAtOnce(batch, known)
	}
	for _, batch := range s.batches(s.free(), farApart) {
		if len(batch) > 1 {
			s.bindAtOnce(batch, known)
		}
	}
}

// bindAtOnce lowers a batch and lets a new finding bind the token at which it
// stands, where it names no other of the batch.
func (s *solver) bindAtOnce(batch []*token, known faults) {
	if s.err() != nil {
		return
	}
	in := map[*token]bool{}
	tried := s.try(func() {
		for _, t := range batch {
			in[t] = true
			t.set(t.below())
		}
	})
	for _, f := range known.added(tried) {
		// what a length or a pressure decides, a whole way decides
		if f.Severity != lint.Correction || f.Limit == nil || !slices.Contains([]string{"in", "units", "count"}, f.Limit.Unit) {
			continue
		}
		var of []*token
		for _, t := range s.named(f) {
			if in[t] {
				of = append(of, t)
			}
		}
		if len(of) == 1 && of[0].bound == nil && slices.Contains(s.own(f), of[0]) {
			of[0].bound = f
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
