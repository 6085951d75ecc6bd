package system

import (
	"fmt"
	"math"
	"sort"
)

// ManyLevels stands for "the fixtures of several levels".
var manyLevels = &Level{Name: "several levels"}

// flow orders the nodes by direction of flow, reports drains that close a
// circle, and tells which levels' fixtures each node serves.
func (b *builder) flow() {
	live := b.Nodes[:0:0]
	for _, n := range b.Nodes {
		if n.into == nil {
			n.ID = len(live)
			live = append(live, n)
		}
	}
	b.Nodes = live
	b.drainOrder = b.order(func(n *Node) []*Pipe { return n.DrainOut }, func(n *Node) []*Pipe { return n.DrainIn }, "drain")
	b.ventOrder = b.order(func(n *Node) []*Pipe { return n.VentOut }, func(n *Node) []*Pipe { return n.VentIn }, "vent")
	b.waterOrder = b.order(func(n *Node) []*Pipe { return n.WaterOut }, func(n *Node) []*Pipe { return n.WaterIn }, "")
	b.serve()
}

// DrainOrder lists the nodes so that every drain runs from an earlier to a
// later one; nodes on a circle come last.
func (s *System) DrainOrder() []*Node { return s.drainOrder }

// VentOrder is the same for vents, from the drains up to the open air.
func (s *System) VentOrder() []*Node { return s.ventOrder }

// WaterOrder is the same for supply pipes, from the source to the outlets.
func (s *System) WaterOrder() []*Node { return s.waterOrder }

// order sorts the nodes along pipes; where pipes close a circle it reports it
// (word names the pipe; "" reports nothing: water may loop).
func (b *builder) order(out, in func(*Node) []*Pipe, word string) []*Node {
	deg := make([]int, len(b.Nodes))
	queue := make([]*Node, 0, len(b.Nodes))
	for _, n := range b.Nodes {
		deg[n.ID] = len(in(n))
		if deg[n.ID] == 0 {
			queue = append(queue, n)
		}
	}
	for i := 0; i < len(queue); i++ {
		for _, p := range out(queue[i]) {
			if deg[p.To.ID]--; deg[p.To.ID] == 0 {
				queue = append(queue, p.To)
			}
		}
	}
	if len(queue) == len(b.Nodes) {
		return queue
	}
	done := make([]bool, len(b.Nodes))
	for _, n := range queue {
		done[n.ID] = true
	}
	// strip what merely lies downstream of a circle
	odeg := make([]int, len(b.Nodes))
	var back []*Node
	for _, n := range b.Nodes {
		if done[n.ID] {
			continue
		}
		for _, p := range out(n) {
			if !done[p.To.ID] {
				odeg[n.ID]++
			}
		}
		if odeg[n.ID] == 0 {
			back = append(back, n)
		}
	}
	circle := make([]bool, len(b.Nodes))
	for _, n := range b.Nodes {
		circle[n.ID] = !done[n.ID]
	}
	for i := 0; i < len(back); i++ {
		circle[back[i].ID] = false
		for _, p := range in(back[i]) {
			if f := p.From.ID; circle[f] {
				if odeg[f]--; odeg[f] == 0 {
					back = append(back, p.From)
				}
			}
		}
	}
	told := make([]bool, len(b.Nodes))
	for _, n := range b.Nodes {
		if done[n.ID] {
			continue
		}
		queue = append(queue, n)
		if !circle[n.ID] || told[n.ID] {
			continue
		}
		at := n // follow it round; the circle begins where it is met again
		var round []*Pipe
		for !told[at.ID] {
			told[at.ID] = true
			b.onCircle(at)
			var on []*Pipe
			for _, p := range out(at) {
				if circle[p.To.ID] {
					on = append(on, p)
				}
			}
			p := named(on, 0)
			round = append(round, p)
			at = p.To
		}
		for len(round) > 0 && round[0].From != at {
			round = round[1:]
		}
		if word == "" || len(round) == 0 {
			continue
		}
		// told from the same run, in whatever order the lines stand
		first := 0
		for i, p := range round {
			if p.Run.Name() < round[first].Run.Name() {
				first = i
			}
		}
		round = append(round[first:len(round):len(round)], round[:first]...)
		way := ""
		for _, p := range round {
			way += p.From.Name() + " → "
		}
		r := round[0].Run
		b.problem(Problem{Rule: "circular-run", Loc: Loc{r.File, r.Stmt.From.Span}, Subject: r.Subject(), Copy: r.Copy,
			Message: fmt.Sprintf("%s closes a circle: %s%s", word, way, round[0].From.Name()),
			Remedy:  "turn one of these runs the other way, or take it out"})
	}
	return queue
}

// named is the pipe at place i by the names of their runs, so that the order of
// a plan's lines says nothing.
func named(pipes []*Pipe, i int) *Pipe {
	if len(pipes) == 1 {
		return pipes[0]
	}
	list := append([]*Pipe(nil), pipes...)
	sort.SliceStable(list, func(i, j int) bool { return list[i].Run.Name() < list[j].Run.Name() })
	return list[i]
}

func (b *builder) onCircle(n *Node) { n.Circle = true }

func join2(a, c *Level) *Level {
	switch {
	case a == nil || a == c:
		return c
	case c == nil:
		return a
	}
	return manyLevels
}

// serve tells for each node the one level whose fixtures it serves.
func (b *builder) serve() {
	for _, p := range b.Points {
		if p.Kind == Fixture && p.Level != nil {
			for k := range p.Node.served {
				p.Node.served[k] = join2(p.Node.served[k], p.Level)
			}
		}
	}
	for _, n := range b.drainOrder {
		for _, p := range n.DrainOut {
			p.To.served[DWV] = join2(p.To.served[DWV], n.served[DWV])
		}
	}
	for _, n := range b.ventOrder {
		for _, p := range n.VentOut {
			if len(p.To.DrainIn)+len(p.To.DrainOut) == 0 {
				p.To.served[DWV] = join2(p.To.served[DWV], n.served[DWV])
			}
		}
	}
	for i := len(b.waterOrder) - 1; i >= 0; i-- {
		n := b.waterOrder[i]
		for _, p := range n.WaterIn {
			net := netOf(p.Kind())
			p.From.served[net] = join2(p.From.served[net], n.served[net])
		}
	}
}

func netOf(k Kind) Net {
	switch k {
	case Service, Cold:
		return ColdNet
	case Hot, Return:
		return HotNet
	}
	return DWV
}

// floorOf is the elevation a target height of a run counts from.
func (b *builder) floorOf(r *Run) (float64, Origin) {
	from := r.from
	if from.Kind == Fixture && from.Level != nil {
		return from.Level.Elevation, Written
	}
	l := from.Node.served[netOf(r.Kind)]
	if l == nil && r.Kind.Water() {
		l = r.to.Node.served[netOf(r.Kind)]
	}
	if l != nil && l != manyLevels {
		return l.Elevation, Written
	}
	if r.Copy != nil {
		if l := b.levelAt(r.Copy); l != nil {
			return l.Elevation, Written
		}
	}
	return 0, Datum
}

func nan(v float64) bool { return math.IsNaN(v) }
