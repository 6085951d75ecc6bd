package fit

import (
	"fmt"
	"slices"
	"strings"

	"crownweir/grammar/system"
	"crownweir/lint"
	"crownweir/lint/pressure"
)

// doubt is why a token cannot be sized although sizes may satisfy every rule.
func (s *solver) doubt(t *token) (reason, bool) {
	for _, p := range s.pipes(t) {
		if !p.Kind().Water() && (p.From.Circle || p.To.Circle) {
			return reason{why: "it lies on a circle of runs", remedy: "turn round the run that is written the wrong way"}, true
		}
		if r, ok := s.loadUnknown(p); ok {
			return r, true
		}
		if r, ok := s.pressureUnknown(p); ok {
			return r, true
		}
	}
	return s.trapUnknown(t)
}

// unrated are the tokens of drains below a fixture whose load neither the book
// nor the plan tells, with that fixture.
func (s *solver) unrated() map[*token]*system.Point {
	c := s.now.Case
	at := map[*system.Node]*system.Point{}
	for _, f := range c.Sys.Points {
		if f.Kind != system.Fixture || len(f.Node.DrainOut) == 0 {
			continue
		}
		_, written := f.Attr("units")
		share := c.Ledger.Received(f)
		if share.Load.Unknown > 0 || !written && !share.Cell.OK && share.Load.Units == 0 {
			at[f.Node] = f
		}
	}
	out := map[*token]*system.Point{}
	if len(at) == 0 {
		return out
	}
	for _, n := range c.Sys.DrainOrder() {
		for _, p := range n.DrainIn {
			if at[n] == nil {
				at[n] = at[p.From]
			}
		}
		if at[n] == nil || n.Circle {
			continue
		}
		for _, p := range n.DrainOut {
			for _, t := range s.byRun[p.Run.Stmt] {
				out[t] = at[n]
			}
		}
	}
	return out
}

// trapUnknown: the book does not have the kind of a fixture, and no maker asks a
// size of its trap, to which a token gives its size. By that size alone it would
// be rated, and any would do.
func (s *solver) trapUnknown(t *token) (reason, bool) {
	for _, trap := range s.now.System.Traps {
		if trap.Pipe.Run.Stmt != t.run || !t.sizesTrap(trap) {
			continue
		}
		for _, f := range trap.Fixtures {
			c := s.now.Case
			if _, ok := c.AskedTrap(f); !ok && !c.Book.Table("fixture-units").Has(c.Ledger.Row(f)) {
				return reason{why: fmt.Sprintf("nothing tells which trap %s asks", f.Name), remedy: fmt.Sprintf("write `trap SIZE` on %s, as its maker asks", f.Name)}, true
			}
		}
	}
	return reason{}, false
}

func (s *solver) loadUnknown(p *system.Pipe) (reason, bool) {
	c := s.now.Case
	switch kind := p.Kind(); {
	case kind == system.Vent:
	case kind.Water():
		if c.Water().Of(p).Unknown > 0 {
			return reason{why: "the supply units of a fixture that it feeds are not known", remedy: "write `water-units N` on the fixture"}, true
		}
	case c.Ledger.Of(p).Unknown > 0:
		return reason{why: "what loads it is not known", remedy: "write `units N` on what loads it"}, true
	}
	return reason{}, false
}

// pressureUnknown: nothing feeds a pipe, or the supply table cannot be read for
// the source of one that feeds several fixtures.
func (s *solver) pressureUnknown(p *system.Pipe) (reason, bool) {
	c := s.now.Case
	if !p.Kind().Water() || p.Kind() == system.Return {
		return reason{}, false
	}
	w := c.Water()
	src := w.SourceOf(p.From)
	switch {
	case src == nil:
		return reason{why: "no source feeds it", remedy: "bring it to a `main`, a `heater` or an `existing supply`"}, true
	case !w.TableGoverns(), w.Of(p).Fixtures < 2 && p.Kind() != system.Service:
		return reason{}, false
	}
	way, ok := w.TableWay(src)
	if !ok || way.Readable() {
		return reason{}, false
	}
	switch {
	case way.Low:
		return reason{why: fmt.Sprintf("the pressure that is left of %s lies below the supply table", src.Name), remedy: "write `method engineered`, or raise the pressure"}, true
	case way.Long:
		return reason{why: fmt.Sprintf("the way from %s is longer than the supply table", src.Name), remedy: "write `method engineered`"}, true
	}
	remedy := "write it, as `at 20\"`"
	switch {
	case strings.HasPrefix(way.Missing, "static"):
		remedy = fmt.Sprintf("write it on %s, as `62psi`", src.Name)
	case strings.HasPrefix(way.Missing, "length"):
		remedy = "write the length of each leg"
	}
	return reason{why: lint.Unwritten(way.Missing), remedy: remedy}, true
}

// unreckoned are the tokens on the ways to outlets of which nobody can tell
// whether enough pressure is left, where that and not the supply table decides.
func (s *solver) unreckoned() map[*token]reason {
	out := map[*token]reason{}
	c := s.now.Case
	if !c.Sys.Header.Water {
		return out
	}
	table := map[*system.Point]bool{}
	if w := c.Water(); !w.Looped {
		for _, src := range w.Sources {
			_, table[src] = w.ByTable(src)
		}
	}
	a := c.Pressure()
	for i := range a.Outlets {
		o := &a.Outlets[i]
		if o.Source == nil || table[o.Source] || o.Point.Existing || !o.NeedKnown {
			continue
		}
		r, ok := unknownAt(a, o)
		if !ok {
			continue
		}
		for _, p := range a.Way(o) {
			for _, t := range s.byRun[p.Pipe.Run.Stmt] {
				if _, told := out[t]; !told {
					out[t] = r
				}
			}
		}
	}
	return out
}

// unknownAt is what keeps the pressure at an outlet from being told.
func unknownAt(a *pressure.Analysis, o *pressure.Outlet) (reason, bool) {
	switch m := o.Missing; {
	case m.Solve:
		return reason{why: fmt.Sprintf("the %s is left open", m.What), remedy: "solve that first"}, true
	case m.Missing():
		return reason{why: lint.Unwritten(m.What), remedy: m.Write}, true
	case o.Left.Least >= o.Need || o.Left.Most < o.Need:
		return reason{}, false
	}
	for _, p := range a.Way(o) {
		for _, d := range p.Devices {
			if d.Assumed {
				return reason{why: fmt.Sprintf("the loss of the %s in %s is not written, and may leave %s too little", d.Name, p.Pipe.Run.Subject(), o.Point.Name),
					remedy: "write it next after the device, as `loss 5psi`"}, true
			}
		}
	}
	return reason{}, false
}

// undecided: a rule judges the token's pipes or traps only while it is sized,
// and waits for a fact.
func (s *solver) undecided(t *token) (reason, bool) {
	subjects := s.subjects(t)
	waits := func(j lint.Judgement) bool { return j.Answer == lint.Undecided && subjects[j.Subject] }
	now := s.now.Judgements()
	if !slices.ContainsFunc(now, waits) {
		return reason{}, false
	}
	open := answers(s.reopened(t), waits)
	for _, j := range now {
		switch {
		case !waits(j) || open[answer{j.Rule, j.Subject, j.Missing}] > 0:
		case j.Missing != "":
			return reason{why: fmt.Sprintf("%s; %s waits for it", lint.Unwritten(j.Missing), j.Rule), remedy: "write it"}, true
		default:
			return reason{why: j.Message, remedy: "write what it waits for"}, true
		}
	}
	return reason{}, false
}
