package rule

import (
	"fmt"
	"slices"
	"strings"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
)

// gallonText is a volume as messages say it.
func gallonText(v float64) string { return sizing.Trim(v) + " gal" }

// article puts a or an before a word.
func article(word string) string {
	if word != "" && strings.ContainsRune("aeio", rune(word[0])) {
		return "an " + word
	}
	return "a " + word
}

// interceptorAsk is the interceptor a fixture's waste asks for: by what the
// fixture says it carries, by its kind, or by its kind in a room of some use
// outside dwellings.
func (c *Case) interceptorAsk(f *system.Point) (kinds []string, cell codebook.Cell, why string) {
	table := c.Book.Table("interceptor-required")
	carries, _ := f.Attr("waste")
	keys := []string{carries.Text(), f.Word}
	if f.Room != nil && f.Room.Use != "" && c.usedFor(f, f.Room.Use) {
		keys = append(keys, f.Word+" "+f.Room.Use)
	}
	for i, key := range keys {
		word, cell := table.Word(key, "interceptor")
		if key == "" || word == "" {
			continue
		}
		why = "which carries " + key
		switch i {
		case 1:
			why = article(f.Fixture.Title)
		case 2:
			why = fmt.Sprintf("%s in a room of use %s", article(f.Fixture.Title), f.Room.Use)
		}
		return strings.Fields(word), cell, why
	}
	return nil, codebook.Cell{}, ""
}

// intercepted follows waste downstream to an interceptor of one of the kinds;
// end is where it leaves the plan without one.
func (c *Case) intercepted(p *system.Pipe, kinds []string) (ok bool, end *system.Node, at system.Loc, found bool) {
	for n := 0; n <= len(c.Sys.Pipes); n++ {
		_, built, loc, by := siteDevice(p, "interceptor")
		switch {
		case built && by:
			return true, nil, at, false
		case by:
			at, found = loc, true
		case built:
			for i := range p.Parts {
				if p.Parts[i].IsDevice("interceptor") && slices.Contains(kinds, p.Parts[i].DeviceKind()) {
					return true, nil, at, false
				}
			}
		}
		end = p.To
		for _, q := range end.Points {
			if q.Kind == system.Interceptor && slices.Contains(kinds, q.Word) {
				return true, nil, at, false
			}
		}
		if len(end.DrainOut) == 0 {
			break
		}
		p = end.DrainOut[0]
	}
	return false, end, at, found
}

func missingInterceptor(c *Case) {
	for _, f := range c.Sys.Points {
		if f.Kind != system.Fixture || f.Existing || len(f.Node.DrainOut) == 0 {
			continue
		}
		if a, ok := f.Attr("waste"); ok && a.Unknown() {
			c.say(Judgement{Answer: Undecided, Subject: f.Name, Asked: true})
			continue
		}
		kinds, cell, why := c.interceptorAsk(f)
		if len(kinds) == 0 {
			continue
		}
		section := c.use(cell)
		ok, end, at, found := c.intercepted(f.Node.DrainOut[0], kinds)
		if ok {
			c.complies(f.Name)
			continue
		}
		loc, basis := attrLoc(f, "waste")
		if found {
			loc, basis = at, "found"
		}
		j := Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: loc, Basis: basis, Section: section,
			Message: fmt.Sprintf("waste of %s, %s, reaches %s without %s interceptor", f.Name, why, end.Name(), article(kinds[0])),
			Remedy:  fmt.Sprintf("write an `interceptor … %s` on its way, or have the authority record that none is asked", kinds[0])}
		if end.Find(system.ExistingDrain) != nil || end.Find(system.ExistingStack) != nil {
			j.Answer = Undecided
			j.Note = "what stands beyond " + end.Name() + " is not drawn"
		}
		c.say(j)
	}
}

func smallInterceptor(c *Case) {
	table := c.Book.Table("grease-interceptor")
	if table == nil {
		return
	}
	for _, g := range c.Sys.Points {
		if g.Kind != system.Interceptor || g.Word != "grease" || len(g.Node.DrainIn) == 0 {
			continue
		}
		c.greaseVolume(table, g)
	}
	for _, p := range c.Sys.Pipes {
		for i := range p.Parts {
			if pt := &p.Parts[i]; pt.IsDevice("interceptor") && pt.DeviceKind() == "grease" && !p.Run.Existing {
				c.undecided(p.Run.Subject(), p.Run.Copy, itemSpan(p.Run, pt.Index, pt.Index), "volume of the interceptor in "+p.Run.Subject(), "write it as a point: `interceptor NAME grease volume 1000gal`")
			}
		}
	}
}

// greaseVolume judges one grease interceptor by the units that reach it.
func (c *Case) greaseVolume(table *codebook.Table, g *system.Point) {
	load := c.Ledger.At(g.Node)
	volume, written := g.Attr("volume")
	q, ok := volume.Qty()
	flow, _ := g.Attr("flow")
	rate, rated := flow.Qty()
	_, cell, inTable := table.UpTo(load.Units, "gallons")
	switch {
	case written && volume.Unknown():
		c.say(Judgement{Answer: Undecided, Subject: g.Name, Asked: true})
		return
	case !ok && rated:
		loc, _ := attrLoc(g, "flow")
		c.say(Judgement{Answer: Undecided, Subject: g.Name, Copy: g.Copy, Loc: loc, Severity: Caution,
			Message: fmt.Sprintf("interceptor %s is rated by flow, %s; the book here has a table by volume alone", g.Name, gpmText(rate.GPM())),
			Remedy:  "show its maker's rating against the flow of its fixtures"})
		return
	case !ok:
		c.undecided(g.Name, g.Copy, g.Loc, "volume of "+g.Name, "write `volume 1000gal` on it, or its `flow` where it is rated by that")
		return
	case !inTable:
		loc, _ := attrLoc(g, "volume")
		c.say(Judgement{Answer: Undecided, Subject: g.Name, Copy: g.Copy, Loc: loc, Severity: Caution,
			Message: fmt.Sprintf("interceptor %s takes %s units, more than the table goes to", g.Name, sizing.Trim(load.Units)),
			Remedy:  "divide the load between two, or have its size calculated and approved"})
		return
	}
	section := c.use(cell)
	if q.Gallons() < cell.Value-eps {
		loc, basis := attrLoc(g, "volume")
		need := quantity.FromGallons(cell.Value).Text
		c.say(Judgement{Answer: Breaks, Subject: g.Name, Copy: g.Copy, Loc: loc, Basis: basis, Section: section,
			Message:  fmt.Sprintf("interceptor %s holds %s and takes %s units, which ask %s", g.Name, gallonText(q.Gallons()), sizing.Trim(load.Units), gallonText(cell.Value)),
			Measured: &Measure{round(q.Gallons(), 3), "gal", ""}, Limit: &Measure{cell.Value, "gal", "min"},
			Remedy: "make it " + gallonText(cell.Value) + " or more", Fixes: pointAttrFix(g, "volume", need)})
		return
	}
	if load.Unknown > 0 {
		if f := c.unknownLoad(g.Node.DrainIn[0]); f != nil {
			c.undecided(g.Name, g.Copy, f.Loc, "load of "+f.Name, "write `units N` on it")
			return
		}
	}
	c.complies(g.Name)
}

func soilThroughInterceptor(c *Case) {
	apart := c.Book.FlagCell("closets-past-interceptor")
	if !c.Book.Flag("closets-past-interceptor") {
		return
	}
	judge := func(name string, copy *system.Copy, loc system.Loc, n *system.Node) {
		section := c.use(apart)
		fixtures, existing := fixturesUp(n, nil)
		var names []string
		var rel []Related
		add := func(p *system.Point, what string) {
			names = append(names, p.Name)
			if len(rel) < 6 {
				rel = append(rel, Related{p.Loc, what + " drains through it"})
			}
		}
		for _, f := range fixtures {
			if f.Word == "water-closet" || f.Word == "urinal" {
				add(f, f.Fixture.Title+" "+f.Name)
			}
		}
		for _, p := range existing {
			if a, ok := p.Attr("closets"); ok {
				if q, ok := a.Qty(); ok && q.SI > 0 {
					add(p, "existing "+p.Name+", with closets,")
				}
			}
		}
		if len(names) == 0 {
			c.complies(name)
			return
		}
		c.say(Judgement{Answer: Breaks, Subject: name, Copy: copy, Loc: loc, Section: section,
			Message: fmt.Sprintf("interceptor %s takes the soil of %s; closets and urinals are kept out of it", name, joinNames(names)),
			Remedy:  fmt.Sprintf("bring %s in downstream of it", joinNames(names)), Related: rel})
	}
	for _, g := range c.Sys.Points {
		if g.Kind == system.Interceptor && len(g.Node.DrainIn) > 0 {
			judge(g.Name, g.Copy, g.Loc, g.Node)
		}
	}
	for _, p := range c.Sys.Pipes {
		for i := range p.Parts {
			if pt := &p.Parts[i]; pt.IsDevice("interceptor") && !p.Run.Existing {
				judge(p.Run.Subject(), p.Run.Copy, itemSpan(p.Run, pt.Index, pt.Index), p.From)
			}
		}
	}
}
