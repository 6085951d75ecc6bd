package system

import (
	"fmt"
	"math"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
)

func lengthText(m float64) string { return quantity.FormatLength(math.Abs(m)) }

func height(m float64) string {
	if m < 0 {
		return "-" + quantity.FormatLength(-m)
	}
	return quantity.FormatLength(m)
}

// finish lays the solution along every pipe: the height of each leg's ends,
// where on the pipe each part stands; and judges what could not be placed.
func (g *geometry) finish() {
	for _, p := range g.pipes {
		z := p.From.Pos[g.net][zAxis]
		for i := range p.Parts {
			pt := &p.Parts[i]
			pt.Z0 = z
			switch s := g.step(p, i, zAxis); {
			case s.kind == moves && z.Known():
				z.V += s.delta
			case s.kind == moves:
			case s.kind == toAbs:
				z = Num{s.abs, Derived}
				if s.datum {
					z.Origin = Datum
				}
			case s.kind == toNode:
				z = s.absNode.Pos[g.net][zAxis]
			default:
				z = g.after(p, i)
				if g.stretches(p, i) {
					g.stretch(p, pt, z)
				}
			}
			pt.Z1 = z
			if pt.Z1.Known() && !pt.Z0.Known() && pt.IsLeg() && pt.Length.Known() && pt.Posture == Upright && pt.by == 0 {
				pt.Z0 = Num{pt.Z1.V - pt.Dir[2]*pt.Length.V, Derived}
			}
		}
		at := Num{0, Written}
		for i := range p.Parts {
			pt := &p.Parts[i]
			pt.At = at
			if pt.IsLeg() {
				if at.Known() && pt.Length.Known() {
					at.V += pt.Length.V
				} else {
					at = Num{}
				}
			}
		}
	}
	g.unsettled()
	if g.net == DWV {
		g.outfalls()
	}
	g.oddHeights()
}

// unsettled names runs with more upright legs `to suit` than their ends settle.
func (g *geometry) unsettled() {
	for _, p := range g.pipes {
		var open *Part
		n := 0
		for i := range p.Parts {
			if pt := &p.Parts[i]; pt.IsLeg() && pt.by == grammar.ToSuit && pt.Posture == Upright && !pt.Length.Known() {
				open = pt
				n++
			}
		}
		if n < 2 {
			continue
		}
		r := p.Run
		g.problem(Problem{Rule: "missing-fact", Loc: Loc{r.File, open.Item.Span}, Subject: r.Subject(), Copy: r.Copy,
			Message: fmt.Sprintf("%s has %d upright legs `to suit`; its two ends settle one", r.Subject(), n),
			Remedy:  "write the length or the height of all of them but one"})
	}
}

// after is the height behind a leg whose own reach nothing tells, from the end.
func (g *geometry) after(p *Pipe, i int) Num {
	end := p.To.Pos[g.net][zAxis]
	for j := len(p.Parts) - 1; j > i && end.Known(); j-- {
		s := g.step(p, j, zAxis)
		if s.kind != moves {
			return Num{}
		}
		end.V -= s.delta
	}
	return end
}

// stretch lets a vent's last upright leg reach its terminal, by 2 ft at most.
func (g *geometry) stretch(p *Pipe, pt *Part, end Num) {
	if !end.Known() || !pt.Z0.Known() || !pt.Length.Known() {
		return
	}
	want := (end.V - pt.Z0.V) / pt.Dir[2]
	off := want - pt.Length.V
	if math.Abs(off) <= 24*inch+1e-6 {
		pt.Length = Num{math.Max(want, 0), pt.Length.Origin}
		return
	}
	g.told[p] = true
	g.problem(Problem{Rule: "open-geometry", Loc: Loc{p.Run.File, pt.Item.Span}, Subject: p.Run.Subject(), Copy: p.Run.Copy,
		Message:  fmt.Sprintf("the last leg of %s misses the terminal %s by %s", p.Run.Subject(), p.To.Name(), lengthText(off)),
		Remedy:   "write `up to roof`, or correct the roof or the lengths",
		Measured: math.Abs(off) / inch, Limit: 24, HasNumber: true})
}

// outfalls: the sewer may arrive above its outfall, never more than the
// tolerance below it.
func (g *geometry) outfalls() {
	for _, o := range g.Points {
		want, ok := 0.0, false
		if o.Kind == Outfall {
			want, ok = g.outfallHeight(o.Node)
		}
		if !ok {
			continue
		}
		z := o.Node.Pos[DWV][zAxis]
		if !z.Known() || z.V >= want-tolerance || len(o.Node.DrainIn) == 0 {
			continue
		}
		p := named(o.Node.DrainIn, 0)
		g.problem(Problem{Rule: "open-geometry", Loc: itemsLoc(p.Run), Subject: p.Run.Subject(), Copy: p.Run.Copy,
			Message:  fmt.Sprintf("%s arrives at %s, %s below the outfall %s at %s", p.Run.Subject(), height(z.V), lengthText(want-z.V), o.Name, height(want)),
			Remedy:   "raise the drain, or lay it with less fall where the code allows",
			Measured: (want - z.V) / inch, Limit: 2, HasNumber: true,
			Related: []RelatedLoc{{o.Loc, "the outfall's height"}}})
	}
}

// oddHeights: a usual height that yielded and landed far from its usual place.
func (g *geometry) oddHeights() {
	for _, u := range g.usual {
		z := u.node.Pos[g.net][zAxis]
		if !z.Known() || !g.touches(u.node) {
			continue
		}
		off := z.V - u.v
		if math.Abs(off) <= 4*inch+1e-6 {
			continue
		}
		p := u.point
		what, usual := "outlet", p.Fixture.Outlet.Metres
		if g.net != DWV {
			what, usual = "supply", p.Fixture.Supply.Metres
		}
		floor := 0.0
		if p.Level != nil {
			floor = p.Level.Elevation
		}
		side := "above"
		if off < 0 {
			side = "below"
		}
		g.problem(Problem{Rule: "odd-height", Loc: p.Loc, Subject: p.Name, Copy: p.Copy,
			Message:  fmt.Sprintf("%s of %s lands %s above its floor, %s %s the usual %s of a %s", what, p.Name, height(z.V-floor), lengthText(off), side, height(usual), p.Fixture.Title),
			Remedy:   fmt.Sprintf("write `%s %s` on the fixture if it is meant, or correct the run's legs", what, height(z.V-floor)),
			Measured: (z.V - floor) / inch, Limit: usual / inch, HasNumber: true})
	}
}
