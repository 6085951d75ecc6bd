package venting

import (
	"fmt"
	"math"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

// step is the nominal size n steps above another on the book's vent table.
func (a *Analysis) step(size quantity.Size, n int) (quantity.Size, bool) {
	sizes := a.Book.Table("drain-units").Sizes()
	if len(sizes) == 0 {
		sizes = a.Book.Table("building-drain-units").Sizes()
	}
	for i, s := range sizes {
		if float64(s) >= float64(size)-eps && i+n < len(sizes) {
			return sizes[i+n], true
		}
	}
	return 0, false
}

// claimed says of an arm whose run claims a circuit or an island that none is
// there, so that the walk's story names it.
func (a *Analysis) claimed(arm *Arm) {
	for _, k := range []struct {
		claim  string
		method Method
	}{{"circuit", Circuit}, {"island", Island}} {
		if !a.claims(arm, k.claim) {
			continue
		}
		have := false
		for _, c := range arm.Candidates {
			have = have || c.Method == k.method
		}
		if !have {
			arm.Candidates = append(arm.Candidates, &Candidate{Method: k.method, Claimed: true, Node: arm.EndNode, Dist: arm.Length,
				Never: "claimed, but no such vent reaches it"})
		}
	}
}

// horizontal judges a level wet vent.
func (a *Analysis) horizontal(arm *Arm, c *Candidate) {
	in := c.Section[len(c.Section)-1]
	if !a.sameStorey(arm, in, c) {
		return
	}
	if !a.levelShape(c) {
		return
	}
	members := append(a.Upstream(in, 40), arm.Trap.Fixtures...)
	a.groupFails(arm, c, in, members)
	if a.Book.Flag("wet-vent-closet-last") && !arm.Closet {
		for _, f := range members {
			if f.Word == "water-closet" {
				c.Fails = append(c.Fails, Fail{Rule: "foreign-wet-vent", Fault: "order", Fixture: f, Other: arm.Fixture, Pipe: in, Cell: a.Book.FlagCell("wet-vent-closet-last"),
					Message: fmt.Sprintf("closet %s enters the level wet vent upstream of %s", f.Name, arm.Fixture.Name),
					Remedy:  fmt.Sprintf("let %s join downstream of the other fixtures", f.Name)})
				break
			}
		}
	}
	a.dryVentAt(arm, c, in)
	table := a.Book.Table("wet-vent-horizontal")
	if table == nil {
		table = a.Book.Table("wet-vent")
	}
	a.wetUnits(arm, c, table, a.Book.Family == "upc")
}

// levelShape: level from the connection up to the foot of the dry-vented
// fixture's own drop, which belongs to the wet vent.
func (a *Analysis) levelShape(c *Candidate) bool {
	level := false // going downstream, once level always level
	for _, p := range c.Section {
		if p.FirstLeg() == nil {
			c.Missing = &Missing{What: "legs of " + p.Run.Name(), Pipe: p, Attr: "legs"}
			return false
		}
		for i := range p.Parts {
			pt := &p.Parts[i]
			if !pt.IsLeg() {
				continue
			}
			if pt.Posture == system.LevelLeg {
				level = true
			} else if level {
				c.Never = fmt.Sprintf("the way up to the vent at %s drops in %s between level parts", c.At.Name(), p.Run.Subject())
				return false
			}
		}
	}
	return true
}

// groupFails: who may use a wet vent together.
func (a *Analysis) groupFails(arm *Arm, c *Candidate, in *system.Pipe, members []*system.Point) {
	kinds := a.Book.Table("bathroom-group")
	posture := "level"
	if c.Method == VerticalWet {
		posture = "upright"
	}
	private, open := a.Book.FlagCell("wet-vent-private"), (*system.Point)(nil)
	rooms := map[*system.Room]map[string]int{}
	foreign := false
	for _, f := range members {
		if kinds != nil && !kinds.At(a.memberRow(f), "most").OK {
			foreign = true
			c.Fails = append(c.Fails, Fail{Rule: "foreign-wet-vent", Fault: "kind", Fixture: f, Other: arm.Fixture, Pipe: in, Cell: a.Book.Number("wet-vent-groups"),
				Message: fmt.Sprintf("%s %s is no bathroom fixture and may not use the wet vent of %s", f.Fixture.Title, f.Name, c.At.Name()),
				Remedy:  fmt.Sprintf("vent %s by itself, or let it join downstream", f.Name)})
			continue
		}
		if a.Book.Flag("wet-vent-private") && a.Ledger.Occupancy(f) != "private" && (open == nil || f.Name < open.Name) {
			open = f
		}
		if rooms[f.Room] == nil {
			rooms[f.Room] = map[string]int{}
		}
		kind := f.Word
		if kind == "tub-shower" || kind == "shower" {
			kind = "bathtub"
		}
		rooms[f.Room][kind]++
	}
	switch {
	case foreign:
	case open != nil:
		c.Fails = append(c.Fails, Fail{Rule: "foreign-wet-vent", Fault: "public", Fixture: open, Other: arm.Fixture, Pipe: in, Cell: private,
			Message: fmt.Sprintf("%s is not of private use and may not use a %s wet vent", open.Name, posture), Remedy: fmt.Sprintf("vent %s by itself", open.Name)})
	case kinds != nil:
		a.tooMany(arm, c, in, kinds, rooms, posture)
	}
}

// memberRow is a fixture's row in the table of bathroom groups.
func (a *Analysis) memberRow(f *system.Point) string {
	if row := a.Ledger.Row(f); a.Book.Table("bathroom-group").At(row, "most").OK {
		return row
	}
	return f.Word
}

// tooMany counts the bathroom groups that the fixtures of each room make.
func (a *Analysis) tooMany(arm *Arm, c *Candidate, in *system.Pipe, kinds *codebook.Table, rooms map[*system.Room]map[string]int, posture string) {
	limit := a.Book.Number("wet-vent-groups")
	if !limit.OK {
		return
	}
	sum, most, surplus := 0.0, 0, ""
	for _, counts := range rooms {
		groups := 1.0
		for _, kind := range []string{"water-closet", "lavatory", "bathtub", "bidet"} {
			each := kinds.At(kind, "most").Value
			if kind == "bathtub" { // a tub and a shower stand side by side in one group
				each += kinds.At("shower", "most").Value
			}
			if n := float64(counts[kind]); each > 0 {
				groups = max(groups, math.Ceil(n/each-eps))
				if n > each+eps && (counts[kind] > most || counts[kind] == most && kind < surplus) {
					most, surplus = counts[kind], kind
				}
			}
		}
		sum += groups
	}
	if sum <= limit.Value+eps {
		return
	}
	f := Fail{Rule: "foreign-wet-vent", Fault: "groups", Other: arm.Fixture, Pipe: in, Cell: limit, Measured: sum, Limit: limit.Value, Unit: "count", Kind: "max",
		Message: fmt.Sprintf("%s wet vent from %s serves fixtures of %d rooms at %s; one serves %s", posture, c.At.Name(), len(rooms), c.Node.Name(), countOf(limit.Value, "bathroom group")),
		Remedy:  "give each bath a wet vent of its own, or vent the closets dry"}
	if surplus != "" {
		f.Message = fmt.Sprintf("%s wet vent from %s serves %d of kind %s in one room at %s, which makes %s; one serves %s",
			posture, c.At.Name(), most, surplus, c.Node.Name(), countOf(sum, "bathroom groups"), countOf(limit.Value, "bathroom group"))
		f.Remedy = "give the surplus fixtures vents of their own"
	}
	c.Fails = append(c.Fails, f)
}

func countOf(n float64, what string) string { return fmt.Sprintf("%.0f %s", n, what) }

// dryVentAt: at whose drain the dry vent of a wet vent may stand.
func (a *Analysis) dryVentAt(arm *Arm, c *Candidate, in *system.Pipe) {
	table := a.Book.Table("wet-vent-members")
	if table == nil {
		return
	}
	bad := "" // the first by name
	for _, o := range a.opens[c.At.ID] {
		for _, f := range o.arm.Trap.Fixtures {
			if word, cell := table.Word(f.Word, "dry-vent"); word == "yes" {
				return
			} else if (word != "" || !cell.OK) && (bad == "" || f.Name < bad) {
				bad = f.Name
			}
		}
	}
	if bad == "" {
		return
	}
	c.Fails = append(c.Fails, Fail{Rule: "foreign-wet-vent", Fault: "dry vent", Pipe: in,
		Message: fmt.Sprintf("the wet vent of %s takes its dry vent at %s, which may not carry it", arm.Fixture.Name, bad),
		Remedy:  "take the dry vent off at the lavatory, bidet, tub or shower"})
}

// wetUnits judges each pipe of a wet vent by the units it carries.
func (a *Analysis) wetUnits(arm *Arm, c *Candidate, table *codebook.Table, levelOnly bool) {
	first := -1
	for _, p := range c.Section {
		if last := p.LastLeg(); levelOnly && (last == nil || last.Posture != system.LevelLeg) {
			continue
		}
		if p.Size() == 0 {
			if first < 0 {
				c.Missing = &Missing{What: "size of " + p.Run.Name(), Pipe: p, Attr: "size"}
			}
			return
		}
		load := a.Ledger.Of(p)
		need, cell := quantity.Size(0), codebook.Cell{}
		for _, s := range table.Sizes() {
			if cc := table.BySize(s, "units"); cc.OK && load.Units <= cc.Value+eps {
				need, cell = s, cc
				break
			}
		}
		small := float64(p.Size()) < float64(need)-eps
		switch {
		case need == 0 && first < 0:
			a.overTable(arm, c, table, p, load.Units)
			return
		case need == 0:
			c.Fails[first].Further = append(c.Fails[first].Further, Small{p, 0})
		case small && first >= 0:
			c.Fails[first].Further = append(c.Fails[first].Further, Small{p, need})
		case small:
			first = len(c.Fails)
			c.Fails = append(c.Fails, Fail{Rule: "small-wet-vent", Measured: float64(p.Size()), Limit: float64(need), Unit: "in", Kind: "min", Cell: cell, Pipe: p,
				Message: fmt.Sprintf("level wet vent %s of %s carries %s units in %s; that asks %s", p.Run.Subject(), arm.Fixture.Name, trim(load.Units), quantity.FormatSize(p.Size()), quantity.FormatSize(need)),
				Remedy:  fmt.Sprintf("make it %s from where the load passes the smaller size's limit, or vent %s by itself", quantity.FormatSize(need), arm.Fixture.Name)})
		}
	}
}

// overTable: no size of the book's table takes what a wet vent carries.
func (a *Analysis) overTable(arm *Arm, c *Candidate, table *codebook.Table, p *system.Pipe, units float64) {
	sizes := table.Sizes()
	if len(sizes) == 0 {
		return
	}
	size := sizes[len(sizes)-1]
	cell := table.BySize(size, "units")
	c.Fails = append(c.Fails, Fail{Rule: "small-wet-vent", Measured: units, Limit: cell.Value, Unit: "units", Kind: "max", Cell: cell, Pipe: p,
		Message: fmt.Sprintf("wet vent %s of %s carries %s units; the largest, of %s, takes %s", p.Run.Subject(), arm.Fixture.Name, trim(units), quantity.FormatSize(size), trim(cell.Value)),
		Remedy:  fmt.Sprintf("vent %s and others by themselves", arm.Fixture.Name)})
}

// verticalByTable judges an upright wet vent, or a common vent at two levels,
// where the book sizes it by a table.
func (a *Analysis) verticalByTable(arm *Arm, c *Candidate) {
	in := c.Section[len(c.Section)-1]
	upstream := a.Upstream(in, 40)
	if t := a.Book.Table("common-vent"); len(upstream) == 1 && t != nil {
		c.Method = Common
		load := a.Ledger.Of(in)
		for _, p := range c.Section {
			if p.Size() == 0 {
				c.Missing = &Missing{What: "size of " + p.Run.Name(), Pipe: p, Attr: "size"}
				return
			}
			cell := t.BySize(p.Size(), "units")
			if cell.OK && load.Units <= cell.Value+eps {
				continue
			}
			need := quantity.Size(0)
			for _, s := range t.Sizes() {
				if cc := t.BySize(s, "units"); cc.OK && load.Units <= cc.Value+eps {
					need, cell = s, cc
					break
				}
			}
			if need == 0 || p.Size() >= need {
				continue
			}
			c.Fails = append(c.Fails, Fail{Rule: "small-common-vent", Measured: float64(p.Size()), Limit: float64(need), Unit: "in", Kind: "min", Cell: cell, Pipe: p,
				Message: fmt.Sprintf("common vent %s of %s and %s is %s; %s units from above ask %s", p.Run.Subject(), upstream[0].Name, arm.Fixture.Name, quantity.FormatSize(p.Size()), trim(load.Units), quantity.FormatSize(need)),
				Remedy:  fmt.Sprintf("make %s %s", p.Run.Subject(), quantity.FormatSize(need))})
		}
		return
	}
	a.groupFails(arm, c, in, append(upstream, arm.Trap.Fixtures...))
	a.wetUnits(arm, c, a.Book.Table("wet-vent"), false)
}

// admittance: a valve in place of a vent to the open air.
func (a *Analysis) admittance(arm *Arm, c *Candidate) {
	if a.Book.Flag("admittance-valves") {
		a.dry(arm, c)
		c.Method = Admittance
		return
	}
	a.barred(arm, c)
}

// barred: a vent that ends in a valve, under a book that accepts none. A wet
// vent breathes through one no better than a vent of its own does.
func (a *Analysis) barred(arm *Arm, c *Candidate) {
	if c.Vent == nil || a.reach[c.Vent.To.ID].end != Valve || a.Book.Flag("admittance-valves") {
		return
	}
	c.Fails = append(c.Fails, Fail{Rule: "barred-admittance-valve", Pipe: c.Vent, Cell: a.Book.FlagCell("admittance-valves"),
		Message: fmt.Sprintf("%s is vented by an air admittance valve, which %s does not accept", arm.Fixture.Name, a.Book.Title),
		Remedy:  "carry the vent to the open air, or record an approved alternate with a waiver"})
}
