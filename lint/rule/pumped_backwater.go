package rule

import (
	"fmt"

	"crownweir/grammar/system"
)

// manholeOf is the cover of the manhole upstream of an outfall, above the
// datum in metres; asked tells that the plan writes `unknown`.
func manholeOf(o *system.Point) (metres float64, written, asked bool) {
	if o == nil {
		return 0, false, false
	}
	a, ok := o.Attr("manhole")
	if !ok {
		return 0, false, false
	}
	q, ok := a.Qty()
	return q.SI, ok, a.Unknown()
}

func lowFixture(c *Case) {
	need := c.Book.FlagCell("backwater-valve")
	if !c.Book.Flag("backwater-valve") {
		return
	}
	ways := c.waysOut()
	for _, f := range c.Sys.Points {
		if f.Kind != system.Fixture || f.Existing || len(f.Node.DrainOut) == 0 {
			continue
		}
		p := f.Node.DrainOut[0]
		// what wastes through the air is safe at its receptor, which is judged
		if _, apart, _, _ := siteDevice(p, "air-gap", "air-break"); apart || p.Kind() == system.Indirect {
			continue
		}
		w := along(ways, p)
		cover, written, asked := manholeOf(w.outfall)
		if asked {
			c.say(Judgement{Answer: Undecided, Subject: f.Name, Asked: true})
		}
		if !written {
			continue
		}
		c.use(need)
		rim := f.Rim()
		low := rim.Known() && rim.V < cover-touch
		if z := f.Node.Pos[system.DWV][2]; !rim.Known() {
			low = !z.Known() || z.V < cover-touch
		}
		if !low || w.ejector != nil || w.valve != nil {
			c.complies(f.Name)
			continue
		}
		if !rim.Known() {
			c.undecided(f.Name, f.Copy, f.Loc, "rim of "+f.Name, "write `rim LENGTH` on it")
			continue
		}
		loc, basis := attrLoc(f, "rim")
		if at, ok := w.outfall.FoundAt["manhole"]; ok && basis == "plan" {
			loc, basis = at, "found"
		}
		j := Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: loc, Basis: basis, Section: c.use(need),
			Message:  fmt.Sprintf("rim of %s is at %s, below the upstream manhole's cover at %s; no backwater valve is on its way to %s", f.Name, signedLength(rim.V), signedLength(cover), w.outfall.Name),
			Measured: &Measure{heightInches(rim.V), "in", ""}, Limit: &Measure{heightInches(cover), "in", "min"},
			Note:    "the sewer may stand as high as that cover",
			Remedy:  "write a `backwater-valve` in its branch, or lift its waste with an ejector",
			Related: []Related{{w.outfall.Loc, "the outfall and its manhole"}}}
		if at, ok := c.goneValve(p); ok {
			j.Loc, j.Basis = at, "found"
		} else if r := p.Run; len(r.Pipes) == 1 && len(r.Stmt.Items) > 0 && !r.Existing {
			j.Fixes = appendItem(r, "backwater-valve")
		}
		c.say(j)
	}
}

// goneValve is the found line that says a valve on the way is missing.
func (c *Case) goneValve(p *system.Pipe) (system.Loc, bool) {
	for n := 0; p != nil && n < len(c.Sys.Pipes); n++ {
		if at, ok := p.Run.FoundAt["without backwater-valve"]; ok {
			return at, true
		}
		if len(p.To.DrainOut) == 0 {
			break
		}
		p = p.To.DrainOut[0]
	}
	return system.Loc{}, false
}

func sharedBackwater(c *Case) {
	need := c.Book.FlagCell("backwater-valve")
	if !c.Book.Flag("backwater-valve") {
		return
	}
	byFloor := c.Book.FlagCell("backwater-by-floor")
	ways := c.waysOut()
	told := map[*system.Run]bool{}
	for _, p := range c.Sys.Pipes {
		r := p.Run
		part, ok, at, found := siteDevice(p, "backwater-valve")
		if !ok || r.Existing || told[r] || !p.Kind().Sanitary() {
			continue
		}
		w := ways[p.To.ID]
		cover, written, asked := manholeOf(w.outfall)
		if asked {
			c.say(Judgement{Answer: Undecided, Subject: r.Subject(), Asked: true})
		}
		if !written || w.ejector != nil {
			continue
		}
		told[r] = true
		c.use(need, byFloor)
		fixtures, existing := fixturesUp(p.From, func(q *system.Pipe) bool { return q.Kind() != system.Indirect })
		var high []string
		var rel []Related
		top := cover
		for _, f := range fixtures {
			rim := f.Rim()
			if !rim.Known() { // no fixture spills below its floor
				rim = system.Num{V: f.Floor(), Origin: system.Derived}
			}
			if rim.V <= cover+touch || c.Book.Flag("backwater-by-floor") && f.Floor() < cover-touch {
				continue
			}
			high = append(high, f.Name)
			top = max64(top, rim.V)
			if len(rel) < 6 {
				rel = append(rel, Related{f.Loc, fmt.Sprintf("rim of %s at %s", f.Name, signedLength(rim.V))})
			}
		}
		loc, basis := itemSpan(r, 0, 0), "plan"
		if found {
			loc, basis = at, "found"
		} else if part >= 0 {
			loc = itemSpan(r, p.Parts[part].Index, p.Parts[part].Index)
		}
		switch {
		case len(high) > 0:
			c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: loc, Basis: basis, Section: c.use(need),
				Message:  fmt.Sprintf("backwater valve in %s also takes %s, %s above the upstream manhole's cover at %s", r.Subject(), joinNames(high), plural(len(high), "whose rim stands", "whose rims stand"), signedLength(cover)),
				Measured: &Measure{heightInches(top), "in", ""}, Limit: &Measure{heightInches(cover), "in", "max"},
				Remedy: fmt.Sprintf("bring %s in downstream of the valve, or set the valve in the branch of the low fixtures alone", joinNames(high)), Related: rel})
		case len(existing) > 0:
			c.say(Judgement{Answer: Undecided, Subject: r.Subject(), Copy: r.Copy, Loc: loc, Basis: basis, Severity: Caution,
				Message: fmt.Sprintf("backwater valve in %s also takes the existing %s, whose fixtures are not drawn; none above the manhole's cover at %s may drain through it", r.Subject(), existing[0].Name, signedLength(cover)),
				Remedy:  fmt.Sprintf("make sure that every fixture on %s stands below the cover, or set the valve in the branch of the new low fixtures alone", existing[0].Name)})
		default:
			c.complies(r.Subject())
		}
	}
}
