package system

import (
	"cmp"
	"slices"

	"crownweir/grammar"
	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
)

// anchor collects what holds and what is usual.
func (g *geometry) anchor() {
	for _, p := range g.Points {
		if p.Node == nil {
			continue
		}
		base, inside := 0.0, p.Level != nil && (p.Room != nil || p.Copy != nil || p.Kind == Fixture)
		if inside {
			base = p.Level.Elevation
		}
		hold := func(v float64) { g.anchors[zAxis] = append(g.anchors[zAxis], anchor{node: p.Node, v: v, point: p}) }
		if p.Decl != nil {
			at := p.Decl.At
			if len(at.Tuple) >= 2 && p.Kind != Object {
				g.standAt(p, at.Tuple[0].SI, at.Tuple[1].SI)
			}
			switch {
			case p.Kind == Outfall: // no pin
			case len(at.Tuple) == 3:
				hold(base + at.Tuple[2].SI)
			case at.Height.Value.Kind != quantity.None:
				hold(g.height(at.Height, base, p) + g.invert(at, p))
			}
		}
		switch p.Kind {
		case Heater, Manifold:
			g.stoodBefore(p)
		case Fixture:
			g.fixtureHeight(p, base, hold)
		case Terminal:
			if v, ok := g.terminalHeight(p); ok && g.net == DWV {
				hold(v)
			}
		case Ejector:
			if q, ok := p.Qty("inlet"); ok && g.net == DWV {
				hold(base + q.SI)
			}
		}
	}
	for _, list := range [][]anchor{g.anchors[xAxis], g.anchors[yAxis], g.anchors[zAxis], g.usual} {
		for i := range list {
			list[i].key = key(list[i].point.Name)
			list[i].rank = catalog.Rank(list[i].point.Word)
		}
	}
	byKey := func(a, b anchor) int { return cmp.Or(cmp.Compare(a.key, b.key), cmp.Compare(a.v, b.v)) }
	for ax := range g.anchors {
		slices.SortFunc(g.anchors[ax], byKey)
	}
	slices.SortFunc(g.usual, func(a, b anchor) int { return cmp.Or(cmp.Compare(a.rank, b.rank), byKey(a, b)) })
}

// stoodBefore: a heater or manifold that its cold legs have placed stands in
// the same place for the hot ones.
func (g *geometry) stoodBefore(p *Point) {
	if g.net != HotNet {
		return
	}
	for ax := xAxis; ax <= zAxis; ax++ {
		if at := p.Node.Pos[ColdNet][ax]; at.Known() {
			g.anchors[ax] = append(g.anchors[ax], anchor{node: p.Node, v: at.V, point: p})
		}
	}
}

func (g *geometry) fixtureHeight(p *Point, base float64, hold func(float64)) {
	key, usual := "outlet", p.Fixture.Outlet
	if g.net != DWV {
		key, usual = "supply", p.Fixture.Supply
	}
	if q, ok := p.Qty(key); ok {
		hold(base + q.SI)
		return
	}
	if !usual.OK || g.heldByAt(p) {
		return
	}
	if g.net == DWV && p.Fixture.FloorSet {
		hold(base + usual.Metres)
		return
	}
	g.usual = append(g.usual, anchor{node: p.Node, v: base + usual.Metres, point: p, usual: true})
}

func (g *geometry) heldByAt(p *Point) bool {
	return p.Decl != nil && (len(p.Decl.At.Tuple) == 3 || p.Decl.At.Height.Value.Kind != quantity.None)
}

// standAt pins a point sideways, in the plan's frame or its copy's.
func (g *geometry) standAt(p *Point, x, y float64) {
	f := g.plan
	if c := p.Copy; c != nil {
		x, y = c.turn.apply(x, y)
		x, y, f = x+c.x, y+c.y, c.frame
	}
	if f.root {
		g.anchors[xAxis] = append(g.anchors[xAxis], anchor{node: p.Node, v: x, point: p})
		g.anchors[yAxis] = append(g.anchors[yAxis], anchor{node: p.Node, v: y, point: p})
		return
	}
	g.rigid[g.net] = append(g.rigid[g.net], rigid{a: f.node, b: p.Node, delta: [3]float64{x, y, 0}, axes: [3]bool{true, true, false}})
}

// height reads a written height: from the floor it names, else from base.
func (g *geometry) height(h grammar.Height, base float64, p *Point) float64 {
	if h.Of.Text == "" {
		return base + h.Value.SI
	}
	if l, ok := g.levelOf[h.Of.Text]; ok {
		return l.Elevation + h.Value.SI
	}
	g.unknownLevel(h.Of, p.File, p.Copy)
	return base + h.Value.SI
}

// invert is what the centre line stands above a written invert.
func (g *geometry) invert(at grammar.At, p *Point) float64 {
	if !at.Invert {
		return 0
	}
	var size quantity.Size
	for _, q := range append(append([]*Pipe{}, p.Node.DrainIn...), p.Node.DrainOut...) {
		size = max(size, q.Size())
	}
	return float64(size) / 2 * inch
}
