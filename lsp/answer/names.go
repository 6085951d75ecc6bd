package answer

import (
	"slices"
	"strconv"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/system"
)

// space is a name space of the notation.
type space uint8

const (
	points    space = iota // fixtures, fittings, copies and all other points
	levels                 // finished floors
	rooms                  // of a plan or a typical
	buildings              //
	roofs                  //
	dwellings              //
	tags                   // of runs
	trenches               //
	typicals               //
)

func (s space) String() string {
	return [...]string{"point", "level", "room", "building", "roof", "dwelling", "tag", "trench", "typical"}[s]
}

// symbol is what a name stands for: the same in every place that means it.
type symbol struct {
	space space
	scope string // the typical it belongs to, "" for the plan
	name  string
}

// mention is one place at which a symbol is written.
type mention struct {
	loc  system.Loc
	decl bool // the place that makes it
	part part
	stmt placed
}

// names is every name of the plan, with where it is declared and written.
type names struct {
	declared map[symbol]mention
	mentions map[symbol][]mention
	points   map[string][]symbol // written anywhere, by scope, in their order
	copies   map[symbol]string   // placed typicals: the typical, by the copy's symbol
	ranges   map[rangeKey][]rangeOf
	used     map[rangeKey][]rangeOf // ranges that stand for names made elsewhere
	typicals map[string]placed

	// under are the names of the check where these are only those of gaps in
	// its files, and fresh the names that are written or lost in them.
	under *names
	gaps  map[string]gap
	fresh map[symbol]bool
}

func newNames() *names {
	return &names{declared: map[symbol]mention{}, mentions: map[symbol][]mention{}, copies: map[symbol]string{},
		ranges: map[rangeKey][]rangeOf{}, used: map[rangeKey][]rangeOf{}, typicals: map[string]placed{}}
}

// rangeKey is a range of names but for its number.
type rangeKey struct {
	space      space
	scope      string
	head, tail string
}

type rangeOf struct {
	from, to int
	typical  string // of copies
	at       mention
}

// look hands out the names with what declares them, gathered when first asked
// for.
func (p *Plan) look() *names {
	p.file("")
	p.namesOnce.Do(func() {
		n := newNames()
		for _, path := range p.paths() {
			for _, s := range p.files[path].stmts {
				n.declare(s)
			}
		}
		p.names = n
	})
	return p.names
}

// written hands out the names with every place at which they are written,
// which costs more.
func (p *Plan) written() *names {
	n := p.look()
	p.mentionsOnce.Do(func() {
		for _, path := range p.paths() {
			for _, s := range p.files[path].stmts {
				n.mention(s)
			}
		}
		n.sort()
	})
	return n
}

// sort orders the points of each scope by name.
func (n *names) sort() {
	n.points = map[string][]symbol{}
	for sym := range n.mentions {
		if sym.space == points {
			n.points[sym.scope] = append(n.points[sym.scope], sym)
		}
	}
	for _, list := range n.points {
		slices.SortFunc(list, func(a, b symbol) int { return compareNames(a.name, b.name) })
	}
}

// declare notes what a statement makes.
func (n *names) declare(s placed) {
	one := func(sp space, scope string, w grammar.Word) {
		if w.Text == "" {
			return
		}
		sym := symbol{sp, scope, w.Text}
		if _, twice := n.declared[sym]; !twice {
			n.declared[sym] = mention{loc: s.file.loc(w.Span), decl: true, stmt: s}
		}
	}
	many := func(sp space, scope string, r grammar.Ref, typical string) {
		if head, tail, from, to, ok := rangeParts(r); ok {
			key := rangeKey{sp, scope, head, tail}
			n.ranges[key] = append(n.ranges[key], rangeOf{min(from, to), max(from, to), typical, mention{loc: s.file.loc(r.Span), decl: true, stmt: s}})
			return
		}
		one(sp, scope, r.First)
		if typical != "" {
			n.copies[symbol{sp, scope, r.First.Text}] = typical
		}
	}
	scope := s.scope()
	switch st := s.Statement.(type) {
	case *grammar.Typical:
		one(typicals, "", st.Name)
		if _, twice := n.typicals[st.Name.Text]; !twice {
			n.typicals[st.Name.Text] = s
		}
	case *grammar.Point:
		one(points, scope, st.Name)
	case *grammar.Place:
		many(points, scope, st.As, st.Typical.Text)
	case *grammar.Level:
		many(levels, "", st.Name, "")
	case *grammar.Room:
		one(rooms, scope, st.Name)
	case *grammar.Building:
		one(buildings, "", st.Name)
	case *grammar.Roof:
		one(roofs, "", st.Name)
	case *grammar.Dwelling:
		one(dwellings, scope, st.Name)
	case *grammar.Run:
		one(tags, scope, st.Tag)
	}
}

func (n *names) mention(s placed) {
	n.parts(s, func(pt part) {
		if pt.role == roleRange {
			head, tail, from, to, _ := rangeParts(grammar.Ref{First: grammar.Word{Text: pt.sym.name}, Last: grammar.Word{Text: pt.text}})
			key := rangeKey{pt.sym.space, pt.sym.scope, head, tail}
			n.used[key] = append(n.used[key], rangeOf{min(from, to), max(from, to), "", mention{loc: s.file.loc(pt.span), stmt: s}})
			return
		}
		if pt.role != roleName {
			return
		}
		m := mention{loc: s.file.loc(pt.span), decl: pt.decl, part: pt, stmt: s}
		n.mentions[pt.sym] = append(n.mentions[pt.sym], m)
	})
}

// line finds the line of its own that makes a symbol.
func (n *names) line(sym symbol) (mention, bool) {
	if m, ok := n.declared[sym]; ok || n.under == nil {
		return m, ok
	}
	m, ok := n.under.declared[sym]
	if !ok || !n.lost(m) {
		return m, ok
	}
	for _, m := range n.under.mentions[sym] { // a tag has a line for every run
		if m.decl && !n.lost(m) {
			return m, true
		}
	}
	return mention{}, false
}

// declaration finds what makes a symbol. ok is false for what no line of its
// own makes, such as a point that only runs name.
func (n *names) declaration(sym symbol) (mention, bool) {
	if m, ok := n.line(sym); ok {
		return m, true
	}
	if r := n.rangeWith(sym); r != nil {
		return r.at, true
	}
	return mention{}, false
}

// first is where a symbol is declared, else where it is first written.
func (n *names) first(sym symbol) (mention, bool) {
	if m, ok := n.declaration(sym); ok {
		return m, true
	}
	list := n.written(sym)
	for _, m := range list { // where it belongs, not where it is reached from outside
		if m.stmt.scope() == sym.scope {
			return m, true
		}
	}
	if len(list) > 0 {
		return list[0], true
	}
	return mention{}, false
}

// rangeWith is the range that makes a symbol; nil where none does.
func (n *names) rangeWith(sym symbol) *rangeOf {
	r := inRanges(n.ranges, sym, nil)
	if r == nil && n.under != nil {
		r = inRanges(n.under.ranges, sym, n.lost)
	}
	return r
}

// usedIn is a range that stands for a symbol among others, in a run or a meet;
// nil where none does.
func (n *names) usedIn(sym symbol) *rangeOf { return inRanges(n.used, sym, nil) }

// inRanges is the range that stands for a symbol, those left out that are lost.
func inRanges(ranges map[rangeKey][]rangeOf, sym symbol, lost func(mention) bool) *rangeOf {
	if len(ranges) == 0 {
		return nil
	}
	name := sym.name
	for i := 0; i < len(name); {
		if !digit(name[i]) {
			i++
			continue
		}
		j := i
		for j < len(name) && digit(name[j]) {
			j++
		}
		number, err := strconv.Atoi(name[i:j])
		list := ranges[rangeKey{sym.space, sym.scope, name[:i], name[j:]}]
		for k := range list {
			if err == nil && list[k].from <= number && number <= list[k].to && (lost == nil || !lost(list[k].at)) {
				return &list[k]
			}
		}
		i = j
	}
	return nil
}

// typicalOf is the typical of a copy; "" where the symbol is no copy.
func (n *names) typicalOf(sym symbol) string {
	if t, ok := n.copies[sym]; ok {
		return t
	}
	if n.under != nil {
		if t, ok := n.under.copies[sym]; ok && !n.lost(n.under.declared[sym]) {
			return t
		}
	}
	if r := n.rangeWith(sym); r != nil {
		return r.typical
	}
	return ""
}

// taken tells whether a name stands for something.
func (n *names) taken(sym symbol) bool {
	_, ok := n.first(sym)
	return ok
}

// ranged tells whether a range makes a symbol.
func (n *names) ranged(sym symbol) bool { return n.rangeWith(sym) != nil }

// written are the places at which a symbol is written.
func (n *names) written(sym symbol) []mention {
	list := n.mentions[sym]
	if n.under == nil {
		return list
	}
	list = slices.Clone(list)
	for _, m := range n.under.mentions[sym] {
		if n.lost(m) {
			continue
		}
		g := n.gaps[m.loc.File]
		to, _ := g.since(m.loc.Span.Start)
		m.loc.Span = grammar.Span{Start: to, End: to + m.loc.Span.End - m.loc.Span.Start}
		list = append(list, m)
	}
	return list
}

// typical finds the statement that makes a typical.
func (n *names) typical(name string) (placed, bool) {
	if s, ok := n.typicals[name]; ok || n.under == nil {
		return s, ok
	}
	s, ok := n.under.typicals[name]
	return s, ok && !n.lost(mention{loc: s.file.loc(s.Pos())})
}

// room resolves a room's name: the typical's own, else the plan's.
func (n *names) room(scope, name string) symbol {
	if sym := (symbol{rooms, scope, name}); scope != "" {
		if _, ok := n.line(sym); ok {
			return sym
		}
	}
	return symbol{rooms, "", name}
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

// rangeParts splits a range at the number in which its two names differ.
func rangeParts(r grammar.Ref) (head, tail string, from, to int, ok bool) {
	a, b := r.First.Text, r.Last.Text
	if b == "" || a == b {
		return "", "", 0, 0, false
	}
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	for i > 0 && digit(a[i-1]) {
		i--
	}
	run := func(s string) string {
		return s[:len(s)-len(strings.TrimLeft(s, "0123456789"))]
	}
	na, nb := run(a[i:]), run(b[i:])
	if na == "" || nb == "" || a[i+len(na):] != b[i+len(nb):] {
		return "", "", 0, 0, false
	}
	x, err1 := strconv.Atoi(na)
	y, err2 := strconv.Atoi(nb)
	return a[:i], a[i+len(na):], x, y, err1 == nil && err2 == nil
}
