package system

import (
	"fmt"
	"math"

	"crownweir/grammar"
)

// heights solves the vertical axis: first what follows from facts that hold,
// which also settles falls between two such heights; then everything.
func (g *geometry) heights() {
	a := g.build(zAxis)
	for i := range a.held {
		if a.held[i].soft == 0 {
			a.seed(&a.held[i])
		}
	}
	clash := func(u int32, t tie, off float64) {
		s1, s2 := a.source[u], a.source[t.to]
		if t.pipe < 0 || s1 == nil || s2 == nil {
			return
		}
		if p := g.Pipes[t.pipe]; !g.told[p] {
			g.told[p] = true
			g.clash(zAxis, p, off, s1, s2)
		}
	}
	a.spread(true, clash)
	g.pinsAgree(a)
	g.hard = append([]bool(nil), a.known...)
	hardZ := append([]float64(nil), a.value...)
	if g.workOut(hardZ) {
		g.build(zAxis)
	}
	a.reset()
	for turns := 0; !g.everything(a) && turns < 40; turns++ {
		g.build(zAxis)
	}
	g.Relaxed += a.relaxed
	g.solved[zAxis] = a
	for _, n := range g.Nodes {
		if a.known[n.ID] {
			n.Pos[g.net][zAxis] = Num{a.value[n.ID], Derived}
		}
	}
}

// everything lets all that holds spread, then what is usual, then what only
// flexible pipes place. It is false where a fall or a usual height was settled
// on the way, so that all must be laid anew.
func (g *geometry) everything(a *axis) bool {
	for i := range a.held {
		a.seed(&a.held[i])
	}
	a.spread(false, nil)
	if g.suitFalls(a) {
		return false
	}
	for i := range g.usual {
		if u := &g.usual[i]; !a.known[u.node.ID] && (len(a.of(u.node.ID)) > 0 || g.touches(u.node)) {
			a.seed(u)
			a.spread(false, nil)
		}
	}
	a.loosen()
	return !g.suitFalls(a) && !g.yields(a)
}

// touches: the node has pipes of this net at all.
func (g *geometry) touches(n *Node) bool {
	if g.net == DWV {
		return len(n.DrainIn)+len(n.DrainOut)+len(n.VentIn)+len(n.VentOut) > 0
	}
	return len(n.WaterIn)+len(n.WaterOut) > 0
}

// pinsAgree reports two facts that hold one and the same node apart.
func (g *geometry) pinsAgree(a *axis) {
	for i := range a.held {
		h := &a.held[i]
		src := a.source[h.node.ID]
		if h.soft > 0 || src == nil || src == h || src.point == nil || h.point == nil {
			continue
		}
		off := h.v - a.value[h.node.ID]
		if math.Abs(off) <= tolerance {
			continue
		}
		g.apartInHeight(a, h, src, off)
	}
}

// apartInHeight reports a node that two facts hold apart: pins, or the heights
// that legs run to.
func (g *geometry) apartInHeight(a *axis, h, src *anchor, off float64) {
	pipe, name := h.pipe, h.node.Name()
	if pipe == nil {
		pipe = src.pipe
	}
	if id := a.via[h.node.ID]; pipe == nil && id >= 0 {
		pipe = g.Pipes[id]
	}
	pr := Problem{Rule: "open-geometry", Loc: h.point.Loc, Subject: name, Copy: h.point.Copy,
		Message:  fmt.Sprintf("two facts place %s %s apart in height: %s and %s", name, lengthText(off), height(h.v), height(a.value[h.node.ID])),
		Remedy:   "correct one of the two heights, or let a leg run `to suit`",
		Measured: math.Abs(off) / inch, Limit: 2, HasNumber: true,
		Related: []RelatedLoc{{src.point.Loc, "the other height comes from " + src.point.Name}}}
	if pipe != nil {
		if g.told[pipe] {
			return
		}
		g.told[pipe] = true
		r := pipe.Run
		pr.Loc, pr.Subject, pr.Copy = itemsLoc(r), r.Subject(), r.Copy
		pr.Message = fmt.Sprintf("%s reaches %s %s away in height from where it is held: %s and %s", r.Subject(), name, lengthText(off), height(h.v), height(a.value[h.node.ID]))
		if h.pipe != nil && src.pipe != nil && h.pipe != src.pipe {
			o := src.pipe.Run
			pr.Message = fmt.Sprintf("%s and %s reach %s %s apart in height: %s and %s", r.Subject(), o.Subject(), name, lengthText(off), height(h.v), height(a.value[h.node.ID]))
			pr.Related = []RelatedLoc{{itemsLoc(o), "the other way"}}
		}
	}
	g.problem(pr)
}

// clash reports two ways to one place that disagree.
func (g *geometry) clash(ax int, p *Pipe, off float64, s1, s2 *anchor) {
	name := [3]string{"east to west", "north to south", "height"}[ax]
	if s1.point != nil && s2.point != nil && s1.point != s2.point {
		for _, end := range []*Node{p.To, p.From} {
			for _, s := range []*anchor{s1, s2} {
				if s.point.Node == end {
					g.misses(ax, p, off, s, other(s, s1, s2))
					return
				}
			}
		}
	}
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

func other(s, s1, s2 *anchor) *anchor {
	if s == s1 {
		return s2
	}
	return s1
}

// misses reports a pipe that does not meet the place its own end holds.
func (g *geometry) misses(ax int, p *Pipe, off float64, end, from *anchor) {
	name := [3]string{"east to west", "north to south", "height"}[ax]
	at := ""
	if ax == zAxis {
		at = " at " + height(end.v)
	}
	g.problem(Problem{Rule: "open-geometry", Loc: itemsLoc(p.Run), Subject: p.Run.Subject(), Copy: p.Run.Copy,
		Message:  fmt.Sprintf("%s, counted from %s, misses %s%s by %s in %s", p.Run.Subject(), from.point.Name, end.point.Name, at, lengthText(off), name),
		Remedy:   "correct a length, a fall or one of the two places, or let a leg run `to suit`",
		Measured: math.Abs(off) / inch, Limit: 2, HasNumber: true,
		Related: []RelatedLoc{{from.point.Loc, from.point.Name + " is placed here"}, {end.point.Loc, end.point.Name + " is placed here"}}})
}

func itemsLoc(r *Run) Loc {
	if n := len(r.Stmt.Items); n > 0 {
		return Loc{r.File, grammar.Span{Start: r.Stmt.Items[0].Span.Start, End: r.Stmt.Items[n-1].Span.End}}
	}
	return Loc{r.File, r.Stmt.Pos()}
}

// lengths settles the legs that run to a target or to suit, on the axes just
// solved. It tells whether a slanting leg became known, which the other axes
// then use.
func (g *geometry) lengths(vertical bool) bool {
	slant := false
	for _, p := range g.pipes {
		for i := range p.Parts {
			pt := &p.Parts[i]
			if !pt.IsLeg() || pt.by == grammar.ByLength || pt.Length.Known() {
				continue
			}
			if nan(pt.Dir[0]) {
				if !vertical && pt.by == grammar.ToSuit {
					dx, ok := g.legSpan(p, i, xAxis)
					dy, fine := g.legSpan(p, i, yAxis)
					if ok && fine {
						pt.Length = Num{math.Hypot(dx, dy), Suit}
					}
				}
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
				if pt.by == grammar.ToSuit {
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

// legSpan is how far a leg reaches on an axis, from both sides of it. Places
// that float apart from each other tell nothing.
func (g *geometry) legSpan(p *Pipe, i, ax int) (float64, bool) {
	a := g.solved[ax]
	if a == nil {
		return 0, false
	}
	start, ok, src := a.value[p.From.ID], a.known[p.From.ID], a.source[p.From.ID]
	for j := 0; j < i; j++ {
		switch s := g.step(p, j, ax); s.kind {
		case moves:
			start += s.delta
		case toAbs:
			start, ok, src = s.abs, true, nil
		case toNode:
			start, ok, src = a.value[s.absNode.ID], a.known[s.absNode.ID], a.source[s.absNode.ID]
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
		n := s.absNode.ID
		return a.value[n] - start, a.known[n] && together(src, a.source[n])
	}
	end, ok := a.value[p.To.ID], a.known[p.To.ID] && together(src, a.source[p.To.ID])
	for j := len(p.Parts) - 1; j > i; j-- {
		s := g.step(p, j, ax)
		if s.kind != moves {
			return 0, false
		}
		end -= s.delta
	}
	return end - start, ok
}

// together tells whether two places are known against each other.
func together(s1, s2 *anchor) bool {
	return s1 == s2 || !(s1 != nil && s1.floats) && !(s2 != nil && s2.floats)
}

// yields lets usual heights give way where a leg `to suit` would run backwards
// to meet them; of two, the later in the table does. It tells whether any did.
func (g *geometry) yields(a *axis) bool {
	solved := g.solved[zAxis]
	g.solved[zAxis] = a
	defer func() { g.solved[zAxis] = solved }()
	changed := false
	for _, k := range g.order {
		p := g.pipes[k]
		s1, s2 := a.source[p.From.ID], a.source[p.To.ID]
		if s1 == s2 || !(s1 != nil && s1.usual || s2 != nil && s2.usual) {
			continue
		}
		for i := range p.Parts {
			pt := &p.Parts[i]
			if !pt.IsLeg() || pt.by != grammar.ToSuit || !primary(pt, zAxis) {
				continue
			}
			v, ok := g.legSpan(p, i, zAxis)
			if !ok || v/pt.Dir[2] > -1e-6 {
				continue
			}
			first := s1 != nil && s1.usual && (s2 == nil || !s2.usual || s1.rank > s2.rank)
			switch { // each gives way the farther of what its pipes ask
			case first && math.Abs(v) > math.Abs(s1.ask):
				s1.ask = v
			case !first && math.Abs(v) > math.Abs(s2.ask):
				s2.ask = -v
			}
			changed = true
		}
	}
	for i := range g.usual {
		u := &g.usual[i]
		u.yield, u.ask = u.yield+u.ask, 0
	}
	return changed
}

// behind reports a target that lies behind the pipe.
func (g *geometry) behind(p *Pipe, pt *Part, length float64) {
	if g.told[p] {
		return
	}
	g.told[p] = true
	what := "what closes"
	if pt.by != grammar.ToSuit {
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
