package venting

import (
	"fmt"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

// vertical judges a vertical wet vent: the upright section from the dry vent
// down to where the arm enters.
func (a *Analysis) vertical(arm *Arm, c *Candidate) {
	in := c.Section[len(c.Section)-1]
	if !a.sameStorey(arm, in, c) {
		return
	}
	for _, p := range c.Section {
		if posture, ok := p.Posture(); !ok || posture != system.Upright {
			if p.FirstLeg() == nil {
				c.Missing = &Missing{What: "legs of " + p.Run.Name(), Pipe: p, Attr: "legs"}
				return
			}
			// not upright throughout: only a level wet vent could it be
			c.Method = HorizontalWet
			a.horizontal(arm, c)
			return
		}
	}
	if a.Book.Family != "upc" {
		a.verticalByTable(arm, c)
		return
	}
	upstream := a.Upstream(in, 24)
	most := a.Book.Number("wet-vent-fixtures")
	at := a.sharing(arm, c)
	if n := len(upstream) + at; most.OK && float64(n) > most.Value+eps {
		c.Fails = append(c.Fails, Fail{Rule: "foreign-wet-vent", Fault: "count", Measured: float64(n), Limit: most.Value, Unit: "count", Kind: "max", Cell: most, Pipe: in,
			Message: fmt.Sprintf("wet vent above %s serves %d fixtures", c.Node.Name(), n),
			Remedy:  "give the surplus fixtures vents of their own"})
	}
	each := a.Book.Number("wet-vent-fixture-units")
	for _, f := range upstream {
		if u := a.Ledger.Fixture(f).Load.Units; each.OK && u > each.Value+eps {
			c.Fails = append(c.Fails, Fail{Rule: "foreign-wet-vent", Fault: "units", Measured: u, Limit: each.Value, Unit: "units", Kind: "max", Cell: each, Fixture: f, Other: arm.Fixture, Pipe: in,
				Message: fmt.Sprintf("%s, of %s units, discharges into the upright wet vent of %s", f.Name, trim(u), arm.Fixture.Name),
				Remedy:  fmt.Sprintf("vent %s by itself, or take %s off the wet vent", arm.Fixture.Name, f.Name)})
		}
	}
	a.wetLength(c)
	a.wetSize(arm, c, in, upstream)
}

// sameStorey: a way through another storey's discharge is none.
func (a *Analysis) sameStorey(arm *Arm, in *system.Pipe, c *Candidate) bool {
	level, many := in.From.Serves()
	if many || level != nil && arm.Fixture.Level != nil && level != arm.Fixture.Level {
		c.Never = fmt.Sprintf("%s carries the discharge of another storey", in.Run.Subject())
		return false
	}
	return true
}

func (a *Analysis) wetLength(c *Candidate) {
	limit := a.Book.Number("wet-vent-length")
	if !limit.OK {
		return
	}
	sum, whole := 0.0, true
	for _, p := range c.Section {
		l, ok := p.Length()
		sum += l
		whole = whole && ok
	}
	switch {
	case sum > limit.Metres()+eps:
		c.Fails = append(c.Fails, Fail{Rule: "long-wet-vent", Measured: sum / inch, Limit: limit.Metres() / inch, Unit: "in", Kind: "max", Cell: limit, Pipe: c.Section[0],
			Message: fmt.Sprintf("upright wet vent from %s down to %s is %s long", c.At.Name(), c.Node.Name(), quantity.FormatLength(sum)),
			Remedy:  "bring the connections closer together, or give the lower fixture a vent of its own"})
	case !whole:
		c.Missing = &Missing{What: "length of " + c.Section[0].Run.Name(), Pipe: c.Section[0], Attr: "length"}
	}
}

// wetSize: one size above what the upper fixture's drain asks, and one above
// what the sum discharging above the connection asks; the larger, and not
// below the least.
func (a *Analysis) wetSize(arm *Arm, c *Candidate, in *system.Pipe, upstream []*system.Point) {
	least := a.Book.Number("wet-vent-least")
	steps := a.Book.Number("wet-vent-steps")
	need := quantity.Size(least.Value)
	for _, f := range upstream {
		if f.Node == c.At || a.opensAt(f, c.At) {
			if s, ok := a.step(a.RequiredDrain(f), int(steps.Value)); ok {
				need = max(need, s)
			}
		}
	}
	if s, ok := a.Book.Table("drain-units"), true; ok {
		load := a.Ledger.Of(in)
		for _, size := range s.Sizes() {
			if cell := s.BySize(size, "vertical"); cell.OK && load.Units <= cell.Value+eps {
				if up, ok := a.step(size, int(steps.Value)); ok {
					need = max(need, up)
				}
				break
			}
		}
	}
	a.sizeFail(arm, c, need, least)
}

func (a *Analysis) sizeFail(arm *Arm, c *Candidate, need quantity.Size, cell codebook.Cell) {
	for _, p := range c.Section {
		switch size := p.Size(); {
		case size == 0:
			c.Missing = &Missing{What: "size of " + p.Run.Name(), Pipe: p, Attr: "size"}
			return
		case float64(size) < float64(need)-eps:
			c.Fails = append(c.Fails, Fail{Rule: "small-wet-vent", Measured: float64(size), Limit: float64(need), Unit: "in", Kind: "min", Cell: cell, Pipe: p,
				Message: fmt.Sprintf("wet vent %s of %s is %s; it is to be %s", p.Run.Subject(), arm.Fixture.Name, quantity.FormatSize(size), quantity.FormatSize(need)),
				Remedy:  fmt.Sprintf("make %s %s, or give %s a vent of its own", p.Run.Subject(), quantity.FormatSize(need), arm.Fixture.Name)})
			return
		}
	}
}
