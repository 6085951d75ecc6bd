package system

import (
	"crownweir/grammar"
	"crownweir/grammar/quantity"
)

// Vec is a place in space in metres: x east, y north, z up from the datum.
type Vec [3]Num

// Net is one of the systems of pipes that close by themselves.
type Net uint8

const (
	DWV Net = iota
	ColdNet
	HotNet
	nets
)

// Node is where pipes meet: one point, or several that meet in one place.
type Node struct {
	ID     int
	Points []*Point
	// DrainIn and DrainOut hold drains, sewers, indirect wastes and pump
	// discharges by direction of flow; VentOut are vents that begin here,
	// VentIn vents that end here.
	DrainIn, DrainOut, VentIn, VentOut, WaterIn, WaterOut []*Pipe
	Pos                                                   [nets]Vec
	// Floors are the levels whose fixtures discharge through (drains) or are
	// vented by (vents) this node: nil none, one, or ManyLevels.
	served [nets]*Level
	into   *Node // joined into this one
	// Circle marks a node on a circle of drains or vents.
	Circle bool
}

// Name is the name findings use for the node.
func (n *Node) Name() string {
	if len(n.Points) == 0 {
		return "?"
	}
	for _, p := range n.Points {
		if p.Kind != Junction {
			return p.Name
		}
	}
	return n.Points[0].Name
}

// Find is the first point of a kind at the node.
func (n *Node) Find(kind PointKind) *Point {
	for _, p := range n.Points {
		if p.Kind == kind {
			return p
		}
	}
	return nil
}

// Run is a run as placed: one statement in one copy.
type Run struct {
	ID        int // its place in the system's Runs
	Kind      Kind
	From, To  string // full names
	name      string // of both
	Stmt      *grammar.Run
	File      string
	Copy      *Copy
	Size      quantity.Size // 0: unknown or `?`
	SizeOf    Origin
	Solve     bool // written `?`
	Material  string
	MatOf     Origin
	Tag       string // full, or ""
	Existing  bool
	Claim     string
	Pipes     []*Pipe
	FoundAt   map[string]Loc // run values measured on site
	FoundVal  map[string]grammar.Attr
	FoundWith map[string]Loc
	Link      int // number of the link in a chain, else 0
	key       uint64
	from, to  *Point
	// line is the pipe of findings it belongs to, next what goes on in line
	// with it, fed whether it goes on from another.
	line *Line
	next *Run
	fed  bool
}

// Name is the run's ends, `KS to k1`.
func (r *Run) Name() string { return r.name }

// Subject is how findings name the pipe: its tag, else its ends.
func (r *Run) Subject() string {
	if r.Tag != "" {
		return r.Tag
	}
	return r.Name()
}

// Pipe is a stretch of one run between two nodes (a run is cut where it picks
// up a point).
type Pipe struct {
	ID       int
	Run      *Run
	From, To *Node
	Parts    []Part
	Line     *Line // the pipe of findings and schedules it belongs to
}

// Kind is the run's system.
func (p *Pipe) Kind() Kind { return p.Run.Kind }

// Size is the run's nominal size in inches.
func (p *Pipe) Size() quantity.Size { return p.Run.Size }

// Line is a set of pipes that findings treat as one: one tag, or untagged
// runs in line with one size and system.
type Line struct {
	ID    int
	Tag   string
	Runs  []*Run
	Pipes []*Pipe
}

// Subject is how findings name the line.
func (l *Line) Subject() string {
	if l.Tag != "" {
		return l.Tag
	}
	return l.Runs[0].Name()
}

// Posture of a leg: upright within 45 degrees of plumb (45 itself included).
type Posture uint8

const (
	LevelLeg Posture = iota
	Upright
)

// Part is one item of a pipe, a leg with its resolved geometry or a device.
type Part struct {
	Item  *grammar.Item
	Index int // place in the run's items
	// What an item is, and a device its word, stands here too: parts are looked
	// through for it again and again, and items lie far apart in memory.
	leg     bool
	by      grammar.TargetKind
	device  string
	Posture Posture
	Down    bool // an upright leg that goes down
	// Dir is the leg's unit direction (x, y, z), before any fall.
	Dir [3]float64
	// Length is the developed length in metres.
	Length Num
	// Fall is metres of drop in the direction of flow per metre, on level
	// legs (on a vent: the rise towards the air); Drop is the whole drop.
	Fall Num
	// Z0 and Z1 are the heights of its ends.
	Z0, Z1 Num
	// At is the developed length from the pipe's start to the part's start.
	At Num
}

// IsLeg tells a leg from a device or turn.
func (p *Part) IsLeg() bool { return p.leg }

// Setting is what is written on a device, as the pressure of a regulator.
func (p *Part) Setting(key string) (grammar.Attr, bool) { return grammar.FindAttr(p.Item.Attrs, key) }

// DeviceKind is the kind of a device that comes in several, as `check` of a
// valve; "" where none is written.
func (p *Part) DeviceKind() string {
	a, _ := p.Setting("kind")
	return a.Text()
}

// IsDevice tells whether the part is the named device.
func (p *Part) IsDevice(word string) bool {
	return p.device == word
}
