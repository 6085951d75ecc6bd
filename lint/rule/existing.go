package rule

import (
	"fmt"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/sizing"
)

// tieIn is an existing drain or stack that new work discharges into.
type tieIn struct {
	point *system.Point
	run   *system.Run // the first new run into it
	load  sizing.Load // with the new work
	fresh sizing.Load // the new work alone
	size  quantity.Size
	way   sizing.Way
	spare float64 // units the owner states are free; -1: not stated
}

// tieIns lists the existing drains that the plan adds load to.
func (c *Case) tieIns() []tieIn {
	var out []tieIn
	for _, p := range c.Sys.Points {
		if p.Kind != system.ExistingDrain && p.Kind != system.ExistingStack {
			continue
		}
		t := tieIn{point: p, load: c.Ledger.At(p.Node), spare: -1}
		for _, in := range p.Node.DrainIn {
			if in.Run.Existing {
				continue
			}
			if t.run == nil {
				t.run = in.Run
			}
			l := c.Ledger.Of(in)
			t.fresh.Units += l.Units
			t.fresh.Closets += l.Closets
			t.fresh.Fixtures += l.Fixtures
		}
		if t.run == nil || len(p.Node.DrainOut) > 0 {
			continue
		}
		if a, ok := p.Attr("size"); ok {
			t.size, _ = a.Size()
		}
		if a, ok := p.Attr("spare"); ok {
			if q, ok := a.Qty(); ok {
				t.spare = q.SI
			}
		}
		t.way = sizing.Way{Posture: system.LevelLeg, Drain: true}
		if p.Kind == system.ExistingStack {
			t.way = sizing.Way{Posture: system.Upright, Stack: true}
		}
		out = append(out, t)
	}
	return out
}

// stated tells whether the plan says what the existing pipe carries already.
func (t tieIn) stated() bool {
	_, units := t.point.Attr("units")
	return units || t.spare >= 0
}

// existingLoad judges existing drains for the load that new work adds.
func (c *Case) existingLoad() {
	for _, t := range c.tieIns() {
		r := t.run
		name := t.point.Name
		if !t.stated() {
			c.undecided(r.Subject(), r.Copy, t.point.Loc, "load of the existing "+name, "write `units N closets N`, or `spare N`, on it")
			continue
		}
		if t.spare >= 0 {
			if t.fresh.Units > t.spare+eps {
				c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r),
					Message:  fmt.Sprintf("%s brings %s units to the existing %s, which has %s to spare", r.Subject(), sizing.Trim(t.fresh.Units), name, sizing.Trim(t.spare)),
					Measured: &Measure{t.fresh.Units, "units", ""}, Limit: &Measure{t.spare, "units", "max"},
					Remedy: "take the load elsewhere, or enlarge the existing pipe", Related: []Related{{t.point.Loc, "the existing pipe"}}})
			} else {
				c.complies(r.Subject())
			}
			continue
		}
		if t.size == 0 {
			c.undecided(r.Subject(), r.Copy, t.point.Loc, "size of the existing "+name, "write its nominal size")
			continue
		}
		capa := c.Ledger.Capacity(t.size, t.way)
		if !capa.OK {
			continue
		}
		section := c.use(capa.Cell)
		if t.load.Units <= capa.Units+eps {
			c.complies(r.Subject())
			continue
		}
		c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Section: section,
			Message:  fmt.Sprintf("%s brings the existing %s %s to %s units; it may carry %s", r.Subject(), quantity.FormatSize(t.size), name, sizing.Trim(t.load.Units), sizing.Trim(capa.Units)),
			Measured: &Measure{t.load.Units, "units", ""}, Limit: &Measure{capa.Units, "units", "max"},
			Remedy: "take the load elsewhere, or enlarge the existing pipe", Related: []Related{{t.point.Loc, "the existing pipe"}}})
	}
}

// existingClosets judges existing drains for the closets that new work adds.
func (c *Case) existingClosets() {
	for _, t := range c.tieIns() {
		if t.fresh.Closets == 0 || t.size == 0 {
			continue
		}
		r := t.run
		capa := c.Ledger.Capacity(t.size, t.way)
		if capa.Closets < 0 {
			continue
		}
		section := c.use(capa.ClosetCell)
		if _, written := t.point.Attr("closets"); !written && capa.Closets > 0 && t.fresh.Closets <= capa.Closets {
			c.undecided(r.Subject(), r.Copy, t.point.Loc, "closets on the existing "+t.point.Name, "write `closets N` on it")
			continue
		}
		if t.load.Closets <= capa.Closets {
			c.complies(r.Subject())
			continue
		}
		c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Section: section,
			Message:  fmt.Sprintf("%s brings the existing %s %s to %d closets; %s allows %d", r.Subject(), quantity.FormatSize(t.size), t.point.Name, t.load.Closets, quantity.FormatSize(t.size), capa.Closets),
			Measured: &Measure{float64(t.load.Closets), "count", ""}, Limit: &Measure{float64(capa.Closets), "count", "max"},
			Remedy: "bring the closet to another drain, or have the authority approve it on record", Related: []Related{{t.point.Loc, "the existing pipe"}}})
	}
}
