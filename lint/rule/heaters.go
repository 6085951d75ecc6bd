package rule

import (
	"fmt"
	"strings"

	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

func missingExpansion(c *Case) {
	if !c.Sys.Header.Water || !c.Book.Flag("expansion-control") {
		return
	}
	w := c.Water()
	for _, h := range c.Sys.Points {
		if h.Kind != system.Heater || len(h.Node.WaterIn) == 0 {
			continue
		}
		if _, storage := h.Attr("storage"); !storage {
			continue
		}
		var in *system.Pipe
		for _, p := range h.Node.WaterIn {
			if p.Kind() != system.Return {
				in = p
			}
		}
		if in == nil {
			continue
		}
		closed, tank := "", false
		if _, ok := h.Attr("expansion-tank"); ok {
			tank = true
		}
		for _, p := range w.Way(in) {
			for i := range p.Parts {
				pt := &p.Parts[i]
				switch {
				case pt.IsDevice("regulator"):
					closed = "regulator"
				case pt.IsDevice("backflow"):
					closed = "backflow device"
				case pt.IsDevice("valve") && hasValveKind(pt, "check"):
					closed = "check valve"
				case pt.IsDevice("expansion-tank"):
					tank = true
				}
			}
		}
		section := c.use(c.Book.FlagCell("expansion-control"))
		if closed == "" || tank {
			c.complies(h.Name)
			continue
		}
		c.say(Judgement{Answer: Breaks, Subject: h.Name, Copy: h.Copy, Loc: h.Loc, Section: section,
			Message: fmt.Sprintf("heater %s stands behind a %s and has no expansion tank", h.Name, closed), Remedy: "write `expansion-tank` on the heater or on its cold supply"})
	}
}

func hasValveKind(pt *system.Part, kind string) bool {
	for _, a := range pt.Item.Attrs {
		if a.Key == kind || a.Text() == kind {
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
		if h.Kind != system.Heater {
			continue
		}
		if _, storage := h.Attr("storage"); !storage {
			continue
		}
		section := c.use(c.Book.FlagCell("heater-relief"))
		if _, ok := h.Attr("relief"); ok && h.Without["relief"] == (system.Loc{}) {
			c.complies(h.Name)
			continue
		}
		c.say(Judgement{Answer: Breaks, Subject: h.Name, Copy: h.Copy, Loc: h.Loc, Section: section,
			Message: fmt.Sprintf("storage heater %s has no temperature and pressure relief valve", h.Name), Remedy: "write `relief` on it"})
	}
}

func smallHeater(c *Case) {
	t := c.Book.Table("first-hour")
	if !c.Sys.Header.Water || t == nil || !c.Book.Flag("heater-first-hour") {
		return
	}
	for _, h := range c.Sys.Points {
		if h.Kind != system.Heater || len(h.Node.WaterOut) == 0 {
			continue
		}
		d := c.dwellingOf(h)
		if d == nil {
			continue
		}
		if !d.Baths.Known() || !d.Bedrooms.Known() {
			c.undecided(h.Name, h.Copy, d.Loc, "number of baths and bedrooms of the dwelling", "write `dwelling … baths N bedrooms N`")
			continue
		}
		a, written := h.Attr("first-hour")
		if a.Unknown() {
			c.say(Judgement{Answer: Undecided, Subject: h.Name, Asked: true})
			continue
		}
		q, ok := a.Qty()
		if !written || !ok {
			c.undecided(h.Name, h.Copy, h.Loc, "first-hour rating of "+h.Name, "write `first-hour 62gal` on it")
			continue
		}
		cell := firstHour(t, d.Baths.V, d.Bedrooms.V)
		if !cell.OK {
			continue
		}
		section, gal := c.use(cell), q.SI/0.003785411784
		if gal >= cell.Value-1e-6 {
			c.complies(h.Name)
			continue
		}
		c.say(Judgement{Answer: Breaks, Subject: h.Name, Copy: h.Copy, Loc: system.Loc{File: h.File, Span: a.Span}, Section: section,
			Message: fmt.Sprintf("heater %s gives %.0f gal in its first hour; %.0f is the least for %g %s and %g %s", h.Name, gal, cell.Value,
				d.Baths.V, plural(int(d.Baths.V+0.5), "bath", "baths"), d.Bedrooms.V, plural(int(d.Bedrooms.V+0.5), "bedroom", "bedrooms")),
			Measured: &Measure{round(gal, 2), "gal", ""}, Limit: &Measure{cell.Value, "gal", "min"}, Remedy: "take a larger or faster heater"})
	}
}

// firstHour reads the table: the row of the baths with the least bedrooms not
// below the dwelling's.
func firstHour(t *codebook.Table, baths, bedrooms float64) codebook.Cell {
	best := codebook.Cell{}
	at := 1e9
	for i := range t.Rows {
		row := &t.Rows[i]
		if baths > row.Labels["baths-most"]+eps || baths < row.Labels["baths-least"]-eps {
			continue
		}
		if b := row.Labels["bedrooms"]; b >= bedrooms-eps && b < at {
			at, best = b, row.Cells["gallons"]
		}
	}
	return best
}

// dwellingOf is the dwelling a heater serves: its room's, its copy's, or the
// plan's only one.
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
