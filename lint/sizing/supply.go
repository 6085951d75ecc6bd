package sizing

import (
	"strconv"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

// SupplyLoad is what a supply pipe carries, in supply units of the book.
type SupplyLoad struct {
	// Units is the whole load: fixtures served hot and cold count whole where
	// both sides pass the pipe, and by the side that passes where one does.
	Units float64
	// Closets and Urinals count flushometer valves downstream.
	Closets, Urinals int
	// Valves counts flushometers that the book gives units of their own.
	Valves int
	// Bibbs counts hose bibbs: the first counts more than the rest.
	Bibbs int
	// Flow is drawn without a break beside the units, in gallons a minute: what
	// the table of units does not know and the plan writes as a flow.
	Flow     float64
	Fixtures int
	Unknown  int // fixtures whose load the book does not tell
}

// Outlet is a fixture's connection to a supply pipe.
type Outlet struct {
	Point *system.Point
	Hot   bool
	Pipe  *system.Pipe // the last pipe before it
	// Length is the developed length from the source in metres; Whole is false
	// where a leg on the way has none.
	Length float64
	Whole  bool
	// Z is its height above the datum, where known.
	Z system.Num
}

// Supply is the water side of the ledger: loads, lengths and the way from the
// source to every outlet.
type Supply struct {
	*Ledger
	Sources []*system.Point // mains and existing supplies, in order
	Outlets []Outlet
	// Looped tells whether supply pipes close circles; pipes that the tree of
	// shortest ways leaves out carry no load here.
	Looped bool

	loads  []SupplyLoad
	parent []*system.Pipe
	source []*system.Point
	length []float64
	whole  []bool
	depth  []int                           // pipes from the source
	beside map[*system.Point]*system.Point // the kitchen sink of a dishwasher
	order  []*system.Node                  // from the sources on
	curves map[string]curve
	tables map[*system.Point]TableWay
}

// NewSupply works out the supply loads of a system.
func NewSupply(l *Ledger) *Supply {
	n := len(l.Sys.Nodes)
	s := &Supply{Ledger: l, loads: make([]SupplyLoad, len(l.Sys.Pipes)), parent: make([]*system.Pipe, n),
		source: make([]*system.Point, n), length: make([]float64, n), whole: make([]bool, n)}
	s.readCurves()
	s.pairSinks()
	s.ways()
	s.outlets()
	s.accumulate()
	s.readTables()
	return s
}

// Of is the load of a supply pipe.
func (s *Supply) Of(p *system.Pipe) SupplyLoad { return s.loads[p.ID] }

// SourceOf is the main or existing supply that feeds a node; nil where none.
func (s *Supply) SourceOf(n *system.Node) *system.Point { return s.source[n.ID] }

// Length is the developed length from the source to a node in metres; whole
// is false where a leg on the way has no length.
func (s *Supply) Length(n *system.Node) (metres float64, whole bool) {
	return s.length[n.ID], s.whole[n.ID]
}

// Way lists the pipes from the source to the end of a pipe, in the order of flow.
func (s *Supply) Way(last *system.Pipe) []*system.Pipe {
	var out []*system.Pipe
	for p := last; p != nil; p = s.parent[p.From.ID] {
		out = append(out, p)
	}
	for i, j := 0, len(out)-1; i < j; i, j = i+1, j-1 {
		out[i], out[j] = out[j], out[i]
	}
	return out
}

// Parent is the pipe that feeds a node; nil at a source and where none does.
func (s *Supply) Parent(n *system.Node) *system.Pipe { return s.parent[n.ID] }

// Order lists the nodes that a source feeds, each after the one before it on
// its way.
func (s *Supply) Order() []*system.Node { return s.order }

// Feeds tells whether a pipe is on the tree of shortest ways.
func (s *Supply) Feeds(p *system.Pipe) bool {
	return s.parent[p.To.ID] == p || p.To.Find(system.Fixture) != nil && s.source[p.From.ID] != nil
}

// ways finds the shortest way from a source to every node, pipe by pipe in
// the order written; a heater passes water on from cold to hot.
func (s *Supply) ways() {
	seen := make([]bool, len(s.Sys.Nodes))
	for _, p := range s.Sys.Points {
		if p.Kind != system.Main && p.Kind != system.ExistingSupply || len(p.Node.WaterOut) == 0 || seen[p.Node.ID] {
			continue
		}
		if p.Kind == system.ExistingSupply && len(p.Node.WaterIn) > 0 {
			continue // a run ends here: a load, not a source
		}
		s.Sources = append(s.Sources, p)
		seen[p.Node.ID] = true
		s.source[p.Node.ID], s.whole[p.Node.ID] = p, true
		s.order = append(s.order, p.Node)
	}
	for i := 0; i < len(s.order); i++ {
		n := s.order[i]
		for _, w := range n.WaterOut {
			if w.Kind() == system.Return {
				continue
			}
			if w.To.Find(system.Fixture) != nil {
				continue // an outlet: cold and hot both arrive there
			}
			if seen[w.To.ID] {
				if up := s.parent[w.To.ID]; up != nil && (up.Kind() == system.Hot) == (w.Kind() == system.Hot) {
					s.Looped = true // where hot meets cold, the water is mixed
				}
				continue
			}
			seen[w.To.ID] = true
			l, whole := w.Length()
			s.parent[w.To.ID], s.source[w.To.ID] = w, s.source[n.ID]
			s.length[w.To.ID], s.whole[w.To.ID] = s.length[n.ID]+l, s.whole[n.ID] && whole
			s.order = append(s.order, w.To)
		}
	}
}

// outlets lists every fixture's cold and hot connection that a source feeds.
func (s *Supply) outlets() {
	for _, p := range s.Sys.Points {
		if p.Kind != system.Fixture {
			continue
		}
		for _, w := range p.Node.WaterIn {
			if w.Kind() == system.Return || s.source[w.From.ID] == nil {
				continue
			}
			o := Outlet{Point: p, Hot: w.Kind() == system.Hot, Pipe: w}
			l, whole := w.Length()
			o.Length, o.Whole = s.length[w.From.ID]+l, s.whole[w.From.ID] && whole
			net := system.ColdNet
			if o.Hot {
				net = system.HotNet
			}
			o.Z = p.Node.Pos[net][2]
			s.Outlets = append(s.Outlets, o)
		}
	}
}

// accumulate carries the loads back from the outlets to the sources. A
// fixture with both sides counts by side until the two ways meet, and whole
// from there on.
func (s *Supply) accumulate() {
	s.depth = make([]int, len(s.Sys.Nodes))
	for _, n := range s.order {
		if p := s.parent[n.ID]; p != nil {
			s.depth[n.ID] = s.depth[p.From.ID] + 1
		}
	}
	for _, p := range s.Sys.Points {
		switch {
		case p.Kind == system.ExistingSupply && len(p.Node.WaterIn) > 0:
			if q, ok := p.Qty("water-units"); ok && s.parent[p.Node.ID] != nil {
				s.loads[s.parent[p.Node.ID].ID].Units += q.SI
			}
		case p.Kind == system.Fixture && len(p.Node.WaterIn) > 0:
			s.addFixture(p)
		}
	}
	pass := func(p *system.Pipe) { // on to the pipe that feeds this one
		if up := s.parent[p.From.ID]; up != nil {
			s.loads[up.ID].Add(s.loads[p.ID])
		}
	}
	for _, o := range s.Outlets {
		pass(o.Pipe)
	}
	for i := len(s.order) - 1; i >= 0; i-- {
		if p := s.parent[s.order[i].ID]; p != nil {
			pass(p)
		}
	}
	bibb, more := s.Book.Table("water-units").At("hose-bibb", "private"), s.Book.Table("water-units").At("hose-bibb additional", "private")
	valves := s.Book.Table("flushometer-units")
	for i := range s.loads {
		l := &s.loads[i]
		if l.Bibbs > 1 && more.OK {
			l.Units -= float64(l.Bibbs-1) * (bibb.Value - more.Value)
		}
		if valves != nil {
			l.Units += counted(valves, "water-closet", l.Closets) + counted(valves, "urinal", l.Urinals)
		}
	}
}

// counted sums a table that counts valves one by one; past its last row each
// further valve counts as that row.
func counted(t *codebook.Table, column string, n int) float64 {
	sum, last := 0.0, 0.0
	for i := 1; i <= n; i++ {
		if c := t.At(strconv.Itoa(i), column); c.OK {
			last = c.Value
		}
		sum += last
	}
	return sum
}

// Add joins another load.
func (l *SupplyLoad) Add(o SupplyLoad) {
	l.Units += o.Units
	l.Closets += o.Closets
	l.Urinals += o.Urinals
	l.Valves += o.Valves
	l.Bibbs += o.Bibbs
	l.Flow += o.Flow
	l.Fixtures += o.Fixtures
	l.Unknown += o.Unknown
}

// addFixture lays a fixture's sides on its last pipes, and what they make
// whole where their ways meet.
func (s *Supply) addFixture(p *system.Point) {
	whole, cold, hot, _, ok := s.FixtureWater(p)
	one := s.counts(p, ok)
	var coldPipe, hotPipe *system.Pipe
	for _, w := range p.Node.WaterIn {
		switch w.Kind() {
		case system.Hot:
			hotPipe = w
		case system.Cold, system.Service:
			coldPipe = w
		}
	}
	if one.Closets+one.Urinals > 0 || !ok {
		whole, cold, hot = 0, 0, 0 // counted, or not known
	}
	with := func(units float64) SupplyLoad { l := one; l.Units = units; return l }
	if coldPipe == nil || hotPipe == nil {
		if coldPipe == nil {
			coldPipe = hotPipe
		}
		if coldPipe != nil {
			s.loads[coldPipe.ID].Add(with(whole))
		}
		return
	}
	s.loads[coldPipe.ID].Add(with(cold))
	s.loads[hotPipe.ID].Add(with(hot))
	if meet := s.meeting(coldPipe, hotPipe); meet != nil { // count once from here on
		s.loads[meet.ID].Add(SupplyLoad{Units: whole - cold - hot, Closets: -one.Closets, Urinals: -one.Urinals,
			Valves: -one.Valves, Bibbs: -one.Bibbs, Flow: -one.Flow, Fixtures: -1, Unknown: -one.Unknown})
	}
}

// counts is a fixture's load but for its units.
func (s *Supply) counts(p *system.Point, known bool) SupplyLoad {
	l := SupplyLoad{Fixtures: 1}
	if !known {
		if l.Flow = s.continuous(p); l.Flow == 0 {
			l.Unknown = 1
		}
		return l
	}
	_, written := p.Attr("water-units")
	row := s.WaterRow(p)
	if s.Book.Table("flushometer-units") != nil && !written {
		switch {
		case row == "water-closet flushometer" || row == "water-closet flushometer over 1.6":
			l.Closets = 1
			return l
		case p.Word == "urinal" && row != "urinal tank":
			l.Urinals = 1
			return l
		}
	}
	if a, ok := p.Attr("flush"); ok && a.Text() == "valve" {
		l.Valves = 1
	}
	if p.Word == "hose-bibb" && !written {
		l.Bibbs = 1
	}
	return l
}

// meeting is the first pipe upstream that feeds both of two pipes; nil where
// their ways meet at the source itself or nowhere.
func (s *Supply) meeting(x, y *system.Pipe) *system.Pipe {
	a, b := x.From, y.From
	for a != b {
		if s.depth[a.ID] < s.depth[b.ID] {
			a, b = b, a
		}
		up := s.parent[a.ID]
		if up == nil {
			return nil
		}
		a = up.From
	}
	return s.parent[a.ID]
}

// SizeOfMeter is the meter on the way from a source: of its first pipe that
// has one; 0 where none is drawn.
func (s *Supply) SizeOfMeter(source *system.Point) (quantity.Size, *system.Pipe) {
	for _, n := range s.order {
		p := s.parent[n.ID]
		if p == nil || s.source[n.ID] != source {
			continue
		}
		for i := range p.Parts {
			if p.Parts[i].IsDevice("meter") {
				if a, ok := p.Parts[i].Setting("size"); ok {
					if size, ok := a.Size(); ok {
						return size, p
					}
				}
			}
		}
	}
	return 0, nil
}
