package system

import "crownweir/grammar"

// terminalHeight is the mouth of a terminal through the roof.
func (g *geometry) terminalHeight(p *Point) (float64, bool) {
	if p.Word == "admittance" {
		return 0, false
	}
	r := g.RoofOf(p)
	if r == nil {
		g.unknownRoof(p)
		return 0, false
	}
	v := r.Elevation
	if q, ok := p.Qty("rise"); ok {
		v += q.SI
	}
	return v, true
}

// RoofOf is the roof a terminal goes through: the one it names, else that of
// the building it stands in or vents, else the plan's first; nil where none is
// written or the name is no roof's.
func (s *System) RoofOf(p *Point) *Roof {
	if a, ok := p.Attr("roof"); ok && a.Text() != "" {
		for _, r := range s.Roofs {
			if r.Name == a.Text() {
				return r
			}
		}
		return nil
	}
	if len(s.Roofs) < 2 {
		return s.anyRoof()
	}
	if p.Room != nil && p.Room.Level != nil {
		return s.roofOver(p.Room.Level)
	}
	if p.Copy != nil && p.Level != nil {
		return s.roofOver(p.Level)
	}
	return s.roofOver(levelBelow(p.Node))
}

// unknownRoof reports a terminal that names a roof the plan does not have.
func (b *builder) unknownRoof(p *Point) {
	a, ok := p.Attr("roof")
	if !ok || a.Text() == "" || !b.once(Loc{p.File, a.Values[0].Span}) {
		return
	}
	b.unknownName("roof", grammar.Word{Text: a.Text(), Span: a.Values[0].Span}, p.File, p.Copy, b.roofNames)
}

func (b *builder) roofNames() []string {
	var out []string
	for _, r := range b.Roofs {
		if r.Name != "" {
			out = append(out, r.Name)
		}
	}
	return out
}

func (s *System) anyRoof() *Roof {
	if len(s.Roofs) == 0 {
		return nil
	}
	return s.Roofs[0]
}

// roofOver is the roof of a level's building.
func (s *System) roofOver(l *Level) *Roof {
	if l != nil {
		for _, r := range s.Roofs {
			if r.Building == l.Building {
				return r
			}
		}
	}
	return s.anyRoof()
}

// reach is how many runs are followed to find out which building a vent is of.
const reach = 64

// levelBelow is a level whose fixtures a node of the vents serves.
func levelBelow(n *Node) *Level {
	for i := 0; i < reach && n != nil; i++ {
		if l := n.served[DWV]; l != nil && l != manyLevels {
			return l
		}
		switch {
		case len(n.VentIn) > 0:
			n = n.VentIn[0].From
		case len(n.DrainIn) > 0:
			n = n.DrainIn[0].From
		default:
			n = nil
		}
	}
	return nil
}

// roofTarget is the height `up to roof` runs to: the mouth of the terminal
// where the leg ends at one, else the roof that its pipe goes through.
func (g *geometry) roofTarget(p *Pipe, i int) (float64, bool) {
	last := true
	for j := i + 1; j < len(p.Parts); j++ {
		last = last && !p.Parts[j].IsLeg()
	}
	if t := p.To.Find(Terminal); t != nil && last {
		return g.terminalHeight(t)
	}
	if len(g.Roofs) < 2 {
		if r := g.anyRoof(); r != nil {
			return r.Elevation, true
		}
		return 0, false
	}
	r := (*Roof)(nil)
	for n, k := p.To, 0; n != nil && k < reach && r == nil; k++ {
		switch t := n.Find(Terminal); {
		case t != nil:
			r = g.RoofOf(t)
			n = nil
		case len(n.VentOut) > 0:
			n = n.VentOut[0].To
		default:
			n = nil
		}
	}
	if r == nil {
		r = g.roofOver(levelBelow(p.From))
	}
	return r.Elevation, true
}
