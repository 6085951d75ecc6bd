package rule

import (
	"fmt"

	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/venting"
)

// flatVentTakeoff judges vents that leave a level drain by a level leg, where
// the plan writes the fitting.
func flatVentTakeoff(c *Case) {
	flag, roll := c.Book.FlagCell("vent-takeoff-above-centre"), c.Book.Number("vent-takeoff-roll")
	if !c.Book.Flag("vent-takeoff-above-centre") {
		return
	}
	for _, pt := range c.Sys.Points {
		f, ok := c.junctionAt(pt)
		if !ok || len(pt.Node.VentOut) == 0 {
			continue
		}
		out := departs(f.out)
		if out == nil || out.posture != system.LevelLeg {
			continue
		}
		for _, v := range pt.Node.VentOut {
			if v.Run.Existing || c.islandVent(v) {
				continue
			}
			c.takeoff(f, v, flag, roll)
		}
	}
}

func (c *Case) takeoff(f junction, v *system.Pipe, flag, roll codebook.Cell) {
	r, name := v.Run, f.point.Name
	first := departs(v)
	if first == nil {
		return
	}
	section := c.use(flag, roll)
	if first.posture == system.Upright {
		c.complies(r.Subject())
		return
	}
	if _, back := f.point.Attr("on-back"); back {
		c.complies(r.Subject())
		return
	}
	deg := 0.0
	lies := "lies flat"
	if a, ok := f.point.Attr("rolled"); ok {
		if a.Unknown() {
			c.say(Judgement{Answer: Undecided, Subject: r.Subject(), Copy: r.Copy, Loc: f.point.Loc, Missing: "roll of " + name, Write: "write `rolled 45` on it", Asked: true})
			return
		}
		if q, ok := a.Qty(); ok {
			deg = q.SI
			lies = fmt.Sprintf("is rolled %.0f degrees", deg)
		}
	}
	if deg >= roll.Value-eps {
		c.complies(r.Subject())
		return
	}
	loc := endsLoc(r)
	if leg := v.FirstLeg(); leg != nil {
		loc = itemSpan(r, leg.Index, leg.Index)
	}
	fitting, basis := f.loc()
	j := Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: loc, Basis: basis, Section: section,
		Message:  fmt.Sprintf("vent %s leaves the level drain at %s by a level leg, and the %s there %s; it is to be taken off above the centre line", r.Subject(), name, f.point.Word, lies),
		Measured: &Measure{deg, "deg", ""}, Limit: &Measure{roll.Value, "deg", "min"},
		Remedy:  fmt.Sprintf("roll the %s up by %.0f degrees or more, or take the vent straight up", f.point.Word, roll.Value),
		Related: []Related{{fitting, "the fitting"}}}
	_, rolled := f.point.Attr("rolled")
	if d := f.point.Decl; basis == "plan" && !rolled && d != nil && d.Kind.Span.End > d.Kind.Span.Start {
		at := d.Kind.Span
		at.Start = at.End
		text := fmt.Sprintf("rolled %.0f", roll.Value)
		j.Fixes = []Fix{{Title: "write " + text, Edits: []Edit{{system.Loc{File: f.point.File, Span: at}, " " + text}}}}
	}
	if basis == "found" {
		j.Loc = fitting
	}
	c.say(j)
}

// islandVent: the vent is part of an island's loop or its foot vent.
func (c *Case) islandVent(v *system.Pipe) bool {
	for _, arm := range c.Vents.Protects(v) {
		if arm.Chosen.Method == venting.Island {
			return true
		}
	}
	return v.Run.Claim == "island"
}
