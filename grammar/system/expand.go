package system

import (
	"fmt"
	"io/fs"
	"math"

	"github.com/sourcegraph/conc"

	"crownweir/grammar"
)

// inst is a statement as placed: in which file it stands and in which copy.
type inst struct {
	stmt grammar.Statement
	file *grammar.File
	copy *Copy
}

type typical struct {
	file *grammar.File
	stmt *grammar.Typical
	open bool // being placed: guards against placing inside itself
}

// frame is a system of sideways coordinates: the plan's, or a floating copy's.
type frame struct {
	root bool
	node *Node // stands for the origin of a floating copy
}

// turn maps east-north of a typical onto east-north of the plan.
type turn [4]int // a b / c d: east' = a*e + b*n, north' = c*e + d*n

var straight = turn{1, 0, 0, 1}

func (t turn) then(o turn) turn { // o after t
	return turn{o[0]*t[0] + o[1]*t[2], o[0]*t[1] + o[1]*t[3], o[2]*t[0] + o[3]*t[2], o[2]*t[1] + o[3]*t[3]}
}

func (t turn) apply(e, n float64) (float64, float64) {
	return float64(t[0])*e + float64(t[1])*n, float64(t[2])*e + float64(t[3])*n
}

var facings = map[string]turn{
	"": straight, "north": straight, "south": {-1, 0, 0, -1}, "east": {0, 1, -1, 0}, "west": {0, -1, 1, 0},
}

type builder struct {
	*System
	fs       fs.FS
	parse    func(path, source string) *grammar.File
	opts     Options
	typicals map[string]*typical
	excepts  map[exceptKey]*except
	exOrder  []*except
	top      []inst // plan-level statements in order
	insts    []inst // everything placed
	plan     *frame
	rigid    [nets][]rigid // sideways and height ties between nodes that no pipe makes
	stood    []anchor      // where drains place fixtures and copies: x and y in turn
	noted    map[Loc]bool  // unknown levels and points already reported
	compared int           // names looked through for what misspelt ones may stand for
	axes     [3]*axis      // for every net in turn
	slab     slab
	front    front
	full     bool
}

func (b *builder) problem(p Problem) { b.Problems = append(b.Problems, p) }

// run builds the system from the plan's file.
func (b *builder) run(f *grammar.File) {
	b.plan = &frame{root: true}
	b.Header = Header{Occupancy: "private"}
	b.makeRoom(f)
	for _, st := range f.Statements {
		switch st := st.(type) {
		case *grammar.Include:
			b.include(f, st, []string{f.Path})
		case *grammar.Typical:
			b.typical(f, st)
		default:
			b.top = append(b.top, inst{stmt: st, file: f})
		}
	}
	b.header()
	b.places()
	b.expand(b.top, nil, 0)
	b.unusedExcepts()
	b.declare()
	b.connect()
	b.records()
	b.materials()
	b.flow()
	var beside conc.WaitGroup // neither asks where anything stands
	beside.Go(func() {
		b.lines()
		b.findTraps()
	})
	b.solve()
	beside.Wait()
	b.apart()
	b.drafting()
}

// makeRoom makes room for what a plan of so many statements comes to.
func (b *builder) makeRoom(f *grammar.File) {
	n := len(f.Statements)
	runs := 0
	for _, st := range f.Statements {
		if _, ok := st.(*grammar.Run); ok {
			runs++
		}
	}
	b.top, b.insts = make([]inst, 0, n), make([]inst, 0, n)
	b.Runs, b.Pipes, b.Lines = make([]*Run, 0, runs), make([]*Pipe, 0, runs), make([]*Line, 0, runs)
	b.Points, b.Nodes = make([]*Point, 0, n), make([]*Node, 0, n)
	b.byName = make(map[string]*Point, n)
	b.slab.sized(n, runs)
}

func (b *builder) typical(f *grammar.File, st *grammar.Typical) {
	if old, ok := b.typicals[st.Name.Text]; ok {
		b.problem(Problem{Rule: "duplicate-name", Loc: Loc{f.Path, st.Name.Span}, Subject: st.Name.Text,
			Message: fmt.Sprintf("typical %s is written twice", st.Name.Text), Remedy: "rename one of the two",
			Related: []RelatedLoc{{Loc{old.file.Path, old.stmt.Name.Span}, "the other stands here"}}})
		return
	}
	b.typicals[st.Name.Text] = &typical{file: f, stmt: st}
}

// expand places statements one after another, typicals inside out.
func (b *builder) expand(list []inst, c *Copy, depth int) {
	for _, in := range list {
		if ex, ok := in.stmt.(*grammar.Except); ok {
			b.exceptAt(in, ex, c)
		}
	}
	b.rooms(list, c)
	for _, in := range list {
		if b.full {
			return
		}
		in.copy = c
		switch st := in.stmt.(type) {
		case *grammar.Except:
		case *grammar.Place:
			if ex := b.excepted("place", c.Prefix()+st.As.First.Text, ""); ex != nil {
				if ex.with == nil {
					continue
				}
				if pl, ok := ex.with.(*grammar.Place); ok {
					st, in.file = pl, ex.file
				}
			}
			b.place(in, st, c, depth)
		default:
			if ex := b.exceptOf(in.stmt, c.Prefix()); ex != nil {
				if ex.with == nil {
					continue
				}
				in = inst{stmt: ex.with, file: ex.file, copy: ex.copy}
			}
			b.insts = append(b.insts, in)
			b.count(in)
		}
	}
}

// count keeps what is placed within bounds.
func (b *builder) count(in inst) {
	if b.Placed++; b.Placed > maxPlaced && !b.full {
		b.full = true
		b.problem(Problem{Rule: "refused-input", Loc: Loc{in.file.Path, in.stmt.Pos()}, Subject: "plan",
			Message: fmt.Sprintf("the typicals place more than %d lines; the rest is left out", maxPlaced),
			Remedy:  "place fewer copies, or split the plan"})
	}
}

// place makes the copies of one place statement.
func (b *builder) place(in inst, st *grammar.Place, parent *Copy, depth int) {
	here := func(w grammar.Word) Loc { return Loc{in.file.Path, w.Span} }
	t, ok := b.typicals[st.Typical.Text]
	if !ok {
		b.unknownName("typical", st.Typical, in.file.Path, parent, namesOf(b.typicals))
		return
	}
	if t.open || depth > maxCopyDepth {
		if !b.once(here(st.Typical)) {
			return
		}
		pr := Problem{Rule: "refused-input", Loc: here(st.Typical), Subject: st.Typical.Text, Copy: parent,
			Message: fmt.Sprintf("typical %s is placed inside itself", st.Typical.Text), Remedy: "take this place out of the typical's body"}
		if !t.open {
			pr.Message = fmt.Sprintf("typical %s is placed more than %d typicals deep", st.Typical.Text, maxCopyDepth)
			pr.Remedy = "place it from a typical further out"
		}
		b.problem(pr)
		return
	}
	names, ok := st.As.Names()
	if !ok {
		b.problem(Problem{Rule: "unreadable-line", Loc: Loc{in.file.Path, st.As.Span}, Subject: st.As.String(), Copy: parent,
			Message: fmt.Sprintf("%s is no range: its two names differ in exactly one number", st.As.String()), Remedy: "write a range such as S1..S8"})
		return
	}
	levels := []string{}
	if st.On.First.Text != "" {
		if levels, ok = st.On.Names(); !ok || (len(levels) != len(names) && len(levels) != 1) {
			b.problem(Problem{Rule: "unreadable-line", Loc: Loc{in.file.Path, st.On.Span}, Subject: st.As.String(), Copy: parent,
				Message: fmt.Sprintf("%d copies on %d levels: the two ranges differ in length", len(names), len(levels)), Remedy: "make the ranges as long as each other"})
			return
		}
	}
	var room *Room
	if st.In.Text != "" {
		if room = b.room(st.In.Text, parent); room == nil {
			b.unknownName("room", st.In, in.file.Path, parent, b.roomNames(parent))
		}
	}
	t.open = true
	defer func() { t.open = false }()
	body := make([]inst, len(t.stmt.Body))
	for i, s := range t.stmt.Body {
		body[i] = inst{stmt: s, file: t.file}
	}
	for i, n := range names {
		if b.full {
			return
		}
		c := &Copy{Name: parent.Prefix() + n, Typical: st.Typical.Text, Parent: parent, Loc: here(st.As.First), turn: straight, frame: b.plan}
		if old, dup := b.copyOf[c.Name]; dup {
			b.duplicate(st.As.First, in.file.Path, c.Name, old.Loc, parent)
			continue
		}
		c.Level = b.levelAt(parent)
		if len(levels) > 0 {
			ln := levels[min(i, len(levels)-1)]
			if l, ok := b.levelOf[ln]; ok {
				c.Level = l
			} else {
				w := st.On.First
				w.Text = ln
				b.unknownLevel(w, in.file.Path, parent)
			}
		}
		if parent != nil {
			c.Room = parent.Room
		}
		if room != nil {
			c.Room = room
			if len(levels) == 0 && room.Level != nil {
				c.Level = room.Level
			}
		}
		b.count(in)
		b.stand(c, st, parent, i)
		b.copyOf[c.Name] = c
		b.Copies = append(b.Copies, c)
		b.expand(body, c, depth+1)
	}
}

// stand gives a copy its turn and its origin.
func (b *builder) stand(c *Copy, st *grammar.Place, parent *Copy, i int) {
	own := straight
	if st.Opposite {
		own = turn{-1, 0, 0, 1}
	}
	own = own.then(facings[st.Facing.Text])
	outer := straight
	if parent != nil {
		outer = parent.turn
	}
	c.turn = own.then(outer)
	switch {
	case len(st.At.Tuple) >= 2:
		x, y := outer.apply(st.At.Tuple[0].SI, st.At.Tuple[1].SI)
		if parent != nil {
			c.frame, x, y = parent.frame, x+parent.x, y+parent.y
		}
		c.x, c.y = x, y
	default:
		c.frame = &frame{node: b.node()}
	}
	if st.Every.Text != "" && i > 0 {
		d, ok := directions[st.Every.Text]
		if ok {
			dx, dy := outer.apply(d[0], d[1])
			step := st.EveryLen.SI * float64(i)
			if len(st.At.Tuple) < 2 { // the copies float together
				if first, ok := b.copyOf[parent.Prefix()+st.As.First.Text]; ok {
					c.frame, c.x, c.y = first.frame, first.x, first.y
				}
			}
			c.x += dx * step
			c.y += dy * step
		}
	}
}

func (b *builder) node() *Node {
	n := b.slab.node()
	n.ID = len(b.Nodes)
	b.Nodes = append(b.Nodes, n)
	return n
}

// levelAt is the floor heights count from in a copy without one of its own:
// the enclosing copy's, else the lowest level not below the datum.
func (b *builder) levelAt(c *Copy) *Level {
	for ; c != nil; c = c.Parent {
		if c.Level != nil {
			return c.Level
		}
	}
	return b.groundLevel()
}

func (b *builder) groundLevel() *Level {
	var low *Level
	for _, l := range b.Levels {
		if l.Elevation >= -1e-9 && (low == nil || l.Elevation < low.Elevation) {
			low = l
		}
	}
	return low
}

var half = math.Sqrt2 / 2

// directions are unit vectors, east and north.
var directions = map[string][2]float64{
	"north": {0, 1}, "south": {0, -1}, "east": {1, 0}, "west": {-1, 0},
	"northeast": {half, half}, "northwest": {-half, half}, "southeast": {half, -half}, "southwest": {-half, -half},
}
