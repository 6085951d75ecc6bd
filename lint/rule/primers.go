package rule

import (
	"fmt"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/sizing"
	"crownweir/lint/venting"
)

// primed tells whether a primer or a barrier keeps a fixture's trap, or other
// waste keeps it full.
func (c *Case) primed(f *system.Point, t *system.Trap) bool {
	if _, missing := f.Without["primer"]; !missing {
		if _, ok := f.Attr("primer"); ok {
			return true
		}
	}
	if t.Part >= 0 {
		if _, ok := grammar.FindAttr(t.Pipe.Parts[t.Part].Item.Attrs, "barrier"); ok {
			return true
		}
	}
	for _, g := range t.Fixtures {
		if g.Word != "floor-drain" && g.Word != "floor-sink" {
			return true
		}
	}
	way, _ := trapWay(f, t)
	for _, p := range way {
		if len(p.From.DrainIn) > 0 {
			return true // other waste runs through it
		}
		if hasDevice(p, "primer") {
			return true
		}
		for _, w := range p.From.WaterIn {
			if hasDevice(w, "primer") {
				return true
			}
		}
	}
	return false
}

func hasDevice(p *system.Pipe, word string) bool {
	for i := range p.Parts {
		if p.Parts[i].IsDevice(word) {
			return true
		}
	}
	return false
}

func unprimedTrap(c *Case) {
	if !c.Book.Flag("trap-primer") {
		return
	}
	cell := c.Book.FlagCell("trap-primer")
	for _, f := range c.Sys.Points {
		if f.Kind != system.Fixture || f.Existing || f.Word != "floor-drain" && f.Word != "floor-sink" {
			continue
		}
		t := c.Sys.TrapOf(f)
		if t == nil || t.Pipe.Run.Existing {
			continue
		}
		if a, ok := f.Attr("primer"); ok && a.Unknown() {
			c.say(Judgement{Answer: Undecided, Subject: f.Name, Asked: true})
			continue
		}
		c.use(cell)
		if c.primed(f, t) {
			c.complies(f.Name)
			continue
		}
		j := Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: t.Loc, Basis: "plan", Section: c.use(cell),
			Message: fmt.Sprintf("trap of %s %s has neither primer nor barrier", f.Fixture.Title, f.Name),
			Remedy:  "give it a trap primer or a barrier"}
		if f.Word == "floor-sink" {
			_, units := f.Attr("units")
			_, flow := f.Attr("flow")
			if units || flow {
				c.complies(f.Name)
				continue
			}
			j.Answer, j.Severity = Undecided, Caution
			j.Message = fmt.Sprintf("nothing is drawn that drains into floor sink %s, and its trap has neither primer nor barrier", f.Name)
			j.Remedy = "draw what drains into it, or give it a primer or a barrier"
		}
		if loc, ok := f.Without["primer"]; ok {
			j.Loc, j.Basis = loc, "found"
		} else if t.Part >= 0 {
			end := t.Pipe.Parts[t.Part].Item.Span.End
			j.Fixes = []Fix{{Title: "give the trap a barrier", Edits: []Edit{{system.Loc{File: t.Pipe.Run.File, Span: grammar.Span{Start: end, End: end}}, " barrier"}}}}
		}
		c.say(j)
	}
}

// steepMethods are the ways of venting whose arm runs from weir to vent.
var steepMethods = map[venting.Method]bool{
	venting.Individual: true, venting.Common: true, venting.VerticalWet: true, venting.HorizontalWet: true,
	venting.Circuit: true, venting.Island: true, venting.Admittance: true,
}

func steepTrapArm(c *Case) {
	most := c.Book.Number("arm-fall-diameters")
	if !most.OK {
		return
	}
	for _, arm := range c.Vents.Arms {
		t := arm.Trap
		if arm.Chosen == nil || arm.Closet || arm.Status == venting.Indirect || t.Pipe.Run.Existing || arm.Chosen.Claimed || !steepMethods[arm.Chosen.Method] {
			continue
		}
		size := t.Size
		if size == 0 {
			continue
		}
		f, loc, basis := arm.Fixture, c.armLoc(arm), "plan"
		fall, whole, legs := 0.0, true, 0
		var only *system.Part
		var run *system.Run
		for _, s := range c.ArmStretches(arm) {
			for i := s.From; i < s.To; i++ {
				pt := &s.Pipe.Parts[i]
				if !pt.IsLeg() || pt.Posture != system.LevelLeg {
					continue
				}
				legs, only, run = legs+1, pt, s.Pipe.Run
				d := pt.Drop()
				if !d.Known() {
					whole = false
					continue
				}
				fall += d.V
				if at, ok := run.FoundAt["fall"]; ok && pt.Fall.Origin == system.Found {
					loc, basis = at, "found"
				}
			}
		}
		limit := most.Value * float64(size) * 0.0254
		c.use(most)
		if fall <= limit+eps {
			if whole {
				c.complies(f.Name)
			} else {
				c.undecided(f.Name, f.Copy, loc, "length of the arm of "+f.Name, "write the length of every leg from its trap to its vent")
			}
			continue
		}
		j := Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: loc, Basis: basis, Section: c.use(most),
			Message:  fmt.Sprintf("trap arm of %s falls %s from weir to vent; %s may fall %s, its diameter", f.Name, quantity.FormatLength(fall), quantity.FormatSize(size), quantity.FormatLength(limit)),
			Measured: &Measure{round(fall/0.0254, 3), "in", ""}, Limit: &Measure{round(limit/0.0254, 3), "in", "max"},
			Remedy: "lay the arm flatter, or take the vent off nearer to the weir"}
		if legs == 1 && basis == "plan" {
			j.Fixes = c.flatterFix(run, only, limit)
		}
		c.say(j)
	}
}

// flatterFix writes the code's least fall on a leg where that is flat enough.
func (c *Case) flatterFix(r *system.Run, pt *system.Part, limit float64) []Fix {
	cell := c.Book.Table("least-fall").BySize(r.Size, "fall")
	if !cell.OK || sizing.InchesPerFoot(pt.Fall.V) <= cell.Value+1e-4 || cell.Value/12*pt.Length.V > limit+eps {
		return nil
	}
	return c.relay("lay it at "+fraction(cell.Value), []graded{{r, pt, cell.Value}})
}
