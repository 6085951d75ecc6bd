package rule

import (
	"fmt"
	"math"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

func trapForms() []Rule {
	return []Rule{
		{Name: "double-trap", Family: "Traps", Severity: Correction, Title: "Two traps in series",
			Why:      "Between two traps the air is shut in: it holds the waste back, and the pressure it makes blows the weaker seal.",
			Computed: "From each trap the waste is followed downstream; a second trap met before any air gap or pump is one too many. An interceptor is a trap only where it is written `trapped`.",
			Needs:    []string{"trap"}, Judge: doubleTrap},
		{Name: "shared-trap", Family: "Traps", Severity: Correction, Title: "Trap shared by what may not share it",
			Why:      "Waste that rises in a shared trap's inlet stands in the other fixture, and long dry legs before one trap foul the room. Only like basins side by side are near enough.",
			Computed: "The fixtures and compartments before each trap are gathered. Basins of one kind in one room may share it, up to the book's number and spread; so may a sink with its dishwasher and disposer, and a laundry tub with the washer beside it.",
			Needs:    []string{"trap", "compartments"}, Judge: sharedTrap},
		{Name: "unprimed-trap", Family: "Traps", Severity: Correction, Title: "Seldom used trap that may dry out",
			Why:      "The seal of a trap that little water reaches dries up within weeks. Sewer gas and vermin then rise through it unseen.",
			Computed: "Every floor drain's trap needs a primer, written on the fixture or as a device, or a barrier, unless other waste runs through it. A floor sink is in use where something drains into it.",
			Needs:    []string{"primer"}, Judge: unprimedTrap},
		{Name: "steep-trap-arm", Family: "Traps", Severity: Correction, Title: "Trap arm that falls below its weir",
			Why:      "Once the vent opens lower than the weir, water stands across it: the arm runs full, no air enters, and the trap siphons itself.",
			Computed: "The falls of the arm's legs from the weir to the vent are added up and compared with the diameter of the trap. Closets are excepted.",
			Needs:    []string{"fall", "legs", "trap size"}, Judge: steepTrapArm},
		{Name: "long-tailpiece", Family: "Traps", Severity: Correction, Title: "Trap too far below its outlet",
			Why:      "Waste that falls far gains speed and carries the seal along; the wet length before the trap also fouls the air of the room.",
			Computed: "The drop of the legs before the trap, outlet to weir, is compared with the limit, and under some books their level length too. Standpipes have a rule of their own.",
			Needs:    []string{"legs"}, Judge: longTailpiece},
		{Name: "standpipe-height", Family: "Traps", Severity: Correction, Title: "Standpipe too short or too tall",
			Why:      "A short standpipe overflows while the washer pumps; a tall one drops the water so hard that it empties the trap.",
			Computed: "The drop of the legs before the washer's trap, from the standpipe's top to the weir, is compared with the least and the most.",
			Needs:    []string{"legs"}, Judge: standpipeHeight},
		{Name: "laundry-trap-height", Family: "Traps", Severity: Correction, Title: "Washer's trap too low or too high",
			Why:      "A trap at or under the floor cannot be reached; one too high leaves no height for its standpipe.",
			Computed: "The height of the washer's weir over its floor is compared with the least and the most.",
			Needs:    []string{"legs", "outlet"}, Judge: laundryTrapHeight},
	}
}

// trapWay lists the pipes from a fixture to the trap it drains through, the
// trap's own last; ok is false where the trap is not on its way.
func trapWay(f *system.Point, t *system.Trap) (way []*system.Pipe, ok bool) {
	for _, p := range f.Node.DrainOut {
		way = way[:0]
		for n := 0; n < 400; n++ {
			way = append(way, p)
			if p == t.Pipe {
				return way, true
			}
			if len(p.To.DrainOut) == 0 || p.To.Circle {
				break
			}
			p = p.To.DrainOut[0]
		}
	}
	return nil, false
}

// opens tells whether waste passes an air gap, an air break or a pump on a pipe.
func opens(p *system.Pipe) bool {
	if p.Kind() == system.Indirect || p.Kind() == system.Discharge {
		return true
	}
	for i := range p.Parts {
		if p.Parts[i].IsDevice("air-gap") || p.Parts[i].IsDevice("air-break") {
			return true
		}
	}
	return false
}

// inSeries tells whether nothing opens the way from one trap to the next.
func inSeries(t, d *system.Trap) bool {
	p := t.Pipe
	for n := 0; n < 2000; n++ {
		if opens(p) {
			return false
		}
		if p == d.Pipe {
			return true
		}
		if len(p.To.DrainOut) == 0 || p.To.Circle {
			return false
		}
		p = p.To.DrainOut[0]
	}
	return false
}

func doubleTrap(c *Case) {
	told := map[*system.Trap]*Judgement{}
	for _, t := range c.Sys.Traps {
		if len(t.Fixtures) == 0 || t.Pipe.Run.Existing {
			continue
		}
		f, d := t.Fixtures[0], t.Downstream
		if d == nil || !inSeries(t, d) {
			for _, g := range t.Fixtures {
				c.complies(g.Name)
			}
			continue
		}
		if j := told[d]; j != nil {
			if len(j.Related) < 6 {
				j.Related = append(j.Related, Related{c.fixtureLoc(f), f.Name + " passes both too"})
			}
			continue
		}
		first, second := "the trap in "+t.Pipe.Run.Subject(), "the trap in "+d.Pipe.Run.Subject()
		if t.Own {
			first = "its own trap"
		}
		j := Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: d.Loc, Basis: "plan", Remedy: "take one of the two traps out"}
		switch {
		case d.Part < 0:
			name := d.Pipe.From.Name()
			if p := d.Pipe.From.Find(system.Interceptor); p != nil {
				name = p.Name
			}
			second = "the trapped interceptor " + name
			j.Remedy = fmt.Sprintf("use an interceptor without a trap of its own for %s", name)
		case len(d.Fixtures) == 0 || t.Own:
			j.Remedy = fmt.Sprintf("take the trap out of %s", d.Pipe.Run.Subject())
			if len(d.Fixtures) == 0 && !d.Pipe.Run.Existing {
				j.Fixes = dropItem(d.Pipe.Run, d.Pipe.Parts[d.Part].Index, "take this trap out")
			}
		default: // the second one is another fixture's own
			j.Loc = t.Loc
			j.Remedy = fmt.Sprintf("take the trap out of %s, or bring %s to the drain behind the trap of %s", t.Pipe.Run.Subject(), f.Name, d.Fixtures[0].Name)
		}
		j.Message = fmt.Sprintf("waste of %s passes two traps in series, %s and %s; one is the most", f.Name, first, second)
		other := d.Loc
		if j.Loc == d.Loc {
			other = t.Loc
		}
		j.Related = []Related{{other, "the other trap"}}
		told[d] = c.say(j)
	}
}

// dropItem is the fix that takes an item out of a run.
func dropItem(r *system.Run, index int, title string) []Fix {
	items := r.Stmt.Items
	if index < 0 || index >= len(items) || len(items) < 2 {
		return nil
	}
	span := grammar.Span{Start: items[index].Span.Start}
	if index+1 < len(items) {
		span.End = items[index+1].Span.Start
	} else {
		span = grammar.Span{Start: items[index-1].Span.End, End: items[index].Span.End}
	}
	return []Fix{{Title: title, Edits: []Edit{{system.Loc{File: r.File, Span: span}, ""}}}}
}

// compartments of a fixture: as written, else as its kind says.
func compartments(f *system.Point) int {
	if a, ok := f.Attr("compartments"); ok {
		if q, ok := a.Qty(); ok {
			return int(math.Round(q.SI))
		}
	}
	if f.Word == "three-compartment-sink" {
		return 3
	}
	return 1
}

// sharing is what drains through one trap, sorted by how the book sees it.
type sharing struct {
	basins  []*system.Point // of one set
	set     string
	foreign *system.Point // may not share with the first of the others
	with    *system.Point
}

// sortSharing sorts the fixtures before a trap by the book's table.
func (c *Case) sortSharing(table *codebook.Table, all []*system.Point) sharing {
	var s sharing
	var guests []*system.Point
	for _, f := range all {
		set, _ := table.Word(f.Word, "set")
		switch guest, _ := table.Word(f.Word, "with"); {
		case guest != "" && (f.Word != "clothes-washer" || c.Book.Flag("laundry-tub-shares-washer-trap")):
			guests = append(guests, f)
		case set == "" || s.set != "" && set != s.set:
			s.foreign, s.with = f, all[0]
			if f == all[0] {
				s.with = all[1]
			}
			return s
		default:
			s.set, s.basins = set, append(s.basins, f)
		}
	}
	seen := map[string]bool{}
	for _, g := range guests {
		set, _ := table.Word(g.Word, "with")
		if set != s.set || seen[g.Word] {
			s.foreign, s.with = g, all[0]
			if g == all[0] {
				s.with = all[1]
			}
			return s
		}
		seen[g.Word] = true
	}
	return s
}

func sharedTrap(c *Case) {
	table := c.Book.Table("shared-trap")
	most, spread := c.Book.Number("shared-trap-compartments"), c.Book.Number("shared-trap-spread")
	for _, t := range c.Sys.Traps {
		if t.Own || t.Part < 0 || t.Pipe.Run.Existing {
			continue
		}
		var all []*system.Point
		for _, f := range t.Fixtures {
			way, ok := trapWay(f, t)
			if !ok || f.Existing {
				continue
			}
			direct := true
			for _, p := range way {
				direct = direct && !opens(p)
			}
			if direct {
				all = append(all, f)
			}
		}
		if len(all) == 0 {
			continue
		}
		f := all[0]
		j := Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: t.Loc, Basis: "plan"}
		for _, g := range all[1:] {
			if len(j.Related) < 6 {
				j.Related = append(j.Related, Related{c.fixtureLoc(g), g.Name + " drains through it too"})
			}
		}
		if len(all) > 1 {
			s := c.sortSharing(table, all)
			if s.foreign != nil {
				j.Message = fmt.Sprintf("one trap serves %s %s and %s %s; only like basins side by side, up to %.0f, share one", s.with.Fixture.Title, s.with.Name, s.foreign.Fixture.Title, s.foreign.Name, most.Value)
				j.Remedy = fmt.Sprintf("give %s a trap and a vent of its own", s.foreign.Name)
				j.Section = c.use(most)
				c.say(j)
				continue
			}
			if g := otherRoom(all); g != nil {
				j.Message = fmt.Sprintf("one trap serves %s and %s, which stand in two rooms; only basins side by side share one", f.Name, g.Name)
				j.Remedy = fmt.Sprintf("give %s a trap and a vent of its own", g.Name)
				j.Section = c.use(most)
				c.say(j)
				continue
			}
			all = s.basins
		}
		n := 0
		for _, g := range all {
			n += compartments(g)
		}
		c.use(most)
		if n > 1 && float64(n) > most.Value+eps {
			j.Message = fmt.Sprintf("trap of %s serves %d compartments; one trap may serve %.0f", f.Name, n, most.Value)
			j.Measured, j.Limit = &Measure{float64(n), "count", ""}, &Measure{most.Value, "count", "max"}
			j.Remedy, j.Section = "give the surplus compartments a trap of their own", c.use(most)
			c.say(j)
			continue
		}
		if d, from := outletSpread(all, t); from != "" {
			c.use(spread)
			if d > spread.Metres()+eps {
				j.Message = fmt.Sprintf("outlets before the trap of %s are %s apart, %s; %s is the most", f.Name, quantity.FormatLength(d), from, quantity.FormatLength(spread.Metres()))
				j.Measured, j.Limit = &Measure{round(d/0.0254, 3), "in", ""}, &Measure{spread.Value, "in", "max"}
				j.Remedy, j.Section = "give the furthest a trap of its own", c.use(spread)
				c.say(j)
				continue
			}
		}
		c.complies(f.Name)
	}
}

// otherRoom is the first fixture that stands in another room than the first.
func otherRoom(all []*system.Point) *system.Point {
	for _, g := range all[1:] {
		if g.Room != nil && all[0].Room != nil && g.Room != all[0].Room {
			return g
		}
	}
	return nil
}

// outletSpread is the distance in metres between the outermost outlets before
// a trap, and where it comes from; "" where the plan does not tell.
func outletSpread(all []*system.Point, t *system.Trap) (float64, string) {
	if len(all) == 1 {
		n := compartments(all[0])
		a, ok := all[0].Attr("apart")
		q, fine := a.Qty()
		if n < 2 || !ok || !fine {
			return 0, ""
		}
		return float64(n-1) * q.SI, fmt.Sprintf("%d compartments %s from one to the next", n, quantity.FormatLength(q.SI))
	}
	far, told := 0.0, false
	for i, f := range all {
		for _, g := range all[:i] {
			if !measured(f, t) || !measured(g, t) {
				continue
			}
			a, b := f.Node.Pos[system.DWV], g.Node.Pos[system.DWV]
			if a[0].Known() && a[1].Known() && b[0].Known() && b[1].Known() {
				told = true
				far = max64(far, math.Hypot(a[0].V-b[0].V, a[1].V-b[1].V))
			}
		}
	}
	if !told {
		return 0, ""
	}
	return far, "by the legs before it"
}

// measured: every leg from the fixture to the trap has its length and way.
func measured(f *system.Point, t *system.Trap) bool {
	way, ok := trapWay(f, t)
	for _, p := range way {
		for i := range p.Parts {
			if p == t.Pipe && i >= t.Part {
				break
			}
			if pt := &p.Parts[i]; pt.IsLeg() && (!pt.Length.Known() || math.IsNaN(pt.Dir[0])) {
				return false
			}
		}
		if p != t.Pipe && p.FirstLeg() == nil {
			return false
		}
	}
	return ok
}
