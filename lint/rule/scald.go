package rule

import (
	"fmt"

	"crownweir/grammar/system"
)

func scald() []Rule {
	return []Rule{
		{Name: "missing-scald-control", Family: "Protection", Severity: Correction, Title: "Shower without a scald control",
			Why:      "When a closet flushes, an unprotected shower turns scalding within a second. Children and the old fall and are burned.",
			Computed: "Every shower and tub with a shower that has hot water is to write its `control`: pressure-balance, thermostatic or combination.",
			Needs:    []string{"control"}, Judge: missingScaldControl},
		{Name: "hot-limit", Family: "Protection", Severity: Correction, Title: "Hot water above the limit at an outlet",
			Why:      "Water at 140 °F burns skin in five seconds; at 120 °F it takes minutes.",
			Computed: "Kinds on the book's list are to write a `limit` not above theirs; a shower's control is its limit.",
			Needs:    []string{"limit"}, Judge: hotLimit},
		{Name: "reversed-hot-cold", Family: "Protection", Severity: Correction, Title: "Hot on the right",
			Why:      "People reach for cold on the right. Reversed, the first turn scalds.",
			Computed: "A fixture that is written or found with `hot right`.",
			Needs:    []string{"hot"}, Judge: reversedHotCold},
	}
}

// attrLoc is where an attribute of a point was written or measured.
func attrLoc(f *system.Point, key string) (system.Loc, string) {
	if loc, ok := f.FoundAt[key]; ok {
		return loc, "found"
	}
	if a, ok := f.Attr(key); ok {
		return system.Loc{File: f.File, Span: a.Span}, "plan"
	}
	return f.Loc, "plan"
}

func heated(f *system.Point) bool {
	for _, p := range f.Node.WaterIn {
		if p.Kind() == system.Hot {
			return true
		}
	}
	return false
}

func missingScaldControl(c *Case) {
	cell := c.Book.FlagCell("shower-control")
	if !c.Sys.Header.Water || !c.Book.Flag("shower-control") {
		return
	}
	for _, f := range c.Sys.Points {
		if f.Kind != system.Fixture || f.Existing || f.Word != "shower" && f.Word != "tub-shower" || !heated(f) {
			continue
		}
		section := c.use(cell)
		a, ok := f.Attr("control")
		switch {
		case a.Unknown():
			c.say(Judgement{Answer: Undecided, Subject: f.Name, Asked: true})
		case ok:
			c.complies(f.Name)
		default:
			c.say(Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: f.Loc, Section: section,
				Message: fmt.Sprintf("%s %s has no scald control", f.Fixture.Title, f.Name), Remedy: "write `control pressure-balance` on it", Fixes: addAttr(f, "control pressure-balance")})
		}
	}
}

func hotLimit(c *Case) {
	t := c.Book.Table("hot-limit")
	if !c.Sys.Header.Water || t == nil {
		return
	}
	for _, f := range c.Sys.Points {
		if f.Kind != system.Fixture || f.Existing || !heated(f) {
			continue
		}
		use := c.Ledger.Occupancy(f)
		if use == "assembly" {
			use = "public"
		}
		cell := t.At(f.Word, use)
		if !cell.OK {
			continue
		}
		section := c.use(cell)
		a, written := f.Attr("limit")
		if a.Unknown() {
			c.say(Judgement{Answer: Undecided, Subject: f.Name, Asked: true})
			continue
		}
		if q, ok := a.Qty(); written && ok {
			got := q.SI*9/5 + 32
			if got <= cell.Value+1e-6 {
				c.complies(f.Name)
				continue
			}
			loc, basis := attrLoc(f, "limit")
			c.say(Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: loc, Basis: basis, Section: section,
				Message:  fmt.Sprintf("%s %s is limited to %.0f °F; %.0f °F is the most", f.Fixture.Title, f.Name, got, cell.Value),
				Measured: &Measure{round(got, 1), "F", ""}, Limit: &Measure{cell.Value, "F", "max"}, Remedy: fmt.Sprintf("set it to %.0fF", cell.Value), Fixes: pointAttrFix(f, "limit", fmt.Sprintf("%.0fF", cell.Value))})
			continue
		}
		if _, control := f.Attr("control"); control || f.Word == "shower" || f.Word == "tub-shower" {
			c.complies(f.Name) // its control valve has a limit stop; a missing control is a finding of its own
			continue
		}
		c.say(Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: f.Loc, Section: section,
			Message: fmt.Sprintf("%s %s has no limit on its hot water; %.0f °F is the most", f.Fixture.Title, f.Name, cell.Value),
			Limit:   &Measure{cell.Value, "F", "max"}, Remedy: fmt.Sprintf("write `limit %.0fF` on it", cell.Value), Fixes: addAttr(f, fmt.Sprintf("limit %.0fF", cell.Value))})
	}
}

func reversedHotCold(c *Case) {
	if !c.Sys.Header.Water {
		return
	}
	for _, f := range c.Sys.Points {
		a, ok := f.Attr("hot")
		if f.Kind != system.Fixture || !ok || f.Existing {
			continue
		}
		if a.Unknown() {
			c.say(Judgement{Answer: Undecided, Subject: f.Name, Asked: true})
			continue
		}
		if a.Text() != "right" {
			c.complies(f.Name)
			continue
		}
		loc, basis := attrLoc(f, "hot")
		c.say(Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: loc, Basis: basis,
			Message: fmt.Sprintf("hot stands on the right of %s %s", f.Fixture.Title, f.Name), Remedy: "change the supplies over: hot on the left"})
	}
}
