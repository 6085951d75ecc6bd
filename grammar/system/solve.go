package system

import (
	"cmp"
	"slices"

	"github.com/sourcegraph/conc"

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
		if net == DWV {
			g.stands()
		}
	}
}

// inOrder tells in which order pipes come by their runs' keys.
func inOrder(pipes []*Pipe) []int32 {
	type at struct {
		key uint64
		i   int32
	}
	list := make([]at, len(pipes))
	for i, p := range pipes {
		list[i] = at{p.Run.key, int32(i)}
	}
	slices.SortFunc(list, func(a, b at) int { return cmp.Or(cmp.Compare(a.key, b.key), cmp.Compare(a.i, b.i)) })
	order := make([]int32, len(pipes))
	for k := range list {
		order[k] = list[k].i
	}
	return order
}

// key gives names an order of their own, so that what is laid together in one
// order or another comes out the same in whatever order the lines stand. (It is
// the FNV-1a hash of the names.)
func key(names ...string) uint64 {
	const offset, prime = 14695981039346656037, 1099511628211
	h := uint64(offset)
	for _, name := range names {
		for i := 0; i < len(name); i++ {
			h = (h ^ uint64(name[i])) * prime
		}
		h = (h ^ ' ') * prime
	}
	return h
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
	order   []int32     // of pipes by their keys, where one comes before another
	laid    []laid      // by place in pipes, of the axis that is built
	anchors [3][]anchor // what holds, by axis
	usual   []anchor    // usual heights, which yield, in their order
	hard    []bool      // by node: its height follows from facts that hold
	solved  [3]*axis
	told    map[*Pipe]bool
}

func (g *geometry) run() {
	var beside conc.WaitGroup
	beside.Go(func() { g.order = inOrder(g.pipes) })
	g.anchor()
	beside.Wait()
	for i := 0; g.net != DWV && i+1 < len(g.stood); i += 2 {
		g.anchors[xAxis] = append(g.anchors[xAxis], g.stood[i])
		g.anchors[yAxis] = append(g.anchors[yAxis], g.stood[i+1])
	}
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

// build makes the ties of one axis, and the anchors that targets set. There is
// one of each axis, made anew at every build.
func (g *geometry) build(ax int) *axis {
	a := g.axes[ax]
	if a == nil {
		if g.front.line == nil {
			g.front.line = make([]entry, 0, len(g.Nodes))
		}
		a = newAxis(len(g.Nodes), &g.front)
		a.edges = make([]edge, 0, len(g.pipes))
		g.axes[ax] = a
	}
	a.clear()
	a.held = append(a.held, g.anchors[ax]...)
	// the pipes as they lie in memory first, then what they gave in its order
	g.laid = slices.Grow(g.laid[:0], len(g.pipes))[:len(g.pipes)]
	for k, p := range g.pipes {
		g.laid[k] = g.lay(p, ax)
	}
	for _, k := range g.order {
		switch r := &g.laid[k]; r.kind {
		case moves, toNode:
			a.edges = append(a.edges, r.edge)
		case toAbs:
			p := g.pipes[k]
			a.held = append(a.held, anchor{node: p.To, v: r.abs + r.delta, soft: r.soft, point: p.To.Points[0], pipe: p})
		}
	}
	for _, r := range g.rigid[g.net] {
		if r.axes[ax] {
			a.tie(r.a, r.b, r.delta[ax], 0, nil, false)
		}
	}
	a.lay()
	return a
}

// laid is what a pipe tells of the place of its end: against its start or
// another node, as an edge; or of itself. Free: nothing.
type laid struct {
	edge
	abs  float64
	kind stepKind
}

// lay adds up a pipe's legs on one axis.
func (g *geometry) lay(p *Pipe, ax int) laid {
	if len(p.Parts) == 0 || !g.closes(p) {
		return laid{kind: free}
	}
	r := laid{edge: edge{u: int32(p.From.ID), v: int32(p.To.ID), pipe: int32(p.ID)}}
	for i := range p.Parts {
		if !p.Parts[i].leg {
			continue
		}
		s := g.step(p, i, ax)
		if s.kind == moves {
			r.delta += s.delta
			r.soft += s.soft
			continue
		}
		r.kind, r.abs, r.delta, r.soft = s.kind, s.abs, 0, 0
		if s.kind == toNode {
			r.u = int32(s.absNode.ID)
		}
	}
	r.weak = r.kind == moves && g.weak(p, ax)
	return r
}

// weak tells pipes that close nothing on an axis: flexible ones, and water
// runs sideways at a fixture, which stands where it stands.
func (g *geometry) weak(p *Pipe, ax int) bool {
	if ax == zAxis {
		return flexible(p)
	}
	return g.net != DWV && (p.From.Find(Fixture) != nil || p.To.Find(Fixture) != nil)
}

// sideways solves an axis of the plan view. Loops are judged only where their
// ends carry `at x,y`: two ways from one and the same pin bend in the drawing.
func (g *geometry) sideways(ax int) {
	a := g.build(ax)
	for i := range a.held {
		a.seed(&a.held[i])
	}
	clash := func(u int32, t tie, off float64) {
		s1, s2 := a.source[u], a.source[t.to]
		if s1 == s2 || s1 == nil || s2 == nil || t.pipe < 0 {
			return
		}
		if p := g.Pipes[t.pipe]; !g.told[p] {
			g.told[p] = true
			g.clash(ax, p, off, s1, s2)
		}
	}
	a.spread(false, clash)
	a.loosen()
	for _, n := range g.Nodes { // what floats stands somewhere: where it is met first
		if !a.known[n.ID] && len(a.of(n.ID)) > 0 {
			a.seed(&anchor{node: n, floats: true})
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

// stands notes where drains and vents truly place fixtures and copies, which
// the water runs then take for granted.
func (g *geometry) stands() {
	x, y := g.solved[xAxis], g.solved[yAxis]
	for _, n := range g.Nodes {
		i := n.ID
		if !x.known[i] || !y.known[i] || x.source[i].floats || y.source[i].floats {
			continue
		}
		p := n.Find(Fixture)
		if len(n.Points) > 0 && p == nil {
			continue
		}
		g.stood = append(g.stood, anchor{node: n, v: x.value[i], point: p}, anchor{node: n, v: y.value[i], point: p})
	}
}
