package system

// tolerance is how far two facts may disagree before it is said.
const tolerance = 2 * inch

const inch = 0.0254

// tie says that on one axis node v stands delta metres beyond node u. Soft is
// the level length whose fall is a default: the less of it, the better known.
// A weak tie closes nothing: it places what nothing else does. Nodes and pipes
// stand as their places in the system, a pipe that is none as -1.
type tie struct {
	delta float64
	soft  float64
	to    int32
	pipe  int32
	weak  bool
}

// edge is a tie before it is laid at both its ends.
type edge struct {
	delta, soft float64
	u, v, pipe  int32
	weak        bool
}

// anchor is a height or place that holds, or a usual height that yields.
type anchor struct {
	node  *Node
	v     float64
	soft  float64 // metres of default fall between the fact and the node
	point *Point
	pipe  *Pipe // whose leg runs to the height, where one does
	key   uint64
	rank  int // of a fixture, in the table of usual heights
	usual bool
	// yield is how far a usual height gave way to what is written, ask how far
	// it is asked to in this turn.
	yield, ask float64
	// floats: the place is anywhere, since nothing holds it.
	floats bool
}

// rigid ties two nodes without a pipe (a point of a floating copy to its origin).
type rigid struct {
	a, b  *Node
	delta [3]float64
	axes  [3]bool
}

// axis is one axis of one net while it is being solved.
type axis struct {
	edges   []edge
	ties    []tie   // by node, one after another
	first   []int32 // where a node's ties begin
	value   []float64
	known   []bool
	source  []*anchor
	via     []int32 // the pipe a node was reached by
	held    []anchor
	front   *front // shared: only one axis is solved at a time
	seq     int32
	lax     bool // weak ties count
	relaxed int
}

func newAxis(n int, f *front) *axis {
	return &axis{front: f, first: make([]int32, n+2), value: make([]float64, n), known: make([]bool, n),
		source: make([]*anchor, n), via: make([]int32, n)}
}

// reset forgets what was solved, clear what was built too.
func (a *axis) reset() {
	clear(a.known)
	clear(a.source)
	a.front.clear()
	a.seq, a.lax = 0, false
}

func (a *axis) clear() {
	a.reset()
	a.edges, a.held, a.relaxed = a.edges[:0], a.held[:0], 0
}

func (a *axis) tie(u, v *Node, delta, soft float64, p *Pipe, weak bool) {
	id := int32(-1)
	if p != nil {
		id = int32(p.ID)
	}
	a.edges = append(a.edges, edge{delta, soft, int32(u.ID), int32(v.ID), id, weak})
}

// lay sorts the ties by node; it ends the making of an axis.
func (a *axis) lay() {
	clear(a.first)
	for i := range a.edges {
		a.first[a.edges[i].u+2]++
		a.first[a.edges[i].v+2]++
	}
	for i := 2; i < len(a.first); i++ {
		a.first[i] += a.first[i-1]
	}
	if n := 2 * len(a.edges); cap(a.ties) < n {
		a.ties = make([]tie, n)
	} else {
		a.ties = a.ties[:n]
	}
	for i := range a.edges {
		e := &a.edges[i]
		a.ties[a.first[e.u+1]] = tie{e.delta, e.soft, e.v, e.pipe, e.weak}
		a.first[e.u+1]++
		a.ties[a.first[e.v+1]] = tie{-e.delta, e.soft, e.u, e.pipe, e.weak}
		a.first[e.v+1]++
	}
}

// of lists the ties of a node.
func (a *axis) of(id int) []tie { return a.ties[a.first[id]:a.first[id+1]] }

type entry struct {
	cost float64
	v    float64
	src  *anchor
	node int32
	via  int32
	seq  int32
}

// front is what waits to be settled: the cheapest first, the earliest of
// equals first. What costs nothing, which is nearly all, stands in a line, the
// rest in a heap.
type front struct {
	line []entry
	head int
	heap []entry
}

func (f *front) empty() bool { return f.head == len(f.line) && len(f.heap) == 0 }

func (f *front) clear() { f.line, f.head, f.heap = f.line[:0], 0, f.heap[:0] }

func less(a, b *entry) bool {
	if a.cost != b.cost {
		return a.cost < b.cost
	}
	return a.seq < b.seq
}

func (f *front) push(e entry) {
	if e.cost == 0 {
		f.line = append(f.line, e)
		return
	}
	f.heap = append(f.heap, e)
	h := f.heap
	for i := len(h) - 1; i > 0; {
		up := (i - 1) / 2
		if !less(&h[i], &h[up]) {
			return
		}
		h[i], h[up] = h[up], h[i]
		i = up
	}
}

func (f *front) pop() entry {
	if f.head < len(f.line) {
		e := f.line[f.head]
		if f.head++; f.head == len(f.line) {
			f.line, f.head = f.line[:0], 0
		}
		return e
	}
	h := f.heap
	top, last := h[0], len(h)-1
	h[0] = h[last]
	h = h[:last]
	f.heap = h
	for i := 0; ; {
		down := 2*i + 1
		if down >= last {
			return top
		}
		if down+1 < last && less(&h[down+1], &h[down]) {
			down++
		}
		if !less(&h[down], &h[i]) {
			return top
		}
		h[i], h[down] = h[down], h[i]
		i = down
	}
}

func (a *axis) seed(an *anchor) {
	a.seq++
	a.front.push(entry{cost: an.soft, seq: a.seq, node: int32(an.node.ID), v: an.v + an.yield, src: an, via: -1})
}

// loosen lets weak ties place what nothing else has.
func (a *axis) loosen() {
	a.lax = true
	for i := range a.edges {
		e := &a.edges[i]
		if !e.weak || a.known[e.u] == a.known[e.v] {
			continue
		}
		from, to, delta := e.u, e.v, e.delta
		if a.known[e.v] {
			from, to, delta = e.v, e.u, -e.delta
		}
		a.seq++
		a.front.push(entry{cost: e.soft, seq: a.seq, node: to, v: a.value[from] + delta, src: a.source[from], via: e.pipe})
	}
	a.spread(false, nil)
}

// spread lets what is seeded reach along the ties, the best known way first.
// hardOnly leaves out ties that rest on a default. clash is told of a tie
// whose two ends, u and t's, disagree.
func (a *axis) spread(hardOnly bool, clash func(u int32, t tie, off float64)) {
	for !a.front.empty() {
		e := a.front.pop()
		i := e.node
		if a.known[i] {
			continue
		}
		a.known[i], a.value[i], a.source[i], a.via[i] = true, e.v, e.src, e.via
		a.relaxed++
		for _, t := range a.of(int(i)) {
			if t.weak && !a.lax || hardOnly && t.soft > 0 {
				continue
			}
			if a.known[t.to] {
				if clash != nil && (t.pipe != e.via || t.pipe < 0) {
					if off := e.v + t.delta - a.value[t.to]; off > tolerance || off < -tolerance {
						clash(i, t, off)
					}
				}
				continue
			}
			a.seq++
			a.front.push(entry{cost: e.cost + t.soft, seq: a.seq, node: t.to, v: e.v + t.delta, src: e.src, via: t.pipe})
		}
	}
}
