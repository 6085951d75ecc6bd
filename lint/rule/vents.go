package rule

import (
	"fmt"
	"math"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
	"crownweir/lint/venting"
)

func vents() []Rule {
	return []Rule{
		{Name: "unvented-trap", Family: "Vents", Severity: Correction, Title: "Trap that no vent protects",
			Why:      "Without air behind it a trap is siphoned by its own discharge or blown out by its neighbours', and sewer gas enters the room.",
			Computed: "The waste is followed from the weir downstream. Every vent, upright drain from above and level drain from upstream that leads to the air is weighed as a method of venting, by that method's conditions.",
			Needs:    []string{"legs", "vents"}, Judge: unventedTrap},
		{Name: "small-vent", Family: "Vents", Severity: Correction, Title: "Vent too small for what it serves",
			Why:      "A vent too narrow for the air its traps draw lets their seals be pulled.",
			Computed: "The units and closets of the traps a vent serves are added up along it and compared with the table; it is also at least the least vent and half the drain it serves.",
			Needs:    []string{"size"}, Judge: smallVent},
		{Name: "long-vent", Family: "Vents", Severity: Correction, Title: "Vent longer than its size allows",
			Why:      "Air loses pressure along a pipe as water does. Beyond its length a small vent no longer breathes.",
			Computed: "Along the longest way from a drain connection to the open air, the pipe of each size or smaller is measured against that size's limit, and its level part against its share. A vent one size larger throughout is free of both.",
			Needs:    []string{"legs", "size"}, Judge: longVent},
		{Name: "low-vent-turn", Family: "Vents", Severity: Correction, Title: "Vent that turns or joins below the rim",
			Why:      "When the drain stops up, waste rises to the flood rim. A vent that lies level below it fills with waste and closes unseen.",
			Computed: "From the drain up, the height of the first level leg or joining is compared with the highest flood rim the vent protects, and 6 in more. An island's loop is excepted.",
			Needs:    []string{"heights"}, Judge: lowVentTurn},
		{Name: "short-vent-area", Family: "Vents", Severity: Correction, Title: "Too little vent area through the roof",
			Why:      "All the air a building's drains need comes through its roof. Together the terminals are to be as wide as the sewer the building needs.",
			Computed: "The areas of the terminals by nominal bore are added up and compared with the area of the sewer that the table asks for the whole load and its closets, not the one drawn.",
			Needs:    []string{"terminals", "size"}, Judge: shortVentArea, After: true},
	}
}

func unventedTrap(c *Case) {
	for _, arm := range c.Vents.Arms {
		f := arm.Fixture
		if arm.Trap.Pipe.Run.Existing || arm.Status == venting.Indirect {
			continue
		}
		switch arm.Status {
		case venting.Vented, venting.Broken, venting.STrap:
			c.complies(f.Name)
		case venting.Undecided:
			if m := arm.Missing; m != nil {
				c.undecided(f.Name, f.Copy, endsLoc(m.Pipe.Run), m.What, writeFor(m.Attr))
				continue
			}
			c.say(Judgement{Answer: Undecided, Subject: f.Name, Copy: f.Copy, Loc: c.fixtureLoc(f), Severity: Caution,
				Message: fmt.Sprintf("whether %s is vented is not decided: %s", f.Name, arm.Doubt),
				Remedy:  "give it a vent of its own, or have the method approved", Note: story(arm)})
		case venting.Unvented:
			j := Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: c.armLoc(arm),
				Message: fmt.Sprintf("no vent protects the trap of %s %s", f.Fixture.Title, f.Name), Note: story(arm),
				Remedy: "take a vent off its arm"}
			if limit, cell, ok := c.Vents.ArmLimit(arm); ok {
				j.Remedy = fmt.Sprintf("take a vent off within %s of the weir", quantity.FormatLength(limit))
				c.use(cell)
			}
			told := map[*system.Pipe]bool{}
			for _, cand := range arm.Candidates {
				if cand.Vent != nil && !told[cand.Vent] && len(j.Related) < 3 {
					told[cand.Vent] = true
					j.Related = append(j.Related, Related{endsLoc(cand.Vent.Run), "this vent does not protect it"})
				}
			}
			c.say(j)
		}
	}
}

func writeFor(attr string) string {
	switch attr {
	case "legs":
		return "write its legs, as `east 6'`"
	case "size":
		return "write its nominal size"
	case "length":
		return "write the length of each leg"
	}
	return "write " + attr
}

// ventReason is what decides the size of a vent. It is put into words only
// where they are told.
type ventReason struct {
	of    uint8
	units float64
	drain quantity.Size
}

const (
	anyVent = iota
	itsUnits
	itsDrain
	aCloset
)

func (w ventReason) String() string {
	switch w.of {
	case itsUnits:
		return sizing.Trim(w.units) + " units"
	case itsDrain:
		return "a drain of " + quantity.FormatSize(w.drain)
	case aCloset:
		return "a closet"
	}
	return "any vent"
}

// neededVent is the size a vent's load asks, with the cell that decides.
func (c *Case) neededVent(l *venting.VentLoad) (quantity.Size, codebook.Cell, ventReason) {
	least := c.Book.Number("vent-least")
	need, cell, why := quantity.Size(least.Value), least, ventReason{of: anyVent}
	if t := c.Book.Table("vent-units"); t != nil {
		for _, s := range t.Sizes() {
			if u := t.BySize(s, "units"); u.OK && l.Units <= u.Value+eps {
				if float64(s) > float64(need)+eps {
					need, cell, why = s, u, ventReason{of: itsUnits, units: l.Units}
				}
				break
			}
		}
	}
	if half := c.Book.Number("vent-half-of-drain"); half.OK && l.Drain > 0 {
		want := float64(l.Drain) * half.Value
		if want > float64(need)+eps {
			if s, ok := c.ventSize(want); ok {
				need, cell, why = s, half, ventReason{of: itsDrain, drain: l.Drain}
			}
		}
	}
	if closet := c.Book.Number("closet-vent-least"); closet.OK && l.Closets > 0 && closet.Value > float64(need)+eps {
		need, cell, why = quantity.Size(closet.Value), closet, ventReason{of: aCloset}
	}
	return need, cell, why
}

// ventSize is the smallest vent of the trade that is not below inches.
func (c *Case) ventSize(inches float64) (quantity.Size, bool) {
	for _, s := range c.ventSizes() {
		if float64(s) >= inches-eps {
			return s, true
		}
	}
	return 0, false
}

func (c *Case) ventSizes() []quantity.Size {
	if t := c.Book.Table("vent-units"); t != nil {
		return t.Sizes()
	}
	return c.Ledger.Sizes()
}

// narrower marks the vents of which a method's own rule tells that they are
// too small: the narrowest rule speaks.
func (c *Case) narrower() map[*system.Pipe]bool {
	told := map[*system.Pipe]bool{}
	for _, arm := range c.Vents.Arms {
		if arm.Chosen == nil || arm.Status != venting.Broken {
			continue
		}
		for _, f := range arm.Chosen.Fails {
			if f.Pipe != nil && (f.Rule == "small-circuit-vent" || f.Rule == "small-island-vent") {
				told[f.Pipe] = true
			}
		}
	}
	return told
}

func smallVent(c *Case) {
	told := c.narrower()
	for _, l := range c.Sys.Lines {
		if len(l.Pipes) == 0 || l.Runs[0].Kind != system.Vent || l.Runs[0].Existing {
			continue
		}
		var first *Judgement
		var small []sized
		worst, looked := 0.0, false
		for _, p := range l.Pipes {
			load := c.Vents.Load(p)
			if load.Traps == 0 || told[p] {
				continue
			}
			r := p.Run
			if p.Size() == 0 {
				if !r.Solve && first == nil && !looked {
					c.undecided(r.Subject(), r.Copy, endsLoc(r), "size of "+r.Subject(), "write its nominal size")
				}
				break
			}
			looked = true
			need, cell, why := c.neededVent(load)
			c.use(cell)
			if float64(p.Size()) >= float64(need)-eps {
				continue
			}
			small = append(small, sized{r, need})
			over := float64(need - p.Size())
			if first != nil && over <= worst+eps {
				if r.Subject() != first.Subject && len(first.Related) < 6 {
					first.Related = append(first.Related, Related{sizeLoc(r), r.Name() + " too"})
				}
				continue
			}
			worst = over
			j := Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Basis: basisOf(r, "size"), Section: c.use(cell),
				Message:  fmt.Sprintf("vent %s is %s and serves %s; %s is the least for %s", r.Subject(), quantity.FormatSize(p.Size()), served(load), quantity.FormatSize(need), why),
				Measured: &Measure{float64(p.Size()), "in", ""}, Limit: &Measure{float64(need), "in", "min"},
				Remedy: fmt.Sprintf("make it %s to the open air", quantity.FormatSize(need))}
			if first == nil {
				first = &j
			} else {
				first.Message, first.Measured, first.Limit, first.Section, first.Remedy = j.Message, j.Measured, j.Limit, j.Section, j.Remedy
			}
		}
		switch {
		case first != nil:
			first.Fixes = resize(small)
			c.say(*first)
		case looked:
			c.complies(l.Subject())
		}
	}
	c.stackVentSizes()
}

func served(l *venting.VentLoad) string {
	s := fmt.Sprintf("%s units", sizing.Trim(l.Units))
	if l.Closets > 0 {
		s += fmt.Sprintf(" with %d %s", l.Closets, plural(l.Closets, "closet", "closets"))
	}
	return s
}

// VentWay is the longest way through a vent's pipe of one size to the open
// air, with what the book allows of it.
type VentWay struct {
	venting.Way
	Limit codebook.Cell // not OK: no limit
	Share codebook.Cell // of the limit that may lie level; not OK: all of it
	// ByStep: over the limit the vent is one size larger throughout.
	ByStep bool
}

// MostLevel is the level part that the book allows, in metres.
func (w VentWay) MostLevel() float64 { return w.Limit.Metres() * w.Share.Value }

// VentWays lists the longest ways, by the pipe at which they begin to be of
// their size. Vents that are oversized throughout, and so free of any limit,
// have none.
func (c *Case) VentWays() []VentWay {
	table := c.Book.Table("vent-units")
	if table == nil {
		return c.waysByStep()
	}
	var out []VentWay
	share := c.Book.Number("vent-level-share")
	for _, w := range c.Vents.Ways(c.oversizedBy(c.Book.Number("vent-relief-steps"))) {
		v := VentWay{Way: w, Limit: table.BySize(w.Size, "length"), Share: share}
		if v.Limit.Unlimited {
			v.Limit = codebook.Cell{}
		}
		out = append(out, v)
	}
	return out
}

// oversizedBy tells which vents are so many sizes larger than they need be.
func (c *Case) oversizedBy(steps codebook.Cell) func(*system.Pipe) bool {
	return func(p *system.Pipe) bool {
		if !steps.OK || p.Size() == 0 {
			return false
		}
		need, _, _ := c.neededVent(c.Vents.Load(p))
		sizes := c.ventSizes()
		for i, s := range sizes {
			if math.Abs(float64(s-need)) < eps {
				j := i + int(steps.Value)
				return j < len(sizes) && float64(p.Size()) >= float64(sizes[j])-eps
			}
		}
		return false
	}
}

// longVent judges the longest way through each size, and its level share.
func longVent(c *Case) {
	for _, w := range c.VentWays() {
		r := w.First.Run
		if !w.Limit.OK || r.Existing {
			continue
		}
		section := c.use(w.Limit)
		size, most := quantity.FormatSize(w.Size), quantity.FormatLength(w.Limit.Metres())
		switch {
		case w.Length > w.Limit.Metres()+eps:
			j := Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Fact: "length", Section: section,
				Message:  fmt.Sprintf("vent %s runs %s in %s to the open air; %s allows %s", r.Subject(), quantity.FormatLength(w.Length), size, size, most),
				Measured: &Measure{round(w.Length/feet, 3), "ft", ""}, Limit: &Measure{w.Limit.Value, "ft", "max"},
				Remedy: "make the vent one size larger for its whole length, or shorten the way"}
			if w.ByStep {
				j.Message = fmt.Sprintf("vent %s runs %s in %s to the open air; over %s it is one size larger throughout", r.Subject(), quantity.FormatLength(w.Length), size, most)
			}
			c.say(j)
		case w.Whole:
			c.complies(r.Subject())
		default:
			c.undecided(r.Subject(), r.Copy, endsLoc(w.Gap.Run), "length of "+w.Gap.Run.Name(), "write the length of each leg")
		}
		if !w.Share.OK {
			continue
		}
		level := w.MostLevel()
		c.use(w.Share)
		if w.Level > level+eps {
			c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Fact: "level share", Section: c.use(w.Share),
				Message:  fmt.Sprintf("vent %s lies level for %s in %s; %s allows %s, one third of its length", r.Subject(), quantity.FormatLength(w.Level), size, size, quantity.FormatLength(level)),
				Measured: &Measure{round(w.Level/feet, 3), "ft", ""}, Limit: &Measure{round(level/feet, 3), "ft", "max"},
				Remedy: "make the vent one size larger for its whole length, or take it up sooner"})
		} else if w.Whole {
			c.complies(r.Subject())
		}
	}
}
