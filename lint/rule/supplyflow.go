package rule

import (
	"fmt"

	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/hydraulics"
	"crownweir/lint/sizing"
)

const (
	feet    = hydraulics.Foot
	inches  = hydraulics.Inch
	pascals = hydraulics.PoundsPerSquareInch // in one psi
	gpm     = hydraulics.GallonsPerMinute
)

func smallFixtureSupply(c *Case) {
	if !c.Sys.Header.Water {
		return
	}
	for _, o := range c.Water().Outlets {
		p, f := o.Pipe, o.Point
		need, cell, ok := c.Water().LeastFixtureSupply(f)
		if !ok || p.Size() == 0 || p.Run.Existing || f.Existing {
			continue
		}
		r := p.Run
		section := c.use(cell)
		if float64(p.Size()) >= float64(need)-eps || c.shortConnector(p, need) {
			c.complies(r.Subject())
			continue
		}
		answer, missing := c.manifoldLine(p)
		switch {
		case missing != nil:
			c.say(*missing)
			continue
		case answer:
			c.complies(r.Subject())
			continue
		}
		c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Basis: basisOf(r, "size"), Section: section,
			Message:  fmt.Sprintf("%s supply of %s is %s; %s asks %s", p.Kind(), f.Name, quantity.FormatSize(p.Size()), article(f.Fixture.Title), quantity.FormatSize(need)),
			Measured: &Measure{float64(p.Size()), "in", ""}, Limit: &Measure{float64(need), "in", "min"},
			Remedy: fmt.Sprintf("make it %s", quantity.FormatSize(need)), Fixes: enlarge(r, need)})
	}
}

// shortConnector tells whether a pipe is no more than the connector that the
// book leaves between a large enough supply and its fixture.
func (c *Case) shortConnector(p *system.Pipe, need quantity.Size) bool {
	most := c.Book.Number("fixture-connector-most")
	length, whole := p.Length()
	if !most.OK || !whole || length/inches > most.Value+eps || len(p.From.WaterIn) != 1 || len(p.From.WaterOut) != 1 {
		return false
	}
	if float64(p.From.WaterIn[0].Size()) < float64(need)-eps {
		return false
	}
	c.use(most)
	return true
}

// manifoldLine judges a fixture's own line from a manifold, which the book may
// let be smaller; missing is the fact it waits for.
func (c *Case) manifoldLine(p *system.Pipe) (ok bool, missing *Judgement) {
	size, long, low := c.Book.Number("manifold-line"), c.Book.Number("manifold-line-length"), c.Book.Number("manifold-line-pressure")
	if !size.OK || p.From.Find(system.Manifold) == nil || float64(p.Size()) < size.Value-eps {
		return false, nil
	}
	c.use(size, long, low)
	r := p.Run
	length, whole := p.Length()
	if !whole {
		return false, &Judgement{Answer: Undecided, Subject: r.Subject(), Copy: r.Copy, Loc: endsLoc(r), Missing: "length of " + r.Name(), Write: "write the length of each leg"}
	}
	src := c.Water().SourceOf(p.From)
	static, told := pressureOf(src)
	if !told {
		return false, &Judgement{Answer: Undecided, Subject: r.Subject(), Copy: src.Copy, Loc: src.Loc, Missing: "static pressure of " + src.Name, Write: "write it on the point, as `62psi`"}
	}
	return length/feet <= long.Value+eps && static >= low.Value-eps, nil
}

// pressureOf is the static pressure of a source in psi.
func pressureOf(src *system.Point) (psi float64, ok bool) {
	a, _ := src.Attr("pressure")
	q, ok := a.Qty()
	return q.SI / pascals, ok
}

func highPressure(c *Case) {
	most := c.Book.Number("static-most")
	if !c.Sys.Header.Water || !most.OK {
		return
	}
	for _, src := range c.Water().Sources {
		static, ok := pressureOf(src)
		if !ok {
			c.undecided(src.Name, src.Copy, src.Loc, "static pressure of "+src.Name, "write it on the point, as `62psi`")
			continue
		}
		section := c.use(most)
		c.highAt(src, static, most, section)
		if static > most.Value+eps {
			c.highSettings(src, most, section)
		}
	}
}

// highAt judges the lowest outlet of a source behind no regulator, or the
// source itself where no outlet is drawn.
func (c *Case) highAt(src *system.Point, static float64, most codebook.Cell, section string) {
	w := c.Water()
	per := c.Book.Number("static-psi-per-foot")
	z0 := src.Node.Pos[system.ColdNet][2]
	worst, at := static, src.Name
	outlets, open, blind := 0, 0, ""
	for _, o := range w.Outlets {
		if w.SourceOf(o.Pipe.From) != src || o.Point.Existing {
			continue
		}
		outlets++
		if regulated(w.Way(o.Pipe)) {
			continue
		}
		open++
		if !o.Z.Known() {
			blind = o.Point.Name
			continue
		}
		c.use(per)
		if v := static + (z0.V-o.Z.V)/feet*per.Value; z0.Known() && (at == src.Name || v > worst) {
			worst, at = v, o.Point.Name
		}
	}
	switch {
	case outlets > 0 && open == 0, outlets == 0 && c.regulatesBelow(src):
		c.complies(src.Name)
		return
	case outlets > 0 && !z0.Known():
		c.undecided(src.Name, src.Copy, src.Loc, "height of "+src.Name, "write it, as `at 20\"`")
		return
	}
	if worst <= most.Value+eps {
		if blind != "" {
			c.undecided(src.Name, src.Copy, src.Loc, "height of "+blind, "write it, as `at 20\"`")
			return
		}
		c.complies(src.Name)
		return
	}
	if at == src.Name && outlets > 0 {
		c.undecided(src.Name, src.Copy, src.Loc, "height of "+blind, "write it, as `at 20\"`")
		return
	}
	loc, basis := attrLoc(src, "pressure")
	c.say(Judgement{Answer: Breaks, Subject: src.Name, Copy: src.Copy, Loc: loc, Basis: basis, Section: section,
		Message:  fmt.Sprintf("static pressure at %s is %s psi; %s is the most", at, sizing.Trim(worst), sizing.Trim(most.Value)),
		Measured: &Measure{round(worst, 2), "psi", ""}, Limit: &Measure{most.Value, "psi", "max"},
		Remedy: "write a `regulator` with its strainer in the service, before the first branch"})
}

// highSettings judges what regulators are set to where the source gives more
// than the limit.
func (c *Case) highSettings(src *system.Point, most codebook.Cell, section string) {
	w := c.Water()
	for _, p := range c.Sys.Pipes {
		r := p.Run
		if !p.Kind().Water() || r.Existing || w.SourceOf(p.From) != src {
			continue
		}
		part, ok, _, _ := siteDevice(p, "regulator")
		if !ok || part < 0 {
			continue
		}
		a, _ := p.Parts[part].Setting("pressure")
		q, ok := a.Qty()
		set := q.SI / pascals
		if !ok || set <= most.Value+eps {
			continue
		}
		i := p.Parts[part].Index
		c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: itemSpan(r, i, i), Section: section, Fact: "regulator",
			Message:  fmt.Sprintf("regulator in %s is set to %s psi; %s is the most", r.Subject(), sizing.Trim(set), sizing.Trim(most.Value)),
			Measured: &Measure{round(set, 2), "psi", ""}, Limit: &Measure{most.Value, "psi", "max"}, Remedy: fmt.Sprintf("set it to %s psi or less", sizing.Trim(most.Value))})
	}
}

func regulated(way []*system.Pipe) bool {
	for _, p := range way {
		if _, ok, _, _ := siteDevice(p, "regulator"); ok {
			return true
		}
	}
	return false
}

// regulatesBelow tells whether any pipe a source feeds holds a regulator.
func (c *Case) regulatesBelow(src *system.Point) bool {
	for _, p := range c.Sys.Pipes {
		if p.Kind().Water() && c.Water().SourceOf(p.From) == src && regulated([]*system.Pipe{p}) {
			return true
		}
	}
	return false
}

func fastWater(c *Case) {
	if !c.Sys.Header.Water || c.Water().TableGoverns() {
		return // where the table governs, it stands for the velocity too
	}
	w, a := c.Water(), c.Pressure()
	nameless := false
	c.supplyLines(func(p *system.Pipe) (float64, *Judgement, bool) {
		r, l := p.Run, a.Of(p)
		if l.Flow.Q <= 0 {
			return 0, nil, false
		}
		if r.Material == "" {
			if nameless {
				return 0, nil, false // one line of the head answers for all
			}
			nameless = true
			return 0, &Judgement{Answer: Undecided, Subject: r.Subject(), Copy: r.Copy, Loc: endsLoc(r), Missing: "material of the water pipes", Write: "write `default water copper-l`, or the material of each run"}, true
		}
		limit := w.MostVelocity(p)
		if !limit.OK {
			return 0, nil, false
		}
		if p.Size() == 0 {
			if r.Solve {
				return 0, nil, false
			}
			return 0, sizeMissing(r), true
		}
		if l.Bore == 0 {
			return 0, nil, false
		}
		c.use(limit, l.Flow.Cell)
		v := l.Velocity / feet
		if v <= limit.Value*(1+1e-6) {
			if w.Of(p).Unknown > 0 {
				return 0, c.unitsMissing(p), true
			}
			return 0, nil, true
		}
		flow := l.Flow.Q / gpm
		j := &Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Basis: basisOf(r, "size"), Section: c.use(limit),
			Message:  fmt.Sprintf("%s %s runs at %.1f ft/s: %.1f gpm in %s %s; %.0f ft/s is the most", p.Kind(), r.Subject(), v, flow, quantity.FormatSize(p.Size()), r.Material, limit.Value),
			Measured: &Measure{round(v, 2), "ft/s", ""}, Limit: &Measure{limit.Value, "ft/s", "max"}, Remedy: "enlarge the pipe"}
		for _, s := range catalog.SupplySizes() {
			if s <= p.Size() {
				continue
			}
			if b, _, ok := catalog.Bore(r.Material, s); ok && hydraulics.Velocity(l.Flow.Q, b)/feet <= limit.Value {
				j.Remedy = fmt.Sprintf("make it %s", quantity.FormatSize(s))
				j.Fixes = enlarge(r, s)
				break
			}
		}
		return v - limit.Value, j, true
	})
}
