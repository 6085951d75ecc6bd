package pressure

import (
	"math"
	"sort"

	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/hydraulics"
)

// How a flow came about.
type How string

// Ways in which a flow comes about.
const (
	NoFlow   How = ""
	ByCurve  How = "demand curve"
	ByOutlet How = "the outlet's own flow"
	ByPeak   How = "binomial peak" // with its regime
	ByGrid   How = "share of a grid"
)

// Flow is what a pipe carries at peak.
type Flow struct {
	Q      float64 // cubic metres a second, never below zero
	How    How
	Cell   codebook.Cell // the row of the curve, where How is ByCurve
	Regime hydraulics.Regime
	Hunter float64 // Hunter's number, where How is ByPeak
	// Fallback is the kind of fixture that keeps a binomial peak from being
	// reckoned, so that the curve stands; "" where none does.
	Fallback string
	// Back: the water of a grid runs against the run's writing.
	Back bool
}

const gpm = hydraulics.GallonsPerMinute

// flows gives every pipe on the ways to the outlets its flow: by the curve for
// the units it serves, its own for a pipe that serves one fixture, and never
// less than the largest single outlet it serves.
func (a *Analysis) flows() {
	s := a.Supply
	most := make([]float64, len(a.pipes))
	lone := make([]*system.Point, len(a.pipes))
	pass := func(p *system.Pipe) {
		if up := s.Parent(p.From); up != nil {
			most[up.ID] = math.Max(most[up.ID], most[p.ID])
			if lone[up.ID] == nil {
				lone[up.ID] = lone[p.ID]
			}
		}
	}
	for _, o := range s.Outlets {
		q, _, _ := s.OutletFlow(o.Point)
		most[o.Pipe.ID], lone[o.Pipe.ID] = q*a.side(o.Point), o.Point
		pass(o.Pipe)
	}
	order := s.Order()
	for i := len(order) - 1; i >= 0; i-- {
		if p := s.Parent(order[i]); p != nil {
			pass(p)
		}
	}
	for _, p := range s.Sys.Pipes {
		a.pipes[p.ID].Pipe = p
		if p.Kind().Water() && p.Kind() != system.Return && s.Feeds(p) {
			a.pipes[p.ID].Flow, a.pipes[p.ID].Missing = a.flow(p, most[p.ID], lone[p.ID])
		}
	}
}

// side is the share of a fixture's flow that each of its supplies carries: the
// book's share of its units where it has two, whole where it has one.
func (a *Analysis) side(f *system.Point) float64 {
	hot, cold := false, false
	for _, w := range f.Node.WaterIn {
		hot = hot || w.Kind() == system.Hot
		cold = cold || w.Kind() == system.Cold || w.Kind() == system.Service
	}
	if share := a.Book.Number("hot-cold-share"); hot && cold && share.OK {
		return share.Value
	}
	return 1
}

func (a *Analysis) flow(p *system.Pipe, most float64, lone *system.Point) (Flow, Fact) {
	load := a.Supply.Of(p)
	if load.Fixtures == 0 && load.Units <= 0 && load.Flow <= 0 {
		return Flow{}, Fact{}
	}
	if load.Fixtures == 1 && load.Units >= 0 && lone != nil && most > 0 {
		if whole, _, _, _, ok := a.Supply.FixtureWater(lone); ok && load.Units >= whole {
			most, _, _ = a.Supply.OutletFlow(lone) // both sides pass
		}
		return Flow{Q: most, How: ByOutlet}, Fact{}
	}
	f := Flow{}
	if a.busy != nil {
		if f = a.peak(p); f.How == ByPeak {
			f.Q = math.Max(f.Q, most)
			return f, Fact{}
		}
	}
	q, cell, ok := a.Supply.Demand(load)
	f.How, f.Q, f.Cell = ByCurve, q*gpm, cell
	if most > f.Q {
		f.How, f.Q = ByOutlet, most
	}
	switch {
	case load.Unknown > 0:
		return f, a.unitsFact(p)
	case !ok && load.Units > 0:
		return f, Fact{What: "demand of " + p.Run.Subject() + ", which lies beyond the curve", Run: p.Run, Write: "divide the system, or submit a calculation"}
	}
	return f, Fact{}
}

// unitsFact names the fixture that a pipe serves and whose load nobody tells.
func (a *Analysis) unitsFact(p *system.Pipe) Fact {
	for i := range a.Supply.Outlets {
		o := &a.Supply.Outlets[i]
		if _, _, _, _, ok := a.Supply.FixtureWater(o.Point); ok {
			continue
		}
		for q := o.Pipe; q != nil; q = a.Supply.Parent(q.From) {
			if q == p {
				w, _ := o.Point.Attr("water-units")
				return Fact{What: "supply units of " + o.Point.Name, Point: o.Point, Write: "write `water-units N` on it, or `flow`", Asked: w.Unknown()}
			}
		}
	}
	return Fact{}
}

// count adds up, for every pipe, the fixtures it serves by kind; a fixture with
// two sides counts once where both pass.
func (a *Analysis) count() {
	s := a.Supply
	a.busy = make([]map[string]int, len(a.pipes))
	last := map[*system.Point]int{}
	passed := make([]int, len(a.pipes))
	for i, o := range s.Outlets {
		n, seen := last[o.Point]
		if !seen {
			n = i + 1
			last[o.Point] = n
		}
		row := s.WaterRow(o.Point)
		for p := o.Pipe; p != nil; p = s.Parent(p.From) {
			if passed[p.ID] == n {
				break
			}
			passed[p.ID] = n
			if a.busy[p.ID] == nil {
				a.busy[p.ID] = map[string]int{}
			}
			a.busy[p.ID][row]++
		}
	}
}

// peak is the binomial peak of a pipe; its How is empty where a kind that it
// serves is not in the book's table.
func (a *Analysis) peak(p *system.Pipe) Flow {
	t := a.Book.Table("peak-demand")
	var groups []hydraulics.Group
	rows := make([]string, 0, len(a.busy[p.ID]))
	for row := range a.busy[p.ID] {
		rows = append(rows, row)
	}
	sort.Strings(rows)
	for _, row := range rows {
		busy, flow := t.At(row, "busy"), t.At(row, "flow")
		if !busy.OK || !flow.OK {
			return Flow{Fallback: row}
		}
		groups = append(groups, hydraulics.Group{Count: a.busy[p.ID][row], Busy: busy.Value, Flow: flow.Value * gpm})
	}
	peak := hydraulics.PeakDemand(groups)
	return Flow{Q: peak.Flow + a.Supply.Of(p).Flow*gpm, How: ByPeak, Regime: peak.Regime, Hunter: peak.Hunter}
}
