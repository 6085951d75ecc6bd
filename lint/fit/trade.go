package fit

import (
	"fmt"

	"crownweir/grammar"
	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint"
	"crownweir/lint/rule"
)

// trade knows which sizes are made and stand in the book's tables. A size that
// no table speaks of is none to solve by: nobody would judge it.
type trade struct {
	c     *rule.Case
	runs  map[*grammar.Run][]*system.Run
	traps map[*system.Run]bool // runs that give a trap its size
}

func newTrade(r *lint.Report) trade {
	t := trade{c: r.Case, runs: runsOf(r.System), traps: map[*system.Run]bool{}}
	for _, trap := range r.System.Traps {
		if !trap.Written && !trap.Solve {
			t.traps[trap.Pipe.Run] = true
		}
	}
	return t
}

func allFound(runs []*system.Run) bool {
	for _, r := range runs {
		if r.SizeOf != system.Found {
			return false
		}
	}
	return true
}

// sizes are those that a token may have, rising.
func (t *trade) sizes(tok *token) []quantity.Size {
	var out []quantity.Size
	for _, size := range t.listed(tok) {
		if t.fits(tok, size) {
			out = append(out, size)
		}
	}
	return out
}

// listed are the sizes of the tables that speak of the token's kind of pipe.
func (t *trade) listed(tok *token) []quantity.Size {
	if tok.attr != nil {
		return t.c.Book.Table("trap-arm").Sizes()
	}
	return t.c.Sizes(t.runs[tok.run][0].Kind)
}

// fits tells whether a size is made of the material, and whether the book
// tells what a drain of it carries, everywhere the token stands.
func (t *trade) fits(tok *token, size quantity.Size) bool {
	for _, r := range t.runs[tok.run] {
		if tok.attr != nil {
			continue
		}
		if _, _, ok := catalog.Bore(r.Material, size); !ok && r.Material != "" {
			return false
		}
		if t.traps[r] && !t.c.Book.Table("trap-arm").BySize(size, "max").OK {
			return false
		}
		for _, p := range r.Pipes {
			for i := range p.Parts {
				if pt := &p.Parts[i]; r.Kind.Sanitary() && pt.IsLeg() && !t.c.Ledger.Capacity(size, t.c.Ledger.WayOf(p, pt)).OK {
					return false
				}
			}
		}
	}
	return true
}

// none says why there is no size for a token.
func (t *trade) none(tok *token) string {
	r := t.runs[tok.run][0]
	if r.Material == "" {
		return fmt.Sprintf("the book has no sizes for a %s", r.Kind)
	}
	return fmt.Sprintf("%s is made in no size that the book has for a %s", r.Material, r.Kind)
}
