package rule

import (
	"fmt"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
)

// stackVent is a vent that leaves the top of a stack, with what its book's
// table of stack vents asks of it.
type stackVent struct {
	pipe   *system.Pipe
	stack  quantity.Size
	load   sizing.Load
	length float64 // metres to the open air
	whole  bool
}

// stackVents lists the vents that go on from a stack, where the book sizes
// them by a table of their own.
func (c *Case) stackVents() []stackVent {
	if c.Book.Table("stack-vent") == nil {
		return nil
	}
	var out []stackVent
	for _, n := range c.Sys.Nodes {
		if len(n.DrainOut) == 0 || len(n.VentOut) == 0 || n.DrainOut[0].Size() == 0 {
			continue
		}
		d := n.DrainOut[0]
		first := d.FirstLeg()
		if first == nil || first.Posture != system.Upright || !c.Ledger.InStack(d) || c.fromAbove(n) {
			continue
		}
		v := n.VentOut[0]
		s := stackVent{pipe: v, stack: d.Size(), load: c.Ledger.Of(d), whole: true}
		for at := d; ; at = at.To.DrainOut[0] {
			s.load, s.stack = c.Ledger.Of(at), max(s.stack, at.Size())
			if last := at.LastLeg(); last == nil || last.Posture != system.Upright || len(at.To.DrainOut) == 0 || at.To.Circle {
				break
			}
			if f := at.To.DrainOut[0].FirstLeg(); f == nil || f.Posture != system.Upright {
				break
			}
		}
		for _, p := range c.Vents.Way(v) {
			l, whole := p.Length()
			s.length += l
			s.whole = s.whole && whole
		}
		out = append(out, s)
	}
	return out
}

// fromAbove: a drain arrives upright at the node, so it is not a stack's top.
func (c *Case) fromAbove(n *system.Node) bool {
	for _, p := range n.DrainIn {
		if last := p.LastLeg(); p.Kind().Sanitary() && last != nil && last.Posture == system.Upright {
			return true
		}
	}
	return false
}

// tableNeed is the least vent of a stack by its size, units and length.
func (c *Case) tableNeed(s stackVent) (quantity.Size, codebook.Cell, bool) {
	t := c.Book.Table("stack-vent")
	var best *codebook.Row
	for i := range t.Rows {
		row := &t.Rows[i]
		if row.Labels["stack"] != float64(s.stack) || row.Labels["units"] < s.load.Units-eps {
			continue
		}
		if best == nil || row.Labels["units"] < best.Labels["units"] {
			best = row
		}
	}
	if best == nil {
		return 0, codebook.Cell{}, false
	}
	for _, col := range t.Columns {
		size, ok := codebook.ParseSize(col)
		cell := best.Cells[col]
		if ok && cell.OK && s.length <= cell.Metres()+eps && float64(size) >= float64(s.stack)/2-eps {
			return size, cell, true
		}
	}
	return 0, codebook.Cell{}, false
}

// stackVentSizes reports stack vents that are smaller than their table asks.
func (c *Case) stackVentSizes() {
	for _, s := range c.stackVents() {
		r := s.pipe.Run
		if s.pipe.Size() == 0 || r.Existing {
			continue
		}
		need, cell, ok := c.tableNeed(s)
		if !ok || !s.whole && float64(s.pipe.Size()) >= float64(need)-eps {
			continue
		}
		section := c.use(cell)
		if float64(s.pipe.Size()) >= float64(need)-eps {
			c.complies(r.Subject())
			continue
		}
		c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Section: section, Fact: "stack vent",
			Message: fmt.Sprintf("stack vent %s is %s; a %s stack of %s units and %s of vent ask %s", r.Subject(), quantity.FormatSize(s.pipe.Size()),
				quantity.FormatSize(s.stack), sizing.Trim(s.load.Units), quantity.FormatLength(s.length), quantity.FormatSize(need)),
			Measured: &Measure{float64(s.pipe.Size()), "in", ""}, Limit: &Measure{float64(need), "in", "min"},
			Remedy: fmt.Sprintf("make it %s to the open air", quantity.FormatSize(need)), Fixes: upsize(r, quantity.FormatSize(need))})
	}
}

// waysByStep lists the longest ways where the book asks a larger size over one
// length, whatever the vent's size. Vents of stacks have a table of their own.
func (c *Case) waysByStep() []VentWay {
	limit := c.Book.Number("vent-long")
	stack := map[*system.Pipe]bool{}
	for _, s := range c.stackVents() {
		stack[s.pipe] = true
	}
	var out []VentWay
	for _, w := range c.Vents.Ways(c.oversizedBy(c.Book.Number("vent-long-steps"))) {
		if !stack[w.First] {
			out = append(out, VentWay{Way: w, Limit: limit, ByStep: true})
		}
	}
	return out
}
