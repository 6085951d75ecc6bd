package sizing

import (
	"fmt"
	"math"
	"sort"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

// Capacity is what a drain of a size may carry.
type Capacity struct {
	Units   float64
	Closets int // most closets; -1: no limit by count
	Cell    codebook.Cell
	Factor  codebook.Cell // what the units were multiplied by, where OK
	// ClosetCell is the cell that limits closets.
	ClosetCell codebook.Cell
	OK         bool
	// Fall too small for the table: no number is printed for it.
	Flat bool
}

// Way is how a stretch of drain lies and what part it plays.
type Way struct {
	Posture system.Posture
	Fall    system.Num // metres a metre, on level ways
	Sewer   bool
	Drain   bool // building drain or one of its branches
	Stack   bool // an upright way that is a stack
	Tall    bool // a stack of more than three branch intervals
}

// Lies says how a drain lies: "stack", "upright drain", "building sewer",
// "building drain" or "level drain".
func (w Way) Lies() string {
	switch {
	case w.Posture == system.Upright && w.Stack:
		return "stack"
	case w.Posture == system.Upright:
		return "upright drain"
	case w.Sewer:
		return "building sewer"
	case w.Drain:
		return "building drain"
	}
	return "level drain"
}

// InchesPerFoot prints a fall in the trade's unit.
func InchesPerFoot(fall float64) float64 { return fall * 12 }

const eps = 1e-6

// Capacity of a drain of a size that lies as told.
func (l *Ledger) Capacity(size quantity.Size, w Way) Capacity {
	if l.Book.Flag("branch-intervals") {
		return l.byIntervals(size, w)
	}
	t := l.Book.Table("drain-units")
	c := Capacity{Closets: -1}
	if w.Posture == system.Upright {
		c.Cell = t.BySize(size, "vertical")
		c.closets(l, size, "closets-3in-vertical")
	} else {
		fall := 0.25
		if w.Fall.Known() {
			fall = InchesPerFoot(w.Fall.V)
		}
		if st := l.Book.Table("sewer-units"); w.Sewer && st.BySize(size, "1/4").OK {
			for _, col := range []string{"1/4", "1/8", "1/16"} {
				if v, ok := codebook.ParseSize(col); ok && fall >= float64(v)-eps {
					c.Cell = st.BySize(size, col)
					break
				}
			}
			c.Flat = !c.Cell.OK
		} else {
			c.Cell = t.BySize(size, "horizontal")
			if fall < 0.25-eps {
				c.Factor = l.Book.Number("slope-factor-eighth")
			}
		}
		c.closets(l, size, "closets-3in-horizontal")
	}
	c.Units, c.OK = c.Cell.Value, c.Cell.OK
	if c.Factor.OK {
		c.Units *= c.Factor.Value
	}
	return c
}

func (c *Capacity) closets(l *Ledger, size quantity.Size, key string) {
	least := l.Book.Number("closet-drain-least")
	if least.OK && float64(size) < least.Value-eps {
		c.Closets, c.ClosetCell = 0, least
		return
	}
	if n := l.Book.Number(key); n.OK && math.Abs(float64(size)-3) < eps {
		c.Closets, c.ClosetCell = int(n.Value+0.5), n
	}
}

// byIntervals reads the tables that tell stacks, branches and building drains apart.
func (l *Ledger) byIntervals(size quantity.Size, w Way) Capacity {
	c := Capacity{Closets: -1}
	if least := l.Book.Number("closet-drain-least"); least.OK && float64(size) < least.Value-eps {
		c.Closets, c.ClosetCell = 0, least
	}
	branch, drain := l.Book.Table("branch-units"), l.Book.Table("building-drain-units")
	switch {
	case w.Stack && w.Tall:
		c.Cell = branch.BySize(size, "stack-tall")
	case w.Stack:
		c.Cell = branch.BySize(size, "stack-short")
	case w.Posture == system.Upright:
		// a drop that is no stack: as the branch it belongs to, or as a
		// building drain laid steep, whichever carries more
		c.Cell = branch.BySize(size, "branch")
		if d := drain.BySize(size, "1/2"); d.OK && (!c.Cell.OK || w.Drain && d.Value > c.Cell.Value) {
			c.Cell = d
		}
	case w.Sewer || w.Drain:
		fall := 0.25
		if w.Fall.Known() {
			fall = InchesPerFoot(w.Fall.V)
		}
		for _, col := range []string{"1/2", "1/4", "1/8", "1/16"} {
			v, ok := codebook.ParseSize(col)
			if !ok || fall < float64(v)-eps {
				continue
			}
			if cell := drain.BySize(size, col); cell.OK {
				c.Cell = cell
			}
			break
		}
		if !c.Cell.OK {
			c.Cell, c.Flat = flattest(drain, size)
		}
	default:
		c.Cell = branch.BySize(size, "branch")
		if !c.Cell.OK {
			c.Cell = drain.BySize(size, "1/4")
		}
	}
	c.Units, c.OK = c.Cell.Value, c.Cell.OK
	return c
}

// flattest is the printed cell for the least fall a size has; a drain flatter
// than that is judged for its fall, and for its load by this cell.
func flattest(t *codebook.Table, size quantity.Size) (codebook.Cell, bool) {
	for _, col := range []string{"1/16", "1/8", "1/4", "1/2"} {
		if cell := t.BySize(size, col); cell.OK {
			return cell, true
		}
	}
	return codebook.Cell{}, false
}

// Carries tells whether a capacity holds a load.
func (c Capacity) Carries(load Load) bool {
	return c.OK && load.Units <= c.Units+eps && (c.Closets < 0 || load.Closets <= c.Closets)
}

// Required is the smallest nominal size that carries a load lying as told.
func (l *Ledger) Required(load Load, w Way) (quantity.Size, bool) {
	for _, size := range l.Sizes() {
		if l.Capacity(size, w).Carries(load) {
			return size, true
		}
	}
	return 0, false
}

// Sizes lists the sizes of the book's drain tables, rising.
func (l *Ledger) Sizes() []quantity.Size {
	t := l.Book.Table("drain-units")
	if l.Book.Flag("branch-intervals") {
		t = l.Book.Table("building-drain-units")
	}
	return t.Sizes()
}

// Larger is the next size of the book's drain tables.
func (l *Ledger) Larger(size quantity.Size) (quantity.Size, bool) {
	for _, s := range l.Sizes() {
		if s > size+eps {
			return s, true
		}
	}
	return 0, false
}

// storeys are the elevations of the levels with a fixture, rising.
func (l *Ledger) storeys() {
	seen := map[float64]bool{}
	for _, p := range l.Sys.Points {
		if p.Kind == system.Fixture && p.Level != nil && !seen[p.Level.Elevation] {
			seen[p.Level.Elevation] = true
			l.floors = append(l.floors, p.Level.Elevation)
		}
	}
	sort.Float64s(l.floors)
}

// Storeys are the elevations of the levels with a fixture, in metres, rising.
func (l *Ledger) Storeys() []float64 { return l.floors }

// Describe prints a load for a message: "22 units and 3 closets".
func (l Load) Describe() string {
	s := fmt.Sprintf("%s units", Trim(l.Units))
	switch l.Closets {
	case 0:
	case 1:
		s += " and 1 closet"
	default:
		s += fmt.Sprintf(" and %d closets", l.Closets)
	}
	return s
}

// Trim prints a number without trailing zeros, to a tenth.
func Trim(v float64) string {
	if math.Abs(v-math.Round(v)) < 0.05 {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.1f", v)
}

// WayOf tells how a leg of a pipe lies and what part it plays in the system.
func (l *Ledger) WayOf(p *system.Pipe, pt *system.Part) Way {
	w := Way{Posture: pt.Posture, Sewer: p.Kind() == system.Sewer}
	if pt.Posture == system.LevelLeg {
		w.Fall = pt.Fall
		w.Drain = w.Sewer || !l.aboveStack(p)
		return w
	}
	w.Stack, w.Tall = l.stackOf(p)
	w.Drain = !l.aboveStack(p)
	return w
}

// InStack tells whether an upright drain is part of a stack.
func (l *Ledger) InStack(p *system.Pipe) bool {
	stack, _ := l.stackOf(p)
	return stack
}
