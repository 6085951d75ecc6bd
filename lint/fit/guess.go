package fit

import (
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/rule"
)

// begin gives every token the smallest size it may have, and then what the
// ledger asks of it. That is a guess to begin near the end: what is too large
// in it is lowered, what is too small raised, by what the check finds.
func (s *solver) begin() {
	for _, t := range s.tokens {
		t.set(t.sizes[0])
	}
	s.check()
	asks := s.ledgerAsks()
	for _, t := range s.tokens {
		if size := t.atLeast(asks[t]); size > t.size {
			t.set(size)
		}
	}
	s.check()
}

// ledgerAsks is the size that the ledger asks of each token for its load, its
// kind of fixture or its units, or for what flows into it: least sizes that no
// other size decides but those upstream.
func (s *solver) ledgerAsks() map[*token]quantity.Size {
	g := guess{s: s, c: s.now.Case, asks: map[*token]quantity.Size{}}
	if g.c != nil {
		g.pipes()
		g.traps()
		g.flow()
	}
	return g.asks
}

// guess gathers what the ledger asks of tokens.
type guess struct {
	s    *solver
	c    *rule.Case
	asks map[*token]quantity.Size
}

func (g *guess) raise(t *token, size quantity.Size) { g.asks[t] = max(g.asks[t], size) }

// pipe raises the token of a pipe's own size.
func (g *guess) pipe(p *system.Pipe, size quantity.Size) {
	for _, t := range g.s.byRun[p.Run.Stmt] {
		if t.attr == nil {
			g.raise(t, size)
		}
	}
}

func (g *guess) pipes() {
	for _, a := range g.c.PipeAsks() {
		g.pipe(a.Pipe, a.Size)
	}
}

func (g *guess) traps() {
	for _, trap := range g.c.Sys.Traps {
		for _, f := range trap.Fixtures {
			ask, ok := g.c.AskedTrap(f)
			if !ok {
				continue
			}
			for _, t := range g.s.byRun[trap.Pipe.Run.Stmt] {
				if t.sizesTrap(trap) {
					g.raise(t, ask.Size)
				}
			}
		}
	}
}

// flow: a drain gets no smaller on its way down, a vent none on its way up.
func (g *guess) flow() {
	for _, n := range g.c.Sys.DrainOrder() {
		g.through(n.DrainIn, n.DrainOut, func(p *system.Pipe) bool { return p.Kind().Sanitary() })
	}
	for _, n := range g.c.Sys.VentOrder() {
		g.through(n.VentIn, n.VentOut, func(*system.Pipe) bool { return true })
	}
}

func (g *guess) through(in, out []*system.Pipe, keep func(*system.Pipe) bool) {
	var most quantity.Size
	for _, p := range in {
		if keep(p) {
			most = max(most, p.Size())
			for _, t := range g.s.byRun[p.Run.Stmt] {
				if t.attr == nil {
					most = max(most, g.asks[t])
				}
			}
		}
	}
	for _, p := range out {
		if keep(p) {
			g.pipe(p, most)
		}
	}
}
