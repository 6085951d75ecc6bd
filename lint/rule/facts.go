package rule

import (
	"fmt"
	"slices"

	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
	"crownweir/lint/venting"
)

// DrainStretch is the legs of one pipe that lie alike, as the rules judge
// them. A pipe of an indirect waste or a pump's discharge is one stretch
// without a limit.
type DrainStretch struct {
	Pipe *system.Pipe
	// Lies is "trap arm", "stack", "upright drain", "building drain", "building
	// sewer", "level drain", "not drawn", "indirect" or "discharge".
	Lies     string
	Length   float64    // metres of the legs whose length is known
	Whole    bool       // all are
	Fall     system.Num // the least of its level legs, metres a metre
	Load     sizing.Load
	Capacity sizing.Capacity // OK only where a table limits it
	// Required is the least size that the tables and the sinks upstream ask; 0
	// where none does. Asks is the cell that decides it.
	Required quantity.Size
	Asks     codebook.Cell
}

// DrainStretches lists the stretches of every pipe that carries waste, in the
// order of the pipes.
func (c *Case) DrainStretches() []DrainStretch {
	var out []DrainStretch
	asks := branchAsks{c.sinkAsks(), c.washersAbove(), c.Book.Number("washer-branch-least")}
	for _, p := range c.Sys.Pipes {
		switch k := p.Kind(); {
		case k.Sanitary():
			out = append(out, c.drainStretches(p, asks)...)
		case k == system.Indirect || k == system.Discharge:
			s := DrainStretch{Pipe: p, Lies: k.String(), Load: c.Ledger.Of(p)}
			s.Length, s.Whole = p.Length()
			out = append(out, s)
		}
	}
	return out
}

// branchAsks is what kinds of fixture upstream ask of a branch beside its load.
type branchAsks struct {
	sinks   []sinkAsk
	washers []*system.Point
	washer  codebook.Cell
}

// of is the larger ask of a stretch; not OK where there is none.
func (b branchAsks) of(c *Case, st stretch) codebook.Cell {
	n := st.pipe.From
	cell := b.sinks[n.ID].cell
	if b.washers[n.ID] != nil && b.washer.OK && b.washer.Value > cell.Value && c.beyondWasher(st) {
		return b.washer
	}
	return cell
}

func (c *Case) drainStretches(p *system.Pipe, asks branchAsks) []DrainStretch {
	load := c.Ledger.Of(p)
	if p.FirstLeg() == nil {
		return []DrainStretch{{Pipe: p, Lies: "not drawn", Load: load}}
	}
	var out []DrainStretch
	arm := DrainStretch{Pipe: p, Lies: "trap arm", Load: load, Whole: true}
	legs := 0
	for i := range p.Parts {
		if pt := &p.Parts[i]; pt.IsLeg() && c.inArm(p, i) {
			arm.add(pt)
			legs++
		}
	}
	if legs > 0 {
		out = append(out, arm)
	}
	for _, st := range c.stretches(p) {
		s := DrainStretch{Pipe: p, Lies: st.way.Lies(), Load: load, Whole: true}
		for i := range p.Parts {
			if pt := &p.Parts[i]; pt.IsLeg() && pt.Posture == st.way.Posture && !c.inArm(p, i) {
				s.add(pt)
			}
		}
		if p.Size() > 0 {
			s.Capacity = c.Ledger.Capacity(p.Size(), st.way)
		}
		if size, ok := c.Ledger.Required(load, st.way); ok {
			s.Required = size
			need := c.Ledger.Capacity(size, st.way)
			if s.Asks = need.Cell; need.ClosetCell.OK && load.Closets > 0 {
				s.Asks = need.ClosetCell
			}
		}
		if cell := asks.of(c, st); cell.OK && cell.Value > float64(s.Required)+eps {
			s.Required, s.Asks = quantity.Size(cell.Value), cell
		}
		out = append(out, s)
	}
	return out
}

func (s *DrainStretch) add(pt *system.Part) {
	if pt.Length.Known() {
		s.Length += pt.Length.V
	} else {
		s.Whole = false
	}
	if pt.Posture == system.LevelLeg && pt.Fall.Known() && (!s.Fall.Known() || pt.Fall.V < s.Fall.V) {
		s.Fall = pt.Fall
	}
}

// VentSize is what a vent pipe serves and the size that this asks.
type VentSize struct {
	Pipe *system.Pipe
	Load *venting.VentLoad
	Need quantity.Size // 0: it serves nothing that asks a size
	Cell codebook.Cell
	Why  string // "24 units", "a closet", "half of its 3\" drain", "its stack"
}

// VentSizes lists the vent pipes in their order.
func (c *Case) VentSizes() []VentSize {
	stack := map[*system.Pipe]VentSize{}
	for _, s := range c.stackVents() {
		if need, cell, ok := c.tableNeed(s); ok {
			stack[s.pipe] = VentSize{Need: need, Cell: cell, Why: "its stack"}
		}
	}
	var out []VentSize
	for _, p := range c.Sys.Pipes {
		if p.Kind() != system.Vent {
			continue
		}
		v := VentSize{Pipe: p, Load: c.Vents.Load(p)}
		if v.Load.Traps > 0 {
			need, cell, why := c.neededVent(v.Load)
			v.Need, v.Cell, v.Why = need, cell, why.String()
		}
		if s, ok := stack[p]; ok && s.Need > v.Need {
			v.Need, v.Cell, v.Why = s.Need, s.Cell, s.Why
		}
		out = append(out, v)
	}
	return out
}

// SizeAsk is a size that something asks of a pipe, and what asks it.
type SizeAsk struct {
	Size quantity.Size
	By   string // "the trap of KS", "any vent"
	Cell codebook.Cell
}

// EntryAsks lists what a drain that begins at a node is asked by: the traps and
// closets of fixtures there, and the drains that flow in, but for its own run.
func (c *Case) EntryAsks(n *system.Node, own *system.Run) []SizeAsk {
	var out []SizeAsk
	for _, f := range n.Points {
		if f.Kind != system.Fixture {
			continue
		}
		if t, ok := c.AskedTrap(f); ok {
			out = append(out, SizeAsk{t.Size, "the trap of " + f.Name, t.Cell})
		}
		if cell := c.Book.Number("closet-drain-least"); cell.OK && f.Word == "water-closet" {
			out = append(out, SizeAsk{quantity.Size(cell.Value), "closet " + f.Name, cell})
		}
	}
	for _, in := range n.DrainIn {
		if in.Kind().Sanitary() && in.Run != own && in.Size() > 0 {
			out = append(out, SizeAsk{in.Size(), fmt.Sprintf("the %s of %s that flows into it", quantity.FormatSize(in.Size()), in.Run.Subject()), codebook.Cell{}})
		}
	}
	return out
}

// LeastVent is what any vent taken off at a node is asked for.
func (c *Case) LeastVent(n *system.Node) SizeAsk {
	size, cell, why := c.neededVent(&venting.VentLoad{Closets: c.Ledger.At(n).Closets})
	return SizeAsk{size, why.String(), cell}
}

// Sizes lists the sizes that a system is piped with, rising: those of the
// book's tables, else of the trade.
func (c *Case) Sizes(kind system.Kind) []quantity.Size {
	switch {
	case kind.Sanitary():
		return c.Ledger.Sizes()
	case kind == system.Vent:
		if table := c.Book.Table("vent-units"); table != nil {
			return table.Sizes()
		}
		return c.Ledger.Sizes()
	case kind.Water() && c.Water().TableGoverns():
		out := slices.Clone(c.Water().SupplySizes())
		for _, row := range c.Book.Table("fixture-supply").Rows {
			if cell := row.Cells["least"]; cell.OK {
				out = append(out, quantity.Size(cell.Value))
			}
		}
		slices.Sort(out)
		return slices.Compact(out)
	case kind.Water():
		return catalog.SupplySizes()
	}
	return quantity.Sizes()
}
