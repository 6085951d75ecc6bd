package system

import (
	"math"
	"sort"

	"crownweir/grammar"
)

// course is a way down a node's only drain, run after run, to the first place
// whose height holds.
type course struct {
	end   *Node   // nil where none holds, or the way is not known
	sum   float64 // what it climbs by the falls so far
	level float64 // metres of level pipe whose fall is a default
}

// courses finds the course that begins with each pipe, from the last to the
// first in the order of flow.
func (g *geometry) courses() []course {
	out := make([]course, len(g.Pipes)) // by pipe
	order := g.drainOrder
	for i := len(order) - 1; i >= 0; i-- {
		if order[i].Circle {
			continue
		}
		for _, p := range order[i].DrainOut {
			if !p.Kind().Sanitary() || len(p.Parts) == 0 {
				continue
			}
			c, ok := course{}, true
			for j := range p.Parts {
				s := g.step(p, j, zAxis)
				ok = ok && s.kind == moves && p.Parts[j].Item.By != grammar.ToSuit
				c.sum += s.delta
				c.level += s.soft
			}
			if !ok || p.To.Find(Outfall) != nil {
				continue
			}
			if g.hard[p.To.ID] {
				c.end = p.To
			} else if len(p.To.DrainOut) == 1 {
				on := out[p.To.DrainOut[0].ID]
				c.end, c.sum, c.level = on.end, c.sum+on.sum, c.level+on.level
			}
			if c.end != nil {
				out[p.ID] = c
			}
		}
	}
	return out
}

// workOut settles default falls between two heights that hold, where the
// default misses by more than the tolerance: the level legs share one grade.
// The longest course comes first; what joins it ends where it passes.
func (g *geometry) workOut(z []float64) bool {
	all := g.courses()
	var starts []*Pipe
	for _, p := range g.pipes {
		if c := all[p.ID]; c.end != nil && c.level > 0 && g.hard[p.From.ID] {
			starts = append(starts, p)
		}
	}
	sort.SliceStable(starts, func(i, j int) bool { return all[starts[i].ID].level > all[starts[j].ID].level })
	changed := false
	for _, p := range starts {
		c := course{sum: 0}
		var legs []*Pipe
		for q := p; c.end == nil; {
			legs = append(legs, q)
			for j := range q.Parts {
				s := g.step(q, j, zAxis)
				c.sum += s.delta
				c.level += s.soft
			}
			if g.hard[q.To.ID] {
				c.end = q.To
			} else {
				q = q.To.DrainOut[0]
			}
		}
		miss := z[c.end.ID] - (z[p.From.ID] + c.sum)
		if c.level > 0 && math.Abs(miss) > tolerance {
			changed = true
			for _, q := range legs {
				for i := range q.Parts {
					pt := &q.Parts[i]
					if pt.IsLeg() && pt.Posture == LevelLeg && (pt.Fall.Origin == Default || pt.Fall.Origin == Least) {
						pt.Fall = Num{pt.Fall.V - miss/c.level, Worked}
					}
				}
			}
		}
		at := z[p.From.ID]
		for _, q := range legs { // what the course passes now holds for what joins it
			for j := range q.Parts {
				at += g.step(q, j, zAxis).delta
			}
			if !g.hard[q.To.ID] {
				g.hard[q.To.ID], z[q.To.ID] = true, at
			}
		}
	}
	return changed
}

// suitFalls settles `fall to suit` legs between two known heights; they share
// one grade. It tells whether any was settled.
func (g *geometry) suitFalls(a *axis) bool {
	changed := false
	for _, p := range g.pipes {
		if !a.known[p.From.ID] {
			continue
		}
		var legs []*Part
		sum, level := 0.0, 0.0
		at, ok := p, true
		for n := 0; ok && n < len(g.pipes); n++ {
			for i := range at.Parts {
				pt := &at.Parts[i]
				if pt.IsLeg() && pt.Item.FallToSuit && pt.Posture == LevelLeg && pt.Length.Known() {
					if pt.Fall.Known() {
						ok = false
						break
					}
					legs = append(legs, pt)
					level += pt.Length.V
					continue
				}
				s := g.step(at, i, zAxis)
				if s.kind != moves {
					ok = false
					break
				}
				sum += s.delta
			}
			if !ok || len(at.Parts) == 0 {
				ok = false
				break
			}
			end := at.To
			if a.known[end.ID] || end.Find(Outfall) != nil || len(end.DrainOut) != 1 {
				break
			}
			at = end.DrainOut[0]
		}
		if !ok || level <= 0 {
			continue
		}
		z, held := a.value[at.To.ID], a.known[at.To.ID]
		if o := at.To.Find(Outfall); o != nil && !held && o.Decl != nil {
			z, held = g.height(o.Decl.At.Height, 0, o)+g.invert(o.Decl.At, o), true
		}
		if !held {
			continue
		}
		grade := (a.value[p.From.ID] + sum - z) / level
		for _, pt := range legs {
			pt.Fall = Num{grade, Suit}
			changed = true
		}
	}
	return changed
}
