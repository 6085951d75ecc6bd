package rule

import (
	"fmt"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
	"crownweir/lint/venting"
)

// gpmText is a flow as messages say it.
func gpmText(v float64) string { return sizing.Trim(v) + " gpm" }

// intake is what an ejector takes: whether soil, and whether all of it from
// one dwelling.
func (c *Case) intake(e *system.Point) (soil, dwelling bool) {
	fixtures, existing := fixturesUp(e.Node, nil)
	dwelling = len(fixtures) > 0
	homes := map[string]bool{}
	for _, f := range fixtures {
		soil = soil || f.Word == "water-closet" || f.Word == "urinal"
		dwelling = dwelling && c.Ledger.Occupancy(f) == "private"
		if f.Room != nil && f.Room.Dwelling != "" {
			homes[f.Room.Dwelling] = true
		}
	}
	for _, p := range existing {
		if a, ok := p.Attr("closets"); ok {
			q, _ := a.Qty()
			soil = soil || q.SI > 0
		}
	}
	return soil, dwelling && len(homes) <= 1
}

// ejectorAsk is the least a book asks of an ejector; cells that are not OK
// ask nothing.
type ejectorAsk struct{ flow, solids, size codebook.Cell }

func (c *Case) ejectorAsks(soil, dwelling bool, size quantity.Size) ejectorAsk {
	if !soil {
		return ejectorAsk{solids: c.Book.Number("ejector-small-solids")}
	}
	ask := ejectorAsk{c.Book.Number("ejector-flow-least"), c.Book.Number("ejector-solids"), c.Book.Number("ejector-discharge")}
	if dwelling {
		if n := c.Book.Number("ejector-dwelling-solids"); n.OK {
			ask.solids = n
		}
		if n := c.Book.Number("ejector-dwelling-discharge"); n.OK {
			ask.size = n
		}
	}
	// where the book rates the flow by the discharge, its smallest row is the least discharge
	table := c.Book.Table("ejector-capacity")
	for i, s := range table.Sizes() {
		row := table.BySize(s, "flow")
		if i == 0 {
			ask.flow, ask.size = row, row
			ask.size.Value, ask.size.Unit = float64(s), "in"
		}
		if float64(s) <= float64(size)+eps {
			ask.flow = row
		}
	}
	return ask
}

func smallEjector(c *Case) {
	for _, e := range c.ejectors() {
		pipes, _ := discharge(e)
		var run *system.Run
		var size quantity.Size
		for _, p := range pipes {
			if run == nil || p.Size() > 0 && p.Size() < size {
				run, size = p.Run, p.Size()
			}
		}
		soil, dwelling := c.intake(e)
		ask := c.ejectorAsks(soil, dwelling, size)
		takes := "one that takes closets"
		if !soil {
			takes = "one without closets"
		}
		asked := false
		written := func(key, unit string, least codebook.Cell, value func(quantity.Value) float64, write, tell func(float64) string) {
			if !least.OK {
				return
			}
			asked = true
			c.use(least)
			a, ok := e.Attr(key)
			q, has := a.Qty()
			switch {
			case ok && a.Unknown():
				c.say(Judgement{Answer: Undecided, Subject: e.Name, Fact: key, Asked: true})
			case !has:
				c.undecided(e.Name, e.Copy, e.Loc, key+" of "+e.Name, fmt.Sprintf("write `%s %s` or more on it, as its maker rates it", key, write(least.Value)))
			case value(q) >= least.Value-eps:
				c.complies(e.Name)
			default:
				loc, basis := attrLoc(e, key)
				verb := "lifts"
				if key == "solids" {
					verb = "passes solids of"
				}
				c.say(Judgement{Answer: Breaks, Subject: e.Name, Copy: e.Copy, Loc: loc, Basis: basis, Fact: key, Section: c.use(least),
					Message:  fmt.Sprintf("ejector %s %s %s; %s %s %s at least", e.Name, verb, tell(value(q)), takes, verb, tell(least.Value)),
					Measured: &Measure{round(value(q), 3), unit, ""}, Limit: &Measure{least.Value, unit, "min"},
					Remedy: fmt.Sprintf("choose a pump with %s %s or more", key, tell(least.Value)), Fixes: pointAttrFix(e, key, write(least.Value))})
			}
		}
		inchSize := func(v float64) string { return quantity.FormatSize(quantity.Size(v)) }
		written("flow", "gpm", ask.flow, quantity.Value.GPM, func(v float64) string { return quantity.FromGPM(v).Text }, gpmText)
		written("solids", "in", ask.solids, quantity.Value.Inches, inchSize, inchSize)
		if ask.size.OK && run != nil && size > 0 && !run.Existing {
			asked = true
			c.use(ask.size)
			need := quantity.FormatSize(quantity.Size(ask.size.Value))
			if float64(size) >= ask.size.Value-eps {
				c.complies(e.Name)
			} else {
				c.say(Judgement{Answer: Breaks, Subject: e.Name, Copy: e.Copy, Loc: sizeLoc(run), Basis: basisOf(run, "size"), Fact: "discharge", Section: c.use(ask.size),
					Message:  fmt.Sprintf("discharge of ejector %s is %s; that of %s is %s at least", e.Name, quantity.FormatSize(size), takes, need),
					Measured: &Measure{float64(size), "in", ""}, Limit: &Measure{ask.size.Value, "in", "min"},
					Remedy: "make it " + need, Fixes: upsize(run, need)})
			}
		}
		if !asked {
			c.complies(e.Name)
		}
	}
}

func unventedEjector(c *Case) {
	least := c.Book.Number("ejector-vent-least")
	if !least.OK || !c.Sys.Header.Vents {
		return
	}
	for _, e := range c.ejectors() {
		n := e.Node
		section := c.use(least)
		need := quantity.Size(least.Value)
		if len(n.VentOut) == 0 {
			c.say(Judgement{Answer: Breaks, Subject: e.Name, Copy: e.Copy, Loc: e.Loc, Section: section, Fact: "vent",
				Message: fmt.Sprintf("sump of ejector %s has no vent of its own", e.Name),
				Remedy:  fmt.Sprintf("take a vent of %s or more off the sump to open air: `vent %s to …`", quantity.FormatSize(need), e.Local)})
			continue
		}
		first := n.VentOut[0]
		for _, p := range n.VentOut {
			if c.Vents.Reaches(p.To) == venting.Air {
				first = p
			}
		}
		r := first.Run
		switch c.Vents.Reaches(first.To) {
		case venting.Air:
			c.sumpVent(e, first, least)
		case venting.Valve:
			c.say(Judgement{Answer: Breaks, Subject: e.Name, Copy: e.Copy, Loc: endsLoc(r), Section: section, Fact: "vent",
				Message: fmt.Sprintf("vent of the sump of %s ends at an admittance valve, which lets no air out", e.Name),
				Remedy:  "carry it to open air"})
		}
	}
}

// sumpVent judges the size of a sump's vent, as far as it runs alone.
func (c *Case) sumpVent(e *system.Point, p *system.Pipe, least codebook.Cell) {
	first := p.Run
	run, size := first, p.Size()
	length, whole := 0.0, true
	for n := 0; n < len(c.Sys.Pipes); n++ {
		if p.Size() > 0 && p.Size() < size {
			run, size = p.Run, p.Size()
		}
		l, ok := p.Length()
		length, whole = length+l, whole && ok
		if len(p.To.VentIn) > 1 || len(p.To.VentOut) != 1 || len(p.To.DrainIn)+len(p.To.DrainOut) > 0 {
			break
		}
		p = p.To.VentOut[0]
	}
	if size == 0 {
		return // the run without a size is told as such
	}
	if run.Existing {
		c.complies(e.Name)
		return
	}
	need, cell := quantity.Size(0), least
	if float64(size) < least.Value-eps {
		need = quantity.Size(least.Value)
	}
	limit := ""
	if table := c.Book.Table("sump-vent"); table != nil {
		a, _ := e.Attr("flow")
		q, ok := a.Qty()
		if !ok {
			c.undecided(e.Name, e.Copy, e.Loc, "flow of "+e.Name, "write `flow 30gpm` on it, as its maker rates it")
			return
		}
		fits := func(s quantity.Size) (codebook.Cell, bool) {
			_, row, ok := table.UpTo(q.GPM(), codebook.SizeKey(s))
			return row, ok && (row.Unlimited || length <= row.Metres()+eps)
		}
		row, ok := fits(size)
		c.use(row)
		switch {
		case !ok:
			cell = row
			if row.OK {
				limit = fmt.Sprintf(" and %s long; at %s that size may be %s", quantity.FormatLength(length), gpmText(q.GPM()), quantity.FormatLength(row.Metres()))
			}
			for _, col := range table.Columns {
				if s, fine := codebook.ParseSize(col); fine && s > size && float64(s) >= least.Value-eps {
					if got, ok := fits(s); ok {
						need, cell = s, got
						break
					}
				}
			}
		case !whole && !row.Unlimited && need == 0:
			c.undecided(e.Name, e.Copy, endsLoc(first), "length of "+first.Name(), "write the length of every leg")
			return
		}
	}
	if need == 0 {
		c.complies(e.Name)
		return
	}
	if limit == "" {
		limit = fmt.Sprintf("; %s is the least", quantity.FormatSize(need))
	}
	c.say(Judgement{Answer: Breaks, Subject: e.Name, Copy: e.Copy, Loc: sizeLoc(run), Basis: basisOf(run, "size"), Fact: "size", Section: c.use(cell, least),
		Message:  fmt.Sprintf("vent of the sump of %s is %s%s", e.Name, quantity.FormatSize(size), limit),
		Measured: &Measure{float64(size), "in", ""}, Limit: &Measure{float64(need), "in", "min"},
		Remedy: "make it " + quantity.FormatSize(need), Fixes: upsize(run, quantity.FormatSize(need))})
}

func missingEjectorValve(c *Case) {
	check, full := c.Book.FlagCell("ejector-check-valve"), c.Book.FlagCell("ejector-full-way-valve")
	for _, e := range c.ejectors() {
		pipes, _ := discharge(e)
		if len(pipes) == 0 || pipes[0].Run.Existing {
			continue
		}
		has := map[string]bool{}
		a, _ := e.Attr("discharge-valves")
		at, gone := e.Without["valve"]
		for _, v := range a.Values {
			has[v.Text] = !gone
		}
		for _, p := range pipes {
			if _, ok, _, _ := siteDevice(p, "backwater-valve"); ok {
				has["check"] = true
			}
			if loc, ok := p.Run.FoundAt["without valve"]; ok {
				at, gone = loc, true
				continue
			}
			for i := range p.Parts {
				if p.Parts[i].IsDevice("valve") {
					kind, _ := grammar.FindAttr(p.Parts[i].Item.Attrs, "kind")
					has[kind.Text()] = true
				}
			}
		}
		var lacks, words []string
		if c.Book.Flag("ejector-check-valve") && !has["check"] {
			lacks, words = append(lacks, "check valve"), append(words, "check")
		}
		if c.Book.Flag("ejector-full-way-valve") && !has["full-port"] && !has["gate"] {
			lacks, words = append(lacks, "full-way valve"), append(words, "full-port")
		}
		section := c.use(check, full)
		switch {
		case len(lacks) == 0:
			c.complies(e.Name)
		case a.Unknown():
			c.say(Judgement{Answer: Undecided, Subject: e.Name, Asked: true})
		default:
			loc, basis := attrLoc(e, "discharge-valves")
			if gone {
				loc, basis = at, "found"
			}
			j := Judgement{Answer: Breaks, Subject: e.Name, Copy: e.Copy, Loc: loc, Basis: basis, Section: section,
				Message: fmt.Sprintf("discharge of ejector %s has no %s", e.Name, strings.Join(lacks, " and no ")),
				Remedy:  fmt.Sprintf("write `discharge-valves %s` on it, or the valves in its discharge", strings.Join(words, " ")),
				Related: []Related{{endsLoc(pipes[0].Run), "its discharge"}}}
			if basis == "plan" && e.Decl != nil {
				end, text := e.Decl.Span.End, " discharge-valves "+strings.Join(words, " ")
				if a.Span.End > a.Span.Start {
					end, text = a.Span.End, " "+strings.Join(words, " ")
				}
				j.Fixes = []Fix{{Title: "write the missing " + plural(len(lacks), "valve", "valves"), Edits: []Edit{{system.Loc{File: e.File, Span: grammar.Span{Start: end, End: end}}, text}}}}
			}
			c.say(j)
		}
	}
}
