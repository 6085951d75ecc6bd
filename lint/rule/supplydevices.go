package rule

import (
	"fmt"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/system"
)

func supplyDevices() []Rule {
	return []Rule{
		{Name: "missing-shutoff", Family: "Supply", Severity: Correction, Title: "No valve to shut the water off",
			Why:      "When a hose bursts, someone must find a valve at once: at the building, the heater, the dwelling, the fixture.",
			Computed: "The way from the source is searched for a full-way valve before the first branch, before each heater and into each of several dwellings, and for a stop at each fixture but tubs, showers and bibbs.",
			Needs:    []string{"valves"}, Judge: missingShutoff},
		{Name: "missing-strainer", Family: "Supply", Severity: Correction, Title: "Regulator without a strainer",
			Why:      "Grit under a regulator's seat lets street pressure into the house.",
			Computed: "Each regulator is to have a strainer as its setting or ahead of it, unless it is of the exempt size.",
			Needs:    []string{"regulator"}, Judge: missingStrainer},
		{Name: "missing-backflow", Family: "Supply", Severity: Correction, Title: "Outlet without protection against backflow",
			Why:      "A hose in a bucket of poison and a burst main are enough to draw it into the drinking water.",
			Computed: "Kinds and spouts on the book's list are to carry a device at least as good as their hazard asks, on the fixture or on the pipe to it.",
			Needs:    []string{"protected"}, Judge: missingBackflow},
		{Name: "missing-arrester", Family: "Supply", Severity: Correction, Title: "Quick-closing valve without an arrester",
			Why:      "A valve that snaps shut sends a hammer blow through the pipe that loosens joints.",
			Computed: "The supplies of kinds with quick-closing valves are searched for an arrester.",
			Needs:    []string{"arrester"}, Judge: missingArrester},
		{Name: "missing-expansion-control", Family: "Supply", Severity: Correction, Title: "Closed system without expansion control",
			Why:      "Water that is heated behind a check valve has nowhere to grow; the pressure rises until something gives.",
			Computed: "A storage heater behind a check valve, regulator or backflow device is to have an expansion tank on its cold supply.",
			Needs:    []string{"devices"}, Judge: missingExpansion},
		{Name: "missing-relief", Family: "Supply", Severity: Correction, Title: "Storage heater without a relief valve",
			Why:      "A heater that runs away and cannot blow off becomes a bomb.",
			Computed: "Every heater with storage is to write `relief`.",
			Needs:    []string{"relief"}, Judge: missingRelief},
		{Name: "small-heater", Family: "Supply", Severity: Correction, Title: "Heater with too small a first-hour rating",
			Why:      "A heater that runs cold is turned up until it scalds.",
			Computed: "The first-hour rating is compared with the table by the dwelling's baths and bedrooms.",
			Needs:    []string{"first-hour", "baths", "bedrooms"}, Judge: smallHeater},
	}
}

func fitted(p *system.Pipe, word string, kinds ...string) bool {
	for i := range p.Parts {
		if !p.Parts[i].IsDevice(word) {
			continue
		}
		if len(kinds) == 0 {
			return true
		}
		for _, a := range p.Parts[i].Item.Attrs {
			for _, k := range kinds {
				if a.Key == k || a.Text() == k {
					return true
				}
			}
		}
	}
	return false
}

func lastLoc(p *system.Pipe) system.Loc {
	return system.Loc{File: p.Run.File, Span: p.Run.Stmt.To.Span}
}

func missingShutoff(c *Case) {
	if !c.Sys.Header.Water {
		return
	}
	w := c.Water()
	if cell := c.Book.FlagCell("shutoff-main"); c.Book.Flag("shutoff-main") {
		for _, src := range w.Sources {
			if src.Kind != system.Main || len(src.Node.WaterOut) == 0 {
				continue
			}
			section := c.use(cell)
			p, ok := src.Node.WaterOut[0], false
			first := p
			for n := 0; n < 50; n++ {
				ok = ok || fitted(p, "valve", "full-port", "gate")
				if ok || len(p.To.WaterOut) != 1 || p.To.Find(system.Fixture) != nil {
					break
				}
				p = p.To.WaterOut[0]
			}
			if ok {
				c.complies(src.Name)
				continue
			}
			c.say(Judgement{Answer: Breaks, Subject: src.Name, Copy: src.Copy, Loc: endsLoc(first.Run), Section: section, Fact: "main",
				Message: fmt.Sprintf("no full-way valve stands between %s and the first branch", src.Name), Remedy: "write `valve full-port` in the service"})
		}
	}
	if cell := c.Book.FlagCell("shutoff-heater"); c.Book.Flag("shutoff-heater") {
		for _, h := range c.Sys.Points {
			if h.Kind != system.Heater || len(h.Node.WaterIn) == 0 {
				continue
			}
			section, ok := c.use(cell), false
			var in *system.Pipe
			for _, p := range h.Node.WaterIn {
				if p.Kind() != system.Return {
					in = p
					ok = ok || fitted(p, "valve", "full-port", "gate")
				}
			}
			if in == nil || ok {
				c.complies(h.Name)
				continue
			}
			c.say(Judgement{Answer: Breaks, Subject: h.Name, Copy: h.Copy, Loc: lastLoc(in), Section: section, Fact: "heater",
				Message: fmt.Sprintf("heater %s has no full-way valve on its cold supply", h.Name), Remedy: "write `valve full-port` in the run to it"})
		}
	}
	c.dwellingValves()
	c.fixtureStops()
}

// dwellingValves: each of several dwellings is shut off by itself.
func (c *Case) dwellingValves() {
	cell := c.Book.FlagCell("shutoff-dwelling")
	if !c.Book.Flag("shutoff-dwelling") || len(c.Sys.Dwellings) < 2 {
		return
	}
	w := c.Water()
	section := c.use(cell)
	of := map[string][]*system.Pipe{} // a valve is looked for where only one dwelling is served
	serves := make([]map[string]bool, len(c.Sys.Pipes))
	for _, o := range w.Outlets {
		if o.Point.Room == nil || o.Point.Room.Dwelling == "" {
			continue
		}
		for _, p := range w.Way(o.Pipe) {
			if serves[p.ID] == nil {
				serves[p.ID] = map[string]bool{}
			}
			serves[p.ID][o.Point.Room.Dwelling] = true
		}
	}
	for _, p := range c.Sys.Pipes {
		if len(serves[p.ID]) == 1 {
			for d := range serves[p.ID] {
				of[d] = append(of[d], p)
			}
		}
	}
	for _, d := range c.Sys.Dwellings {
		pipes := of[d.Name]
		if len(pipes) == 0 {
			continue
		}
		ok := false
		for _, p := range pipes {
			if p.To.Find(system.Heater) == nil && p.To.Find(system.Fixture) == nil && fitted(p, "valve", "full-port", "gate", "stop") {
				ok = true
			}
		}
		if ok {
			c.complies(d.Name)
			continue
		}
		c.say(Judgement{Answer: Breaks, Subject: d.Name, Loc: d.Loc, Section: section, Fact: "dwelling",
			Message: fmt.Sprintf("dwelling %s has no valve that shuts off its water alone", d.Name), Remedy: "write `valve full-port` where its supply enters",
			Related: []Related{{endsLoc(pipes[0].Run), "its supply begins here"}}})
	}
}

// fixtureStops: a stop at every fixture supply but tubs, showers and bibbs.
func (c *Case) fixtureStops() {
	cell := c.Book.FlagCell("shutoff-fixture")
	if !c.Book.Flag("shutoff-fixture") || c.Sys.Header.Stop {
		return
	}
	told := map[*system.Point]int{}
	for _, o := range c.Water().Outlets {
		switch o.Point.Word {
		case "bathtub", "tub-shower", "shower", "hose-bibb":
			continue
		}
		if o.Pipe.Run.Existing || o.Point.Existing {
			continue
		}
		section := c.use(cell)
		if fitted(o.Pipe, "valve") {
			c.complies(o.Point.Name)
			continue
		}
		if i, ok := told[o.Point]; ok {
			c.Out[i].Related = append(c.Out[i].Related, Related{endsLoc(o.Pipe.Run), "nor here"})
			continue
		}
		told[o.Point] = len(c.Out)
		c.say(Judgement{Answer: Breaks, Subject: o.Point.Name, Copy: o.Point.Copy, Loc: lastLoc(o.Pipe), Section: section, Fact: "fixture",
			Message: fmt.Sprintf("%s %s has no stop on its supply", o.Point.Fixture.Title, o.Point.Name), Remedy: "write `valve stop` in the run, or `default stop` in the plan's head"})
	}
}

func missingStrainer(c *Case) {
	if !c.Sys.Header.Water || !c.Book.Flag("regulator-strainer") {
		return
	}
	exempt := c.Book.Number("strainer-exempt")
	for _, p := range c.Sys.Pipes {
		if !p.Kind().Water() || p.Run.Existing || !fitted(p, "regulator") {
			continue
		}
		r := p.Run
		section := c.use(c.Book.FlagCell("regulator-strainer"), exempt)
		ok := fitted(p, "regulator", "strainer") || fitted(p, "strainer") || exempt.OK && float64(p.Size()) >= exempt.Value-eps
		for _, q := range p.From.WaterIn {
			ok = ok || fitted(q, "strainer")
		}
		if ok {
			c.complies(r.Subject())
			continue
		}
		j := Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: endsLoc(r), Section: section,
			Message: fmt.Sprintf("regulator in %s has no strainer before it", r.Subject()), Remedy: "write `regulator … strainer`"}
		for i := range p.Parts {
			if p.Parts[i].IsDevice("regulator") {
				j.Loc = itemSpan(r, p.Parts[i].Index, p.Parts[i].Index)
				at := j.Loc
				at.Span.Start = at.Span.End
				j.Fixes = []Fix{{Title: "give it a strainer", Edits: []Edit{{at, " strainer"}}}}
				break
			}
		}
		c.say(j)
	}
}

var deviceGrade = map[string]string{"atmospheric": "atmospheric-vacuum"}

// protects tells whether a device is good enough for a hazard.
func (c *Case) protects(device, hazard string) bool {
	if d, ok := deviceGrade[device]; ok {
		device = d
	}
	word, _ := c.Book.Table("backflow").Word(device, "hazard")
	return word == "high" || word == hazard
}

func missingBackflow(c *Case) {
	if !c.Sys.Header.Water {
		return
	}
	t := c.Book.Table("protection")
	if t == nil {
		return
	}
	for _, f := range c.Sys.Points {
		if f.Kind != system.Fixture || f.Existing || len(f.Node.WaterIn) == 0 {
			continue
		}
		when, cell := t.Word(f.Word, "when")
		hazard, _ := t.Word(f.Word, "hazard")
		device, _ := t.Word(f.Word, "device")
		spout, _ := f.Attr("spout")
		if spout.Text() == "hose-thread" || spout.Text() == "hand-spray" {
			if when == "" {
				when, hazard, device = spout.Text(), "high", "atmospheric-vacuum"
				if spout.Text() == "hose-thread" {
					device = "hose-vacuum-breaker"
				}
				_, cell = t.Word("hose-bibb", "when")
			}
		}
		if when == "" {
			continue
		}
		if a, ok := f.Attr("hazard"); ok && a.Text() != "" {
			hazard = a.Text()
		}
		if when != "always" && when != spout.Text() {
			if _, written := f.Attr("spout"); !written && f.Word != "equipment" {
				c.complies(f.Name)
			}
			continue
		}
		section := c.use(cell)
		missing, lost := f.Without["vacuum-breaker"]
		if a, ok := f.Attr("protected"); ok && !lost {
			if a.Unknown() {
				c.say(Judgement{Answer: Undecided, Subject: f.Name, Asked: true})
				continue
			}
			if a.Text() != "none" && c.protects(a.Text(), hazard) {
				c.complies(f.Name)
				continue
			}
			if a.Text() != "none" {
				c.say(Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: system.Loc{File: f.File, Span: a.Span}, Section: section,
					Message: fmt.Sprintf("%s of %s does not protect against a %s hazard", strings.ReplaceAll(a.Text(), "-", " "), f.Name, hazard),
					Remedy:  fmt.Sprintf("protect it with `%s` or better", device)})
				continue
			}
		}
		if !lost && c.pipeProtects(f, hazard) {
			c.complies(f.Name)
			continue
		}
		j := Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: f.Loc, Section: section,
			Message: fmt.Sprintf("%s %s has no protection against backflow", f.Fixture.Title, f.Name), Remedy: fmt.Sprintf("write `protected %s` on it, or a device of that grade on its supply", device)}
		if lost {
			j.Loc, j.Basis = missing, "found"
		}
		c.say(j)
	}
}

// pipeProtects: a device on the supplies to a fixture that protects enough.
func (c *Case) pipeProtects(f *system.Point, hazard string) bool {
	all := len(f.Node.WaterIn) > 0
	for _, p := range f.Node.WaterIn {
		ok := fitted(p, "vacuum-breaker") && c.protects("atmospheric-vacuum", hazard)
		for i := range p.Parts {
			if p.Parts[i].IsDevice("backflow") {
				if a, found := grammar.FindAttr(p.Parts[i].Item.Attrs, "kind"); found {
					ok = ok || c.protects(a.Text(), hazard)
				}
			}
		}
		all = all && ok
	}
	return all
}

func missingArrester(c *Case) {
	cell := c.Book.FlagCell("arrester-quick-closing")
	t := c.Book.Table("quick-closing")
	if !c.Sys.Header.Water || !c.Book.Flag("arrester-quick-closing") || t == nil {
		return
	}
	told := map[*system.Point]bool{}
	for _, o := range c.Water().Outlets {
		f := o.Point
		if !t.Has(f.Word) || f.Existing || o.Pipe.Run.Existing {
			continue
		}
		section := c.use(cell)
		if fitted(o.Pipe, "arrester") {
			c.complies(f.Name)
			continue
		}
		if told[f] {
			continue
		}
		told[f] = true
		c.say(Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: lastLoc(o.Pipe), Section: section,
			Message: fmt.Sprintf("supply of %s %s, which closes quickly, has no arrester", f.Fixture.Title, f.Name), Remedy: "write `arrester` at the end of its run"})
	}
}
