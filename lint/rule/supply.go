package rule

import (
	"fmt"

	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/sizing"
)

func supply() []Rule {
	return []Rule{
		{Name: "small-supply", Family: "Supply", Severity: Correction, Title: "Supply pipe too small for its load",
			Why:      "A supply that is too small starves the fixtures at its end; a shower runs hot or cold when a closet fills.",
			Computed: "The supply units downstream are compared with the code's table for the pressure left after the height of the highest outlet, the developed length to the farthest, the meter and the pipe's size.",
			Needs:    []string{"static pressure", "meter", "legs", "size"}, Judge: smallSupply},
		{Name: "small-fixture-supply", Family: "Supply", Severity: Correction, Title: "Fixture's own supply too small",
			Why:      "Each kind needs its flow at the stub-out, whatever the rest of the system gives.",
			Computed: "The last pipe before each fixture is compared with the least for its kind.",
			Needs:    []string{"size"}, Judge: smallFixtureSupply},
		{Name: "high-pressure", Family: "Supply", Severity: Correction, Title: "Static pressure too high",
			Why:      "High pressure bursts hoses, wears valves and hammers pipes.",
			Computed: "The static pressure at the source, and at the lowest outlet behind no regulator, is compared with the limit.",
			Needs:    []string{"static pressure"}, Judge: highPressure},
		{Name: "fast-water", Family: "Supply", Severity: Correction, Title: "Water too fast for the pipe",
			Why:      "Fast water erodes copper, hammers and is heard in every room; in hot pipes the more.",
			Computed: "The demand of the load by the adopted curve is driven through the real bore and compared with the material's limit, cold and hot; judged where `method engineered` governs, since the table stands for it otherwise.",
			Needs:    []string{"size", "material"}, Judge: fastWater},
	}
}

// Water is the supply side of the ledger, worked out when first asked for.
func (c *Case) Water() *sizing.Supply {
	if c.water == nil {
		c.water = sizing.NewSupply(c.Ledger)
	}
	return c.water
}

// supplyLines judges every line of supply pipes once.
func (c *Case) supplyLines(judge func(p *system.Pipe) (over float64, j *Judgement, looked bool)) {
	if !c.Sys.Header.Water {
		return
	}
	for _, l := range c.Sys.Lines {
		if len(l.Pipes) == 0 || !l.Runs[0].Kind.Water() || l.Runs[0].Existing {
			continue
		}
		var first *Judgement
		worst, any := 0.0, false
		for _, p := range l.Pipes {
			over, j, looked := judge(p)
			any = any || looked
			switch {
			case j == nil:
			case first == nil:
				first, worst = j, over
			case over > worst+eps && j.Answer == Breaks && first.Answer == Breaks:
				first.Message, first.Measured, first.Limit, first.Note, first.Remedy, first.Fixes, worst = j.Message, j.Measured, j.Limit, j.Note, j.Remedy, j.Fixes, over
			}
		}
		switch {
		case first != nil:
			c.say(*first)
		case any:
			c.complies(l.Subject())
		}
	}
}

func smallSupply(c *Case) {
	if !c.Sys.Header.Water || c.Sys.Header.Method == "engineered" {
		return
	}
	w := c.Water()
	ways := map[*system.Point]sizing.TableWay{}
	for _, src := range w.Sources {
		if way, ok := w.TableWay(src); ok {
			ways[src] = way
		}
	}
	told := map[*system.Point]bool{}
	c.supplyLines(func(p *system.Pipe) (float64, *Judgement, bool) {
		if p.Kind() == system.Return || !w.Feeds(p) {
			return 0, nil, false
		}
		src := w.SourceOf(p.From)
		way, ok := ways[src]
		r, load := p.Run, w.Of(p)
		if !ok || load.Fixtures == 0 && load.Units == 0 {
			return 0, nil, false
		}
		if p.Size() == 0 {
			if r.Solve {
				return 0, nil, false
			}
			return 0, &Judgement{Answer: Undecided, Subject: r.Subject(), Copy: r.Copy, Loc: endsLoc(r), Missing: "size of " + r.Subject(), Write: "write its nominal size"}, true
		}
		if way.Missing != "" {
			if told[src] {
				return 0, nil, false
			}
			told[src] = true
			return 0, &Judgement{Answer: Undecided, Subject: r.Subject(), Copy: r.Copy, Loc: src.Loc, Missing: way.Missing, Write: writeWater(way.Missing)}, true
		}
		if way.Low {
			if told[src] {
				return 0, nil, false
			}
			told[src] = true
			return 0, &Judgement{Answer: Undecided, Subject: src.Name, Copy: src.Copy, Loc: src.Loc, Severity: Caution,
				Message: fmt.Sprintf("%.1f psi at %s less %.0f ft of height leave %.1f, below the table's lowest block", way.Static, src.Name, way.Height, way.Adjusted),
				Remedy:  "write `method engineered` and let the pressures be computed, or raise the pressure"}, true
		}
		allowed, cell, ok := w.Allowed(way, p.Size())
		if !ok {
			return 0, nil, false
		}
		c.use(cell)
		if load.Units <= allowed+eps {
			if load.Unknown > 0 {
				return 0, &Judgement{Answer: Undecided, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Missing: "supply units of what " + r.Subject() + " serves", Write: "write `water-units N` on the fixtures the table does not list"}, true
			}
			return 0, nil, true
		}
		j := &Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Basis: basisOf(r, "size"), Section: c.use(cell),
			Message: fmt.Sprintf("%s %s carries %s supply units in %s; %.1f psi and %.0f ft allow %s", p.Kind(), r.Subject(), sizing.Trim(load.Units), quantity.FormatSize(p.Size()),
				way.Adjusted, way.Length, sizing.Trim(allowed)),
			Measured: &Measure{round(load.Units, 2), "units", ""}, Limit: &Measure{allowed, "units", "max"},
			Note: tableNote(way), Remedy: "enlarge the pipe, or submit a calculation with `method engineered`"}
		for _, s := range w.SupplySizes() {
			if float64(s) <= float64(p.Size())+eps {
				continue
			}
			if more, _, ok := w.Allowed(way, s); ok && more >= load.Units-eps {
				j.Remedy = fmt.Sprintf("make it %s, which carries %s in the same column", quantity.FormatSize(s), sizing.Trim(more))
				j.Fixes = upsize(r, quantity.FormatSize(s))
				break
			}
		}
		if len(j.Fixes) == 0 {
			j.Remedy = "no size carries it on this meter: take a larger meter and supply, or submit a calculation with `method engineered`"
		}
		return load.Units - allowed, j, true
	})
}

func writeWater(missing string) string {
	switch {
	case len(missing) > 6 && missing[:6] == "static":
		return "write the static pressure on the main, as `62psi`"
	case len(missing) > 6 && missing[:6] == "height":
		return "write the height of the main, as `at -3'`"
	}
	return "write the length of every leg on the way"
}

func tableNote(w sizing.TableWay) string {
	s := fmt.Sprintf("%.0f psi", w.Static)
	if w.Regulated {
		s += " taken behind the regulator"
	}
	s += fmt.Sprintf(" less %.1f ft of height to %s", w.Height, w.Highest.Point.Name)
	if w.Meter > 0 {
		s += fmt.Sprintf("; meter %s", quantity.FormatSize(w.Meter))
	}
	return s + fmt.Sprintf("; %s ft column, farthest %s", w.Column, w.Farthest.Point.Name)
}

func smallFixtureSupply(c *Case) {
	if !c.Sys.Header.Water {
		return
	}
	w := c.Water()
	for _, o := range w.Outlets {
		p, f := o.Pipe, o.Point
		need, cell, ok := w.LeastFixtureSupply(f)
		if !ok || p.Size() == 0 || p.Run.Existing || f.Existing {
			continue
		}
		c.use(cell)
		r := p.Run
		if float64(p.Size()) >= float64(need)-eps {
			c.complies(r.Subject())
			continue
		}
		c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Basis: basisOf(r, "size"), Section: c.use(cell),
			Message:  fmt.Sprintf("%s supply of %s is %s; a %s asks %s", p.Kind(), f.Name, quantity.FormatSize(p.Size()), f.Fixture.Title, quantity.FormatSize(need)),
			Measured: &Measure{float64(p.Size()), "in", ""}, Limit: &Measure{float64(need), "in", "min"},
			Remedy: fmt.Sprintf("make it %s", quantity.FormatSize(need)), Fixes: upsize(r, quantity.FormatSize(need))})
	}
}

const feet = 0.3048

func highPressure(c *Case) {
	most := c.Book.Number("static-most")
	per := c.Book.Number("static-psi-per-foot")
	if !c.Sys.Header.Water || !most.OK {
		return
	}
	w := c.Water()
	for _, src := range w.Sources {
		a, ok := src.Attr("pressure")
		q, fine := a.Qty()
		if !ok || !fine {
			c.undecided(src.Name, src.Copy, src.Loc, "static pressure of "+src.Name, "write it on the main, as `62psi`")
			continue
		}
		c.use(most)
		static := q.SI / 6894.757293168
		z0 := src.Node.Pos[system.ColdNet][2]
		worst, at, behind := 0.0, "", false
		for _, o := range w.Outlets {
			if w.SourceOf(o.Pipe.From) != src {
				continue
			}
			behind = true
			if regulated(w.Way(o.Pipe)) || !z0.Known() || !o.Z.Known() {
				continue
			}
			if v := static + (z0.V-o.Z.V)/feet*per.Value; at == "" || v > worst {
				worst, at = v, o.Point.Name
			}
		}
		if at == "" {
			if behind && z0.Known() || !behind {
				c.complies(src.Name)
				continue
			}
			worst, at = static, src.Name
			if static <= most.Value+eps {
				c.complies(src.Name)
				continue
			}
		}
		if worst <= most.Value+eps {
			c.complies(src.Name)
			continue
		}
		c.say(Judgement{Answer: Breaks, Subject: src.Name, Copy: src.Copy, Loc: src.Loc, Section: c.use(most),
			Message:  fmt.Sprintf("static pressure at %s is %.0f psi; %.0f is the most", at, worst, most.Value),
			Measured: &Measure{round(worst, 2), "psi", ""}, Limit: &Measure{most.Value, "psi", "max"},
			Remedy: "write a `regulator` with its strainer in the service, before the first branch"})
	}
}

func regulated(way []*system.Pipe) bool {
	for _, p := range way {
		for i := range p.Parts {
			if p.Parts[i].IsDevice("regulator") {
				return true
			}
		}
	}
	return false
}

func fastWater(c *Case) {
	if !c.Sys.Header.Water || c.Sys.Header.Method != "engineered" {
		return // where the table governs, it stands for the velocity too
	}
	w := c.Water()
	c.supplyLines(func(p *system.Pipe) (float64, *Judgement, bool) {
		r, load := p.Run, w.Of(p)
		if p.Size() == 0 || !w.Feeds(p) || load.Units <= 0 {
			return 0, nil, false
		}
		limit := w.MostVelocity(p)
		bore, _, known := catalog.Bore(r.Material, p.Size())
		gpm, curve, ok := w.Demand(load)
		if !limit.OK || !ok {
			return 0, nil, false
		}
		if !known {
			if r.Material == "" {
				return 0, &Judgement{Answer: Undecided, Subject: r.Subject(), Copy: r.Copy, Loc: endsLoc(r), Missing: "material of " + r.Subject(), Write: "write it, or `default water copper-l`"}, true
			}
			return 0, nil, false
		}
		c.use(limit, curve)
		v := sizing.Velocity(gpm, bore) / feet
		if v <= limit.Value*(1+1e-6) {
			return 0, nil, true
		}
		j := &Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Basis: basisOf(r, "size"), Section: c.use(limit),
			Message:  fmt.Sprintf("%s %s runs at %.1f ft/s: %.1f gpm in %s %s; %.0f ft/s is the most", p.Kind(), r.Subject(), v, gpm, quantity.FormatSize(p.Size()), r.Material, limit.Value),
			Measured: &Measure{round(v, 2), "ft/s", ""}, Limit: &Measure{limit.Value, "ft/s", "max"}, Remedy: "enlarge the pipe"}
		for _, s := range c.tradeSizes() {
			if s <= p.Size() {
				continue
			}
			if b, _, ok := catalog.Bore(r.Material, s); ok && sizing.Velocity(gpm, b)/feet <= limit.Value {
				j.Remedy = fmt.Sprintf("make it %s", quantity.FormatSize(s))
				j.Fixes = upsize(r, quantity.FormatSize(s))
				break
			}
		}
		return v - limit.Value, j, true
	})
}

// tradeSizes are the nominal sizes of supply pipe, rising.
func (c *Case) tradeSizes() []quantity.Size {
	return []quantity.Size{0.375, 0.5, 0.75, 1, 1.25, 1.5, 2, 2.5, 3, 4}
}
