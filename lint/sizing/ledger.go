// Package sizing keeps the ledger: for every drain the load it carries, the
// size the adopted code asks for that load, and how each number came about.
//
// It refuses to judge: a rule compares what stands here with what is drawn.
// No number of a code stands in it; all come from the code book.
package sizing

import (
	"fmt"

	"github.com/sourcegraph/conc"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/hydraulics"
)

// Load is what a drain carries. Closets counts water closets and other traps
// that the code rates like one. Unknown counts fixtures whose load the book
// or the plan does not tell.
type Load struct {
	Units    float64
	Closets  int
	Fixtures int
	Unknown  int
}

func (l Load) plus(o Load) Load {
	return Load{l.Units + o.Units, l.Closets + o.Closets, l.Fixtures + o.Fixtures, l.Unknown + o.Unknown}
}

// Share is one fixture's part of a load, with where its number stands.
type Share struct {
	Point  *system.Point
	Load   Load
	Cell   codebook.Cell
	Key    string // row of the table
	Column string
	Note   string // why the number is not simply the row's
}

// Ledger holds the loads of one system under one book.
type Ledger struct {
	Sys  *system.System
	Book *codebook.Book

	pipes  []Load
	nodes  []Load
	shares []Share // of the fixtures
	place  []int32 // by point, of a fixture in shares
	washer map[*system.Room]int
	info   []stackInfo
	stacks []*Stack
	floors []float64 // storeys: levels with a fixture, rising
}

// New works out the loads, once down the system.
func New(sys *system.System, book *codebook.Book) *Ledger {
	l := &Ledger{Sys: sys, Book: book, pipes: make([]Load, len(sys.Pipes)), nodes: make([]Load, len(sys.Nodes)),
		place: make([]int32, len(sys.Points)), washer: map[*system.Room]int{}}
	fixtures := 0
	for _, p := range sys.Points {
		if p.Kind == system.Fixture {
			fixtures++
		}
	}
	l.shares = make([]Share, 0, fixtures)
	for _, p := range sys.Points {
		if p.Kind == system.Fixture {
			l.place[p.ID] = int32(len(l.shares))
			l.shares = append(l.shares, l.share(p))
			if p.Word == "clothes-washer" && p.Room != nil {
				l.washer[p.Room]++
			}
		}
	}
	l.storeys()
	var beside conc.WaitGroup
	beside.Go(l.findStacks)
	l.accumulate()
	beside.Wait()
	return l
}

// Of is the load of a pipe.
func (l *Ledger) Of(p *system.Pipe) Load { return l.pipes[p.ID] }

// At is the load that flows through a node.
func (l *Ledger) At(n *system.Node) Load { return l.nodes[n.ID] }

// Fixture is a fixture's own load.
func (l *Ledger) Fixture(p *system.Point) Share { return *l.shareOf(p) }

// shareOf is a fixture's own load; nothing for a point that is none.
func (l *Ledger) shareOf(p *system.Point) *Share {
	if p.Kind != system.Fixture {
		return &Share{}
	}
	return &l.shares[l.place[p.ID]]
}

// Received is a fixture's load with what wastes into it indirectly: what its
// trap, its drain and its vent are to carry.
func (l *Ledger) Received(p *system.Point) Share {
	s := *l.shareOf(p)
	s.Load = l.receive(p, l.indirectInto(p.Node))
	return s
}

func (l *Ledger) indirectInto(n *system.Node) Load {
	var sum Load
	for _, in := range n.DrainIn {
		if in.Kind() == system.Indirect {
			sum = sum.plus(l.pipes[in.ID])
		}
	}
	return sum
}

// Occupancy of a fixture: its own word, its room's, a dwelling's, the plan's.
func (l *Ledger) Occupancy(p *system.Point) string {
	if a, ok := p.Attr("occupancy"); ok {
		return a.Text()
	}
	if r := p.Room; r != nil {
		if r.Access != "" {
			return r.Access
		}
		if r.Dwelling != "" {
			return "private"
		}
	}
	return l.Sys.Header.Occupancy
}

var columns = map[string][]string{
	"private":  {"private", "public", "assembly"},
	"public":   {"public", "private", "assembly"},
	"assembly": {"assembly", "public", "private"},
}

// Row is the row of the fixture-unit table that a fixture takes.
func (l *Ledger) Row(p *system.Point) string {
	t := l.Book.Table("fixture-units")
	key := p.Word
	try := func(k string) {
		if t.Has(k) {
			key = k
		}
	}
	switch p.Word {
	case "water-closet":
		a, _ := p.Attr("flush")
		valve := a.Text() == "valve"
		over := false
		if q, ok := a.Qty(); ok {
			over = q.Gallons() > 1.6+1e-6
		}
		switch {
		case valve && over:
			try("water-closet over 1.6")
			try("water-closet flushometer over 1.6")
		case valve:
			try("water-closet flushometer")
		case over:
			try("water-closet over 1.6")
		}
		if l.Occupancy(p) != "private" {
			try(key + " public")
		}
	case "urinal":
		if a, ok := p.Attr("flush"); ok {
			if q, ok := a.Qty(); ok && q.Gallons() > 1.0+1e-6 {
				try("urinal over 1.0")
			}
		}
	case "sink", "service-sink", "bidet":
		if size := l.ratedSize(p); size > 0 {
			try(p.Word + " trap " + codebook.SizeKey(size))
		}
	}
	return key
}

// ratedSize is the size by which a table rates a fixture: its trap's or, where
// it wastes indirectly, its pipe's, of the smallest trap at least; a receptor's
// trap says nothing of it. 0 where there is none.
func (l *Ledger) ratedSize(p *system.Point) quantity.Size {
	trap := l.Sys.TrapOf(p)
	if trap == nil {
		return 0
	}
	out := p.Node.DrainOut[0]
	if !trap.Receives(out) {
		return trap.Size
	}
	size := out.Size()
	if size == 0 {
		return 0
	}
	if sizes := l.Book.Table("trap-units").Sizes(); len(sizes) > 0 {
		size = max(size, sizes[0])
	}
	return size
}

// share finds a fixture's own units.
func (l *Ledger) share(p *system.Point) Share {
	s := Share{Point: p, Key: l.Row(p)}
	s.Load.Fixtures = 1
	if a, ok := p.Attr("units"); ok {
		if a.Unknown() {
			s.Load.Unknown = 1
			return s
		}
		if q, ok := a.Qty(); ok {
			s.Load.Units, s.Note = q.SI, "as written"
			l.countCloset(&s)
			return s
		}
	}
	t := l.Book.Table("fixture-units")
	for i, col := range columns[l.Occupancy(p)] {
		if c := t.At(s.Key, col); c.OK {
			s.Cell, s.Column, s.Load.Units = c, col, c.Value
			if i > 0 {
				s.Note = fmt.Sprintf("the table has no %s value; its %s one stands", l.Occupancy(p), col)
			}
			break
		}
	}
	if a, ok := p.Attr("flow"); ok && (p.Word == "equipment" || p.Word == "floor-sink") {
		if q, ok := a.Qty(); ok {
			if _, c, ok := l.Book.Table("intermittent-units").UpTo(q.SI/gpm, "units"); ok {
				s.Cell, s.Load.Units, s.Note = c, c.Value, "by its flow"
			}
		}
	}
	if size := l.ratedSize(p); size > 0 && (!s.Cell.OK || p.Word == "floor-drain" && size > 2) {
		if c := l.Book.Table("trap-units").BySize(size, "units"); c.OK {
			s.Cell, s.Load.Units, s.Note = c, c.Value, "by the size of its trap"
		}
	}
	if !s.Cell.OK && (p.Fixture.NeedsDrain || len(p.Node.DrainOut) > 0) {
		s.Load.Unknown = 1
	}
	if n := len(l.Sys.TrapsOf(p)); n > 1 {
		s.Load.Units *= float64(n)
		s.Note = fmt.Sprintf("%d traps count each", n)
	}
	l.countCloset(&s)
	return s
}

const gpm = hydraulics.GallonsPerMinute

func (l *Ledger) countCloset(s *Share) {
	least := l.Book.Number("closet-units")
	if s.Point.Word == "water-closet" || least.OK && s.Load.Units >= least.Value && s.Point.Word != "clothes-washer" && l.Book.Number("closets-3in-horizontal").OK {
		s.Load.Closets = 1
	}
}

// accumulate carries the loads down the drains. What counts otherwise in
// company (a battery of washers, a bathroom group) stays open on the way until
// its whole room has joined.
func (l *Ledger) accumulate() {
	flows := make([]flow, len(l.Sys.Nodes))
	rooms := l.companies()
	for _, n := range l.Sys.DrainOrder() {
		var f flow
		for _, p := range n.DrainIn {
			switch {
			case p.Kind() == system.Indirect: // received below
			case p.Kind() == system.Discharge || p.From.DrainOut[0] != p:
				f.plain = f.plain.plus(l.pipes[p.ID])
			default:
				f.merge(&flows[p.From.ID])
			}
		}
		received := false
		for _, p := range n.Points {
			switch p.Kind {
			case system.Fixture:
				f.plain = f.plain.plus(l.Received(p).Load)
				f.add(l, rooms, p)
				received = true
			case system.ExistingDrain, system.ExistingStack:
				f.plain = f.plain.plus(l.existing(p))
			}
		}
		if !received {
			f.plain = f.plain.plus(l.indirectInto(n))
		}
		total := f.total(l, rooms)
		l.nodes[n.ID] = total
		for i, p := range n.DrainOut {
			switch {
			case p.Kind() == system.Discharge:
				l.pipes[p.ID] = l.pumped(n, total)
			case i > 0 && n.Find(system.Fixture) != nil:
				l.pipes[p.ID] = Load{} // a fixture's second drain: its units count once, on the first
			default:
				l.pipes[p.ID] = total
			}
		}
		flows[n.ID] = f
	}
}

// receive is a fixture's load with what reaches it indirectly: a kitchen sink
// takes its dishwasher and a laundry tub its washer for nothing; another
// receptor counts what drains into it, its own load at least.
func (l *Ledger) receive(p *system.Point, indirect Load) Load {
	s := l.shareOf(p).Load
	if indirect.Fixtures == 0 {
		return s
	}
	switch p.Word {
	case "kitchen-sink", "laundry-tub":
		return s
	}
	units := max(s.Units, indirect.Units)
	if p.Word == "floor-sink" {
		units = indirect.Units
	}
	sum := Share{Point: p, Load: Load{units, 0, s.Fixtures + indirect.Fixtures, indirect.Unknown}}
	l.countCloset(&sum)
	return sum.Load
}

// existing is the load an existing point carries, as the plan states it.
func (l *Ledger) existing(p *system.Point) Load {
	var out Load
	if q, ok := p.Qty("units"); ok {
		out.Units = q.SI
	} else if _, spare := p.Qty("spare"); !spare && len(p.Node.DrainOut) > 0 {
		out.Unknown = 1
	}
	if q, ok := p.Qty("closets"); ok {
		out.Closets = int(q.SI + 0.5)
	}
	return out
}

// pumped is the load of an ejector's discharge: its flow, continuous.
func (l *Ledger) pumped(n *system.Node, through Load) Load {
	e := n.Find(system.Ejector)
	if e == nil {
		return through
	}
	if q, ok := e.Qty("flow"); ok {
		if c := l.Book.Number("continuous-units-per-gpm"); c.OK {
			return Load{Units: q.SI / gpm * c.Value, Fixtures: through.Fixtures}
		}
	}
	through.Unknown++
	return through
}
