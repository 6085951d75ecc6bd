package rule

import (
	"fmt"
	"slices"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
	"crownweir/lint/venting"
)

func traps() []Rule {
	return []Rule{
		{Name: "missing-trap", Family: "Traps", Severity: Correction, Title: "Fixture without a trap",
			Why:      "The water in a trap is all that keeps sewer gas out of the room. Without one, gas and vermin come up through the fixture.",
			Computed: "The waste of each fixture is followed until it meets a trap; kinds with a trap of their own, and what wastes through an air gap or break, need none.",
			Needs:    []string{"trap"}, Judge: missingTrap},
		{Name: "small-trap", Family: "Traps", Severity: Correction, Title: "Trap too small",
			Why:      "A trap smaller than the fixture's waste asks, or than the arm behind it, clogs and is sucked dry by its own discharge.",
			Computed: "The trap's size is compared with the least for the kind, with what the maker asks, and with its arm.",
			Needs:    []string{"trap size"}, Judge: smallTrap},
		{Name: "large-trap", Family: "Traps", Severity: Correction, Title: "Trap larger than its arm",
			Why:      "A trap wider than the pipe behind it is not scoured, and its waste runs out against a step.",
			Computed: "The trap's size is compared with that of the pipe behind it.",
			Needs:    []string{"trap size"}, Judge: largeTrap},
		{Name: "long-trap-arm", Family: "Traps", Severity: Correction, Title: "Trap arm longer than its size allows",
			Why:      "Over too long an arm the pipe fills before air arrives, and the discharge siphons the trap behind it dry.",
			Computed: "The developed length from the weir (a closet's flange) to the vent that protects the trap is compared with the limit for the trap's size.",
			Needs:    []string{"legs", "trap size"}, Judge: longTrapArm},
		{Name: "short-trap-arm", Family: "Traps", Severity: Correction, Title: "Vent too close behind the trap",
			Why:      "A vent at the crown of a trap is soiled by every discharge and soon closes.",
			Computed: "The developed length from the weir to the vent is compared with two diameters of the arm.",
			Needs:    []string{"legs", "trap size"}, Judge: shortTrapArm},
		{Name: "s-trap", Family: "Traps", Severity: Correction, Title: "Arm that turns down before any vent",
			Why:      "Where the arm drops before air can enter, the falling water pulls the seal after it: a trap that empties itself lets sewer gas in.",
			Computed: "The waste is followed from the weir; it turns downward before any vent is met. A closet's first drop is its own.",
			Needs:    []string{"legs"}, Judge: sTrap},
	}
}

// fixtureLoc is where a trap finding points: the fixture's drain line.
func (c *Case) fixtureLoc(f *system.Point) system.Loc {
	if len(f.Node.DrainOut) > 0 {
		r := f.Node.DrainOut[0].Run
		return system.Loc{File: r.File, Span: r.Stmt.From.Span}
	}
	return f.Loc
}

func missingTrap(c *Case) {
	for _, f := range c.Sys.Points {
		if f.Kind != system.Fixture || f.Existing || len(f.Node.DrainOut) == 0 || f.Fixture.Name == "" {
			continue // a kind that is not known may bring its own trap
		}
		p := f.Node.DrainOut[0]
		if f.Fixture.OwnTrap || p.Kind() == system.Indirect || p.Kind() == system.Discharge || p.Run.Existing {
			c.complies(f.Name)
			continue
		}
		if t := c.Sys.TrapOf(f); t != nil {
			c.complies(f.Name)
			continue
		}
		if p.FirstLeg() == nil && len(p.Parts) == 0 {
			c.undecided(f.Name, f.Copy, endsLoc(p.Run), "items of "+p.Run.Name(), "write its trap and legs, as `: trap, east 2'`")
			continue
		}
		j := Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: c.fixtureLoc(f),
			Message: fmt.Sprintf("%s %s has no trap", f.Fixture.Title, f.Name),
			Remedy:  fmt.Sprintf("write `trap` at the head of %s", p.Run.Name()), Basis: "plan"}
		if loc, ok := f.Without["trap"]; ok {
			j.Loc, j.Basis = loc, "found"
		}
		if items := p.Run.Stmt.Items; len(items) > 0 {
			at := system.Loc{File: p.Run.File, Span: grammar.Span{Start: items[0].Span.Start, End: items[0].Span.Start}}
			j.Fixes = []Fix{{Title: "write a trap first", Edits: []Edit{{at, "trap, "}}}}
		}
		c.say(j)
	}
}

// TrapAsk is the least trap of a fixture and who asks it: the book for its
// kind, its maker, or the waste that reaches it as a receptor.
type TrapAsk struct {
	Size  quantity.Size
	Cell  codebook.Cell
	Maker bool
	Waste float64 // units received, where they decide
}

// AskedTrap is the largest that is asked of a fixture's trap; not ok where
// nothing asks a size.
func (c *Case) AskedTrap(f *system.Point) (ask TrapAsk, ok bool) {
	cell := c.Book.Table("fixture-units").At(c.Ledger.Row(f), "trap")
	if !cell.OK {
		cell = c.Book.Table("fixture-units").At(f.Word, "trap")
	}
	ask, ok = TrapAsk{Size: quantity.Size(cell.Value), Cell: cell}, cell.OK
	if s, cl, units := c.receptorTrap(f); s > ask.Size {
		ask, ok = TrapAsk{Size: s, Cell: cl, Waste: units}, true
	}
	if a, written := f.Attr("trap"); written {
		if s, fine := a.Size(); fine && float64(s) > float64(ask.Size)+eps {
			return TrapAsk{Size: s, Cell: ask.Cell, Maker: true}, true
		}
	}
	return ask, ok
}

// receptorTrap is the least trap that may take the units wasted into a
// receptor; 0 where the book sets none or nothing drains into it.
func (c *Case) receptorTrap(f *system.Point) (quantity.Size, codebook.Cell, float64) {
	if !c.Book.Flag("trap-takes-units") || f.Word != "floor-sink" && f.Word != "floor-drain" {
		return 0, codebook.Cell{}, 0
	}
	if !slices.ContainsFunc(f.Node.DrainIn, func(p *system.Pipe) bool { return p.Kind() == system.Indirect }) {
		return 0, codebook.Cell{}, 0
	}
	load := c.Ledger.Received(f).Load
	table := c.Book.Table("trap-units")
	for _, s := range table.Sizes() {
		if cell := table.BySize(s, "units"); cell.OK && cell.Value >= load.Units-eps {
			return s, cell, load.Units
		}
	}
	return 0, codebook.Cell{}, 0
}

// trapTooSmall: the pipe leaves a trap smaller than what wastes into it asks.
func (c *Case) trapTooSmall(p *system.Pipe) bool {
	f := p.From.Find(system.Fixture)
	if f == nil || c.Sys.TrapOf(f) == nil {
		return false
	}
	ask, ok := c.AskedTrap(f)
	return ok && ask.Waste > 0 && float64(c.Sys.TrapOf(f).Size) < float64(ask.Size)-eps
}

func smallTrap(c *Case) {
	for _, t := range c.Sys.Traps {
		if len(t.Fixtures) == 0 || t.Pipe.Run.Existing {
			continue
		}
		f := t.Fixtures[0]
		if f.Existing || f.Word == "water-closet" {
			continue
		}
		if t.Size == 0 {
			if !t.Solve && !t.Pipe.Run.Solve {
				c.undecided(f.Name, f.Copy, t.Loc, "size of the trap of "+f.Name, "write the run's size, or `trap 2\"`")
			}
			continue
		}
		var ask TrapAsk
		any, who := false, f
		for _, g := range t.Fixtures {
			if a, ok := c.AskedTrap(g); ok && a.Size > ask.Size {
				ask, any, who = a, true, g
			}
		}
		need, cell := ask.Size, ask.Cell
		arm := t.Pipe.Size()
		copy := t.Pipe.Run.Copy
		switch {
		case any && float64(t.Size) < float64(need)-eps:
			msg := fmt.Sprintf("trap of %s is %s; a %s asks %s", who.Name, quantity.FormatSize(t.Size), who.Fixture.Title, quantity.FormatSize(need))
			switch {
			case ask.Waste > 0:
				msg = fmt.Sprintf("trap of %s is %s; what wastes into it is %s units, which ask %s", who.Name, quantity.FormatSize(t.Size), sizing.Trim(ask.Waste), quantity.FormatSize(need))
			case ask.Maker:
				msg = fmt.Sprintf("trap of %s is %s; its maker asks %s", who.Name, quantity.FormatSize(t.Size), quantity.FormatSize(need))
			}
			j := Judgement{Answer: Breaks, Subject: who.Name, Copy: copy, Loc: t.Loc, Message: msg, Section: c.use(cell),
				Measured: &Measure{float64(t.Size), "in", ""}, Limit: &Measure{float64(need), "in", "min"}, Basis: basisOf(t.Pipe.Run, "size"),
				Remedy: fmt.Sprintf("make trap and arm %s", quantity.FormatSize(need))}
			if !t.Written {
				j.Fixes = upsize(t.Pipe.Run, quantity.FormatSize(need))
			}
			if t.Own {
				j.Loc = sizeLoc(t.Pipe.Run)
			}
			c.say(j)
		case t.Written && arm > 0 && float64(t.Size) < float64(arm)-eps:
			c.say(Judgement{Answer: Breaks, Subject: f.Name, Copy: copy, Loc: t.Loc,
				Message:  fmt.Sprintf("trap of %s is %s before an arm of %s; the two are one size", f.Name, quantity.FormatSize(t.Size), quantity.FormatSize(arm)),
				Measured: &Measure{float64(t.Size), "in", ""}, Limit: &Measure{float64(arm), "in", "min"},
				Remedy: fmt.Sprintf("make the trap %s, or the arm %s", quantity.FormatSize(arm), quantity.FormatSize(t.Size))})
		case any:
			c.use(cell)
			c.complies(f.Name)
		}
	}
}

func largeTrap(c *Case) {
	for _, t := range c.Sys.Traps {
		if len(t.Fixtures) == 0 || t.Own || !t.Written || t.Pipe.Run.Existing || t.Pipe.Size() == 0 || t.Size == 0 {
			continue
		}
		f := t.Fixtures[0]
		if float64(t.Size) <= float64(t.Pipe.Size())+eps {
			c.complies(f.Name)
			continue
		}
		c.say(Judgement{Answer: Breaks, Subject: f.Name, Copy: t.Pipe.Run.Copy, Loc: t.Loc,
			Message:  fmt.Sprintf("trap of %s is %s; the arm behind it is %s", f.Name, quantity.FormatSize(t.Size), quantity.FormatSize(t.Pipe.Size())),
			Measured: &Measure{float64(t.Size), "in", ""}, Limit: &Measure{float64(t.Pipe.Size()), "in", "max"},
			Remedy: fmt.Sprintf("make the arm %s, or the trap %s", quantity.FormatSize(t.Size), quantity.FormatSize(t.Pipe.Size()))})
	}
}

// armLoc covers the legs of an arm that stand in its trap's own run.
func (c *Case) armLoc(arm *venting.Arm) system.Loc {
	r := arm.Trap.Pipe.Run
	first, last := -1, -1
	for _, s := range c.ArmStretches(arm) {
		if s.Pipe.Run != r {
			break
		}
		for i := s.From; i < s.To; i++ {
			if pt := &s.Pipe.Parts[i]; pt.IsLeg() {
				if first < 0 {
					first = pt.Index
				}
				last = pt.Index
			}
		}
	}
	return itemSpan(r, first, last)
}

// foundArm is an arm's length as measured on site.
func foundArm(arm *venting.Arm) (float64, system.Loc, bool) {
	r := arm.Trap.Pipe.Run
	if a, ok := r.FoundVal["arm"]; ok {
		if q, ok := a.Qty(); ok {
			return q.SI, r.FoundAt["arm"], true
		}
	}
	for _, f := range arm.Trap.Fixtures {
		if loc, ok := f.FoundAt["arm"]; ok {
			if a, ok := f.Attr("arm"); ok {
				if q, ok := a.Qty(); ok {
					return q.SI, loc, true
				}
			}
		}
	}
	return 0, system.Loc{}, false
}

func longTrapArm(c *Case) {
	for _, arm := range c.Vents.Arms {
		if arm.Chosen == nil || arm.Status == venting.Indirect || arm.Trap.Pipe.Run.Existing || arm.Chosen.Claimed {
			continue
		}
		f := arm.Fixture
		dist, loc, basis := arm.Chosen.Dist, c.armLoc(arm), "plan"
		if v, at, found := foundArm(arm); found {
			dist, loc, basis = system.Num{V: v, Origin: system.Found}, at, "found"
		}
		allowed, most := c.Vents.ArmLimits(arm)
		if !allowed.OK {
			continue
		}
		if !dist.Known() {
			c.undecided(f.Name, f.Copy, loc, "length of the arm of "+f.Name, "write the length of every leg from its trap to its vent")
			continue
		}
		c.use(allowed, most)
		if dist.V <= allowed.Metres()+eps {
			c.complies(f.Name)
			continue
		}
		size, limit := arm.Trap.Size, most.Metres()
		what := fmt.Sprintf("%s allows %s", quantity.FormatSize(size), quantity.FormatLength(limit))
		switch {
		case arm.Closet:
			what = fmt.Sprintf("a closet's may be %s", quantity.FormatLength(limit))
		case dist.V <= limit+eps:
			c.armBetween(arm, dist.V, loc, basis, allowed, most)
			continue
		case most.Value > allowed.Value:
			what = fmt.Sprintf("even a larger one may be no more than %s", quantity.FormatLength(limit))
		}
		j := Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: loc, Basis: basis,
			Message:  fmt.Sprintf("trap arm of %s is %s developed; %s", f.Name, quantity.FormatLength(dist.V), what),
			Measured: &Measure{round(dist.V/0.0254, 3), "in", ""}, Limit: &Measure{round(limit/0.0254, 3), "in", "max"}, Section: c.use(most),
			Remedy: fmt.Sprintf("take a vent off within %s of the weir", quantity.FormatLength(allowed.Metres()))}
		if v := arm.Chosen.Vent; v != nil {
			j.Note = fmt.Sprintf("trap arm; its vent %s is taken off at %s", v.Run.Subject(), arm.Chosen.At.Name())
			j.Related = []Related{{endsLoc(v.Run), "vent taken off here"}}
		}
		if !arm.Closet {
			table := c.Book.Table("trap-arm")
			for _, s := range table.Sizes() {
				if float64(s) <= float64(size)+eps {
					continue
				}
				big := table.BySize(s, "max")
				if !big.OK {
					break
				}
				j.Remedy += fmt.Sprintf(", or make trap and arm %s (allows %s)", quantity.FormatSize(s), quantity.FormatLength(big.Metres()))
				if over := dist.V - big.Metres(); over > eps {
					j.Remedy += fmt.Sprintf(", which is still %s short", quantity.FormatLength(over))
				}
				break
			}
		}
		c.say(j)
	}
}

func shortTrapArm(c *Case) {
	for _, arm := range c.Vents.Arms {
		if arm.Chosen == nil || arm.Closet || arm.Trap.Own || arm.Status == venting.Indirect || arm.Trap.Pipe.Run.Existing || arm.Chosen.Claimed {
			continue
		}
		size := arm.Trap.Size
		if size == 0 || !arm.Chosen.Dist.Known() {
			continue
		}
		diameters := c.Book.Number("arm-min-diameters")
		if !diameters.OK {
			continue
		}
		limit := diameters.Value * float64(size) * 0.0254
		f := arm.Fixture
		dist, loc, basis := arm.Chosen.Dist.V, c.armLoc(arm), "plan"
		if v, at, found := foundArm(arm); found {
			dist, loc, basis = v, at, "found"
		}
		c.use(diameters)
		if dist >= limit-eps {
			c.complies(f.Name)
			continue
		}
		c.say(Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: loc, Basis: basis, Section: c.use(diameters),
			Message:  fmt.Sprintf("vent of %s is taken off %s behind the weir; %s asks %s, two diameters", f.Name, quantity.FormatLength(dist), quantity.FormatSize(size), quantity.FormatLength(limit)),
			Measured: &Measure{round(dist/0.0254, 3), "in", ""}, Limit: &Measure{round(limit/0.0254, 3), "in", "min"},
			Remedy: fmt.Sprintf("lengthen the arm to %s or more", quantity.FormatLength(limit))})
	}
}

func sTrap(c *Case) {
	for _, arm := range c.Vents.Arms {
		if arm.Trap.Pipe.Run.Existing || arm.Status == venting.Indirect {
			continue
		}
		if arm.Status != venting.STrap {
			c.complies(arm.Fixture.Name)
			continue
		}
		f := arm.Fixture
		r := arm.EndPipe.Run
		idx := arm.EndPipe.Parts[arm.EndPart].Index
		j := Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: itemSpan(r, idx, idx),
			Message: fmt.Sprintf("arm of %s turns down in %s before any vent: an s-trap", f.Name, r.Name()),
			Remedy:  "take a vent off where the arm turns down"}
		if limit, _, ok := c.Vents.ArmLimit(arm); ok {
			j.Remedy = fmt.Sprintf("take a vent off where the arm turns down, within %s of the weir", quantity.FormatLength(limit))
		}
		if arm.Length.Known() && arm.Length.V > 0 {
			j.Note = fmt.Sprintf("%s from the weir", quantity.FormatLength(arm.Length.V))
		}
		c.say(j)
	}
}

// story tells a walk: where it ended, and what each way to the air lacked.
func story(arm *venting.Arm) string {
	var parts []string
	for _, c := range arm.Candidates {
		s := string(c.Method)
		if c.Node != nil {
			s += " at " + c.Node.Name()
		}
		switch {
		case c.Never != "":
			s += ": " + c.Never
		case c.Unsure != "":
			s += ": " + c.Unsure
		case len(c.Fails) > 0 && c.Fails[0].Message != "":
			s += ": " + c.Fails[0].Message
		}
		if len(parts) < 4 {
			parts = append(parts, s)
		}
	}
	end := "the walk from the weir " + arm.Why
	if arm.Length.Known() && arm.Length.V > 0 {
		end += fmt.Sprintf(" after %s", quantity.FormatLength(arm.Length.V))
	}
	if len(parts) == 0 {
		return end + " and meets no vent"
	}
	return end + "; " + strings.Join(parts, "; ")
}
