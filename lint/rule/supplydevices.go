package rule

import (
	"fmt"
	"slices"

	"crownweir/grammar"
	"crownweir/grammar/system"
)

func supplyDevices() []Rule {
	return []Rule{
		{Name: "missing-shutoff", Family: "Supply", Severity: Correction, Title: "No valve to shut the water off",
			Why:      "When a hose bursts, someone must find a valve at once: at the building, the heater, the dwelling, the fixture.",
			Computed: "The way from the source is searched for a full-way valve before the first branch, before each heater and into each of several dwellings, and for a stop at each fixture that the book does not exempt.",
			Needs:    []string{"valves"}, Judge: missingShutoff},
		{Name: "missing-strainer", Family: "Supply", Severity: Correction, Title: "Regulator without a strainer",
			Why:      "Grit under a regulator's seat lets street pressure into the house.",
			Computed: "Each regulator is to have a strainer in its setting or before it, unless it is of the exempt size.",
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
			Computed: "A storage heater behind a check valve, regulator or backflow device is to have an expansion tank, on it or on cold pipe downstream of them all.",
			Needs:    []string{"devices"}, Judge: missingExpansion},
		{Name: "missing-relief", Family: "Supply", Severity: Correction, Title: "Storage heater without a relief valve",
			Why:      "A heater that runs away and cannot blow off becomes a bomb.",
			Computed: "Every heater with storage is to write `relief`.",
			Needs:    []string{"relief"}, Judge: missingRelief},
		{Name: "small-heater", Family: "Supply", Severity: Correction, Title: "Heater with too small a first-hour rating",
			Why:      "A heater that runs cold is turned up until it scalds.",
			Computed: "The first-hour rating of a dwelling's storage heaters together is compared with the table by its baths and bedrooms.",
			Needs:    []string{"first-hour", "baths", "bedrooms"}, Judge: smallHeater},
	}
}

// fullWay are the kinds of valve that open the whole bore.
var fullWay = []string{"full-port", "gate"}

// shuts tells whether a pipe holds a valve that shuts the water off, of one of
// the kinds where some are asked; a check valve never does. at is the found
// line that took it away.
func shuts(p *system.Pipe, kinds ...string) (ok bool, at system.Loc, found bool) {
	if loc, gone := p.Run.FoundAt["without valve"]; gone {
		return false, loc, true
	}
	for i := range p.Parts {
		pt := &p.Parts[i]
		if kind := pt.DeviceKind(); pt.IsDevice("valve") && kind != "check" && (len(kinds) == 0 || slices.Contains(kinds, kind)) {
			return true, system.Loc{}, false
		}
	}
	_, added := p.Run.FoundAt["with valve"]
	return added, system.Loc{}, false
}

// alone lists the pipe into an outlet and those before it that feed it alone,
// against the flow.
func alone(last *system.Pipe) []*system.Pipe {
	out := []*system.Pipe{last}
	for p := last; len(p.From.WaterIn) == 1 && len(p.From.WaterOut) == 1 && len(out) < 1000; {
		if p.From.Find(system.Heater) != nil || p.From.Find(system.Fixture) != nil {
			break
		}
		p = p.From.WaterIn[0]
		out = append(out, p)
	}
	return out
}

// shutsAny searches several pipes for a valve.
func shutsAny(pipes []*system.Pipe, kinds ...string) (ok bool, at system.Loc, found bool) {
	for _, p := range pipes {
		has, loc, gone := shuts(p, kinds...)
		if has {
			return true, system.Loc{}, false
		}
		if gone && !found {
			at, found = loc, true
		}
	}
	return false, at, found
}

func lastLoc(p *system.Pipe) system.Loc {
	return system.Loc{File: p.Run.File, Span: p.Run.Stmt.To.Span}
}

// lost puts a judgement at the found line that says a device is missing; an
// edit of the plan is no remedy then.
func (j *Judgement) lost(at system.Loc, found bool) {
	if found {
		j.Loc, j.Basis, j.Fixes = at, "found", nil
	}
}

// addAttr is the fix that writes an attribute at the end of a point's line.
func addAttr(p *system.Point, text string) []Fix {
	if p.Decl == nil {
		return nil
	}
	end := p.Decl.Span.End
	return []Fix{{Title: "write `" + text + "` on it", Edits: []Edit{{system.Loc{File: p.File, Span: grammar.Span{Start: end, End: end}}, " " + text}}}}
}

func missingShutoff(c *Case) {
	if !c.Sys.Header.Water {
		return
	}
	c.mainValves()
	c.heaterValves()
	c.dwellingValves()
	c.fixtureStops()
}

// trunk lists the pipes from a source's pipe on to the first branch.
func trunk(p *system.Pipe) []*system.Pipe {
	out := []*system.Pipe{p}
	for n := p.To; len(n.WaterOut) == 1 && len(n.WaterIn) == 1 && len(out) < 1000; n = n.WaterOut[0].To {
		if n.Find(system.Fixture) != nil || n.Find(system.Heater) != nil {
			break
		}
		out = append(out, n.WaterOut[0])
	}
	return out
}

// mainValves: a full-way valve between each main and the first branch.
func (c *Case) mainValves() {
	cell := c.Book.FlagCell("shutoff-main")
	if !c.Book.Flag("shutoff-main") {
		return
	}
	for _, src := range c.Water().Sources {
		if src.Kind != system.Main {
			continue
		}
		section := c.use(cell)
		var j *Judgement
		for _, p := range src.Node.WaterOut {
			ok, at, found := shutsAny(trunk(p), fullWay...)
			switch {
			case ok || p.Run.Existing:
			case j == nil:
				j = &Judgement{Answer: Breaks, Subject: src.Name, Copy: src.Copy, Loc: endsLoc(p.Run), Section: section, Fact: "main",
					Message: fmt.Sprintf("no full-way valve stands between %s and the first branch", src.Name), Remedy: "write `valve full-port` in the service", Fixes: appendItem(p.Run, "valve full-port")}
				j.lost(at, found)
			default:
				j.Related = append(j.Related, Related{endsLoc(p.Run), "nor here"})
			}
		}
		if j == nil {
			c.complies(src.Name)
			continue
		}
		c.say(*j)
	}
}

// heaterValves: a full-way valve on the cold supply of each heater.
func (c *Case) heaterValves() {
	cell := c.Book.FlagCell("shutoff-heater")
	if !c.Book.Flag("shutoff-heater") {
		return
	}
	for _, h := range c.Sys.Points {
		in := coldInto(h)
		if h.Kind != system.Heater || h.Existing || in == nil || in.Run.Existing {
			continue
		}
		section := c.use(cell)
		ok, at, found := shutsAny(alone(in), fullWay...)
		if ok {
			c.complies(h.Name)
			continue
		}
		j := Judgement{Answer: Breaks, Subject: h.Name, Copy: h.Copy, Loc: lastLoc(in), Section: section, Fact: "heater",
			Message: fmt.Sprintf("heater %s has no full-way valve on its cold supply", h.Name), Remedy: "write `valve full-port` in the run to it", Fixes: appendItem(in.Run, "valve full-port")}
		j.lost(at, found)
		c.say(j)
	}
}

// coldInto is the pipe that brings a heater its water; nil where none does.
func coldInto(h *system.Point) *system.Pipe {
	for _, p := range h.Node.WaterIn {
		if p.Kind() != system.Return {
			return p
		}
	}
	return nil
}

// dwellingValves: each of several dwellings is shut off by itself, by valves
// on pipes that serve it alone and every outlet of it.
func (c *Case) dwellingValves() {
	cell := c.Book.FlagCell("shutoff-dwelling")
	if !c.Book.Flag("shutoff-dwelling") || len(c.Sys.Dwellings) < 2 {
		return
	}
	var kinds []string
	if c.Book.Flag("shutoff-dwelling-full") {
		kinds = fullWay
	}
	w := c.Water()
	serves := make([]*system.Dwelling, len(c.Sys.Pipes))
	many := make([]bool, len(c.Sys.Pipes))
	of := map[*system.Dwelling][]int{}
	for i, o := range w.Outlets {
		d := c.dwellingOf(o.Point)
		if d == nil {
			continue // a bibb of nobody's takes no dwelling's valve away
		}
		of[d] = append(of[d], i)
		for _, p := range w.Way(o.Pipe) {
			many[p.ID] = many[p.ID] || serves[p.ID] != nil && serves[p.ID] != d
			serves[p.ID] = d
		}
	}
	for _, d := range c.Sys.Dwellings {
		bare, fresh := []int{}, 0
		for _, i := range of[d] {
			o := w.Outlets[i]
			if o.Pipe.Run.Existing || o.Point.Existing {
				continue
			}
			fresh++
			own := slices.DeleteFunc(w.Way(o.Pipe), func(p *system.Pipe) bool {
				return many[p.ID] || p.To.Find(system.Heater) != nil || p.To.Find(system.Fixture) != nil
			})
			if ok, _, _ := shutsAny(own, kinds...); !ok {
				bare = append(bare, i)
			}
		}
		if fresh == 0 {
			continue
		}
		section := c.use(cell)
		if len(bare) == 0 {
			c.complies(d.Name)
			continue
		}
		at := w.Outlets[bare[0]]
		enters := at.Pipe
		for _, p := range w.Way(at.Pipe) {
			if !many[p.ID] {
				enters = p
				break
			}
		}
		j := Judgement{Answer: Breaks, Subject: d.Name, Loc: d.Loc, Section: section, Fact: "dwelling",
			Message: fmt.Sprintf("dwelling %s has no valve that shuts off its water alone", d.Name), Remedy: "write `valve full-port` where its supply enters",
			Related: []Related{{endsLoc(enters.Run), "its supply begins here"}}}
		for _, copy := range c.Sys.Copies {
			if copy.Name == d.Name {
				j.Copy = copy.Parent // one finding for the like dwellings of a typical's copies
			}
		}
		if len(bare) < fresh {
			j.Message = fmt.Sprintf("dwelling %s has no valve of its own before %s", d.Name, at.Point.Name)
		}
		c.say(j)
	}
}

// fixtureStops: a stop at every fixture supply that the book does not exempt.
// The head's `default stop` stands for those of every kind but tubs, showers
// and bibbs.
func (c *Case) fixtureStops() {
	cell, exempt := c.Book.FlagCell("shutoff-fixture"), c.Book.Table("shutoff-exempt")
	if !c.Book.Flag("shutoff-fixture") {
		return
	}
	told := map[*system.Point]*Judgement{}
	for _, o := range c.Water().Outlets {
		f, r := o.Point, o.Pipe.Run
		where, _ := exempt.Word(f.Word, "where")
		if where == "always" || where != "" && where == c.Ledger.Occupancy(f) || r.Existing || f.Existing {
			continue
		}
		section := c.use(cell)
		ok, at, found := shutsAny(alone(o.Pipe))
		stood := c.Sys.AssumesStop(f)
		if ok || stood && !found {
			c.complies(f.Name)
			continue
		}
		if j := told[f]; j != nil {
			j.Related = append(j.Related, Related{endsLoc(r), "nor here"})
			continue
		}
		j := Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: lastLoc(o.Pipe), Section: section, Fact: "fixture",
			Message: fmt.Sprintf("%s %s has no stop on its supply", f.Fixture.Title, f.Name), Remedy: "write `valve stop` in the run to it", Fixes: appendItem(r, "valve stop")}
		j.lost(at, found)
		told[f] = c.say(j)
	}
}

func missingStrainer(c *Case) {
	if !c.Sys.Header.Water || !c.Book.Flag("regulator-strainer") {
		return
	}
	exempt := c.Book.Number("strainer-exempt")
	for _, p := range c.Sys.Pipes {
		r := p.Run
		if !p.Kind().Water() || r.Existing {
			continue
		}
		part, ok, _, _ := siteDevice(p, "regulator")
		if !ok || part < 0 {
			continue
		}
		section := c.use(c.Book.FlagCell("regulator-strainer"), exempt)
		at, found := r.FoundAt["without strainer"]
		if exempt.OK && float64(p.Size()) >= exempt.Value-eps || c.strained(p, part) {
			c.complies(r.Subject())
			continue
		}
		i := p.Parts[part].Index
		j := Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: itemSpan(r, i, i), Section: section,
			Message: fmt.Sprintf("regulator in %s has no strainer before it", r.Subject()), Remedy: "write `strainer` after the regulator's pressure"}
		end := j.Loc
		end.Span.Start = end.Span.End
		j.Fixes = []Fix{{Title: "give it a strainer", Edits: []Edit{{end, " strainer"}}}}
		j.lost(at, found)
		c.say(j)
	}
}

// strained tells whether a strainer is part of a regulator or stands before it.
func (c *Case) strained(p *system.Pipe, part int) bool {
	if _, gone := p.Run.FoundAt["without strainer"]; !gone {
		if _, built := p.Parts[part].Setting("strainer"); built {
			return true
		}
		for i := range p.Parts[:part] {
			if p.Parts[i].IsDevice("strainer") {
				return true
			}
		}
		if _, added := p.Run.FoundAt["with strainer"]; added {
			return true
		}
	}
	for _, q := range c.Water().Way(p) {
		if q == p {
			continue
		}
		if _, ok, _, _ := siteDevice(q, "strainer"); ok {
			return true
		}
	}
	return false
}

func missingArrester(c *Case) {
	cell := c.Book.FlagCell("arrester-quick-closing")
	t := c.Book.Table("quick-closing")
	if !c.Sys.Header.Water || !c.Book.Flag("arrester-quick-closing") || t == nil {
		return
	}
	told := map[*system.Point]*Judgement{}
	for _, o := range c.Water().Outlets {
		f, r := o.Point, o.Pipe.Run
		if !t.Has(f.Word) || f.Existing || r.Existing {
			continue
		}
		section := c.use(cell)
		ok, at, found := false, system.Loc{}, false
		for _, p := range alone(o.Pipe) {
			_, has, loc, site := siteDevice(p, "arrester")
			ok = ok || has
			if site && !has && !found {
				at, found = loc, true
			}
		}
		if ok {
			c.complies(f.Name)
			continue
		}
		if j := told[f]; j != nil {
			j.Related = append(j.Related, Related{endsLoc(r), "nor here"})
			continue
		}
		j := Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: lastLoc(o.Pipe), Section: section,
			Message: fmt.Sprintf("supply of %s %s, which closes quickly, has no arrester", f.Fixture.Title, f.Name), Remedy: "write `arrester` at the end of its run", Fixes: appendItem(r, "arrester")}
		j.lost(at, found)
		told[f] = c.say(j)
	}
}
