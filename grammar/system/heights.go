package system

import (
	"fmt"
	"math"

	"crownweir/grammar"
)

// heights solves the vertical axis: first what follows from facts that hold,
// which also settles falls between two such heights; then everything.
func (g *geometry) heights() {
	a, held := g.build(zAxis)
	a.reset()
	for i := range held {
		if held[i].soft == 0 {
			a.seed(&held[i])
		}
	}
	clash := func(u *Node, t tie, off float64) {
		s1, s2 := a.source[u.ID], a.source[t.to.ID]
		if t.pipe == nil || g.told[t.pipe] || s1 == nil || s2 == nil {
			return
		}
		g.told[t.pipe] = true
		g.clash(zAxis, t.pipe, off, s1, s2)
	}
	a.spread(true, clash)
	g.pinsAgree(a, held)
	g.hard = append([]bool(nil), a.known...)
	hardZ := append([]float64(nil), a.value...)
	if g.workOut(hardZ) {
		a, held = g.build(zAxis)
	}
	for try := 0; try < 4; try++ {
		a.reset()
		for i := range held {
			a.seed(&held[i])
		}
		a.spread(false, nil)
		for i := range g.usual {
			if u := &g.usual[i]; !a.known[u.node.ID] && (len(a.ties[u.node.ID]) > 0 || g.touches(u.node)) {
				a.seed(u)
				a.spread(false, nil)
			}
		}
		if !g.suitFalls(a) {
			break
		}
		a, held = g.build(zAxis)
	}
	g.Relaxed += a.relaxed
	g.solved[zAxis] = a
	for _, n := range g.Nodes {
		if a.known[n.ID] {
			n.Pos[g.net][zAxis] = Num{a.value[n.ID], Derived}
		}
	}
}

// touches: the node has pipes of this net at all.
func (g *geometry) touches(n *Node) bool {
	if g.net == DWV {
		return len(n.DrainIn)+len(n.DrainOut)+len(n.VentIn)+len(n.VentOut) > 0
	}
	return len(n.WaterIn)+len(n.WaterOut) > 0
}

// pinsAgree reports two facts that hold one and the same node apart.
func (g *geometry) pinsAgree(a *axis, held []anchor) {
	for i := range held {
		h := &held[i]
		src := a.source[h.node.ID]
		if h.soft > 0 || src == nil || src == h || src.point == nil || h.point == nil {
			continue
		}
		off := h.v - a.value[h.node.ID]
		if math.Abs(off) <= tolerance {
			continue
		}
		var pipe *Pipe
		if a.via[h.node.ID] != nil {
			pipe = a.via[h.node.ID]
		}
		if pipe != nil && g.told[pipe] {
			continue
		}
		loc := h.point.Loc
		if pipe != nil {
			g.told[pipe] = true
			loc = Loc{pipe.Run.File, pipe.Run.Stmt.Pos()}
		}
		g.problem(Problem{Rule: "open-geometry", Loc: loc, Subject: h.node.Name(), Copy: h.point.Copy,
			Message:  fmt.Sprintf("two facts place %s %s apart in height: %s and %s", h.node.Name(), lengthText(off), height(h.v), height(a.value[h.node.ID])),
			Remedy:   "correct one of the two heights, or let a leg run `to suit`",
			Measured: math.Abs(off) / inch, Limit: 2, HasNumber: true,
			Related: []RelatedLoc{{src.point.Loc, "the other height comes from " + src.point.Name}}})
	}
}

// clash reports two ways to one place that disagree.
func (g *geometry) clash(ax int, p *Pipe, off float64, s1, s2 *anchor) {
	name := [3]string{"east to west", "north to south", "height"}[ax]
	rel := []RelatedLoc{}
	from := ""
	if s1.point != nil && s2.point != nil {
		if s1.point != s2.point {
			from = fmt.Sprintf(", one from %s and one from %s,", s1.point.Name, s2.point.Name)
			rel = append(rel, RelatedLoc{s1.point.Loc, s1.point.Name + " is placed here"}, RelatedLoc{s2.point.Loc, s2.point.Name + " is placed here"})
		} else {
			from = fmt.Sprintf(" from %s", s1.point.Name)
			rel = append(rel, RelatedLoc{s1.point.Loc, s1.point.Name + " is placed here"})
		}
	}
	g.problem(Problem{Rule: "open-geometry", Loc: itemsLoc(p.Run), Subject: p.Run.Subject(), Copy: p.Run.Copy,
		Message:  fmt.Sprintf("two ways to %s%s disagree by %s in %s along %s", p.To.Name(), from, lengthText(off), name, p.Run.Subject()),
		Remedy:   "correct a length or a height on one of the ways, or let a leg run `to suit`",
		Measured: math.Abs(off) / inch, Limit: 2, HasNumber: true, Related: rel})
}

func itemsLoc(r *Run) Loc {
	if n := len(r.Stmt.Items); n > 0 {
		return Loc{r.File, grammar.Span{Start: r.Stmt.Items[0].Span.Start, End: r.Stmt.Items[n-1].Span.End}}
	}
	return Loc{r.File, r.Stmt.Pos()}
}

// workOut settles default falls between two heights that hold, where the
// default misses by more than the tolerance: the level legs share one grade.
func (g *geometry) workOut(z []float64) bool {
	changed := false
	seen := map[*Pipe]bool{}
	for _, p := range g.pipes {
		if !p.Kind().Sanitary() || !g.hard[p.From.ID] || seen[p] {
			continue
		}
		var chain []*Pipe
		sum, level := 0.0, 0.0
		at, ok := p, true
		for ok {
			seen[at] = true
			chain = append(chain, at)
			for i := range at.Parts {
				s := g.step(at, i, zAxis)
				if s.kind != moves || at.Parts[i].Item.By == grammar.ToSuit {
					ok = false
					break
				}
				sum += s.delta
				level += s.soft
			}
			if len(at.Parts) == 0 || !ok {
				ok = false
				break
			}
			end := at.To
			if g.hard[end.ID] || len(end.DrainOut) != 1 || end.Find(Outfall) != nil {
				ok = g.hard[end.ID] && end.Find(Outfall) == nil
				break
			}
			at = end.DrainOut[0]
			if seen[at] || !at.Kind().Sanitary() {
				ok = false
			}
		}
		if !ok || level <= 0 {
			continue
		}
		end := chain[len(chain)-1].To
		miss := z[end.ID] - (z[p.From.ID] + sum)
		if math.Abs(miss) <= tolerance {
			continue
		}
		for _, q := range chain {
			for i := range q.Parts {
				pt := &q.Parts[i]
				if pt.IsLeg() && pt.Posture == LevelLeg && (pt.Fall.Origin == Default || pt.Fall.Origin == Least) {
					pt.Fall = Num{pt.Fall.V - miss/level, Worked}
					changed = true
				}
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

// lengths settles the legs that run to a target or to suit, on the axes just
// solved. It tells whether a slanting leg became known, which the other axes
// then use.
func (g *geometry) lengths(vertical bool) bool {
	slant := false
	for _, p := range g.pipes {
		for i := range p.Parts {
			pt := &p.Parts[i]
			if !pt.IsLeg() || pt.Item.By == grammar.ByLength || pt.Length.Known() {
				continue
			}
			for ax := xAxis; ax <= zAxis; ax++ {
				if (ax == zAxis) != vertical || !primary(pt, ax) || (ax != zAxis && !(math.Abs(pt.Dir[ax]) > 1e-9)) {
					continue
				}
				v, ok := g.legSpan(p, i, ax)
				if !ok {
					continue
				}
				origin := Target
				if pt.Item.By == grammar.ToSuit {
					origin = Suit
				}
				length := v / pt.Dir[ax]
				if length < -tolerance {
					g.behind(p, pt, length)
				}
				pt.Length = Num{math.Max(length, 0), origin}
				if pt.Dir[0] != 0 && pt.Dir[2] != 0 {
					slant = true
				}
				break
			}
		}
	}
	return slant
}

// legSpan is how far a leg reaches on an axis, from both sides of it.
func (g *geometry) legSpan(p *Pipe, i, ax int) (float64, bool) {
	a := g.solved[ax]
	if a == nil {
		return 0, false
	}
	start, ok := a.value[p.From.ID], a.known[p.From.ID]
	for j := 0; j < i; j++ {
		switch s := g.step(p, j, ax); s.kind {
		case moves:
			start += s.delta
		case toAbs:
			start, ok = s.abs, true
		case toNode:
			start, ok = a.value[s.absNode.ID], a.known[s.absNode.ID]
		default:
			ok = false
		}
	}
	if !ok {
		return 0, false
	}
	switch s := g.step(p, i, ax); s.kind {
	case toAbs:
		return s.abs - start, true
	case toNode:
		return a.value[s.absNode.ID] - start, a.known[s.absNode.ID]
	}
	end, ok := a.value[p.To.ID], a.known[p.To.ID]
	for j := len(p.Parts) - 1; j > i; j-- {
		s := g.step(p, j, ax)
		if s.kind != moves {
			return 0, false
		}
		end -= s.delta
	}
	return end - start, ok
}

// behind reports a target that lies behind the pipe.
func (g *geometry) behind(p *Pipe, pt *Part, length float64) {
	if g.told[p] {
		return
	}
	g.told[p] = true
	what := "what closes"
	if pt.Item.By != grammar.ToSuit {
		what = "its target"
	}
	g.problem(Problem{Rule: "open-geometry", Loc: Loc{p.Run.File, pt.Item.Span}, Subject: p.Run.Subject(), Copy: p.Run.Copy,
		Message:  fmt.Sprintf("leg `%s` of %s would run backwards: %s lies %s behind the pipe", legText(pt), p.Run.Subject(), what, lengthText(length)),
		Remedy:   "turn the leg round, or correct the height it runs to",
		Measured: math.Abs(length) / inch, Limit: 2, HasNumber: true})
}

func legText(pt *Part) string {
	it := pt.Item
	switch it.By {
	case grammar.ToHeight:
		return it.Word.Text + " to " + it.Height.Value.Text
	case grammar.ToRoof:
		return it.Word.Text + " to roof"
	case grammar.ToPoint:
		return it.Word.Text + " to " + it.Point.Text
	case grammar.ToSuit:
		return it.Word.Text + " to suit"
	}
	return it.Word.Text + " " + it.Length.Text
}
