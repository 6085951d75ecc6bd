package answer

import (
	"fmt"

	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"

	"crownweir/lint/sizing"
)

// kind tells what a code asks of a kind of fixture, and how it usually stands.
func (h *hover) kind(s placed, pt part) {
	if s.Keyword() != "fixture" {
		h.out.para("**%s**%s", pt.text, dash(meaningIn(s.Keyword(), pt.text)))
		return
	}
	fx, ok := catalog.FixtureKind(pt.text)
	if !ok {
		return
	}
	title := "**" + fx.Name + "**"
	if fx.Short != "" {
		title += ", short `" + fx.Short + "`"
	}
	h.out.para("%s", title)
	list := h.facts.pointsOf(s)
	if len(list) > 1 {
		h.out.line("%d copies", len(list))
	}
	switch {
	case h.c == nil:
	case len(list) > 0:
		h.fixtureLines(list[0])
	default:
		h.kindLines(fx)
	}
	h.usual(fx)
	var subjects []string
	for _, q := range list {
		subjects = append(subjects, q.Name)
	}
	h.tell(h.findings(h.facts, system.Loc{}, subjects...))
}

// kindLines tells what the book asks of a kind in a private place.
func (h *hover) kindLines(fx catalog.Fixture) {
	h.limits = true
	t := h.c.Book.Table("fixture-units")
	if cell := t.At(fx.Name, "private"); cell.OK {
		h.out.item("drainage %s%s", units(cell.Value), cite(cell))
	}
	if cell := t.At(fx.Name, "trap"); cell.OK {
		h.out.item("least trap %s%s", quantity.FormatSize(quantity.Size(cell.Value)), cite(cell))
	}
	if cell := h.c.Book.Table("water-units").At(fx.Name, "private"); cell.OK {
		h.out.item("supply %s%s", units(cell.Value), cite(cell))
	}
	if cell := h.c.Book.Table("fixture-supply").At(fx.Name, "least"); cell.OK {
		h.out.item("least supply %s%s", quantity.FormatSize(quantity.Size(cell.Value)), cite(cell))
	}
}

// fixtureLines tells what the book asks of one fixture of the plan.
func (h *hover) fixtureLines(f *system.Point) {
	h.limits = true
	c := h.c
	h.out.line("%s in a %s place", f.Fixture.Title, c.Ledger.Occupancy(f))
	if f.Fixture.NeedsDrain || len(f.Node.DrainOut) > 0 {
		s := c.Ledger.Fixture(f)
		say := "drainage " + loadUnits(s.Load)
		if s.Cell.OK {
			say += cite(s.Cell)
		}
		if s.Note != "" {
			say += ", " + s.Note
		}
		if got := c.Ledger.Received(f).Load; got.Units != s.Load.Units {
			say += fmt.Sprintf("; %s with what wastes into it", units(got.Units))
		}
		h.out.item("%s", say)
		h.trapOf(f)
	}
	h.supplyOf(f)
}

func loadUnits(l sizing.Load) string {
	if l.Unknown > 0 {
		return "units not known; write `units N`"
	}
	return units(l.Units)
}

func (h *hover) trapOf(f *system.Point) {
	ask, asked := h.c.AskedTrap(f)
	say := ""
	if asked && ask.Size > 0 {
		say = fmt.Sprintf("least trap %s%s", sized(ask.Size), cite(ask.Cell))
		if ask.Maker {
			say += ", asked by its maker"
		}
	}
	t := h.system().TrapOf(f)
	switch {
	case f.Fixture.OwnTrap:
		say = "trap of its own"
	case t == nil:
		say += ifBoth(say, "; ") + "no trap is drawn"
	case t.Size > 0:
		say += ifBoth(say, "; ") + "it has " + sized(t.Size)
	}
	if say != "" {
		h.out.item("%s", say)
	}
	if t == nil {
		return
	}
	if arm := h.c.Vents.ArmOf(t); arm != nil {
		h.out.item("%s", armLine(arm))
	}
}

func ifBoth(have, between string) string {
	if have == "" {
		return ""
	}
	return between
}

func (h *hover) supplyOf(f *system.Point) {
	if !f.Fixture.NeedsCold && !f.Fixture.NeedsHot && len(f.Node.WaterIn) == 0 {
		return
	}
	w := h.c.Water()
	whole, cold, hot, cell, ok := w.FixtureWater(f)
	if ok {
		say := fmt.Sprintf("supply %s%s", units(whole), cite(cell))
		if f.Fixture.NeedsCold && f.Fixture.NeedsHot {
			say += fmt.Sprintf("; %s cold and %s hot", number(cold, 3), number(hot, 3))
		}
		h.out.item("%s", say)
	}
	if size, cell, ok := w.LeastFixtureSupply(f); ok {
		h.out.item("least supply %s%s", sized(size), cite(cell))
	}
	if q, cell, ok := w.OutletFlow(f); ok {
		h.out.item("draws %s gpm%s", gpm(q), cite(cell))
	}
	if need, cell, ok := w.OutletPressure(f); ok {
		h.out.item("needs %s psi flowing%s", psi(need), cite(cell))
	}
}

// usual tells the usual rough-in heights of a kind.
func (h *hover) usual(fx catalog.Fixture) {
	var list []string
	for _, u := range []struct {
		word string
		at   catalog.Height
	}{{"outlet", fx.Outlet}, {"supply", fx.Supply}, {"rim", fx.Rim}, {"head", fx.Head}} {
		if u.at.OK {
			list = append(list, u.word+" "+length(u.at.Metres))
		}
	}
	if len(list) > 0 {
		h.out.item("usual heights above the floor: %s", join(list))
	}
}
