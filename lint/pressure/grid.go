package pressure

import (
	"fmt"
	"math"

	"crownweir/grammar/system"
	"crownweir/lint/hydraulics"
	"crownweir/lint/sizing"
)

// Grid is a set of pipes in which water may take several ways: loops, and what
// lies between two sources. Its peak is that of all it serves, shared out over
// the points where it is drawn as they would draw alone; the flows in its pipes
// are solved.
type Grid struct {
	Pipes      []*system.Pipe
	Nodes      []*system.Node
	Peak       float64 // cubic metres a second
	Iterations int
	// Trouble is why the solution does not hold, or "".
	Trouble string

	root *system.Node // the first that water reaches
	done bool
}

// findGrids finds the sets of pipes that are no bridges: a pipe is one where
// cutting it parts what it serves from every source.
func (a *Analysis) findGrids() {
	sys := a.Supply.Sys
	ground := len(sys.Nodes) // what all sources stand on
	type edge struct {
		to   int
		pipe *system.Pipe // nil: from ground to a source
	}
	if !a.Supply.Looped && len(a.Supply.Sources) < 2 {
		return
	}
	ends := make([][]edge, ground+1)
	join := func(u, v int, p *system.Pipe) {
		ends[u] = append(ends[u], edge{v, p})
		ends[v] = append(ends[v], edge{u, p})
	}
	for _, p := range sys.Pipes {
		if a.inGridGraph(p) {
			join(p.From.ID, p.To.ID, p)
		}
	}
	for _, src := range a.Supply.Sources {
		join(ground, src.Node.ID, nil)
	}
	// Lowest place reachable, by a walk with a stack of its own: plans may be deep.
	place, low := make([]int, ground+1), make([]int, ground+1)
	type step struct {
		node, next int
		by         *system.Pipe
		from       int
	}
	bridge := map[*system.Pipe]bool{}
	counter := 0
	for start := ground; start >= 0; start-- {
		if place[start] > 0 || len(ends[start]) == 0 {
			continue
		}
		counter++
		place[start], low[start] = counter, counter
		stack := []step{{start, 0, nil, -1}}
		for len(stack) > 0 {
			s := &stack[len(stack)-1]
			if s.next < len(ends[s.node]) {
				e := ends[s.node][s.next]
				s.next++
				switch {
				case e.pipe != nil && e.pipe == s.by || e.pipe == nil && s.by == nil && e.to == s.from:
				case place[e.to] > 0:
					low[s.node] = min(low[s.node], place[e.to])
				default:
					counter++
					place[e.to], low[e.to] = counter, counter
					stack = append(stack, step{e.to, 0, e.pipe, s.node})
				}
				continue
			}
			done := *s
			stack = stack[:len(stack)-1]
			if len(stack) > 0 {
				up := &stack[len(stack)-1]
				low[up.node] = min(low[up.node], low[done.node])
				if done.by != nil && low[done.node] > place[up.node] {
					bridge[done.by] = true
				}
			}
		}
	}
	// What hangs together without bridges is one grid.
	for _, n := range a.Supply.Order() {
		if a.gridNode[n.ID] > 0 {
			continue
		}
		g := Grid{root: n}
		number := len(a.Grids) + 1
		queue := []*system.Node{n}
		seen := map[int]bool{n.ID: true}
		take := func(m *system.Node) {
			if !seen[m.ID] {
				seen[m.ID] = true
				queue = append(queue, m)
			}
		}
		for i := 0; i < len(queue); i++ {
			m := queue[i]
			for _, e := range ends[m.ID] {
				if e.pipe == nil || bridge[e.pipe] {
					continue
				}
				if a.pipes[e.pipe.ID].Grid == 0 {
					a.pipes[e.pipe.ID].Grid = number
					g.Pipes = append(g.Pipes, e.pipe)
				}
				take(e.pipe.From)
				take(e.pipe.To)
			}
		}
		if len(g.Pipes) == 0 {
			continue
		}
		g.Nodes = queue
		for _, m := range queue {
			a.gridNode[m.ID] = number
		}
		a.Grids = append(a.Grids, g)
	}
}

// inGridGraph: a pipe through which water may run on. Where hot meets cold the
// water is mixed, and what arrives there second is no second way.
func (a *Analysis) inGridGraph(p *system.Pipe) bool {
	s := a.Supply
	if !p.Kind().Water() || p.Kind() == system.Return || p.To.Find(system.Fixture) != nil || s.SourceOf(p.From) == nil {
		return false
	}
	up := s.Parent(p.To)
	return up == nil || up == p || (up.Kind() == system.Hot) == (p.Kind() == system.Hot)
}

// solveGrids solves the grid that a node is the root of, or with nil all that
// hold a source.
func (a *Analysis) solveGrids(n *system.Node) {
	for i := range a.Grids {
		g := &a.Grids[i]
		if g.done {
			continue
		}
		sources := map[int]bool{}
		for _, src := range a.Supply.Sources {
			if a.gridNode[src.Node.ID] == i+1 {
				sources[src.Node.ID] = true
			}
		}
		switch {
		case n == nil && len(sources) > 0:
		case n != nil && n == g.root:
			sources = map[int]bool{n.ID: true}
		default:
			continue
		}
		g.done = true
		a.solveGrid(g, i+1, sources)
	}
}

// solveGrid solves a grid twice, with the least and the most that its devices
// may take, and sets the pressures at its nodes and the flows in its pipes.
func (a *Analysis) solveGrid(g *Grid, number int, sources map[int]bool) {
	demands := a.share(g, number)
	water := hydraulics.Water{Density: a.per / hydraulics.Gravity, Viscosity: hydraulics.WaterAt(coldAt).Viscosity}
	if a.Options.Friction == Darcy && len(g.Pipes) > 0 {
		water.Viscosity = hydraulics.WaterAt(a.temperature(g.Pipes[0])).Viscosity
	}
	var lack Fact
	for _, n := range g.Nodes {
		if s := a.nodes[n.ID]; sources[n.ID] && s.missing.Missing() && !lack.Missing() {
			lack = s.missing
		}
	}
	for _, p := range g.Pipes {
		l := &a.pipes[p.ID]
		l.Pipe, l.Flow = p, Flow{Q: g.Peak, How: ByGrid} // for the devices' sake: the whole peak
		a.measure(l)
		if l.Missing.Missing() && !lack.Missing() {
			lack = l.Missing
		}
	}
	if lack.Missing() {
		for _, n := range g.Nodes {
			s := &a.nodes[n.ID]
			if !sources[n.ID] {
				*s = state{known: true, p: a.bestOf(g, sources, n)}
			}
			if !s.missing.Missing() {
				s.missing = lack
			}
		}
		return
	}
	for _, worst := range []bool{false, true} {
		net, index := a.network(g, sources, demands, worst, water)
		solved, problems := net.Solve()
		for _, p := range problems {
			g.Trouble = string(p.Kind)
		}
		g.Iterations = max(g.Iterations, solved.Iterations)
		for i, n := range g.Nodes {
			if sources[n.ID] {
				continue
			}
			s := &a.nodes[n.ID]
			s.known = true
			if worst {
				s.p.Least = solved.Nodes[i].Pressure
			} else {
				s.p.Most = solved.Nodes[i].Pressure
			}
		}
		for i, p := range g.Pipes {
			l, state := &a.pipes[p.ID], solved.Links[index[i]]
			l.Flow = Flow{Q: math.Abs(state.Flow), How: ByGrid, Back: state.Flow < 0}
			l.Velocity = state.Velocity
		}
	}
	for _, p := range g.Pipes {
		l := &a.pipes[p.ID]
		a.measure(l)
		l.Enter, l.Leave = a.nodes[p.From.ID].p, a.nodes[p.To.ID].p
	}
	if g.Trouble != "" {
		fact := Fact{What: "solution of the supply grid at " + g.root.Name() + ": " + g.Trouble, Run: g.Pipes[0].Run, Write: "submit a calculation"}
		for _, n := range g.Nodes {
			if s := &a.nodes[n.ID]; !sources[n.ID] {
				s.missing = fact
			}
		}
	}
}

// bestOf bounds the pressure at a node of a grid that cannot be solved: the
// best source, less height, without any friction.
func (a *Analysis) bestOf(g *Grid, sources map[int]bool, n *system.Node) Range {
	best := math.Inf(-1)
	for _, m := range g.Nodes {
		if !sources[m.ID] {
			continue
		}
		p := a.nodes[m.ID].p.Most
		if z0, z1 := m.Pos[system.ColdNet][2], n.Pos[system.ColdNet][2]; z0.Known() && z1.Known() {
			p -= (z1.V - z0.V) * a.per
		}
		best = math.Max(best, p)
	}
	return Range{math.Inf(-1), best}
}

// share gives every node of a grid its part of the peak: what leaves there
// would draw alone, over what all would, of what they draw together.
func (a *Analysis) share(g *Grid, number int) []float64 {
	own := make([]float64, len(g.Nodes))
	var whole sizing.SupplyLoad
	sum, most := 0.0, 0.0
	for i, n := range g.Nodes {
		for _, p := range n.WaterOut {
			if a.pipes[p.ID].Grid == number || p.Kind() == system.Return || !a.Supply.Feeds(p) {
				continue
			}
			q := a.pipes[p.ID].Flow.Q
			own[i] += q
			most = math.Max(most, q)
			whole.Add(a.Supply.Of(p))
		}
		for _, p := range n.Points { // an existing load that stands on the grid
			if p.Kind == system.ExistingSupply && len(n.WaterIn) > 0 {
				if u, ok := p.Qty("water-units"); ok {
					load := sizing.SupplyLoad{Units: u.SI}
					if q, _, ok := a.Supply.Demand(load); ok {
						own[i] += q * gpm
					}
					whole.Add(load)
				}
			}
		}
		sum += own[i]
	}
	q, _, ok := a.Supply.Demand(whole)
	g.Peak = math.Min(math.Max(q*gpm, most), sum)
	if !ok {
		g.Peak = sum
	}
	if sum > 0 {
		for i := range own {
			own[i] *= g.Peak / sum
		}
	}
	return own
}

// network writes a grid for the solver. Devices of fixed loss count at the
// bound asked for; a meter goes by the square of its flow. index is the link of
// each pipe that carries its flow.
func (a *Analysis) network(g *Grid, sources map[int]bool, demands []float64, worst bool, water hydraulics.Water) (net hydraulics.Network, index []int) {
	net.Water = water
	place := map[int]int{}
	for i, n := range g.Nodes {
		z := n.Pos[system.ColdNet][2].V
		if !n.Pos[system.ColdNet][2].Known() {
			z = n.Pos[system.HotNet][2].V
		}
		node := hydraulics.Node{Height: z, Demand: demands[i]}
		if sources[n.ID] {
			p := a.nodes[n.ID].p.Most
			if worst {
				p = a.nodes[n.ID].p.Least
			}
			node.Source, node.Head = true, z+water.Head(p)
		}
		place[n.ID] = len(net.Nodes)
		net.Nodes = append(net.Nodes, node)
	}
	for _, p := range g.Pipes {
		l := &a.pipes[p.ID]
		link := hydraulics.Link{From: place[p.From.ID], To: place[p.To.ID], Length: l.Length + l.Fittings, Bore: l.Bore}
		if a.Options.Friction == Darcy {
			if w, ok := hydraulics.WallOf(p.Run.Material); ok {
				link.Rough = w.Rough
			}
		} else if c, ok := hydraulics.CoefficientOf(p.Run.Material, p.Run.Existing); ok {
			link.C = c.C
		}
		for i := range l.Devices {
			d := &l.Devices[i]
			switch {
			case d.set > 0:
				held := Range{math.Inf(1), math.Inf(1)}
				a.regulate(d, &held)
				link.Regulator, link.Set = true, held.Most
				if worst {
					link.Set = held.Least
				}
			case d.square > 0:
				link.Square += d.square
			case worst:
				link.Fixed += d.Loss.Most
			default:
				link.Fixed += d.Loss.Least
			}
		}
		for i := range p.Parts {
			if p.Parts[i].IsDevice("backflow") || p.Parts[i].IsDevice("valve") && p.Parts[i].DeviceKind() == "check" {
				link.Check = true
			}
		}
		index = append(index, len(net.Links))
		net.Links = append(net.Links, link)
	}
	return net, index
}

// Title names a grid in tables.
func (g *Grid) Title() string { return fmt.Sprintf("grid at %s", g.root.Name()) }
