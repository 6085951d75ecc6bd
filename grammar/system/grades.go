package system

import (
	"math"
	"sort"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
)

// course is a way down a node's only drain, run after run, to the first place
// whose height holds.
type course struct {
	end   *Node   // nil where none holds, or the way is not known
	sum   float64 // what it climbs by the falls so far
	level float64 // metres of level pipe whose fall is a default
	// from is the height it begins at, where a leg before it runs to a target;
	// first is the place of the part after that leg.
	from  float64
	first int
}

// along adds a pipe's parts to a course that has come to it; false where they
// tell no way down. A leg to a target begins the course anew.
func (g *geometry) along(c *course, p *Pipe) bool {
	ok := len(p.Parts) > 0
	for j := range p.Parts {
		s := g.step(p, j, zAxis)
		if s.kind == toAbs {
			*c, ok = course{from: s.abs, first: j + 1}, true
			continue
		}
		ok = ok && s.kind == moves
		c.sum += s.delta
		c.level += s.soft
	}
	for j := range p.Parts {
		ok = ok && p.Parts[j].by != grammar.ToSuit
	}
	return ok
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
			c := course{}
			if !p.Kind().Sanitary() || p.To.Find(Outfall) != nil || !g.along(&c, p) {
				continue
			}
			if g.hard[p.To.ID] {
				c.end = p.To
			} else if len(p.To.DrainOut) == 1 {
				if on := out[p.To.DrainOut[0].ID]; on.first == 0 {
					c.end, c.sum, c.level = on.end, c.sum+on.sum, c.level+on.level
				}
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
	for _, k := range g.order {
		p := g.pipes[k]
		if c := all[p.ID]; c.end != nil && c.level > 0 && (c.first > 0 || g.hard[p.From.ID]) {
			starts = append(starts, p)
		}
	}
	sort.SliceStable(starts, func(i, j int) bool { return all[starts[i].ID].level > all[starts[j].ID].level })
	changed := false
	for _, p := range starts {
		c := course{from: z[p.From.ID]}
		var way []*Pipe
		for q := p; c.end == nil; {
			way = append(way, q)
			g.along(&c, q)
			if g.hard[q.To.ID] {
				c.end = q.To
			} else {
				q = q.To.DrainOut[0]
			}
		}
		if c.level <= 0 {
			continue
		}
		miss := c.from + c.sum - z[c.end.ID]
		arms := 0.0 // a trap arm keeps its default while other legs can give
		for k, q := range way {
			for i := range q.Parts {
				if (k > 0 || i >= c.first) && settable(&q.Parts[i]) && armLeg(q, i) {
					arms += q.Parts[i].Length.V
				}
			}
		}
		spare := c.level-arms > 1e-9
		if !spare {
			arms = 0
		}
		share := miss / (c.level - arms)
		if math.Abs(miss) <= tolerance {
			share = 0
		}
		at := c.from
		for k, q := range way {
			for i := range q.Parts {
				if k == 0 && i < c.first {
					continue
				}
				pt := &q.Parts[i]
				if share != 0 && settable(pt) && !(spare && armLeg(q, i)) {
					pt.Fall = Num{pt.Fall.V + share, Worked}
					changed = true
				}
				at += g.step(q, i, zAxis).delta
			}
			if !g.hard[q.To.ID] { // what joins the course ends where it passes
				g.hard[q.To.ID], z[q.To.ID] = true, at
			}
		}
	}
	return changed
}

// settable tells a level leg whose fall is a default.
func settable(pt *Part) bool {
	return pt.IsLeg() && pt.Posture == LevelLeg && (pt.Fall.Origin == Default || pt.Fall.Origin == Least)
}

// armLeg tells a leg behind a trap in the trap's own run, or in the first run
// of a fixture with a trap of its own.
func armLeg(p *Pipe, i int) bool {
	for j := 0; j < i; j++ {
		if p.Parts[j].IsDevice("trap") {
			return true
		}
	}
	f := p.From.Find(Fixture)
	return f != nil && f.Fixture.OwnTrap
}

// slope is a way down with legs whose fall is to suit, to the first place
// whose height is known.
type slope struct {
	to    float64 // that height
	sum   float64 // what the other legs climb
	level float64 // metres of legs whose fall is to suit
	ok    bool
	// from is the height it begins at, where a leg before it runs to a target;
	// first is the place of the part after that leg.
	from  float64
	first int
}

// open tells a leg whose fall is to suit and not yet settled.
func open(pt *Part) bool {
	return pt.IsLeg() && pt.Item.FallToSuit && pt.Posture == LevelLeg && pt.Length.Known() && !pt.Fall.Known()
}

// slopeOf is the slope that begins with a pipe; on holds those of the pipes
// below it.
func (g *geometry) slopeOf(a *axis, p *Pipe, on []slope) slope {
	s := slope{ok: len(p.Parts) > 0}
	for i := range p.Parts {
		if pt := &p.Parts[i]; open(pt) {
			s.level += pt.Length.V
			continue
		}
		st := g.step(p, i, zAxis)
		switch {
		case st.kind == toAbs:
			s = slope{ok: true, from: st.abs, first: i + 1}
		case st.kind == toNode && a.known[st.absNode.ID]:
			s = slope{ok: true, from: a.value[st.absNode.ID], first: i + 1}
		case st.kind != moves:
			s.ok = false
		}
		s.sum += st.delta
	}
	if !s.ok {
		return s
	}
	if z, ok := g.outfallHeight(p.To); ok {
		s.to = z
	} else if a.known[p.To.ID] {
		s.to = a.value[p.To.ID]
	} else if below := p.To.DrainOut; p.Kind() != Vent && len(below) == 1 && on[below[0].ID].ok && on[below[0].ID].first == 0 {
		next := on[below[0].ID]
		s.to, s.sum, s.level = next.to, s.sum+next.sum, s.level+next.level
	} else {
		s.ok = false
	}
	return s
}

// outfallHeight is where an outfall's pipe is meant to arrive.
func (g *geometry) outfallHeight(n *Node) (float64, bool) {
	o := n.Find(Outfall)
	if o == nil || o.Decl == nil || o.Decl.At.Height.Value.Kind == quantity.None {
		return 0, false
	}
	return g.height(o.Decl.At.Height, 0, o) + g.invert(o.Decl.At, o), true
}

// suitFalls settles `fall to suit` legs between two known heights; they share
// one grade. The longest goes first, and what joins it waits until its height
// is known. It tells whether any was settled.
func (g *geometry) suitFalls(a *axis) bool {
	any := false
	for _, p := range g.pipes {
		for i := range p.Parts {
			any = any || open(&p.Parts[i])
		}
	}
	if !any {
		return false
	}
	on := make([]slope, len(g.Pipes))
	var starts []*Pipe
	judge := func(p *Pipe) {
		on[p.ID] = g.slopeOf(a, p, on)
		if s := on[p.ID]; s.ok && s.level > 0 && (s.first > 0 || a.known[p.From.ID]) {
			starts = append(starts, p)
		}
	}
	for i := len(g.drainOrder) - 1; i >= 0; i-- {
		for _, p := range g.drainOrder[i].DrainOut {
			if !g.drainOrder[i].Circle && p.Kind() != Discharge {
				judge(p)
			}
		}
	}
	for _, k := range g.order {
		if p := g.pipes[k]; p.Kind() == Vent {
			judge(p)
		}
	}
	sort.SliceStable(starts, func(i, j int) bool {
		p, q := starts[i], starts[j]
		if on[p.ID].level != on[q.ID].level {
			return on[p.ID].level > on[q.ID].level
		}
		return p.Run.key < q.Run.key
	})
	taken := make([]bool, len(g.Pipes))
	changed := false
	for _, p := range starts {
		s := on[p.ID]
		from := a.value[p.From.ID]
		if s.first > 0 {
			from = s.from
		}
		grade := -g.sign(p) * (from + s.sum - s.to) / s.level
		var way []*Pipe
		free := true
		for q := p; ; q = q.To.DrainOut[0] {
			if taken[q.ID] {
				free = false
				break
			}
			taken[q.ID] = true
			way = append(way, q)
			if _, ends := g.outfallHeight(q.To); ends || a.known[q.To.ID] || q.Kind() == Vent {
				break
			}
		}
		if !free {
			continue
		}
		for _, q := range way {
			for i := range q.Parts {
				if pt := &q.Parts[i]; open(pt) && (q != p || i >= s.first) {
					pt.Fall = Num{grade, Suit}
					changed = true
				}
			}
		}
	}
	return changed
}
