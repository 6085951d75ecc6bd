// Package system turns the statements of a plan into a plumbing system: points
// and pipes, who flows where, where everything stands in space, and which
// fixture drains through which trap. Typicals are placed, includes read,
// exceptions applied, found values laid over the plan.
//
// Every value knows whether it was written or assumed. The package refuses to
// know any code: what is too small or too long is not its business. It costs
// time and memory linear in placed statements.
package system

import (
	"sync"

	"crownweir/grammar"
	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
)

// Loc is a place in a file of the plan.
type Loc struct {
	File string
	Span grammar.Span
}

// Origin tells where a value comes from.
type Origin uint8

const (
	Unknown Origin = iota // nothing settles it
	Written               // the plan says so
	Found                 // measured on site
	Usual                 // the usual rough-in height of its kind
	Default               // the plan's `default`
	Least                 // the code's least, assumed
	Worked                // worked out from both ends
	Target                // from a target the leg runs to
	Suit                  // what closes
	Datum                 // counted from elevation 0, since no floor was named
	Derived               // follows from other values
)

// Num is a value with where it comes from; Origin Unknown is "not known".
type Num struct {
	V      float64
	Origin Origin
}

// Known tells whether the value is there at all.
func (n Num) Known() bool { return n.Origin != Unknown }

// Kind is a run's or pipe's system.
type Kind uint8

const (
	Drain Kind = iota
	Sewer
	Vent
	Service
	Cold
	Hot
	Return
	Discharge
	Indirect
)

var kindWords = []string{"drain", "sewer", "vent", "service", "cold", "hot", "return", "discharge", "indirect"}

func (k Kind) String() string { return kindWords[k] }

// Sanitary is true for what carries waste by gravity: drain and sewer.
func (k Kind) Sanitary() bool { return k == Drain || k == Sewer }

// Water is true for service, cold, hot and return.
func (k Kind) Water() bool { return k >= Service && k <= Return }

// Level is a finished floor.
type Level struct {
	Name      string
	Elevation float64 // metres above the datum
	Building  string
	Loc       Loc
}

// Roof is a roof a terminal goes through.
type Roof struct {
	Name      string
	Elevation float64
	Building  string
	Loc       Loc
}

// Room is a room on a level.
type Room struct {
	Name     string // full
	Level    *Level
	Use      string
	Dwelling string
	Access   string // private, public, assembly or ""
	Ceiling  Num
	Loc      Loc
}

// Dwelling is one dwelling with its counts.
type Dwelling struct {
	Name            string
	Baths, Bedrooms Num
	Loc             Loc
}

// PointKind tells what a point is.
type PointKind uint8

const (
	Junction PointKind = iota // exists because a run names it
	Fixture
	Fitting
	Main
	Outfall
	Terminal
	Heater
	Manifold
	Ejector
	Interceptor
	Object
	ExistingDrain
	ExistingStack
	ExistingSupply
	ExistingVent
)

// Point is a named point of the plan.
type Point struct {
	ID      int    // its place in the system's Points
	Name    string // full: `B2.WC1`
	Local   string // as written in its typical
	Kind    PointKind
	Word    string // fixture kind, fitting, interceptor kind, ...
	Fixture catalog.Fixture
	Decl    *grammar.Point // nil for a point that only runs name
	Loc     Loc            // its name where it is declared, else where it is first named
	File    string
	Room    *Room
	Level   *Level
	Copy    *Copy
	Node    *Node
	Attrs   []grammar.Attr
	// FoundAt holds, by attribute, where a `found` line stands in for the plan.
	FoundAt map[string]Loc
	// Without lists devices a `found … without` line says are missing.
	Without  map[string]Loc
	Existing bool
	Uses     int // runs that name it
	trap     *Trap
}

// Attr finds an attribute, found values first.
func (p *Point) Attr(key string) (grammar.Attr, bool) { return grammar.FindAttr(p.Attrs, key) }

// Qty is the quantity of an attribute, found values first; ok is false where it
// is not written, or written as unknown.
func (p *Point) Qty(key string) (q quantity.Value, ok bool) {
	a, ok := p.Attr(key)
	if !ok {
		return q, false
	}
	return a.Qty()
}

// Copy is a placed typical.
type Copy struct {
	Name    string // full
	Typical string
	Parent  *Copy
	Level   *Level
	Room    *Room
	Loc     Loc // its place statement
	turn    turn
	frame   *frame
	x, y    float64 // origin in its frame
}

// Prefix is what the names inside the copy begin with.
func (c *Copy) Prefix() string {
	if c == nil {
		return ""
	}
	return c.Name + "."
}

// Trap is a trap and the fixtures that drain through it without an air gap
// between; where there are none, what wastes into its receptor.
type Trap struct {
	ID       int // its place in the system's Traps
	Fixtures []*Point
	// Pipe and Part tell where the trap device stands; for a fixture with a
	// trap of its own, Pipe is its first drain and Part is -1.
	Pipe *Pipe
	Part int
	Own  bool
	// Size is the trap's nominal size; for an own trap the pipe's.
	Size  quantity.Size
	Solve bool
	Loc   Loc
	// Written: the trap device carries its own size.
	Written bool
	// Downstream is the next trap on the waste's way: two in series.
	Downstream *Trap
}

// Receives tells whether a pipe brings the trap what wastes into its receptor
// from beyond an air gap: a load on the trap, and no fixture of its own.
func (t *Trap) Receives(p *Pipe) bool {
	return p.Kind() == Indirect && t.Pipe.Kind() != Indirect
}

// Header is what the plan says of itself.
type Header struct {
	Title                                      string
	Book                                       string
	BookLoc                                    Loc
	Amended                                    []string
	AmendedLoc                                 []Loc
	Occupancy                                  string // private where nothing is written
	OccWritten                                 bool
	Drainage, Vents, Water                     bool // in scope
	ScopeWritten                               bool
	DrainMaterial, VentMaterial, WaterMaterial string
	Fall                                       Num // default fall
	Method                                     string
	Winter                                     Num // degrees Celsius
	Stop                                       bool
	PlanLoc                                    Loc
}

// Record is a found, test, waive, inspection or note line as placed.
type Record struct {
	Stmt grammar.Statement
	File string
	Copy *Copy
	Used bool
}

// Loc of the record's statement.
func (r *Record) Loc() Loc { return Loc{r.File, r.Stmt.Pos()} }

// Problem is what is wrong with the plan as a drawing; Rule is a drafting rule.
type Problem struct {
	Rule    string
	Loc     Loc
	Subject string
	Message string
	Remedy  string
	Note    string
	Suggest string
	Copy    *Copy
	Basis   string
	Related []RelatedLoc
	// Measured and Limit are in inches where the rule has a number.
	Measured, Limit float64
	HasNumber       bool
}

// RelatedLoc is a second place a problem speaks of.
type RelatedLoc struct {
	Loc     Loc
	Message string
}

// System is a plan as a system of pipes. It is immutable once built.
type System struct {
	Path      string
	Files     map[string]*grammar.File
	Order     []string // files in the order read
	Header    Header
	Levels    []*Level
	Roofs     []*Roof
	Rooms     []*Room
	Dwellings []*Dwelling
	Buildings []string
	Points    []*Point
	Nodes     []*Node
	Runs      []*Run
	Pipes     []*Pipe
	Lines     []*Line
	Traps     []*Trap
	Copies    []*Copy
	// ExistingVents are sizes of terminals that are not drawn.
	ExistingVents []quantity.Size
	Records       []*Record
	Problems      []Problem
	// Counters for tests: they show a blow-up without a clock.
	Placed, Relaxed int
	// Looked counts, by drafting rule, the subjects it looked at.
	Looked map[string]int

	drainOrder, ventOrder, waterOrder []*Node

	byName    map[string]*Point
	byTag     map[string][]*Run
	runsOnce  sync.Once // guards byRun, made when first asked for
	byRun     map[[2]string][]*Run
	copyOf    map[string]*Copy
	levelOf   map[string]*Level
	roomOf    map[string]*Room
	manyTraps map[*Point][]*Trap
}

// Point finds a point by its full name.
func (s *System) Point(name string) *Point { return s.byName[name] }

// Tagged lists the runs of a tag.
func (s *System) Tagged(tag string) []*Run { return s.byTag[tag] }

// Between lists the runs between two points, by full names.
func (s *System) Between(from, to string) []*Run {
	s.runsOnce.Do(func() {
		s.byRun = make(map[[2]string][]*Run, len(s.Runs))
		for _, r := range s.Runs {
			key := [2]string{r.From, r.To}
			s.byRun[key] = append(s.byRun[key], r)
		}
	})
	return s.byRun[[2]string{from, to}]
}

// TrapOf is the trap that a fixture discharges through first; nil where none.
func (s *System) TrapOf(p *Point) *Trap { return p.trap }

// AssumesStop tells whether `default stop` puts a stop at a fixture's supplies:
// at all but tubs, showers and hose bibbs.
func (s *System) AssumesStop(f *Point) bool {
	switch f.Word {
	case "bathtub", "tub-shower", "shower", "hose-bibb":
		return false
	}
	return s.Header.Stop
}

// Fixtures lists the fixtures in the order they are declared.
func (s *System) Fixtures() []*Point {
	var out []*Point
	for _, p := range s.Points {
		if p.Kind == Fixture {
			out = append(out, p)
		}
	}
	return out
}
