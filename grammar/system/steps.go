package system

import (
	"crownweir/grammar"
	"crownweir/grammar/quantity"
)

// primary tells whether a leg's length is settled on this axis (true) or by
// the others (false), for legs that run to a target or to suit.
func primary(pt *Part, ax int) bool {
	vertical := pt.Dir[0] == 0 && pt.Dir[1] == 0
	switch pt.by {
	case grammar.ToHeight, grammar.ToRoof:
		return ax == zAxis
	case grammar.ToPoint:
		if vertical {
			return ax == zAxis
		}
		return ax != zAxis
	case grammar.ToSuit:
		if pt.Posture == Upright {
			return ax == zAxis
		}
		return ax != zAxis
	}
	return false
}

// step tells what a leg does on an axis: a known move; an absolute place
// (of a height, or of a node); or nothing known.
type step struct {
	delta, soft float64
	abs         float64
	absNode     *Node
	kind        stepKind
	datum       bool // the height counts from the datum, since no floor is told
}

type stepKind uint8

const (
	moves stepKind = iota
	toAbs
	toNode
	free
)

func (g *geometry) step(p *Pipe, i, ax int) step {
	pt := &p.Parts[i]
	if !pt.IsLeg() {
		return step{}
	}
	d := pt.Dir[ax]
	if nan(d) {
		return step{kind: free}
	}
	if ax != zAxis && d == 0 {
		return step{}
	}
	if ax == zAxis && g.stretches(p, i) {
		return step{kind: free}
	}
	if pt.by != grammar.ByLength && primary(pt, ax) {
		switch pt.by {
		case grammar.ToHeight:
			base, origin := g.floorOf(p.Run)
			h := pt.Item.Height
			if h.Of.Text != "" {
				origin = Written
				l, ok := g.levelOf[h.Of.Text]
				if !ok {
					g.unknownLevel(h.Of, p.Run.File, p.Run.Copy)
					return step{kind: free}
				}
				base = l.Elevation
			}
			return step{kind: toAbs, abs: base + h.Value.SI, datum: origin == Datum}
		case grammar.ToRoof:
			if v, ok := g.roofTarget(p, i); ok {
				return step{kind: toAbs, abs: v}
			}
			return step{kind: free}
		case grammar.ToPoint:
			n := g.targetNode(p, pt)
			if n == nil || n == p.To { // its own end: whatever closes
				return step{kind: free}
			}
			return step{kind: toNode, absNode: n}
		}
		return step{kind: free}
	}
	if ax == zAxis && pt.Posture == LevelLeg {
		switch {
		case pt.Item.Drop.Kind != quantity.None && pt.Fall.Origin != Found:
			return step{delta: g.sign(p) * pt.Item.Drop.SI}
		case pt.Fall.Known() && pt.Fall.V == 0:
			return step{}
		case !pt.Length.Known():
			return step{kind: free}
		case pt.Item.FallToSuit && !pt.Fall.Known():
			return step{kind: free}
		case !pt.Fall.Known():
			return step{soft: pt.Length.V + 1e-6}
		}
		s := step{delta: g.sign(p) * pt.Fall.V * pt.Length.V}
		if p.Kind().Sanitary() && (pt.Fall.Origin == Default || pt.Fall.Origin == Least) {
			s.soft = pt.Length.V
		}
		return s
	}
	if !pt.Length.Known() {
		return step{kind: free}
	}
	return step{delta: d * pt.Length.V}
}

// sign: a fall on a vent is back to its drain, so the leg rises as written.
func (g *geometry) sign(p *Pipe) float64 {
	if p.Kind() == Vent {
		return 1
	}
	return -1
}

// stretches: a vent's last upright leg reaches to its terminal.
func (g *geometry) stretches(p *Pipe, i int) bool {
	if p.Kind() != Vent || p.Parts[i].by != grammar.ByLength || p.Parts[i].Posture != Upright || p.Parts[i].Down {
		return false
	}
	t := p.To.Find(Terminal)
	if t == nil || t.Word == "admittance" {
		return false
	}
	for j := i + 1; j < len(p.Parts); j++ {
		if p.Parts[j].IsLeg() {
			return false
		}
	}
	_, ok := g.terminalHeight(t)
	return ok
}

func (g *geometry) targetNode(p *Pipe, pt *Part) *Node {
	q := g.byName[p.Run.Copy.Prefix()+pt.Item.Point.Text]
	if q == nil {
		if g.once(Loc{p.Run.File, pt.Item.Point.Span}) {
			g.unknownName("point", pt.Item.Point, p.Run.File, p.Run.Copy, func() []string {
				return append([]string{"roof", "suit"}, g.pointNames(p.Run.Copy)()...)
			})
		}
		return nil
	}
	return q.Node
}

// closes tells whether a pipe ties its two ends together.
func (g *geometry) closes(p *Pipe) bool {
	switch p.Kind() {
	case Discharge:
		return false
	case Indirect:
		for i := range p.Parts {
			if p.Parts[i].IsDevice("air-gap") {
				return false
			}
		}
	}
	return true
}

// flexible tells a pipe whose way is not told: its ends keep their own heights
// where they have any, and only otherwise is one reckoned from the other.
func flexible(p *Pipe) bool {
	for i := range p.Parts {
		if pt := &p.Parts[i]; pt.IsLeg() && nan(pt.Dir[0]) && pt.by == grammar.ByLength {
			return true
		}
	}
	return false
}
