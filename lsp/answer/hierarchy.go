package answer

import (
	"crownweir/grammar/system"
)

// A Station is a point of the plan on the way of what flows.
type Station struct {
	Name   string // full: what Upstream and Downstream take
	Detail string
	Kind   string
	At     system.Loc
}

// A Flow leads from one station to the next, through the runs at Through.
type Flow struct {
	Station
	Through []system.Loc
}

// Stations are the points named at a place: one in every copy where it stands
// in a typical.
func Stations(p *Plan, path string, offset int) []Station {
	pt, _, ok := p.symbolAt(path, offset)
	if !ok || pt.sym.space != points || p.file(path).stale {
		return nil
	}
	known, _, unlock := p.lock()
	defer unlock()
	var out []Station
	for _, q := range p.pointsNamed(known, pt) {
		out = append(out, p.station(q))
	}
	return out
}

func (p *Plan) station(q *system.Point) Station {
	h := hover{Plan: p}
	return Station{Name: q.Name, Detail: h.pointTitle(q), Kind: stationKind(q), At: q.Loc}
}

func stationKind(q *system.Point) string {
	switch q.Kind {
	case system.Junction, system.Fitting:
		return "fitting"
	case system.ExistingDrain, system.ExistingStack, system.ExistingSupply, system.ExistingVent:
		return "existing"
	}
	return pointWord(q.Decl.Keyword())
}

// Upstream lists what flows into a point, run by run.
func Upstream(p *Plan, name string) []Flow { return p.flows(name, true) }

// Downstream lists where a point flows to, run by run.
func Downstream(p *Plan, name string) []Flow { return p.flows(name, false) }

func (p *Plan) flows(name string, up bool) []Flow {
	sys := p.system()
	if sys == nil {
		return nil
	}
	q := sys.Point(name)
	if q == nil {
		return nil
	}
	n := q.Node
	lists := [][]*system.Pipe{n.DrainOut, n.WaterOut, n.VentOut}
	if up {
		lists = [][]*system.Pipe{n.DrainIn, n.WaterIn, n.VentIn}
	}
	var out []Flow
	at := map[*system.Node]int{}
	for _, list := range lists {
		for _, pipe := range list {
			end := pipe.To
			if up {
				end = pipe.From
			}
			if len(end.Points) == 0 {
				continue
			}
			through := runEnds(pipe.Run)
			if i, seen := at[end]; seen {
				out[i].Through = append(out[i].Through, through)
				continue
			}
			at[end] = len(out)
			s := p.station(speaking(end))
			s.Detail += ", by " + pipe.Kind().String() + " " + sized(pipe.Size())
			out = append(out, Flow{s, []system.Loc{through}})
		}
	}
	return out
}

// speaking is the point by which a node goes.
func speaking(n *system.Node) *system.Point {
	for _, q := range n.Points {
		if q.Kind != system.Junction {
			return q
		}
	}
	return n.Points[0]
}

// runEnds is where a run names its ends.
func runEnds(r *system.Run) system.Loc {
	at := system.Loc{File: r.File, Span: r.Stmt.From.Span}
	at.Span.End = max(at.Span.End, r.Stmt.To.Span.End)
	return at
}
