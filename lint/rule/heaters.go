package rule

import (
	"fmt"
	"slices"
	"strings"

	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
)

// stores tells whether a heater keeps hot water; asked is true where the plan
// says that it is not known yet.
func stores(h *system.Point) (yes, asked bool) {
	a, _ := h.Attr("storage")
	q, ok := a.Qty()
	return ok && q.SI > 0, a.Unknown()
}

// closes is what a part of a supply keeps heated water from pushing back
// through, or "".
func closes(pt *system.Part) string {
	switch {
	case pt.IsDevice("regulator"):
		return "regulator"
	case pt.IsDevice("backflow"):
		return "backflow device"
	case pt.IsDevice("valve") && pt.DeviceKind() == "check":
		return "check valve"
	}
	return ""
}

func missingExpansion(c *Case) {
	if !c.Sys.Header.Water || !c.Book.Flag("expansion-control") {
		return
	}
	tanks := c.tanks()
	for _, h := range c.Sys.Points {
		in := coldInto(h)
		if h.Kind != system.Heater || h.Existing || in == nil {
			continue
		}
		yes, asked := stores(h)
		if asked {
			c.say(Judgement{Answer: Undecided, Subject: h.Name, Asked: true})
		}
		if !yes {
			continue
		}
		closed, by := "", (*system.Pipe)(nil)
		part := 0
		for _, p := range c.Water().Way(in) {
			for i := range p.Parts {
				if k := closes(&p.Parts[i]); k != "" {
					closed, by, part = k, p, i
				}
			}
		}
		section := c.use(c.Book.FlagCell("expansion-control"))
		_, built := h.Attr("expansion-tank")
		at, lost := h.Without["expansion-tank"]
		if closed == "" || built && !lost || c.tankBehind(tanks, by, part) {
			c.complies(h.Name)
			continue
		}
		j := Judgement{Answer: Breaks, Subject: h.Name, Copy: h.Copy, Loc: h.Loc, Section: section,
			Message: fmt.Sprintf("heater %s stands behind a %s and has no expansion tank", h.Name, closed), Remedy: "write `expansion-tank` on it",
			Fixes: addAttr(h, "expansion-tank"), Related: []Related{{itemSpan(by.Run, by.Parts[part].Index, by.Parts[part].Index), "the " + closed}}}
		j.lost(at, lost)
		c.say(j)
	}
}

// tank is an expansion tank on cold pipe; part is -1 where a found line adds it.
type tank struct {
	pipe *system.Pipe
	part int
}

func (c *Case) tanks() []tank {
	var out []tank
	for _, p := range c.Sys.Pipes {
		if k := p.Kind(); k != system.Cold && k != system.Service {
			continue
		}
		if at, ok, _, _ := siteDevice(p, "expansion-tank"); ok {
			out = append(out, tank{p, at})
		}
	}
	return out
}

// tankBehind tells whether one of the tanks stands downstream of a device.
func (c *Case) tankBehind(tanks []tank, by *system.Pipe, part int) bool {
	for _, t := range tanks {
		if t.pipe == by && t.part >= 0 && t.part < part {
			continue
		}
		if slices.Contains(c.Water().Way(t.pipe), by) {
			return true
		}
	}
	return false
}

func missingRelief(c *Case) {
	if !c.Sys.Header.Water || !c.Book.Flag("heater-relief") {
		return
	}
	for _, h := range c.Sys.Points {
		if h.Kind != system.Heater || h.Existing {
			continue
		}
		yes, asked := stores(h)
		a, written := h.Attr("relief")
		if asked || yes && a.Unknown() {
			c.say(Judgement{Answer: Undecided, Subject: h.Name, Asked: true})
			continue
		}
		if !yes {
			continue
		}
		section := c.use(c.Book.FlagCell("heater-relief"))
		at, lost := h.Without["relief"]
		for _, p := range h.Node.WaterOut {
			_, piped, _, _ := siteDevice(p, "relief-valve")
			written = written || piped
		}
		if written && !lost {
			c.complies(h.Name)
			continue
		}
		j := Judgement{Answer: Breaks, Subject: h.Name, Copy: h.Copy, Loc: h.Loc, Section: section,
			Message: fmt.Sprintf("storage heater %s has no temperature and pressure relief valve", h.Name), Remedy: "write `relief` on it", Fixes: addAttr(h, "relief")}
		j.lost(at, lost)
		c.say(j)
	}
}

func smallHeater(c *Case) {
	t := c.Book.Table("first-hour")
	if !c.Sys.Header.Water || t == nil || !c.Book.Flag("heater-first-hour") {
		return
	}
	heaters := map[*system.Dwelling][]*system.Point{}
	for _, h := range c.Sys.Points {
		yes, asked := stores(h)
		if _, rated := h.Attr("first-hour"); h.Kind != system.Heater || !yes && !asked && !rated || len(h.Node.WaterOut) == 0 {
			continue
		}
		if d := c.dwellingOf(h); d != nil {
			heaters[d] = append(heaters[d], h)
		}
	}
	for _, d := range c.Sys.Dwellings {
		if list := heaters[d]; len(list) > 0 && !list[0].Existing {
			c.firstHours(t, d, list)
		}
	}
}

// firstHours judges the heaters of a dwelling together.
func (c *Case) firstHours(t *codebook.Table, d *system.Dwelling, list []*system.Point) {
	h := list[0]
	if !d.Baths.Known() || !d.Bedrooms.Known() {
		what := "number of baths and bedrooms"
		switch {
		case d.Baths.Known():
			what = "number of bedrooms"
		case d.Bedrooms.Known():
			what = "number of baths"
		}
		c.undecided(h.Name, h.Copy, d.Loc, what+" of the dwelling", "write `dwelling … baths N bedrooms N`")
		return
	}
	gal, names := 0.0, []string{}
	for _, x := range list {
		a, _ := x.Attr("first-hour")
		if a.Unknown() {
			c.say(Judgement{Answer: Undecided, Subject: h.Name, Asked: true})
			return
		}
		q, ok := a.Qty()
		if !ok {
			c.undecided(h.Name, h.Copy, x.Loc, "first-hour rating of "+x.Name, "write `first-hour 62gal` on it")
			return
		}
		gal += q.Gallons()
		names = append(names, x.Name)
	}
	cell := firstHour(t, d.Baths.V, d.Bedrooms.V)
	if !cell.OK {
		return
	}
	section := c.use(cell)
	if gal >= cell.Value-1e-6 {
		c.complies(h.Name)
		return
	}
	loc, basis := attrLoc(h, "first-hour")
	c.say(Judgement{Answer: Breaks, Subject: h.Name, Copy: h.Copy, Loc: loc, Basis: basis, Section: section,
		Message: fmt.Sprintf("%s %s %s %s gal in the first hour; %.0f is the least for %g %s and %g %s", plural(len(names), "heater", "heaters"), joinNames(names),
			plural(len(names), "gives", "give"), sizing.Trim(gal), cell.Value, d.Baths.V, counted(d.Baths.V, "bath"), d.Bedrooms.V, counted(d.Bedrooms.V, "bedroom")),
		Measured: &Measure{round(gal, 2), "gal", ""}, Limit: &Measure{cell.Value, "gal", "min"}, Remedy: "take a larger or faster heater"})
}

func counted(n float64, one string) string {
	if n > 1 {
		return one + "s"
	}
	return one
}

// firstHour reads the table: among the rows of the least baths not below the
// dwelling's, that of the least bedrooms not below its own.
func firstHour(t *codebook.Table, baths, bedrooms float64) codebook.Cell {
	best := codebook.Cell{}
	group, at := 1e9, 1e9
	for i := range t.Rows {
		row := &t.Rows[i]
		most := row.Labels["baths-most"]
		if baths > most+eps || most > group {
			continue
		}
		if most < group-eps {
			group, at = most, 1e9
		}
		if b := row.Labels["bedrooms"]; b >= bedrooms-eps && b < at {
			at, best = b, row.Cells["gallons"]
		}
	}
	return best
}

// dwellingOf is the dwelling a point belongs to: its room's, its copy's, or
// the plan's only one.
func (c *Case) dwellingOf(h *system.Point) *system.Dwelling {
	for _, d := range c.Sys.Dwellings {
		switch {
		case h.Room != nil && h.Room.Dwelling != "" && d.Name == h.Room.Dwelling:
			return d
		case h.Copy != nil && (d.Name == h.Copy.Name || strings.HasPrefix(h.Copy.Name, d.Name+".")):
			return d
		}
	}
	if len(c.Sys.Dwellings) == 1 && c.Sys.Dwellings[0].Name == "" {
		return c.Sys.Dwellings[0]
	}
	return nil
}
