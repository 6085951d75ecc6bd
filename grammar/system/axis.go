package system

import "container/heap"

// tolerance is how far two facts may disagree before it is said.
const tolerance = 2 * inch

const inch = 0.0254

// tie says that on one axis node v stands delta metres beyond node u. Soft is
// the level length whose fall is a default: the less of it, the better known.
type tie struct {
	to    *Node
	delta float64
	soft  float64
	pipe  *Pipe
}

// anchor is a height or place that holds, or a usual height that yields.
type anchor struct {
	node  *Node
	v     float64
	soft  float64 // metres of default fall between the fact and the node
	point *Point
}

// rigid ties two nodes without a pipe (a point of a floating copy to its origin).
type rigid struct {
	a, b  *Node
	delta [3]float64
	axes  [3]bool
}

// axis is one axis of one net while it is being solved.
type axis struct {
	ties    [][]tie
	value   []float64
	known   []bool
	source  []*anchor
	via     []*Pipe
	cost    []float64
	front   front
	seq     int
	relaxed int
}

func newAxis(n int) *axis {
	return &axis{ties: make([][]tie, n), value: make([]float64, n), known: make([]bool, n),
		source: make([]*anchor, n), via: make([]*Pipe, n), cost: make([]float64, n)}
}

func (a *axis) reset() {
	clear(a.known)
	clear(a.source)
	clear(a.via)
	a.front = a.front[:0]
	a.seq = 0
}

func (a *axis) tie(u, v *Node, delta, soft float64, p *Pipe) {
	a.ties[u.ID] = append(a.ties[u.ID], tie{v, delta, soft, p})
	a.ties[v.ID] = append(a.ties[v.ID], tie{u, -delta, soft, p})
}

type entry struct {
	cost float64
	seq  int
	node *Node
	v    float64
	src  *anchor
	via  *Pipe
}

type front []entry

func (f front) Len() int { return len(f) }
func (f front) Less(i, j int) bool {
	if f[i].cost != f[j].cost {
		return f[i].cost < f[j].cost
	}
	return f[i].seq < f[j].seq
}
func (f front) Swap(i, j int) { f[i], f[j] = f[j], f[i] }
func (f *front) Push(x any)   { *f = append(*f, x.(entry)) }
func (f *front) Pop() any {
	old := *f
	e := old[len(old)-1]
	*f = old[:len(old)-1]
	return e
}

func (a *axis) seed(an *anchor) {
	a.seq++
	heap.Push(&a.front, entry{an.soft, a.seq, an.node, an.v, an, nil})
}

// spread lets what is seeded reach along the ties, the best known way first.
// hardOnly leaves out ties that rest on a default. clash is told of a tie
// whose two ends disagree.
func (a *axis) spread(hardOnly bool, clash func(u *Node, t tie, off float64)) {
	for len(a.front) > 0 {
		e := heap.Pop(&a.front).(entry)
		if a.known[e.node.ID] {
			continue
		}
		i := e.node.ID
		a.known[i], a.value[i], a.source[i], a.via[i], a.cost[i] = true, e.v, e.src, e.via, e.cost
		a.relaxed++
		for _, t := range a.ties[i] {
			if hardOnly && t.soft > 0 {
				continue
			}
			j := t.to.ID
			if a.known[j] {
				if clash != nil && t.pipe != e.via {
					if off := e.v + t.delta - a.value[j]; off > tolerance || off < -tolerance {
						clash(e.node, t, off)
					}
				}
				continue
			}
			a.seq++
			heap.Push(&a.front, entry{e.cost + t.soft, a.seq, t.to, e.v + t.delta, e.src, t.pipe})
		}
	}
}
