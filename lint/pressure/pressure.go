// Package pressure follows the water from its sources to every outlet: the
// flow that each pipe carries at peak, what pipe, fittings, meters, devices
// and height take from its pressure, and what is left where it is drawn.
//
// Where a figure is known between bounds only (a device whose maker nobody
// names) the pressure has two values, the least and the most that may be left.
// Where it is not known at all, the most is reckoned without it and the fact
// is named. So a shortage can be proved from half a plan, and nothing is
// called enough that is not.
//
// It refuses to judge, to know a limit, and to choose a size.
package pressure

import (
	"math"

	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/hydraulics"
	"crownweir/lint/sizing"
)

// Ways of reckoning.
const (
	Hunter        = "hunter"
	Binomial      = "binomial"
	HazenWilliams = "hazen-williams"
	Darcy         = "darcy"
)

// Options choose a way of reckoning; "" takes the first of each.
type Options struct {
	Demand   string // Hunter or Binomial
	Friction string // HazenWilliams or Darcy
}

// Range is a pressure in pascals that lies between two values.
type Range struct{ Least, Most float64 }

func (r Range) plus(v float64) Range { return Range{r.Least + v, r.Most + v} }

// Fact is something that the plan does not tell and the reckoning waits for.
// The zero Fact is none.
type Fact struct {
	What  string      // "length of k1 to KS"
	Write string      // what to write
	Run   *system.Run // where it is missing, or
	Point *system.Point
	// Solve: a size written `?`, which nobody is asked for.
	Solve bool
	// Asked: the plan says `unknown`.
	Asked bool
}

// Missing tells whether there is such a fact.
func (f Fact) Missing() bool { return f.What != "" }

// Analysis is the water of one plan at peak.
type Analysis struct {
	Supply  *sizing.Supply
	Book    *codebook.Book
	Options Options
	Outlets []Outlet // in the order of the supply's outlets
	Grids   []Grid

	per      float64 // pascals that a metre of height takes
	nodes    []state
	pipes    []Pipe
	gridNode []int // of a node, the number of the grid it is in, from 1; 0 where none
	outlet   map[*system.Pipe]int
	busy     []map[string]int // of a pipe, fixtures by row of the peak table
}

// state is what stands at a node.
type state struct {
	known   bool // a source feeds it and the way there is drawn
	p       Range
	missing Fact // of the way there
}

// Pipe is what one supply pipe carries and takes.
type Pipe struct {
	Pipe *system.Pipe
	Flow Flow
	Bore float64 // metres; 0 where size or material is not known
	// Velocity in metres a second; 0 where the bore is not known.
	Velocity float64
	// Length and Fittings are metres of pipe, and of pipe that its turns, tees
	// and valves stand for.
	Length, Fittings float64
	// Friction is pascals lost in both.
	Friction float64
	// Rise is the metres it climbs; below zero where it falls.
	Rise    float64
	Devices []Device
	Enter   Range // pressure where it begins
	Leave   Range // and where it ends
	Missing Fact
	// Grid is the number of the grid it belongs to, from 1; 0 where none.
	Grid int
}

// Device is what a meter, a backflow device, a heater or a written loss takes,
// in pascals. A regulator tells what it takes down to its setting.
type Device struct {
	Name    string // "meter 3/4\"", "backflow double-check"
	Loss    Range  // Least and Most loss
	Source  string // where the figure is from
	Assumed bool   // a usual figure, since the plan names no loss
	// Over: a flow past the meter's safe maximum.
	Over bool

	square float64 // of a meter: pascals over the square of cubic metres a second
	set    float64 // pascals that a regulator holds
	along  float64 // share of the pipe before it
	risen  float64 // metres that the pipe has climbed before it
}

// Outlet is what is left where a fixture draws.
type Outlet struct {
	sizing.Outlet
	Source *system.Point
	Left   Range   // pascals, flowing
	Static float64 // pascals at rest, less height and behind regulators
	Need   float64 // pascals
	Cell   codebook.Cell
	// NeedKnown is false where neither plan nor book tells what it needs.
	NeedKnown bool
	Missing   Fact
}

// New works out flows, losses and what is left.
func New(s *sizing.Supply, o Options) *Analysis {
	a := &Analysis{Supply: s, Book: s.Book, Options: o, nodes: make([]state, len(s.Sys.Nodes)), pipes: make([]Pipe, len(s.Sys.Pipes)),
		gridNode: make([]int, len(s.Sys.Nodes)), outlet: map[*system.Pipe]int{}}
	a.per = hydraulics.WaterAt(coldAt).Gradient()
	if c := s.Book.Number("static-psi-per-foot"); c.OK {
		a.per = c.Value * hydraulics.PoundsPerSquareInch / hydraulics.Foot
	}
	if o.Demand == Binomial {
		a.count()
	}
	a.findGrids()
	a.flows()
	a.walk()
	a.outlets()
	return a
}

// Of is what a pipe carries and takes.
func (a *Analysis) Of(p *system.Pipe) *Pipe { return &a.pipes[p.ID] }

// Way lists the pipes from the source to an outlet.
func (a *Analysis) Way(o *Outlet) []*Pipe {
	way := a.Supply.Way(o.Pipe)
	out := make([]*Pipe, len(way))
	for i, p := range way {
		out[i] = &a.pipes[p.ID]
	}
	return out
}

// Critical is the outlet with the least to spare of a source; nil where none
// is known well enough to tell.
func (a *Analysis) Critical(source *system.Point) *Outlet {
	var worst *Outlet
	for i := range a.Outlets {
		o := &a.Outlets[i]
		if o.Source != source || !o.NeedKnown || o.Missing.Missing() {
			continue
		}
		if worst == nil || o.Left.Least-o.Need < worst.Left.Least-worst.Need-1e-6 {
			worst = o
		}
	}
	return worst
}

// slack is what rounding may take from a pressure, in pascals.
const slack = 1

// Short tells whether less is left than is needed, whatever is not told.
func (o *Outlet) Short() bool {
	return o.NeedKnown && o.Left.Most < o.Need-slack && !math.IsInf(o.Left.Most, -1)
}

// ShortAtRest tells whether there is less than that without any flow.
func (o *Outlet) ShortAtRest() bool { return o.NeedKnown && o.Static < o.Need-slack }

// Enough tells whether what is needed is left at worst, and all is told.
func (o *Outlet) Enough() bool {
	return o.NeedKnown && !o.Missing.Missing() && o.Left.Least >= o.Need-slack
}

// Spare is what is left over what is needed, in pascals, at worst.
func (o *Outlet) Spare() float64 { return o.Left.Least - o.Need }

const (
	coldAt = (60.0 - 32) / 1.8  // degrees Celsius, cold water as handbooks take it
	hotAt  = (120.0 - 32) / 1.8 // hot water where no heater writes its temperature
)

// temperature of the water in a pipe, degrees Celsius.
func (a *Analysis) temperature(p *system.Pipe) float64 {
	if p.Kind() != system.Hot {
		return coldAt
	}
	for _, q := range a.Supply.Way(p) {
		if h := q.From.Find(system.Heater); h != nil {
			if t, ok := h.Attr("temperature"); ok {
				if v, ok := t.Qty(); ok {
					return v.SI
				}
			}
			return hotAt
		}
	}
	return hotAt
}
