package fit

import (
	"fmt"
	"sort"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint"
)

// breaches are the findings that count when sizes are compared: advice does
// not; nor does a missing size, which is what is being solved; nor a waiver
// that answers nothing, since a fault that is gone is no fault. A waived fault
// counts: a waiver lets it stand and is no leave to size by it.
func breaches(r *lint.Report) []*lint.Finding {
	var out []*lint.Finding
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Severity != lint.Advice && f.Rule != "unsized-run" && f.Rule != "idle-waiver" {
			out = append(out, f)
		}
	}
	return out
}

// marks tell the faults of a finding apart: its own, in every copy, and those
// of other runs that it gathers.
func marks(f *lint.Finding) []string {
	out := []string{f.ID}
	for _, c := range f.Copies {
		out = append(out, f.ID+" in "+c)
	}
	for _, r := range f.Related {
		out = append(out, fmt.Sprintf("%s at %s:%d", f.ID, r.File, r.Start.Line))
	}
	return out
}

// faults is the set of what is found.
type faults map[string]bool

func faultsOf(r *lint.Report) faults {
	out := faults{}
	for _, f := range breaches(r) {
		for _, m := range marks(f) {
			out[m] = true
		}
	}
	return out
}

// added are the findings of a report that tell of something new.
func (known faults) added(r *lint.Report) []*lint.Finding {
	var out []*lint.Finding
	for _, f := range breaches(r) {
		for _, m := range marks(f) {
			if !known[m] {
				out = append(out, f)
				break
			}
		}
	}
	return out
}

// at are the tokens of the statement at a place: a run's own, a point's those
// of the runs that meet there.
func (s *solver) at(file string, offset int) []*token {
	list := s.places[file]
	i := sort.Search(len(list), func(i int) bool { return list[i].span.Start > offset }) - 1
	if i < 0 || offset > list[i].span.End {
		return nil
	}
	switch st := list[i].stmt.(type) {
	case *grammar.Run:
		return s.byRun[st]
	case *grammar.Point:
		var out []*token
		for _, p := range s.now.System.Points {
			if p.Decl == st {
				out = append(out, s.touching(p.Node)...)
			}
		}
		return distinct(out)
	}
	return nil
}

// touching are the tokens of the runs that begin or end at a node.
func (s *solver) touching(n *system.Node) []*token {
	var out []*token
	for _, pipes := range meeting(n) {
		for _, p := range pipes {
			out = append(out, s.byRun[p.Run.Stmt]...)
		}
	}
	return out
}

func meeting(n *system.Node) [6][]*system.Pipe {
	return [6][]*system.Pipe{n.DrainIn, n.DrainOut, n.VentIn, n.VentOut, n.WaterIn, n.WaterOut}
}

// own are the tokens at the place of a finding.
func (s *solver) own(f *lint.Finding) []*token { return s.at(f.File, f.StartByte) }

// named are the tokens at the places that a finding names.
func (s *solver) named(f *lint.Finding) []*token {
	out := append([]*token(nil), s.own(f)...)
	for _, r := range f.Related {
		out = append(out, s.at(r.File, r.StartByte)...)
	}
	for _, fix := range f.Fixes {
		for _, e := range fix.Edits {
			out = append(out, s.at(e.File, e.StartByte)...)
		}
	}
	return distinct(out)
}

// beside are named tokens and those of the runs that meet theirs.
func (s *solver) beside(f *lint.Finding) []*token {
	named := s.named(f)
	of := map[*grammar.Run]bool{}
	for _, t := range named {
		of[t.run] = true
	}
	out := named
	for _, p := range s.now.System.Pipes {
		if of[p.Run.Stmt] {
			out = append(out, s.touching(p.From)...)
			out = append(out, s.touching(p.To)...)
		}
	}
	return distinct(out)
}

func distinct(list []*token) []*token {
	seen := map[*token]bool{}
	var out []*token
	for _, t := range list {
		if !seen[t] {
			seen[t] = true
			out = append(out, t)
		}
	}
	return out
}

// ask is a size that a finding proposes for a token.
type ask struct {
	token *token
	size  quantity.Size
}

// asks are the sizes that the first fix of a finding which speaks of tokens
// writes into them.
func (s *solver) asks(f *lint.Finding) []ask {
	for _, fix := range f.Fixes {
		var out []ask
		for _, e := range fix.Edits {
			size, ok := quantity.ParseSize(e.Text)
			if !ok {
				continue
			}
			for _, t := range s.at(e.File, e.StartByte) {
				if t.span.Start == e.StartByte && t.span.End == e.EndByte {
					out = append(out, ask{t, size})
				}
			}
		}
		if len(out) > 0 {
			return out
		}
	}
	return nil
}
