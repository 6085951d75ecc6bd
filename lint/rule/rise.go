package rule

import (
	"fmt"
	"math"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/sizing"
	"crownweir/lint/venting"
)

// turnOf follows a vent from its drain to the first level leg or joining.
type turnAt struct {
	z    system.Num
	loc  system.Loc
	what string
	pipe *system.Pipe
	ok   bool // there is one
}

func (c *Case) firstTurn(p *system.Pipe) turnAt {
	for n := 0; n < 50; n++ {
		for i := range p.Parts {
			pt := &p.Parts[i]
			if pt.IsLeg() && pt.Posture == system.LevelLeg && (!pt.Length.Known() || pt.Length.V > 0) {
				return turnAt{pt.Z0, itemSpan(p.Run, pt.Index, pt.Index), "turns level", p, true}
			}
		}
		if p.FirstLeg() == nil {
			return turnAt{system.Num{}, endsLoc(p.Run), "is not drawn", p, true}
		}
		end := p.To
		if end.Find(system.Terminal) != nil || end.Find(system.ExistingVent) != nil && len(end.VentOut) == 0 && len(end.VentIn) == 1 {
			return turnAt{}
		}
		if len(end.VentIn) > 1 || len(end.DrainIn)+len(end.DrainOut) > 0 || len(end.VentOut) > 1 {
			return turnAt{end.Pos[system.DWV][2], system.Loc{File: p.Run.File, Span: p.Run.Stmt.To.Span}, "joins at " + end.Name(), p, true}
		}
		if len(end.VentOut) == 0 {
			return turnAt{}
		}
		p = end.VentOut[0]
	}
	return turnAt{}
}

func lowVentTurn(c *Case) {
	rise := c.Book.Number("vent-rise")
	if !rise.OK {
		return
	}
	for _, n := range c.Sys.Nodes {
		for _, p := range n.VentOut {
			arms := c.Vents.Protects(p)
			r := p.Run
			if len(arms) == 0 || r.Existing {
				continue
			}
			if arms[0].Chosen.Method == venting.Island {
				continue
			}
			turn := c.firstTurn(p)
			if !turn.ok {
				c.complies(r.Subject())
				continue
			}
			rim, of := math.Inf(-1), (*system.Point)(nil)
			var blank *system.Point
			for _, arm := range arms {
				for _, f := range arm.Trap.Fixtures {
					switch v := f.Rim(); {
					case !v.Known():
						blank = f
					case v.V > rim:
						rim, of = v.V, f
					}
				}
			}
			if of == nil {
				if blank != nil {
					c.undecided(r.Subject(), r.Copy, blank.Loc, "rim of "+blank.Name, "write `rim LENGTH` on it")
				}
				continue
			}
			if !turn.z.Known() {
				c.undecided(r.Subject(), r.Copy, turn.loc, "height of "+turn.pipe.Run.Name(), "write its legs, as `up to 44\"`")
				continue
			}
			c.use(rise)
			need := rim + rise.Metres()
			if turn.z.V >= need-0.0008 {
				c.complies(r.Subject())
				continue
			}
			floor := of.Floor()
			j := Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: turn.loc, Section: c.use(rise),
				Message:  fmt.Sprintf("vent %s %s %s; the rim of %s asks %s", r.Subject(), turn.what, overFloor(turn.z.V-floor), of.Name, quantity.FormatLength(need-floor)),
				Measured: &Measure{round((turn.z.V-floor)/0.0254, 3), "in", ""}, Limit: &Measure{round((need-floor)/0.0254, 3), "in", "min"},
				Note:   fmt.Sprintf("flood rim of %s at %s, and %s more", of.Name, quantity.FormatLength(rim-floor), quantity.FormatLength(rise.Metres())),
				Remedy: fmt.Sprintf("carry it up to %s above the floor or higher before it turns or joins", quantity.FormatLength(need-floor))}
			c.raiseFix(&j, p, need-floor, of)
			c.say(j)
		}
	}
}

// raiseFix raises a written target height to the least, where one edit does it.
func (c *Case) raiseFix(j *Judgement, p *system.Pipe, need float64, of *system.Point) {
	for i := range p.Parts {
		pt := &p.Parts[i]
		if !pt.IsLeg() {
			continue
		}
		h := pt.Item.Height
		if pt.Posture == system.Upright && h.Value.Kind == quantity.Length && h.Of.Text == "" && h.Value.Span.End > h.Value.Span.Start {
			text := quantity.FormatLength(need)
			j.Fixes = []Fix{{Title: "raise the turn to " + text, Edits: []Edit{{system.Loc{File: p.Run.File, Span: h.Value.Span}, text}}}}
		}
		return
	}
}

func signedLength(v float64) string {
	if v < -1e-9 {
		return "-" + quantity.FormatLength(-v)
	}
	return quantity.FormatLength(v)
}

// overFloor prints a height over a floor: `3'6" above the floor`.
func overFloor(v float64) string {
	if v < -1e-9 {
		return quantity.FormatLength(-v) + " below the floor"
	}
	return quantity.FormatLength(v) + " above the floor"
}

// outfall is what the drains that reach an outfall carry.
type outfall struct {
	node  *system.Node
	point *system.Point
	load  sizing.Load
	way   sizing.Way
	in    *system.Pipe
}

func (c *Case) outfalls() []outfall {
	var out []outfall
	for _, p := range c.Sys.Points {
		if p.Kind != system.Outfall || len(p.Node.DrainIn) == 0 {
			continue
		}
		o := outfall{node: p.Node, point: p, load: c.Ledger.At(p.Node), in: p.Node.DrainIn[0]}
		o.way = sizing.Way{Posture: system.LevelLeg, Sewer: true, Drain: true}
		if last := o.in.LastLeg(); last != nil && last.Posture == system.LevelLeg {
			o.way.Fall = last.Fall
		}
		out = append(out, o)
	}
	return out
}

// reachesOutfall marks the nodes whose drains lead to an outfall.
func (c *Case) reachesOutfall(o *system.Node) []bool {
	in := make([]bool, len(c.Sys.Nodes))
	queue := []*system.Node{o}
	for len(queue) > 0 {
		n := queue[0]
		queue = queue[1:]
		if in[n.ID] {
			continue
		}
		in[n.ID] = true
		for _, p := range n.DrainIn {
			queue = append(queue, p.From)
		}
	}
	return in
}

func shortVentArea(c *Case) {
	share := c.Book.Number("vent-area-share")
	if !share.OK || !c.Book.Flag("terminal-area") {
		return
	}
	outs := c.outfalls()
	existing := false
	for _, p := range c.Sys.Points {
		switch p.Kind {
		case system.ExistingDrain, system.ExistingStack, system.ExistingVent:
			existing = true
		}
	}
	for _, o := range outs {
		drains := c.reachesOutfall(o.node)
		reached := c.ventsFrom(drains)
		area, list := 0.0, []string{}
		var rel []Related
		var unsized *system.Pipe
		for _, t := range c.Sys.Points {
			if t.Kind != system.Terminal || t.Word == "admittance" || len(t.Node.VentIn) == 0 {
				continue
			}
			if len(outs) > 1 && !reached[t.Node.ID] {
				continue
			}
			var size quantity.Size
			for _, v := range t.Node.VentIn {
				size = max(size, v.Size())
				if v.Size() == 0 {
					unsized = v
				}
			}
			area += math.Pi / 4 * float64(size) * float64(size)
			list = append(list, fmt.Sprintf("%s %s", t.Name, quantity.FormatSize(size)))
			if len(rel) < 6 {
				rel = append(rel, Related{t.Loc, fmt.Sprintf("%s, %s", t.Name, quantity.FormatSize(size))})
			}
		}
		for _, s := range c.Sys.ExistingVents {
			area += math.Pi / 4 * float64(s) * float64(s)
			list = append(list, "existing "+quantity.FormatSize(s))
		}
		name := o.point.Name
		if existing && len(c.Sys.ExistingVents) == 0 {
			c.undecided(name, o.point.Copy, o.point.Loc, "existing vents of the building", "write `existing vents 3\" 2\"` for the terminals that are not drawn")
			continue
		}
		if unsized != nil {
			c.undecided(name, o.point.Copy, endsLoc(unsized.Run), "size of "+unsized.Run.Subject(), "write its nominal size")
			continue
		}
		if o.load.Fixtures == 0 && o.load.Units == 0 {
			continue
		}
		need, ok := c.Ledger.Required(o.load, o.way)
		if !ok {
			continue
		}
		want := share.Value * math.Pi / 4 * float64(need) * float64(need)
		c.use(share)
		if area >= want-1e-6 {
			if o.load.Unknown > 0 {
				f := c.unknownLoad(o.in)
				c.undecided(name, o.point.Copy, f.Loc, "load of "+f.Name, "write `units N` on it")
				continue
			}
			c.complies(name)
			continue
		}
		j := Judgement{Answer: Breaks, Subject: name, Copy: o.point.Copy, Loc: o.point.Loc, Section: c.use(share),
			Message:  fmt.Sprintf("vents through the roof add up to %.2f sq in; the %s sewer that %s need asks %.2f", area, quantity.FormatSize(need), o.load.Describe(), want),
			Measured: &Measure{round(area, 2), "sq in", ""}, Limit: &Measure{round(want, 2), "sq in", "min"},
			Remedy: c.areaRemedy(want - area), Related: rel}
		if len(list) > 0 {
			j.Note = "terminals: " + joinNames(list)
			j.Loc = rel0(rel, o.point.Loc)
		} else {
			j.Note = "no terminal goes through the roof"
		}
		j.Because = c.closetBecause(o, need)
		c.say(j)
	}
}

func rel0(rel []Related, loc system.Loc) system.Loc {
	if len(rel) > 0 {
		return rel[0].Loc
	}
	return loc
}

// closetBecause links the finding to the drain whose closets ask for the
// larger sewer, where that drain is reported too.
func (c *Case) closetBecause(o outfall, need quantity.Size) [][2]string {
	var out [][2]string
	for _, j := range c.Out {
		if j.Answer == Breaks && (j.Rule.Name == "crowded-closets" || j.Rule.Name == "undersized-drain") && j.Limit != nil {
			out = append(out, [2]string{j.Rule.Name, j.Subject})
		}
	}
	if o.in.Size() > 0 && o.in.Size() >= need {
		return nil
	}
	return out
}

func (c *Case) areaRemedy(missing float64) string {
	for _, s := range c.ventSizes() {
		if math.Pi/4*float64(s)*float64(s) >= missing-1e-6 {
			return fmt.Sprintf("carry another %s vent through the roof, or enlarge a terminal for %.2f sq in more", quantity.FormatSize(s), missing)
		}
	}
	return fmt.Sprintf("add %.2f sq in of vent through the roof", missing)
}

// ventsFrom marks the nodes that vents from marked drains lead to.
func (c *Case) ventsFrom(drains []bool) []bool {
	in := append([]bool(nil), drains...)
	for _, n := range c.Sys.VentOrder() {
		if !in[n.ID] {
			continue
		}
		for _, p := range n.VentOut {
			in[p.To.ID] = true
		}
	}
	return in
}
