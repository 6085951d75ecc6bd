package rule

import (
	"fmt"
	"slices"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
)

// washerBranches: a book may ask a larger branch beyond a washer's own drain.
func (c *Case) washerBranches() {
	least := c.Book.Number("washer-branch-least")
	if !least.OK {
		return
	}
	washes := c.washersAbove()
	c.perLine(func(p *system.Pipe) ([]breach, bool, *Judgement) {
		f := washes[p.From.ID]
		if f == nil || p.Size() == 0 || p.Run.Existing {
			return nil, false, nil
		}
		sts := slices.DeleteFunc(slices.Clone(c.stretches(p)), func(st stretch) bool { return !c.beyondWasher(st) })
		if len(sts) == 0 {
			return nil, false, nil
		}
		c.use(least)
		if float64(p.Size()) >= least.Value-eps {
			return nil, true, nil
		}
		return []breach{{p, c.Ledger.Of(p), sizing.Capacity{Cell: least}, sts[0].way, sts[0], least.Value - float64(p.Size()), quantity.Size(least.Value)}}, true, nil
	}, func(l *system.Line, first, worst breach, rest []breach) {
		r, need := first.pipe.Run, quantity.FormatSize(quantity.Size(least.Value))
		c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Basis: basisOf(r, "size"), Fact: "washer branch",
			Message:  fmt.Sprintf("%s is %s and takes the clothes washer %s; beyond the washer's own drain it is %s at least", r.Subject(), quantity.FormatSize(worst.pipe.Size()), washes[worst.pipe.From.ID].Name, need),
			Measured: &Measure{float64(worst.pipe.Size()), "in", ""}, Limit: &Measure{least.Value, "in", "min"},
			Section: c.use(least), Remedy: fmt.Sprintf("make %s %s", r.Subject(), need), Fixes: resizeAll(first, rest)})
	})
}

// beyondWasher: what one washer alone drops through is still its own drain, up
// to the branch or stack it joins; where it runs level it is the branch.
func (c *Case) beyondWasher(st stretch) bool {
	return st.way.Posture == system.LevelLeg || c.Ledger.Of(st.pipe).Fixtures > 1
}

// smallSinkBranch: beyond the arm, kinds on the book's list ask a larger pipe.
func smallSinkBranch(c *Case) {
	if c.Book.Table("sink-branch") == nil {
		return
	}
	asks := c.sinkAsks()
	c.perLine(func(p *system.Pipe) ([]breach, bool, *Judgement) {
		a := asks[p.From.ID]
		if a.f == nil || p.Size() == 0 {
			return nil, false, nil
		}
		sts := c.stretches(p)
		if len(sts) == 0 {
			return nil, false, nil
		}
		c.use(a.cell)
		if float64(p.Size()) >= a.cell.Value-eps {
			return nil, true, nil
		}
		return []breach{{p, c.Ledger.Of(p), sizing.Capacity{Cell: a.cell}, sts[0].way, sts[0], a.cell.Value - float64(p.Size()), quantity.Size(a.cell.Value)}}, true, nil
	}, func(l *system.Line, first, worst breach, rest []breach) {
		if first.pipe.Run.Existing {
			c.complies(l.Subject())
			return
		}
		a := asks[worst.pipe.From.ID]
		r, need := first.pipe.Run, quantity.FormatSize(worst.required)
		c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Basis: basisOf(r, "size"),
			Message:  fmt.Sprintf("%s is %s beyond the trap arm of %s; the branch of a %s is %s at least", r.Subject(), quantity.FormatSize(worst.pipe.Size()), a.f.Name, a.f.Fixture.Title, need),
			Measured: &Measure{float64(worst.pipe.Size()), "in", ""}, Limit: &Measure{a.cell.Value, "in", "min"},
			Section: c.use(a.cell), Remedy: fmt.Sprintf("make %s %s from the vent fitting on; trap and arm may stay", r.Subject(), need), Fixes: resizeAll(first, rest)})
	})
}

// washersAbove tells for every node a clothes washer upstream, or nil.
func (c *Case) washersAbove() []*system.Point { return c.washing() }

func (c *Case) findWashers() []*system.Point {
	washes := make([]*system.Point, len(c.Sys.Nodes))
	for _, n := range c.Sys.DrainOrder() {
		for _, f := range n.Points {
			if f.Kind == system.Fixture && f.Word == "clothes-washer" {
				washes[n.ID] = f
			}
		}
		for _, p := range n.DrainOut {
			if washes[n.ID] != nil {
				washes[p.To.ID] = washes[n.ID]
			}
		}
	}
	return washes
}

// sinkAsk is the branch that a sink asks of what carries its waste.
type sinkAsk struct {
	cell codebook.Cell
	f    *system.Point
}

// toldBySink: small-sink-branch speaks of the stretch, and what it asks would
// carry the load; the narrower rule alone is said.
func (c *Case) toldBySink(a sinkAsk, st stretch, load sizing.Load) bool {
	p := st.pipe
	if a.f == nil || p.Run.Existing || float64(p.Size()) >= a.cell.Value-eps {
		return false
	}
	return c.Ledger.Capacity(quantity.Size(a.cell.Value), st.way).Carries(load)
}

// sinkAsks tells for every node the largest branch that a fixture upstream
// asks, with the fixture.
func (c *Case) sinkAsks() []sinkAsk { return c.sinks() }

func (c *Case) findSinkAsks() []sinkAsk {
	table := c.Book.Table("sink-branch")
	asks := make([]sinkAsk, len(c.Sys.Nodes))
	if table == nil {
		return asks
	}
	for _, n := range c.Sys.DrainOrder() {
		for _, f := range n.Points {
			if f.Kind != system.Fixture {
				continue
			}
			if _, written := f.Attr("units"); written && c.Ledger.Fixture(f).Load.Units <= c.Book.Number("sink-vertical-1-1/2-units").Value {
				continue
			}
			if cell := table.At(f.Word, c.Ledger.Occupancy(f)); cell.OK && cell.Value > asks[n.ID].cell.Value {
				asks[n.ID] = sinkAsk{cell, f}
			}
		}
		for _, p := range n.DrainOut {
			if a := asks[n.ID]; a.f != nil && a.cell.Value > asks[p.To.ID].cell.Value {
				asks[p.To.ID] = a
			}
		}
	}
	return asks
}

// fallTable is the table of least falls that a drain is held to.
func (c *Case) fallTable(p *system.Pipe) *codebook.Table {
	if p.Kind() == system.Sewer {
		if t := c.Book.Table("sewer-least-fall"); t != nil {
			return t
		}
	}
	return c.Book.Table("least-fall")
}
