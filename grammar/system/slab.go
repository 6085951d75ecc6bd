package system

// slab hands out what a plan needs by the thousand, in blocks: a build is
// mostly a matter of how often it asks for memory.
type slab struct {
	points []Point
	nodes  []Node
	runs   []Run
	pipes  []Pipe
	legs   []Part
}

const block = 128

// sized makes the first blocks as large as a plan of so many statements and
// runs will fill, within reason.
func (s *slab) sized(statements, runs int) {
	s.points = make([]Point, min(statements/2, 1<<14))
	s.nodes = make([]Node, min(statements/2, 1<<14))
	s.runs = make([]Run, min(runs, 1<<14))
	s.pipes = make([]Pipe, min(runs, 1<<14))
	s.legs = make([]Part, min(2*runs, 1<<15))
}

func take[T any](from *[]T) *T {
	if len(*from) == 0 {
		*from = make([]T, block)
	}
	out := &(*from)[0]
	*from = (*from)[1:]
	return out
}

func (s *slab) point() *Point { return take(&s.points) }
func (s *slab) node() *Node   { return take(&s.nodes) }
func (s *slab) run() *Run     { return take(&s.runs) }
func (s *slab) pipe() *Pipe   { return take(&s.pipes) }

// parts is room for n parts, none of them yet taken.
func (s *slab) parts(n int) []Part {
	if len(s.legs) < n {
		s.legs = make([]Part, max(n, 4*block))
	}
	out := s.legs[:0:n]
	s.legs = s.legs[n:]
	return out
}

// pipe makes a stretch of a run that begins at a node.
func (b *builder) pipe(r *Run, from *Node) *Pipe {
	p := b.slab.pipe()
	p.ID, p.Run, p.From = len(b.Pipes), r, from
	return p
}
