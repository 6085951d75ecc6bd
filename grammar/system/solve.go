package system

import (
	"sort"

	"crownweir/grammar"
	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
)

// solve places every node in space and gives every leg its length and fall.
// Sideways first, then heights, since a level leg's fall goes with its length;
// a slanting leg known on one axis may settle the other, so up to three rounds.
func (b *builder) solve() {
	b.falls()
	pipes := [nets][]*Pipe{}
	for _, p := range b.Pipes {
		n := netOf(p.Kind())
		pipes[n] = append(pipes[n], p)
	}
	for net := Net(0); net < nets; net++ {
		if len(pipes[net]) == 0 {
			continue
		}
		g := &geometry{builder: b, net: net, pipes: pipes[net]}
		g.run()
	}
}

// falls gives level drain and sewer legs that write none the plan's default,
// else the code's least; level legs of other kinds lie level.
func (b *builder) falls() {
	for _, p := range b.Pipes {
		for i := range p.Parts {
			pt := &p.Parts[i]
			if !pt.IsLeg() || pt.Posture != LevelLeg || pt.Fall.Known() || pt.Item.FallToSuit || pt.Item.Drop.Kind != quantity.None {
				continue
			}
			switch k := p.Kind(); {
			case k.Sanitary() || k == Indirect:
				pt.Fall = b.Header.Fall
				if !pt.Fall.Known() && b.opts.LeastFall != nil {
					if v, ok := b.opts.LeastFall(k, p.Size()); ok {
						pt.Fall = Num{v, Least}
					}
				}
			default:
				pt.Fall = Num{0, Default}
			}
		}
	}
}

// geometry solves one net.
type geometry struct {
	*builder
	net     Net
	pipes   []*Pipe
	anchors [3][]anchor // what holds, by axis
	usual   []anchor    // usual heights, which yield, in their order
	hard    []bool      // by node: its height follows from facts that hold
	solved  [3]*axis
	told    map[*Pipe]bool
}

func (g *geometry) run() {
	g.anchor()
	g.told = map[*Pipe]bool{}
	for round := 0; round < 3; round++ {
		last := round == 2
		g.sideways(xAxis)
		g.sideways(yAxis)
		g.lengths(false)
		g.heights()
		if !g.lengths(true) || last {
			break
		}
	}
	g.finish()
}

const (
	xAxis = iota
	yAxis
	zAxis
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
			if q, ok := attrQty(p, "inlet"); ok && g.net == DWV {
				hold(base + q.SI)
			}
		}
	}
	sort.SliceStable(g.usual, func(i, j int) bool {
		return catalog.Rank(g.usual[i].point.Word) < catalog.Rank(g.usual[j].point.Word)
	})
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
	if q, ok := attrQty(p, key); ok {
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
	g.usual = append(g.usual, anchor{node: p.Node, v: base + usual.Metres, point: p})
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

func (g *geometry) unknownLevel(w grammar.Word, file string, c *Copy) {
	loc := Loc{file, w.Span}
	for _, pr := range g.Problems {
		if pr.Rule == "unknown-name" && pr.Loc == loc {
			return
		}
	}
	g.unknownName("level", w, file, c, keys(g.levelOf))
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

// terminalHeight is the mouth of a terminal through the roof.
func (g *geometry) terminalHeight(p *Point) (float64, bool) {
	if p.Word == "admittance" {
		return 0, false
	}
	r := g.roofOf(p)
	if r == nil {
		return 0, false
	}
	v := r.Elevation
	if q, ok := attrQty(p, "rise"); ok {
		v += q.SI
	}
	return v, true
}

func (b *builder) roofOf(p *Point) *Roof {
	name := ""
	if a, ok := p.Attr("roof"); ok {
		name = a.Text()
	}
	var first *Roof
	for _, r := range b.Roofs {
		if name != "" && r.Name == name {
			return r
		}
		if first == nil {
			first = r
		}
	}
	if name != "" {
		return nil
	}
	return first
}

func attrQty(p *Point, key string) (quantity.Value, bool) {
	a, ok := p.Attr(key)
	if !ok {
		return quantity.Value{}, false
	}
	return a.Qty()
}

// primary tells whether a leg's length is settled on this axis (true) or by
// the others (false), for legs that run to a target or to suit.
func primary(pt *Part, ax int) bool {
	vertical := pt.Dir[0] == 0 && pt.Dir[1] == 0
	switch pt.Item.By {
	case grammar.ToHeight, grammar.ToRoof:
		return ax == zAxis
	case grammar.ToPoint:
		if vertical {
			return ax == zAxis
		}
		return ax != zAxis
	case grammar.ToSuit:
		if pt.Posture == Upright {
			return ax == zAxis
		}
		return ax != zAxis
	}
	return false
}

// step tells what a leg does on an axis: a known move; an absolute place
// (of a height, or of a node); or nothing known.
type step struct {
	delta, soft float64
	abs         float64
	absNode     *Node
	kind        stepKind
}

type stepKind uint8

const (
	moves stepKind = iota
	toAbs
	toNode
	free
)

func (g *geometry) step(p *Pipe, i, ax int) step {
	pt := &p.Parts[i]
	if !pt.IsLeg() {
		return step{}
	}
	d := pt.Dir[ax]
	if nan(d) {
		return step{kind: free}
	}
	if ax != zAxis && d == 0 {
		return step{}
	}
	if ax == zAxis && g.stretches(p, i) {
		return step{kind: free}
	}
	if pt.Item.By != grammar.ByLength && primary(pt, ax) {
		switch pt.Item.By {
		case grammar.ToHeight:
			base, _ := g.floorOf(p.Run)
			h := pt.Item.Height
			if h.Of.Text != "" {
				l, ok := g.levelOf[h.Of.Text]
				if !ok {
					g.unknownLevel(h.Of, p.Run.File, p.Run.Copy)
					return step{kind: free}
				}
				base = l.Elevation
			}
			return step{kind: toAbs, abs: base + h.Value.SI}
		case grammar.ToRoof:
			if v, ok := g.roofTarget(p, i); ok {
				return step{kind: toAbs, abs: v}
			}
			return step{kind: free}
		case grammar.ToPoint:
			n := g.targetNode(p, pt)
			if n == nil || n == p.To { // its own end: whatever closes
				return step{kind: free}
			}
			return step{kind: toNode, absNode: n}
		}
		return step{kind: free}
	}
	if ax == zAxis && pt.Posture == LevelLeg {
		switch {
		case pt.Item.Drop.Kind != quantity.None:
			return step{delta: g.sign(p) * pt.Item.Drop.SI}
		case !pt.Length.Known():
			return step{kind: free}
		case pt.Item.FallToSuit && !pt.Fall.Known():
			return step{kind: free}
		case !pt.Fall.Known():
			return step{soft: pt.Length.V + 1e-6}
		}
		s := step{delta: g.sign(p) * pt.Fall.V * pt.Length.V}
		if p.Kind().Sanitary() && (pt.Fall.Origin == Default || pt.Fall.Origin == Least) {
			s.soft = pt.Length.V
		}
		return s
	}
	if !pt.Length.Known() {
		return step{kind: free}
	}
	return step{delta: d * pt.Length.V}
}

// sign: a fall on a vent is back to its drain, so the leg rises as written.
func (g *geometry) sign(p *Pipe) float64 {
	if p.Kind() == Vent {
		return 1
	}
	return -1
}

// stretches: a vent's last upright leg reaches to its terminal.
func (g *geometry) stretches(p *Pipe, i int) bool {
	if p.Kind() != Vent || p.Parts[i].Item.By != grammar.ByLength || p.Parts[i].Posture != Upright || p.Parts[i].Down {
		return false
	}
	t := p.To.Find(Terminal)
	if t == nil || t.Word == "admittance" {
		return false
	}
	for j := i + 1; j < len(p.Parts); j++ {
		if p.Parts[j].IsLeg() {
			return false
		}
	}
	_, ok := g.terminalHeight(t)
	return ok
}

func (g *geometry) roofTarget(p *Pipe, i int) (float64, bool) {
	if t := p.To.Find(Terminal); t != nil {
		for j := i + 1; j < len(p.Parts); j++ {
			if p.Parts[j].IsLeg() {
				t = nil
				break
			}
		}
		if t != nil {
			return g.terminalHeight(t)
		}
	}
	if len(g.Roofs) > 0 {
		return g.Roofs[0].Elevation, true
	}
	return 0, false
}

func (g *geometry) targetNode(p *Pipe, pt *Part) *Node {
	q := g.byName[p.Run.Copy.Prefix()+pt.Item.Point.Text]
	if q == nil {
		return nil
	}
	return q.Node
}

// closes tells whether a pipe ties its two ends together.
func (g *geometry) closes(p *Pipe) bool {
	switch p.Kind() {
	case Discharge:
		return false
	case Indirect:
		for i := range p.Parts {
			if p.Parts[i].IsDevice("air-gap") {
				return false
			}
		}
	}
	return true
}

// build makes the ties of one axis, and the anchors that targets set.
func (g *geometry) build(ax int) (*axis, []anchor) {
	a := newAxis(len(g.Nodes))
	held := append([]anchor(nil), g.anchors[ax]...)
	for _, p := range g.pipes {
		if len(p.Parts) == 0 || !g.closes(p) {
			continue
		}
		sum, legs, whole := step{}, 0, true
		last := step{}
		for i := range p.Parts {
			if !p.Parts[i].IsLeg() {
				continue
			}
			legs++
			s := g.step(p, i, ax)
			if s.kind != moves {
				last, whole = s, false
				sum = step{}
				continue
			}
			sum.delta += s.delta
			sum.soft += s.soft
		}
		switch {
		case whole:
			a.tie(p.From, p.To, sum.delta, sum.soft, p)
		case last.kind == toAbs:
			held = append(held, anchor{node: p.To, v: last.abs + sum.delta, soft: sum.soft, point: g.byName[p.Run.To]})
		case last.kind == toNode:
			a.tie(last.absNode, p.To, sum.delta, sum.soft, p)
		}
	}
	for _, r := range g.rigid[g.net] {
		if r.axes[ax] {
			a.tie(r.a, r.b, r.delta[ax], 0, nil)
		}
	}
	return a, held
}

// sideways solves an axis of the plan view. Loops are judged only where their
// ends carry `at x,y`: two ways from one and the same pin bend in the drawing.
func (g *geometry) sideways(ax int) {
	a, held := g.build(ax)
	for i := range held {
		a.seed(&held[i])
	}
	clash := func(u *Node, t tie, off float64) {
		s1, s2 := a.source[u.ID], a.source[t.to.ID]
		if s1 == s2 || s1 == nil || s2 == nil || t.pipe == nil || g.told[t.pipe] {
			return
		}
		g.told[t.pipe] = true
		g.clash(ax, t.pipe, off, s1, s2)
	}
	a.spread(false, clash)
	for _, n := range g.Nodes { // what floats stands somewhere: where it is met first
		if !a.known[n.ID] && len(a.ties[n.ID]) > 0 {
			a.seed(&anchor{node: n})
			a.spread(false, nil)
		}
	}
	g.Relaxed += a.relaxed
	g.solved[ax] = a
	for _, n := range g.Nodes {
		if a.known[n.ID] {
			n.Pos[g.net][ax] = Num{a.value[n.ID], Derived}
		}
	}
}
