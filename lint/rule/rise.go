package rule

import (
	"fmt"
	"math"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
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

// VentTurn is the first place at which a vent lies level or joins another, and
// how high that has to be. Heights are metres above the datum.
type VentTurn struct {
	Pipe   *system.Pipe // the vent's first pipe
	Free   bool         // it does neither before the open air
	Island bool         // an island's loop, which is excepted
	Height system.Num
	What   string        // "turns level", "joins at v1"
	RimOf  *system.Point // the fixture with the highest rim it protects; nil: no rim is known
	Rim    float64
	Need   float64
	Cell   codebook.Cell // what is asked above the rim

	at    turnAt
	blank *system.Point // a fixture whose rim is not known
}

// VentTurns lists the first turn of every vent that protects a trap.
func (c *Case) VentTurns() []VentTurn {
	rise := c.Book.Number("vent-rise")
	var out []VentTurn
	for _, n := range c.Sys.Nodes {
		for _, p := range n.VentOut {
			arms := c.Vents.Protects(p)
			if len(arms) == 0 {
				continue
			}
			t := VentTurn{Pipe: p, Island: arms[0].Chosen.Method == venting.Island, Rim: math.Inf(-1), Cell: rise, at: c.firstTurn(p)}
			t.Free, t.Height, t.What = !t.at.ok, t.at.z, t.at.what
			for _, arm := range arms {
				for _, f := range arm.Trap.Fixtures {
					switch v := f.Rim(); {
					case !v.Known():
						t.blank = f
					case v.V > t.Rim:
						t.Rim, t.RimOf = v.V, f
					}
				}
			}
			t.Need = t.Rim + rise.Metres()
			out = append(out, t)
		}
	}
	return out
}

func lowVentTurn(c *Case) {
	if !c.Book.Number("vent-rise").OK {
		return
	}
	for _, t := range c.VentTurns() {
		r, of, turn := t.Pipe.Run, t.RimOf, t.at
		switch {
		case r.Existing || t.Island:
		case t.Free:
			c.complies(r.Subject())
		case of == nil && t.blank != nil:
			c.undecided(r.Subject(), r.Copy, t.blank.Loc, "rim of "+t.blank.Name, "write `rim LENGTH` on it")
		case of == nil:
		case !turn.z.Known():
			c.undecided(r.Subject(), r.Copy, turn.loc, "height of "+turn.pipe.Run.Name(), "write its legs, as `up to 44\"`")
		case turn.z.V >= t.Need-0.0008:
			c.use(t.Cell)
			c.complies(r.Subject())
		default:
			floor := of.Floor()
			need := quantity.FormatLength(t.Need - floor)
			j := Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: turn.loc, Section: c.use(t.Cell),
				Message:  fmt.Sprintf("vent %s %s %s; the rim of %s asks %s", r.Subject(), turn.what, overFloor(turn.z.V-floor), of.Name, need),
				Measured: &Measure{round((turn.z.V-floor)/0.0254, 3), "in", ""}, Limit: &Measure{round((t.Need-floor)/0.0254, 3), "in", "min"},
				Note:   fmt.Sprintf("flood rim of %s at %s, and %s more", of.Name, quantity.FormatLength(t.Rim-floor), quantity.FormatLength(t.Cell.Metres())),
				Remedy: fmt.Sprintf("carry it up to %s above the floor or higher before it turns or joins", need)}
			c.raiseFix(&j, t.Pipe, t.Need-floor, of)
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

// AreaPart is one terminal's share of the vent area through the roof.
type AreaPart struct {
	Terminal *system.Point // nil: one that is not drawn
	Size     quantity.Size
}

// Area of the part by its nominal bore, in square inches.
func (a AreaPart) Area() float64 { return math.Pi / 4 * float64(a.Size) * float64(a.Size) }

// Name of the part.
func (a AreaPart) Name() string {
	if a.Terminal == nil {
		return "existing"
	}
	return a.Terminal.Name
}

// VentArea is the vent area through the roof of what drains to one outfall,
// and the area that the book asks. Areas are square inches.
type VentArea struct {
	Outfall *system.Point
	Load    sizing.Load
	Parts   []AreaPart
	Area    float64
	Sewer   quantity.Size // the sewer that the table asks for the load; 0: none does
	Want    float64
	Share   codebook.Cell // what part of the sewer's area is asked; not OK: the book asks none
	// Hidden: terminals of existing work are neither drawn nor listed.
	Hidden bool
	// Unsized is a vent at a terminal that writes no size, or nil.
	Unsized *system.Pipe

	out outfall
}

// VentAreas lists the vent area of every outfall.
func (c *Case) VentAreas() []VentArea {
	share := c.Book.Number("vent-area-share")
	if !c.Book.Flag("terminal-area") {
		share = codebook.Cell{}
	}
	outs := c.outfalls()
	existing := false
	for _, p := range c.Sys.Points {
		switch p.Kind {
		case system.ExistingDrain, system.ExistingStack, system.ExistingVent:
			existing = true
		}
	}
	var all []VentArea
	for _, o := range outs {
		a := VentArea{Outfall: o.point, Load: o.load, Share: share, Hidden: existing && len(c.Sys.ExistingVents) == 0, out: o}
		reached := c.ventsFrom(c.reachesOutfall(o.node))
		for _, t := range c.Sys.Points {
			if t.Kind != system.Terminal || t.Word == "admittance" || len(t.Node.VentIn) == 0 {
				continue
			}
			if len(outs) > 1 && !reached[t.Node.ID] {
				continue
			}
			part := AreaPart{Terminal: t}
			for _, v := range t.Node.VentIn {
				part.Size = max(part.Size, v.Size())
				if v.Size() == 0 {
					a.Unsized = v
				}
			}
			a.Parts = append(a.Parts, part)
		}
		for _, s := range c.Sys.ExistingVents {
			a.Parts = append(a.Parts, AreaPart{Size: s})
		}
		for _, part := range a.Parts {
			a.Area += part.Area()
		}
		if o.load.Fixtures > 0 || o.load.Units > 0 {
			a.Sewer, _ = c.Ledger.Required(o.load, o.way)
		}
		a.Want = share.Value * AreaPart{Size: a.Sewer}.Area()
		all = append(all, a)
	}
	return all
}

func shortVentArea(c *Case) {
	for _, a := range c.VentAreas() {
		o, name := a.out, a.Outfall.Name
		switch {
		case !a.Share.OK:
			continue
		case a.Hidden:
			c.undecided(name, o.point.Copy, o.point.Loc, "existing vents of the building", "write `existing vents 3\" 2\"` for the terminals that are not drawn")
			continue
		case a.Unsized != nil:
			if !a.Unsized.Run.Solve { // a `?` is told where it stands
				c.undecided(name, o.point.Copy, endsLoc(a.Unsized.Run), "size of "+a.Unsized.Run.Subject(), "write its nominal size")
			}
			continue
		case a.Sewer == 0:
			continue
		}
		c.use(a.Share)
		if a.Area >= a.Want-1e-6 {
			if o.load.Unknown > 0 {
				f := c.unknownLoad(o.in)
				c.undecided(name, o.point.Copy, f.Loc, "load of "+f.Name, "write `units N` on it")
				continue
			}
			c.complies(name)
			continue
		}
		j := Judgement{Answer: Breaks, Subject: name, Copy: o.point.Copy, Loc: o.point.Loc, Section: c.use(a.Share),
			Message:  fmt.Sprintf("vents through the roof add up to %.2f sq in; the %s sewer that %s need asks %.2f", a.Area, quantity.FormatSize(a.Sewer), o.load.Describe(), a.Want),
			Measured: &Measure{round(a.Area, 2), "sq in", ""}, Limit: &Measure{round(a.Want, 2), "sq in", "min"},
			Remedy: c.areaRemedy(a.Want - a.Area), Note: "no terminal goes through the roof"}
		list := []string{}
		for _, part := range a.Parts {
			list = append(list, part.Name()+" "+quantity.FormatSize(part.Size))
			if part.Terminal != nil && len(j.Related) < 6 {
				j.Related = append(j.Related, Related{part.Terminal.Loc, fmt.Sprintf("%s, %s", part.Name(), quantity.FormatSize(part.Size))})
			}
		}
		if len(list) > 0 {
			j.Note = "terminals: " + joinNames(list)
			j.Loc = rel0(j.Related, o.point.Loc)
		}
		j.Because = c.closetBecause(o, a.Sewer)
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
	for j := range c.Faults() {
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
