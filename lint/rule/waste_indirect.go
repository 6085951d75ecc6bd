package rule

import (
	"fmt"
	"slices"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/venting"
)

// dwellingRoom tells whether a room belongs to a dwelling. A room whose use is
// written belongs to one only where the plan says so; any other takes the
// plan's occupancy.
func (c *Case) dwellingRoom(r *system.Room) bool {
	h := c.Sys.Header
	switch {
	case r.Access != "":
		return r.Access == "private"
	case r.Dwelling != "":
		return true
	case h.OccWritten:
		return h.Occupancy == "private"
	case r.Use != "":
		return len(c.Sys.Dwellings) > 0
	}
	return h.Occupancy == "private"
}

// atHome is dwellingRoom for a fixture, whose own word goes first.
func (c *Case) atHome(f *system.Point) bool {
	if a, ok := f.Attr("occupancy"); ok {
		return a.Text() == "private"
	}
	if f.Room != nil {
		return c.dwellingRoom(f.Room)
	}
	return c.Ledger.Occupancy(f) == "private"
}

// usedFor tells whether a fixture stands in a room of a use, outside dwellings.
func (c *Case) usedFor(f *system.Point, use string) bool {
	return f.Room != nil && f.Room.Use == use && !c.atHome(f)
}

// parting is how a fixture's waste leaves it, as far as it runs alone.
type parting struct {
	gap, brk bool
	receptor *system.Point // the fixture it runs into, or nil
	last     *system.Pipe  // the pipe it meets other waste by
	at       system.Loc    // a found line that says the break is missing
	found    bool
}

func (c *Case) parting(f *system.Point, p *system.Pipe) parting {
	w := parting{}
	for n := 0; n <= len(c.Sys.Pipes); n++ {
		w.last = p
		for _, d := range []struct {
			word string
			has  *bool
		}{{"air-gap", &w.gap}, {"air-break", &w.brk}} {
			_, ok, at, found := siteDevice(p, d.word)
			*d.has = *d.has || ok
			if !ok && found {
				w.at, w.found = at, true
			}
		}
		end := p.To
		if w.receptor = end.Find(system.Fixture); w.receptor != nil || len(end.DrainOut) == 0 {
			break
		}
		next := end.DrainOut[0]
		if len(end.DrainIn) > 1 && (p.Kind() != system.Indirect || next.Kind() != system.Indirect) {
			break
		}
		p = next
	}
	if at, ok := f.Without["air-gap"]; ok {
		w.gap, w.at, w.found = false, at, true
	}
	if at, ok := f.Without["air-break"]; ok {
		w.brk, w.at, w.found = false, at, true
	}
	return w
}

// wasteLoc is where a finding on a fixture's waste points.
func (w parting) wasteLoc(r *system.Run) (system.Loc, string) {
	if w.found {
		return w.at, "found"
	}
	return endsLoc(r), "plan"
}

func missingAirGap(c *Case) {
	asked, least := c.Book.FlagCell("dishwasher-air-gap"), c.Book.Number("drain-air-gap-least")
	for _, f := range c.Sys.Points {
		if f.Kind != system.Fixture || f.Existing {
			continue
		}
		for _, p := range f.Node.DrainOut {
			r := p.Run
			if r.Existing {
				continue
			}
			c.airGapLength(f, p, least)
			if f.Word != "dishwasher" || !c.Book.Flag("dishwasher-air-gap") || c.usedFor(f, "food") {
				continue
			}
			c.use(asked)
			w := c.parting(f, p)
			if w.gap {
				c.complies(f.Name)
				continue
			}
			to := w.last.To.Name()
			how := "reaches " + to + " without an air gap"
			if w.receptor != nil {
				if _, ok := w.receptor.Attr("disposer"); ok || w.receptor.Word == "food-waste-disposer" {
					how = "is tied to the disposer of " + to + " without an air gap"
				}
			}
			if w.brk {
				how += "; an air break does not do"
			}
			loc, basis := w.wasteLoc(r)
			j := Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: loc, Basis: basis, Section: c.use(asked),
				Message: fmt.Sprintf("waste of dishwasher %s %s", f.Name, how),
				Remedy:  fmt.Sprintf("put a listed air gap fitting above the rim and write `indirect %s to %s: air-gap`", f.Name, to)}
			if p.Kind() == system.Indirect && basis == "plan" {
				j.Fixes = appendItem(r, "air-gap")
			}
			c.say(j)
		}
	}
}

// airGapLength judges an air gap on a waste whose length is written.
func (c *Case) airGapLength(f *system.Point, p *system.Pipe, least codebook.Cell) {
	i, ok, _, _ := siteDevice(p, "air-gap")
	if !least.OK || !ok || i < 0 {
		return
	}
	a, _ := grammar.FindAttr(p.Parts[i].Item.Attrs, "length")
	q, ok := a.Qty()
	if !ok {
		return
	}
	section := c.use(least)
	if q.SI >= least.Metres()-touch {
		c.complies(f.Name)
		return
	}
	need := quantity.FormatLength(least.Metres())
	loc := system.Loc{File: p.Run.File, Span: p.Parts[i].Item.Span}
	c.say(Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: loc, Section: section, Fact: "length",
		Message:  fmt.Sprintf("air gap of %s is %s; a drain's is %s at least", f.Name, quantity.FormatLength(q.SI), need),
		Measured: &Measure{heightInches(q.SI), "in", ""}, Limit: &Measure{heightInches(least.Metres()), "in", "min"},
		Remedy: "raise its end to " + need + " above the receptor's rim",
		Fixes:  []Fix{{Title: "make the air gap " + need, Edits: []Edit{{loc, "air-gap " + need}}}}})
}

// indirectAsk tells whether the book has a fixture waste indirectly where it
// stands; food tells that it handles food. The book writes the uses of rooms,
// `public` for any place outside dwellings, or `any`.
func (c *Case) indirectAsk(f *system.Point) (food, asked bool, cell codebook.Cell) {
	where, cell := c.Book.Table("indirect-waste").Word(f.Word, "where")
	words := strings.Fields(where)
	carries, _ := f.Attr("waste")
	for _, w := range words {
		switch w {
		case "any":
			asked = true
		case "public":
			asked = asked || !c.atHome(f)
		default:
			asked = asked || c.usedFor(f, w) || carries.Text() == w && !c.atHome(f)
		}
	}
	return f.Word != "equipment" && slices.Contains(words, "food"), asked, cell
}

func (c *Case) directWaste(food bool) {
	if food && !c.Book.Flag("food-waste-indirect") {
		return
	}
	for _, f := range c.Sys.Points {
		if f.Kind != system.Fixture || f.Existing || len(f.Node.DrainOut) == 0 {
			continue
		}
		kind, asked, cell := c.indirectAsk(f)
		if !asked || kind != food {
			continue
		}
		section := c.use(cell)
		broken := false
		for _, p := range f.Node.DrainOut {
			w := c.parting(f, p)
			if w.gap || w.brk || p.Run.Existing {
				continue
			}
			broken = true
			what := "a machine of its kind"
			if food {
				what = "what handles food"
			}
			how, tail := "drains straight into "+w.last.Run.Subject(), "wastes through an air gap or air break"
			if w.receptor != nil {
				how = "runs into " + w.receptor.Name + " without an air gap or air break"
				tail = "wastes through one"
			}
			if len(w.last.To.DrainIn) <= 1 && w.receptor == nil && w.last == p {
				how = "drains straight to " + w.last.To.Name()
			}
			loc, basis := w.wasteLoc(p.Run)
			j := Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: loc, Basis: basis, Section: section,
				Message: fmt.Sprintf("%s %s %s; %s %s", f.Fixture.Title, f.Name, how, what, tail),
				Remedy:  fmt.Sprintf("end its waste above a receptor: `indirect %s to …: …, air-gap`", f.Name)}
			if p.Kind() == system.Indirect && w.receptor != nil && basis == "plan" {
				j.Fixes = appendItem(w.last.Run, "air-gap")
			}
			c.say(j)
			break
		}
		if !broken {
			c.complies(f.Name)
		}
	}
}

func joinedIndirectWaste(c *Case) {
	asked := c.Book.FlagCell("indirect-waste-separate")
	if !c.Book.Flag("indirect-waste-separate") {
		return
	}
	from := make([][]*system.Point, len(c.Sys.Nodes))
	told := map[*system.Line]bool{}
	for _, n := range c.Sys.DrainOrder() {
		own := n.Find(system.Fixture)
		if own != nil { // a receptor: what ran into it is its own waste from here on
			from[n.ID] = []*system.Point{own}
		}
		for _, p := range n.DrainOut {
			if p.Kind() != system.Indirect {
				continue
			}
			sources := from[n.ID]
			if p.To.Find(system.Fixture) == nil {
				for _, f := range sources {
					if !slices.Contains(from[p.To.ID], f) {
						from[p.To.ID] = append(from[p.To.ID], f)
					}
				}
			}
			r := p.Run
			if told[p.Line] || r.Existing || len(sources) == 0 {
				continue
			}
			section := c.use(asked)
			food := false
			var names []string
			for _, f := range sources {
				where, _ := c.Book.Table("indirect-waste").Word(f.Word, "where")
				_, due, _ := c.indirectAsk(f)
				food = food || due && slices.Contains(strings.Fields(where), "food")
				names = append(names, f.Name)
			}
			if len(sources) < 2 || !food {
				c.complies(r.Subject())
				continue
			}
			told[p.Line] = true
			j := Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: endsLoc(r), Section: section,
				Message: fmt.Sprintf("%s share the indirect waste %s; each is piped to its receptor by itself", joinNames(names), r.Subject()),
				Remedy:  fmt.Sprintf("run the waste of %s to a receptor of its own place, with its own break", names[len(names)-1])}
			for _, q := range n.DrainIn {
				if q.Kind() == system.Indirect && q.Run != r && len(j.Related) < 6 {
					j.Related = append(j.Related, Related{endsLoc(q.Run), q.Run.Subject() + " joins it"})
				}
			}
			c.say(j)
		}
	}
}

func longIndirectWaste(c *Case) {
	trap, total, vent := c.Book.Number("indirect-trap-over"), c.Book.Number("indirect-trap-over-total"), c.Book.Number("indirect-vent-over")
	for _, f := range c.Sys.Points {
		if f.Kind != system.Fixture || f.Existing || f.Word == "dishwasher" && !c.usedFor(f, "food") {
			continue
		}
		for _, p := range f.Node.DrainOut {
			if p.Kind() != system.Indirect || p.Run.Existing {
				continue
			}
			c.indirectLength(f, p, trap, total, vent)
		}
	}
}

// indirectLength judges one indirect waste from its fixture to its receptor.
func (c *Case) indirectLength(f *system.Point, p *system.Pipe, trap, total, vent codebook.Cell) {
	r := p.Run
	all, level, whole, legs := 0.0, 0.0, true, false
	trapped, vented := f.Fixture.OwnTrap, c.Vents.Reaches(f.Node) == venting.Air
	for q, n := p, 0; n <= len(c.Sys.Pipes); n++ {
		for i := range q.Parts {
			pt := &q.Parts[i]
			if !pt.IsLeg() {
				continue
			}
			legs, whole = true, whole && pt.Length.Known()
			all += pt.Length.V
			if pt.Posture == system.LevelLeg {
				level += pt.Length.V
			}
		}
		if _, ok, _, _ := siteDevice(q, "trap"); ok {
			trapped = true
		}
		if q.To.Find(system.Fixture) != nil || len(q.To.DrainOut) == 0 {
			break
		}
		vented = vented || c.Vents.Reaches(q.To) == venting.Air
		if q = q.To.DrainOut[0]; q.Kind() != system.Indirect {
			break
		}
	}
	if !legs { // no more than a hose or a fitting
		return
	}
	loc, basis := endsLoc(r), "plan"
	if at, ok := r.FoundAt["length"]; ok {
		loc, basis = at, "found"
	}
	due := func(fact, what, since string, limit codebook.Cell, have float64, has bool, fix []Fix) bool {
		c.use(limit)
		if has {
			return false
		}
		size := quantity.FormatLength(limit.Metres())
		c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: loc, Basis: basis, Fact: fact, Section: c.use(limit),
			Message:  fmt.Sprintf("indirect waste %s is %s%s and has no %s; %s %s it has one", r.Subject(), quantity.FormatLength(have), what, fact, since, size),
			Measured: &Measure{heightInches(have), "in", ""}, Limit: &Measure{heightInches(limit.Metres()), "in", "max"},
			Remedy: fmt.Sprintf("give it a %s, or set the receptor nearer to %s", fact, f.Name), Fixes: fix})
		return true
	}
	var fix []Fix
	if len(r.Stmt.Items) > 0 {
		at := r.Stmt.Items[0].Span.Start
		fix = []Fix{{Title: "write a trap first", Edits: []Edit{{system.Loc{File: r.File, Span: grammar.Span{Start: at, End: at}}, "trap, "}}}}
	}
	broken := false
	switch {
	case !trap.OK:
	case total.OK && level > trap.Metres()+touch:
		broken = due("trap", " on the level", "over", trap, level, trapped, fix)
	case total.OK && all > total.Metres()+touch:
		broken = due("trap", "", "over", total, all, trapped, fix)
	case !total.OK && all > trap.Metres()+touch:
		broken = due("trap", "", "over", trap, all, trapped, fix)
	}
	if vent.OK && all >= vent.Metres()-touch {
		broken = due("vent", "", "from", vent, all, vented, nil) || broken
	}
	switch {
	case broken:
	case !whole && !(trapped && vented):
		c.undecided(r.Subject(), r.Copy, loc, "length of "+r.Name(), "write the length of every leg")
	default:
		c.use(trap)
		c.complies(r.Subject())
	}
}
