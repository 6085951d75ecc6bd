package rule

import (
	"cmp"
	"fmt"
	"slices"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/venting"
)

// methods are the rules that judge a method of venting by its own limits; the
// venting engine weighs them, and each reports here under its own name.
func methods() []Rule {
	rule := func(name, title, why, computed string) Rule {
		return Rule{Name: name, Family: "Vents", Severity: Correction, Title: title, Why: why, Computed: computed,
			Needs: []string{"legs", "size"}, Judge: func(c *Case) { methodFails(c, name) }}
	}
	return []Rule{
		rule("small-wet-vent", "Wet vent too small", "A wet vent carries waste and air at once. One that is too small fills and leaves no way for the air.",
			"The section between the dry vent and the connection is compared with the size its load asks."),
		rule("long-wet-vent", "Wet vent too long", "The further waste falls in the pipe that should bring air, the less air comes with it.",
			"The developed length of an upright wet vent, from the dry vent to the connection, is compared with the limit."),
		rule("foreign-wet-vent", "Fixture that may not use the wet vent", "Only small or bathroom fixtures of one storey discharge gently enough to share a pipe with the air of others.",
			"Kind, storey, order and number of the fixtures on a wet vent are compared with the book's conditions."),
		rule("small-common-vent", "Common vent pipe too small", "Where two fixtures share one upright pipe at two heights, the upper one's waste falls past the lower one's opening.",
			"The pipe between the two connections is compared with the table for the upper fixture's load."),
		rule("crowded-circuit-vent", "Too many fixtures on a circuit vent", "One vent breathes for a whole branch; past a number of fixtures it no longer keeps up with their surges.",
			"The traps that enter a circuit-vented branch without vents of their own are counted."),
		rule("misplaced-circuit-vent", "Circuit vent in the wrong place", "Between the two most upstream fixtures the vent is washed by the first and still ahead of all others.",
			"The point where the vent leaves the branch is compared with where the two most upstream arms enter."),
		rule("small-circuit-vent", "Circuit vent too small", "The circuit vent serves every trap on the branch.",
			"The vent's size is compared with the least for a circuit."),
		rule("uneven-circuit-branch", "Circuit-vented branch of uneven size or steep fall", "Air flows above the waste along the whole branch; a change of size or a steep fall breaks that path.",
			"The branch is one size from its most upstream fixture to its last, and no leg falls more than the book allows."),
		rule("overloaded-combination", "Combination waste and vent too small", "The pipe must stay half empty to carry its own air.",
			"The pipes of a combination system are compared with two sizes above normal, or with its table, as the book has it."),
		rule("long-combination-branch", "Long branch of a combination system without a vent", "Far from the vent the air above the waste stands still.",
			"The length of each branch is compared with that over which it is vented separately."),
		rule("unapproved-combination", "Combination waste and vent without approval", "Where the code leaves this method to the authority, an approval on record is what makes it lawful.",
			"A combination system under a book that asks for approval; a waiver with `approved` answers it."),
		rule("low-island-loop", "Island vent loop too low", "The higher the loop, the less often waste rises into it.",
			"The top of the loop is compared with the drainboard, taken as the fixture's flood rim."),
		rule("small-island-vent", "Island vent too small", "A loop that is too narrow neither breathes nor drains.",
			"Each pipe of the loop is compared with the size its fixture asks."),
		rule("missing-foot-vent", "Island vent without its foot vent", "The loop alone ends in the drain; only the foot vent brings outside air.",
			"The vent that comes down again is followed for a way to the open air, and its upright part for a cleanout."),
		rule("misplaced-island-return", "Island vent returned in the wrong place", "Returned upstream, or after another connection, the loop is flooded by the waste it should relieve.",
			"The point of return is compared with the foot of the fixture's drop."),
		rule("shared-island-drain", "Other fixtures on an island drain", "Waste from elsewhere upstream of the return washes into the loop.",
			"What drains in upstream of the returned vent is listed."),
		rule("barred-admittance-valve", "Air admittance valve where the code has none", "A valve that sticks open lets sewer gas into the room; some codes accept none.",
			"A vent that ends in an admittance valve, under a book that does not accept them."),
		{Name: "admittance-valve-limits", Family: "Vents", Severity: Correction, Title: "Air admittance valve outside its limits",
			Why:      "A valve too low is fouled by waste and sticks; a building with valves alone has nowhere to let pressure out.",
			Computed: "The height of each valve over the drain it serves is compared with the least, and the building is to have a vent to the open air.",
			Needs:    []string{"heights"}, Judge: admittanceLimits},
	}
}

// methodFails reports what the intended method of a trap breaks, each fact
// once, under its own rule.
func methodFails(c *Case, name string) {
	told := map[string]*Judgement{}
	for _, arm := range c.armsNamed() {
		if arm.Chosen == nil || arm.Trap.Pipe.Run.Existing {
			continue
		}
		broke := false
		for _, fail := range arm.Chosen.Fails {
			if fail.Rule != name || arm.Status != venting.Broken {
				continue
			}
			broke = true
			c.methodFail(arm, fail, told)
		}
		if !broke && appliesTo(name, arm.Chosen.Method) {
			c.complies(arm.Fixture.Name)
		}
	}
}

// findArmsByName lists the arms by their fixtures' names: the order of lines says
// nothing.
func (c *Case) findArmsByName() []*venting.Arm {
	arms := slices.Clone(c.Vents.Arms)
	slices.SortStableFunc(arms, func(a, b *venting.Arm) int { return cmp.Compare(a.Fixture.Name, b.Fixture.Name) })
	return arms
}

func (c *Case) methodFail(arm *venting.Arm, fail venting.Fail, told map[string]*Judgement) {
	name, f := fail.Rule, arm.Fixture
	subject, copy, loc := f.Name, f.Copy, c.fixtureLoc(f)
	if fail.Fixture != nil {
		subject, copy, loc = fail.Fixture.Name, fail.Fixture.Copy, c.fixtureLoc(fail.Fixture)
	}
	key := subject
	if fail.Pipe != nil {
		key = "pipe " + fail.Pipe.Line.Subject()
		if fail.Fixture != nil {
			key += " " + subject
		}
		switch {
		case fail.Unit == "in" && fail.Kind == "min" && name != "low-island-loop":
			loc = sizeLoc(fail.Pipe.Run)
		case name != "foreign-wet-vent" && name != "unapproved-combination":
			loc = endsLoc(fail.Pipe.Run)
		}
		if fail.Pipe.Run.Copy != copy {
			copy, loc = f.Copy, c.fixtureLoc(f)
		}
	}
	if fail.Fault != "" { // one fault of one wet vent, whichever arm tells it
		key = fail.Fault + " " + subject
		if fail.Fixture == nil && arm.Chosen.At != nil {
			key = fmt.Sprintf("%s at %d", fail.Fault, arm.Chosen.At.ID)
		}
	}
	if j := told[key]; j != nil {
		if fail.Fixture == f {
			return
		}
		j.Related = append(j.Related, Related{c.fixtureLoc(f), f.Name + " relies on it too"})
		return
	}
	j := Judgement{Answer: Breaks, Subject: subject, Copy: copy, Loc: loc, Message: fail.Message, Remedy: fail.Remedy, Section: c.use(fail.Cell)}
	if ch := arm.Chosen; ch.At != nil {
		j.Note = fmt.Sprintf("%s from %s", ch.Method, ch.At.Name())
	}
	if fail.Unit != "" {
		j.Measured, j.Limit = &Measure{round(fail.Measured, 3), fail.Unit, ""}, &Measure{round(fail.Limit, 3), fail.Unit, fail.Kind}
		if fail.Unit == "in" && fail.Kind == "min" && fail.Pipe != nil && name != "low-island-loop" && name != "uneven-circuit-branch" {
			small := []sized{{fail.Pipe.Run, quantity.Size(fail.Limit)}}
			for _, s := range fail.Further {
				small = append(small, sized{s.Pipe.Run, s.Need})
			}
			j.Fixes = resize(small)
		}
	}
	told[key] = c.say(j)
}

func appliesTo(rule string, m venting.Method) bool {
	switch rule {
	case "small-wet-vent", "foreign-wet-vent":
		return m == venting.VerticalWet || m == venting.HorizontalWet
	case "long-wet-vent":
		return m == venting.VerticalWet
	case "small-common-vent":
		return m == venting.Common
	case "crowded-circuit-vent", "misplaced-circuit-vent", "small-circuit-vent", "uneven-circuit-branch":
		return m == venting.Circuit
	case "overloaded-combination", "long-combination-branch", "unapproved-combination":
		return m == venting.Combination
	case "low-island-loop", "small-island-vent", "missing-foot-vent", "misplaced-island-return", "shared-island-drain":
		return m == venting.Island
	case "barred-admittance-valve":
		return m == venting.Admittance
	}
	return false
}

// admittanceLimits judges valves where the book accepts them.
func admittanceLimits(c *Case) {
	if !c.Book.Flag("admittance-valves") {
		return
	}
	above := c.Book.Number("admittance-above-branch")
	open := c.Book.Number("admittance-open-vents")
	vents, first := 0, (*system.Point)(nil)
	for _, t := range c.Sys.Points {
		switch {
		case t.Kind == system.ExistingVent:
			vents++
		case t.Kind == system.Terminal && t.Word != "admittance" && len(t.Node.VentIn) > 0:
			vents++
		}
	}
	vents += len(c.Sys.ExistingVents)
	for _, t := range c.Sys.Points {
		if t.Kind != system.Terminal || t.Word != "admittance" || len(t.Node.VentIn) == 0 {
			continue
		}
		if first == nil {
			first = t
		}
		z := t.Node.Pos[system.DWV][2]
		p := t.Node.VentIn[0]
		start := p
		for i := 0; i < 40 && len(start.From.VentIn) > 0; i++ {
			start = start.From.VentIn[0]
		}
		base := start.From.Pos[system.DWV][2]
		if !z.Known() || !base.Known() || !above.OK {
			c.undecided(t.Name, t.Copy, endsLoc(p.Run), "height of "+t.Name, "write the vent's legs, as `up 6\"`")
			continue
		}
		c.use(above)
		if rise := z.V - base.V; rise < above.Metres()-0.0008 {
			c.say(Judgement{Answer: Breaks, Subject: t.Name, Copy: t.Copy, Loc: endsLoc(p.Run), Section: c.use(above), Fact: "height",
				Message:  fmt.Sprintf("admittance valve %s stands %s above the branch it serves; %s is the least", t.Name, signedLength(rise), quantity.FormatLength(above.Metres())),
				Measured: &Measure{round(rise/0.0254, 3), "in", ""}, Limit: &Measure{above.Value, "in", "min"}, Remedy: "raise the valve"})
			continue
		}
		c.complies(t.Name)
	}
	if first == nil || !open.OK {
		return
	}
	c.use(open)
	if float64(vents) < open.Value {
		c.say(Judgement{Answer: Breaks, Subject: first.Name, Copy: first.Copy, Loc: first.Loc, Section: c.use(open), Fact: "open vent",
			Message:  "the building has admittance valves and no vent to the open air",
			Measured: &Measure{float64(vents), "count", ""}, Limit: &Measure{open.Value, "count", "min"}, Remedy: "carry at least one vent through the roof"})
		return
	}
	c.complies(first.Name)
}
