package system

import (
	"fmt"
	"io/fs"
	"math"
	"strconv"

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

// exceptKey names what an exception matches: keyword and full name or ends.
type exceptKey struct{ keyword, from, to string }

type except struct {
	inst
	with  grammar.Statement // nil: taken away
	copy  *Copy             // whose prefix names in `with` take
	scope *Copy             // the copy whose typical writes it; nil for the plan
	used  bool
	name  string
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
	b.solve()
	b.lines()
	b.apart()
	b.findTraps()
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

// exceptAt notes the exceptions an except statement makes.
func (b *builder) exceptAt(in inst, st *grammar.Except, c *Copy) {
	names, ok := st.Copies.Names()
	if !ok {
		b.problem(Problem{Rule: "unreadable-line", Loc: Loc{in.file.Path, st.Copies.Span}, Subject: st.Copies.String(), Copy: c,
			Message: fmt.Sprintf("%s is no range of copies", st.Copies.String()), Remedy: "name one copy, or a range such as F3..F5"})
		return
	}
	for _, n := range names {
		cp := &Copy{Name: c.Prefix() + n}
		ex := &except{inst: in, copy: cp, scope: c, name: n}
		var key exceptKey
		if st.No {
			key = exceptKey{normal(st.What.Text), cp.Prefix() + st.Name.First.Text, ""}
			if st.NameTo.First.Text != "" {
				key.to = cp.Prefix() + st.NameTo.First.Text
			}
		} else {
			ex.with = st.With
			key = keyOf(st.With, cp.Prefix())
		}
		if old, twice := b.excepts[key]; twice {
			if old.scope != c {
				continue // what stands further out has the last word
			}
			b.problem(Problem{Rule: "duplicate-name", Loc: Loc{in.file.Path, st.Pos()}, Subject: n, Copy: c,
				Message: fmt.Sprintf("two exceptions replace the same %s of %s", key.keyword, n), Remedy: "keep one of them"})
			continue
		}
		b.excepts[key] = ex
		b.exOrder = append(b.exOrder, ex)
	}
}

// normal folds the keywords under which an exception may name a point.
func normal(keyword string) string {
	switch keyword {
	case "fixture", "terminal", "heater", "manifold", "ejector", "interceptor", "fitting", "object":
		return "point"
	}
	return keyword
}

func keyOf(st grammar.Statement, prefix string) exceptKey {
	switch st := st.(type) {
	case *grammar.Run:
		k := exceptKey{normal(st.Keyword()), prefix + st.From.First.Text, ""}
		if st.To.First.Text != "" {
			k.to = prefix + st.To.First.Text
		}
		return k
	case *grammar.Point:
		return exceptKey{normal(st.Keyword()), prefix + st.Name.Text, ""}
	case *grammar.Meet:
		if len(st.Names) > 0 {
			return exceptKey{"meet", prefix + st.Names[0].First.Text, ""}
		}
	case *grammar.Place:
		return exceptKey{"place", prefix + st.As.First.Text, ""}
	}
	return exceptKey{}
}

func (b *builder) exceptOf(st grammar.Statement, prefix string) *except {
	if len(b.excepts) == 0 {
		return nil
	}
	if m, ok := st.(*grammar.Meet); ok { // by any of its names
		for _, n := range m.Names {
			if ex := b.excepted("meet", prefix+n.First.Text, ""); ex != nil {
				return ex
			}
		}
		return nil
	}
	k := keyOf(st, prefix)
	if k.keyword == "" {
		return nil
	}
	return b.excepted(k.keyword, k.from, k.to)
}

func (b *builder) excepted(keyword, from, to string) *except {
	ex := b.excepts[exceptKey{keyword, from, to}]
	if ex != nil {
		if full, ok := b.copyOf[ex.copy.Name]; ok {
			ex.copy = full
		}
		ex.used = true
	}
	return ex
}

func (b *builder) unusedExcepts() {
	for _, ex := range b.exOrder {
		if ex.used {
			continue
		}
		st := ex.stmt.(*grammar.Except)
		if _, ok := b.copyOf[ex.copy.Name]; !ok {
			w := st.Copies.First
			w.Text = ex.name
			b.unknownName("copy", w, ex.file.Path, nil, namesOf(b.copyOf))
			continue
		}
		b.problem(Problem{Rule: "unknown-name", Loc: Loc{ex.file.Path, st.Pos()}, Subject: ex.name,
			Message: fmt.Sprintf("exception matches nothing in %s", ex.name),
			Remedy:  "name the run by the ends it has in the typical, or the point by its name there"})
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

func itoa(n int) string { return strconv.Itoa(n) }
