package rule

import (
	"fmt"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/sizing"
)

func terminals() []Rule {
	return []Rule{
		{Name: "sagging-vent", Family: "Vents", Severity: Correction, Title: "Vent with a low pocket",
			Why:      "Damp air leaves water in a vent. Where it cannot run back to a drain it fills the pipe, and the vent is closed.",
			Computed: "Along each vent towards the air, a level leg that falls, or a leg that goes down to where water cannot leave by a drain, is a pocket. An island's loop, which drains at both ends, is none.",
			Needs:    []string{"legs", "fall"}, Judge: saggingVent},
		{Name: "shrinking-vent", Family: "Vents", Severity: Correction, Title: "Vent narrower towards the air",
			Why:      "All the air that a vent brings passes its narrowest part. A vent that narrows on its way serves no more than that part would.",
			Computed: "At every point the vent that leads on to the air is compared with those that arrive.",
			Needs:    []string{"size"}, Judge: shrinkingVent},
		{Name: "shared-lateral", Family: "Vents", Severity: Caution, Title: "Several buildings on one sewer",
			Why:      "A stoppage in a shared sewer floods the neighbour, and neither owner may open it alone. Codes allow it only where a rear building has no way of its own.",
			Computed: "The fixtures upstream of each outfall are sorted by the building of their level.",
			Needs:    []string{"building"}, Judge: sharedLateral},
		{Name: "low-terminal", Family: "Vents", Severity: Correction, Title: "Vent terminal too low over the roof",
			Why:      "A low mouth is covered by snow, leaves or standing water, and the vent below it is closed.",
			Computed: "The terminal's written rise over the roof is compared with the least. Where frost may close it, frost-terminal judges the rise.",
			Needs:    []string{"rise"}, Judge: lowTerminal},
		{Name: "near-opening-terminal", Family: "Vents", Severity: Correction, Title: "Vent terminal near an opening or the lot line",
			Why:      "What leaves a vent is sewer gas. Near a window, door or air intake it is drawn into rooms; near the lot line, into the neighbour's.",
			Computed: "The written distance to the nearest opening and the height over it are compared with the two limits, of which one suffices; the distance to the lot line with its own.",
			Needs:    []string{"opening", "above", "lot-line"}, Judge: nearOpeningTerminal},
		{Name: "frost-terminal", Family: "Vents", Severity: Correction, Title: "Vent terminal that frost may close",
			Why:      "The warm damp air of a vent freezes at its mouth. A narrow one closes in a hard winter and every trap below loses its air.",
			Computed: "Where the plan's winter temperature lies below the book's, the size at the terminal, the place inside the roof at which it is enlarged, and its rise are compared with the limits.",
			Needs:    []string{"climate", "size", "rise"}, Judge: frostTerminal},
	}
}

// descends tells whether a leg of a vent leads down towards the air.
func descends(pt *system.Part) bool {
	if !pt.IsLeg() {
		return false
	}
	if pt.Posture == system.Upright {
		return pt.Down && (!pt.Length.Known() || pt.Length.V > 0)
	}
	return pt.Fall.Known() && pt.Fall.V < -1e-9
}

// climbs tells whether a leg of a vent leads up towards the air.
func climbs(pt *system.Part) bool {
	if !pt.IsLeg() {
		return false
	}
	if pt.Posture == system.Upright {
		return !pt.Down
	}
	return pt.Fall.Known() && pt.Fall.V > 1e-9
}

// leaves tells whether water can run on from a part of a vent to a drain:
// without a climb to one, to a riser that comes up from one (where risers
// count), or along another vent that goes down.
func leaves(p *system.Pipe, from int, risers bool, depth int) bool {
	for i := from; i < len(p.Parts); i++ {
		if climbs(&p.Parts[i]) {
			return false
		}
	}
	n := p.To
	if len(n.DrainIn)+len(n.DrainOut) > 0 {
		return true
	}
	if depth == 0 {
		return false
	}
	for _, q := range n.VentOut {
		if q.FirstLeg() != nil && descends(q.FirstLeg()) && leaves(q, 0, risers, depth-1) {
			return true
		}
	}
	if risers {
		if n.Find(system.ExistingVent) != nil {
			return true // the existing vent drains it
		}
		for _, q := range n.VentIn {
			if last := q.LastLeg(); q != p && last != nil && !descends(last) {
				return true
			}
		}
	}
	return false
}

func saggingVent(c *Case) {
	for _, l := range c.Sys.Lines {
		if len(l.Pipes) == 0 || l.Runs[0].Kind != system.Vent {
			continue
		}
		looked, first := false, (*Judgement)(nil)
		var sags []graded
		for _, p := range l.Pipes {
			r := p.Run
			if r.Existing {
				continue
			}
			for i := range p.Parts {
				pt := &p.Parts[i]
				looked = looked || pt.IsLeg()
				level := pt.Posture == system.LevelLeg
				if !descends(pt) || leaves(p, i+1, !level, 30) {
					continue
				}
				loc := itemSpan(r, pt.Index, pt.Index)
				sags = append(sags, graded{r, pt, sizing.InchesPerFoot(-pt.Fall.V)})
				if first != nil {
					if len(first.Related) < 6 {
						first.Related = append(first.Related, Related{loc, "and here"})
					}
					continue
				}
				first = &Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: loc, Basis: "plan"}
				if !level {
					first.Message = fmt.Sprintf("vent %s goes down before it reaches the air; water stands in the low pocket", r.Subject())
					first.Remedy = "carry it level or rising to the air, or let the low point drain into a drain"
					if pt.Length.Known() {
						first.Measured, first.Limit = &Measure{round(pt.Length.V/0.0254, 3), "in", ""}, &Measure{0, "in", "max"}
					}
					continue
				}
				sag := sizing.InchesPerFoot(-pt.Fall.V)
				first.Message = fmt.Sprintf("vent %s falls %s in/ft towards the air and cannot drain back; level is the least", r.Subject(), fraction(sag))
				first.Measured, first.Limit = &Measure{round(-sag, 4), "in/ft", ""}, &Measure{0, "in/ft", "min"}
				first.Remedy = "grade it back to its drain"
				if pt.Fall.Origin == system.Found {
					first.Loc, first.Basis = r.FoundAt["fall"], "found"
				}
			}
		}
		switch {
		case first != nil:
			first.Fixes = c.relay("grade it back to the drain", sags)
			c.say(*first)
		case looked:
			c.complies(l.Subject())
		}
	}
}

func shrinkingVent(c *Case) {
	told := map[*system.Line]bool{}
	for _, n := range c.Sys.Nodes {
		for _, out := range n.VentOut {
			r := out.Run
			if out.Size() == 0 || r.Existing || told[out.Line] || len(n.VentOut) > 1 && returns(out) {
				continue
			}
			looked := false
			for _, in := range n.VentIn {
				if in.Size() == 0 {
					continue
				}
				looked = true
				if float64(in.Size()) <= float64(out.Size())+eps {
					continue
				}
				told[out.Line] = true
				size := quantity.FormatSize(in.Size())
				c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Basis: basisOf(r, "size"),
					Message:  fmt.Sprintf("vent %s is %s; the %s of %s leads into it at %s", r.Subject(), quantity.FormatSize(out.Size()), size, in.Run.Subject(), n.Name()),
					Measured: &Measure{float64(out.Size()), "in", ""}, Limit: &Measure{float64(in.Size()), "in", "min"},
					Remedy:  fmt.Sprintf("make %s %s to the air", r.Subject(), size),
					Fixes:   widen(out.Line, func(n *system.Node) []*system.Pipe { return n.VentIn }),
					Related: []Related{{sizeLoc(in.Run), fmt.Sprintf("%s is %s", in.Run.Subject(), size)}}})
				break
			}
			if looked && !told[out.Line] {
				c.complies(r.Subject())
			}
		}
	}
}

// returns tells whether a vent leads back into a drain, as an island's does.
func returns(p *system.Pipe) bool {
	for n := 0; n < 60; n++ {
		if len(p.To.DrainIn)+len(p.To.DrainOut) > 0 {
			return true
		}
		if len(p.To.VentOut) != 1 {
			return false
		}
		p = p.To.VentOut[0]
	}
	return false
}

func sharedLateral(c *Case) {
	for _, o := range c.Sys.Points {
		if o.Kind != system.Outfall || len(o.Node.DrainIn) == 0 {
			continue
		}
		in := c.reachesOutfall(o.Node)
		first := map[string]*system.Point{}
		var names []string
		for _, f := range c.Sys.Points {
			if f.Kind != system.Fixture || f.Level == nil || !in[f.Node.ID] {
				continue
			}
			if b := f.Level.Building; first[b] == nil {
				first[b] = f
				names = append(names, b)
			}
		}
		if len(names) < 2 {
			if len(names) == 1 {
				c.complies(o.Name)
			}
			continue
		}
		j := Judgement{Answer: Undecided, Subject: o.Name, Copy: o.Copy, Loc: o.Loc, Severity: Caution,
			Remedy: "give each building a sewer of its own, or have the authority accept the shared one and record it with a waiver"}
		said := make([]string, len(names))
		for i, b := range names {
			if said[i] = b; b == "" {
				said[i] = "the main building"
			}
			j.Related = append(j.Related, Related{first[b].Loc, fmt.Sprintf("%s of %s drains here", first[b].Name, said[i])})
		}
		j.Message = fmt.Sprintf("outfall %s takes the drains of %d buildings, %s; each has its own, unless a rear building has no other way", o.Name, len(names), joinNames(said))
		c.say(j)
	}
}
