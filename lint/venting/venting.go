// Package venting finds, for every trap, what lets air behind it: it walks
// from the weir downstream, keeps every way to the open air that it meets,
// names the method each would be and what that method lacks, and chooses.
//
// It refuses to report: rules read what it found. It takes every limit from
// the code book, and every length, fall and load from the system and the
// ledger. Where two readings are legal, the one that passes stands; where the
// plan does not say enough, it says so instead of choosing.
package venting

import (
	"slices"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
)

// Method is how a trap is vented.
type Method string

const (
	Individual    Method = "individual vent"
	Common        Method = "common vent"
	VerticalWet   Method = "vertical wet vent"
	HorizontalWet Method = "horizontal wet vent"
	Circuit       Method = "circuit vent"
	WasteStack    Method = "waste stack vent"
	Combination   Method = "combination waste and vent"
	Island        Method = "island vent"
	Admittance    Method = "air admittance valve"
	SingleStack   Method = "single stack"
)

// Status is what the walk came to.
type Status uint8

const (
	Vented    Status = iota // a method holds in every condition
	Broken                  // the intended method reaches the air but breaks a condition
	Unvented                // no way the code accepts reaches the air
	STrap                   // the arm turns down before any way to the air
	Undecided               // the plan, or this product, does not settle it
	Indirect                // discharges through an air gap or break: needs no vent here
)

// Fail is a condition a method breaks, under the rule that reports it.
type Fail struct {
	Rule            string
	Fault           string // what is wrong with a wet vent: what one fault has in common
	Message         string
	Remedy          string
	Measured, Limit float64
	Unit            string
	Kind            string // "max" or "min"
	Cell            codebook.Cell
	Pipe            *system.Pipe // where it is seen, else the fixture
	Further         []Small      // pipes beyond it that are too small as well
	Fixture         *system.Point
	Other           *system.Point // a second fixture it speaks of
}

// Small is a pipe that is too small, and the least size that would do; 0 where
// none would.
type Small struct {
	Pipe *system.Pipe
	Need quantity.Size
}

// Candidate is one way to the air met on the walk.
type Candidate struct {
	Node    *system.Node
	Method  Method
	Vent    *system.Pipe   // the dry vent it leads to
	At      *system.Node   // where that vent leaves the drains
	Section []*system.Pipe // wet part, from At down to Node
	In      *system.Pipe   // the last of it
	Dist    system.Num     // developed length weir to Node, metres
	Fall    system.Num     // drop of the arm on that way, metres
	Arm     []Stretch      // the arm as far as Node
	Fails   []Fail
	Never   string // why the code never accepts this way, or ""
	Unsure  string // what is not settled, or ""
	Claimed bool   // a run claims it, or its arm has limits of its own
	trunk   *trunk
	claim   bool // a run names this method
	Missing *Missing
}

// Holds tells whether nothing speaks against the candidate.
func (c *Candidate) Holds() bool {
	return len(c.Fails) == 0 && c.Never == "" && c.Unsure == "" && c.Missing == nil
}

// Missing is a fact the plan does not write.
type Missing struct {
	What string // "length of KS to k1"
	Pipe *system.Pipe
	Attr string
}

// Stretch is a part of a pipe on the way.
type Stretch struct {
	Pipe     *system.Pipe
	From, To int // parts, half open
}

// Arm is a trap's way to its vent.
type Arm struct {
	Trap       *system.Trap
	Fixture    *system.Point // the one findings name
	Closet     bool
	Size       quantity.Size // least size on the way
	Status     Status
	Candidates []*Candidate
	Chosen     *Candidate // the method that holds, or the intended one
	Walk       []Stretch  // the whole walk
	EndNode    *system.Node
	EndPipe    *system.Pipe
	EndPart    int
	Length     system.Num // of the whole walk
	Fall       system.Num
	Why        string // how the walk ended
	Doubt      string // why undecided
	Joined     bool   // another drain joined before the walk ended
	STrapAt    bool   // the walk ended by turning down
	Missing    *Missing

	first *system.Node // where the walk met its first way to the air
}

// VentLoad is what a dry vent serves.
type VentLoad struct {
	Units   float64
	Closets int
	Drain   quantity.Size // largest required drain among what it serves
	Traps   int
	Rim     float64       // highest flood rim served, metres above the datum
	RimOf   *system.Point // whose
}

// Analysis is the venting of one system.
type Analysis struct {
	Sys    *system.System
	Book   *codebook.Book
	Ledger *sizing.Ledger
	Arms   []*Arm

	byTrap   []*Arm // by trap
	reach    []reach
	up, upV  [][]option
	trunks   []*trunk       // level branches with one dry vent, as of a circuit
	entered  map[*Arm]entry // where an arm enters a circuit branch
	atVent   [][]*Arm       // arms a dry vent protects, by its first pipe
	ventLoad []VentLoad
	opens    [][]opening // by node, the traps whose first way to the air is there
}

// Walk follows every trap's waste and keeps the ways to the air. It needs no
// loads.
func Walk(sys *system.System, book *codebook.Book) *Analysis {
	a := &Analysis{Sys: sys, Book: book, byTrap: make([]*Arm, len(sys.Traps)), atVent: make([][]*Arm, len(sys.Pipes)),
		ventLoad: make([]VentLoad, len(sys.Pipes)), opens: make([][]opening, len(sys.Nodes))}
	a.reaches()
	a.upwards()
	for _, t := range sys.Traps {
		if len(t.Fixtures) == 0 {
			continue
		}
		arm := a.walk(t)
		a.Arms = append(a.Arms, arm)
		a.byTrap[t.ID] = arm
	}
	for _, arm := range a.Arms {
		a.open(arm)
	}
	return a
}

// Judge names and weighs the ways that were walked, by the loads of a ledger of
// the same system, and chooses.
func (a *Analysis) Judge(l *sizing.Ledger) {
	a.Ledger = l
	a.circuits()
	for _, arm := range a.Arms {
		a.judge(arm)
	}
	a.load()
}

// ArmOf is the arm of a trap; nil for no trap, and for one without fixtures.
func (a *Analysis) ArmOf(t *system.Trap) *Arm {
	if t == nil {
		return nil
	}
	return a.byTrap[t.ID]
}

// Load is what a vent pipe serves.
func (a *Analysis) Load(p *system.Pipe) *VentLoad { return &a.ventLoad[p.ID] }

// Protects lists the arms whose dry vent begins with this pipe.
func (a *Analysis) Protects(p *system.Pipe) []*Arm { return a.atVent[p.ID] }

// End tells what a node's vents lead to.
type End uint8

const (
	Nowhere End = iota
	Air
	Valve    // an air admittance valve
	Drainage // back into a drain: an island's return, or a mistake
)

type reach struct {
	end  End
	pipe *system.Pipe // the vent that leads there
}

// reaches tells for every node whether vents alone lead from it to the air.
func (a *Analysis) reaches() {
	a.reach = make([]reach, len(a.Sys.Nodes))
	order := a.Sys.VentOrder()
	for i := len(order) - 1; i >= 0; i-- {
		n := order[i]
		best := reach{}
		for _, p := range n.Points {
			switch p.Kind {
			case system.Terminal:
				best.end = Air
				if p.Word == "admittance" {
					best.end = Valve
				}
			case system.ExistingVent:
				best.end = Air
			}
		}
		if best.end == Nowhere && len(n.VentOut) == 0 && len(n.VentIn) > 0 && len(n.DrainIn)+len(n.DrainOut) > 0 {
			best.end = Drainage
		}
		for _, p := range n.VentOut {
			if r := a.reach[p.To.ID]; better(r.end, best.end) {
				best = reach{r.end, p}
			}
		}
		a.reach[n.ID] = best
	}
}

func better(x, y End) bool {
	rank := [...]int{Nowhere: 0, Drainage: 1, Valve: 2, Air: 3}
	return rank[x] > rank[y]
}

// Reaches tells what the vents that begin at a node lead to.
func (a *Analysis) Reaches(n *system.Node) End { return a.reach[n.ID].end }

// option is a dry vent upstream of a node along drains.
type option struct {
	at   *system.Node
	via  *system.Pipe // the drain to follow upstream; nil: the vent is here
	dist float64
}

// mostOptions bounds how many vents upstream are weighed for one connection.
const mostOptions = 3

// upwards finds for each node the nearest dry vents upstream that are reached
// without passing a trap: along upright drains alone (upV), and along any (up).
func (a *Analysis) upwards() {
	a.up = make([][]option, len(a.Sys.Nodes))
	a.upV = make([][]option, len(a.Sys.Nodes))
	for _, n := range a.Sys.DrainOrder() {
		if n.Circle {
			continue
		}
		if r := a.reach[n.ID]; r.pipe != nil && (r.end == Air || r.end == Valve) {
			a.up[n.ID] = []option{{at: n}}
			a.upV[n.ID] = []option{{at: n}}
			continue
		}
		for _, p := range n.DrainIn {
			if !p.Kind().Sanitary() || hasTrap(p) {
				continue
			}
			length, whole := p.Length()
			if !whole {
				length += 1000 // still a way, but after every measured one
			}
			a.up[n.ID] = merge(a.up[n.ID], a.up[p.From.ID], p, length)
			if posture, ok := p.Posture(); ok && posture == system.Upright {
				a.upV[n.ID] = merge(a.upV[n.ID], a.upV[p.From.ID], p, length)
			}
		}
	}
}

// merge takes over what lies upstream of a pipe, nearest first.
func merge(have, more []option, p *system.Pipe, length float64) []option {
	for _, o := range more {
		o = option{o.at, p, o.dist + length}
		i := len(have)
		for i > 0 && nearer(&o, &have[i-1]) {
			i--
		}
		double := false
		for k := range have {
			double = double || k < i && have[k].at == o.at
		}
		if double || i == mostOptions {
			continue
		}
		have = slices.Insert(have, i, o)
		for k := i + 1; k < len(have); k++ {
			if have[k].at == o.at {
				have = slices.Delete(have, k, k+1)
				break
			}
		}
		have = have[:min(len(have), mostOptions)]
	}
	return have
}

func nearer(a, b *option) bool {
	if a.dist != b.dist {
		return a.dist < b.dist
	}
	return a.at.Name() < b.at.Name()
}

func hasTrap(p *system.Pipe) bool {
	for i := range p.Parts {
		if p.Parts[i].IsDevice("trap") {
			return true
		}
	}
	return false
}

// section lists the pipes from a vent upstream down to the node, upstream first.
func section(table [][]option, n, at *system.Node) []*system.Pipe {
	var out []*system.Pipe
	for n != at {
		var via *system.Pipe
		for _, o := range table[n.ID] {
			if o.at == at {
				via = o.via
				break
			}
		}
		if via == nil {
			return out
		}
		out = append(out, via)
		n = via.From
	}
	for i, j := 0, len(out)-1; i < j; i, j = i+1, j-1 {
		out[i], out[j] = out[j], out[i]
	}
	return out
}
