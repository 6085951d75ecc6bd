package venting

import (
	"fmt"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
)

// loop is a vent that rises from a drain and comes down again.
type loop struct {
	top     system.Num     // height of its highest point
	topPipe *system.Pipe   // where it turns down
	pipes   []*system.Pipe // from the take-off to where it comes down
	ret     *system.Node   // the drain it returns to, or nil
	foot    *system.Pipe   // the vent that leads from it to the air, or nil
}

// loops tells whether a vent comes down again before it reaches the air.
func (a *Analysis) loops(p *system.Pipe) bool {
	for n := 0; n < 30; n++ {
		for i := range p.Parts {
			if pt := &p.Parts[i]; pt.IsLeg() && pt.Posture == system.Upright && pt.Down {
				return true
			}
		}
		end := p.To
		if len(end.DrainIn)+len(end.DrainOut) > 0 || len(end.VentIn) > 1 || len(end.VentOut) != 1 {
			return false
		}
		p = end.VentOut[0]
	}
	return false
}

// follow finds the parts of an island's loop from its take-off.
func (a *Analysis) follow(p *system.Pipe) loop {
	l := loop{top: p.From.Pos[system.DWV][2]}
	down := false
	for n := 0; n < 30; n++ {
		l.pipes = append(l.pipes, p)
		for i := range p.Parts {
			pt := &p.Parts[i]
			if !pt.IsLeg() {
				continue
			}
			if pt.Z1.Known() && (!l.top.Known() || pt.Z1.V > l.top.V) {
				l.top = pt.Z1
			}
			if pt.Posture == system.Upright && pt.Down && !down {
				down, l.topPipe = true, p
			}
		}
		end := p.To
		if len(end.DrainIn)+len(end.DrainOut) > 0 {
			l.ret = end
			return l
		}
		var on *system.Pipe
		for _, v := range end.VentOut {
			switch a.reach[v.To.ID].end {
			case Drainage:
				on = v
			case Air:
				if down {
					l.foot = v
				}
			}
		}
		if on == nil && !down && len(end.VentOut) == 1 {
			on = end.VentOut[0]
		}
		if on == nil {
			return l
		}
		p = on
	}
	return l
}

// island judges a vent that returns to the drain: how high its loop goes,
// where it returns, what else drains there, and its foot vent.
func (a *Analysis) island(arm *Arm, c *Candidate) {
	f := arm.Fixture
	if !a.Book.Flag("island") {
		c.Never = fmt.Sprintf("the vent at %s leads back into a drain", c.Node.Name())
		return
	}
	if c.Vent == nil {
		c.Never = fmt.Sprintf("no vent leaves %s: an island's rises, and returns to the drain", c.Node.Name())
		return
	}
	claimed := a.claims(arm, "island")
	l := a.follow(c.Vent)
	if !claimed && l.ret == nil && l.foot == nil {
		c.Never = fmt.Sprintf("the vent at %s comes down again and reaches neither drain nor air", c.Node.Name())
		return
	}
	if !a.Book.Flag("foot-vent") && a.reach[c.Vent.To.ID].end != Air {
		c.Never = fmt.Sprintf("the vent at %s returns to the drain and reaches no open air", c.Node.Name())
		return
	}
	rim := f.Rim()
	switch {
	case !rim.Known():
		c.Missing = &Missing{What: "rim of " + f.Name, Pipe: c.Vent, Attr: "rim"}
	case !l.top.Known():
		c.Missing = &Missing{What: "height of " + c.Vent.Run.Name(), Pipe: c.Vent, Attr: "legs"}
	case l.top.V < rim.V-0.0008:
		floor := f.Floor()
		c.Fails = append(c.Fails, Fail{Rule: "low-island-loop", Measured: (l.top.V - floor) / inch, Limit: (rim.V - floor) / inch, Unit: "in", Kind: "min", Pipe: c.Vent,
			Message: fmt.Sprintf("loop of the island vent of %s stops %s above the floor; the drainboard is at %s", f.Name, quantity.FormatLength(l.top.V-floor), quantity.FormatLength(rim.V-floor)),
			Remedy:  fmt.Sprintf("carry the loop as high as it goes, %s or more", quantity.FormatLength(rim.V-floor))})
	}
	if l.foot == nil && a.Book.Flag("foot-vent") {
		c.Fails = append(c.Fails, Fail{Rule: "missing-foot-vent", Cell: a.Book.FlagCell("foot-vent"), Pipe: c.Vent,
			Message: fmt.Sprintf("island vent of %s has no foot vent to the open air", f.Name),
			Remedy:  "take a foot vent off the returning leg below the floor, to the partition and up"})
	} else if l.foot != nil && a.Book.Flag("foot-vent-cleanout") && !hasCleanout(a.Way(l.foot)) {
		c.Fails = append(c.Fails, Fail{Rule: "missing-foot-vent", Cell: a.Book.FlagCell("foot-vent-cleanout"), Pipe: l.foot,
			Message: fmt.Sprintf("foot vent of %s has no cleanout in its upright part", f.Name),
			Remedy:  "write a `cleanout` in the foot vent where it rises"})
	}
	a.islandReturn(arm, c, l)
	if least := a.Book.Number("vent-least"); least.OK && c.Vent.Size() > 0 {
		need := quantity.Size(least.Value)
		if half := a.Book.Number("vent-half-of-drain"); half.OK {
			need = max(need, quantity.Size(float64(a.RequiredDrain(f))*half.Value))
		}
		if t := a.Book.Table("vent-units"); t != nil {
			units := a.Ledger.Fixture(f).Load.Units
			for _, s := range t.Sizes() {
				if u := t.BySize(s, "units"); u.OK && units <= u.Value+eps {
					need = max(need, s)
					break
				}
			}
		}
		for _, p := range l.pipes {
			if p.Size() > 0 && float64(p.Size()) < float64(need)-eps {
				c.Fails = append(c.Fails, Fail{Rule: "small-island-vent", Measured: float64(p.Size()), Limit: float64(need), Unit: "in", Kind: "min", Cell: least, Pipe: p,
					Message: fmt.Sprintf("island vent %s of %s is %s; it is to be %s", p.Run.Subject(), f.Name, quantity.FormatSize(p.Size()), quantity.FormatSize(need)),
					Remedy:  fmt.Sprintf("make it %s", quantity.FormatSize(need))})
				break
			}
		}
	}
}

// islandReturn: the return joins the level drain next below the fixture's
// drop, and nothing else drains in upstream of it.
func (a *Analysis) islandReturn(arm *Arm, c *Candidate, l loop) {
	if l.ret == nil {
		return
	}
	f := arm.Fixture
	foot, path := a.footOf(c.Node)
	place := -1
	for i, n := range path {
		if n == l.ret {
			place = i
			break
		}
	}
	if place < 0 || place > 1 {
		where := "upstream of the fixture's drop"
		if place > 1 {
			where = "after another connection"
		}
		c.Fails = append(c.Fails, Fail{Rule: "misplaced-island-return", Pipe: l.pipes[len(l.pipes)-1],
			Message: fmt.Sprintf("island vent of %s returns to the drain at %s, %s; it belongs next downstream of %s", f.Name, l.ret.Name(), where, foot.Name()),
			Remedy:  "join it by a wye immediately downstream of the upright drain"})
	}
	if !a.Book.Flag("foot-vent") {
		return
	}
	up := l.ret
	if place < 0 {
		up = foot
	}
	for _, p := range up.DrainIn {
		for _, g := range a.Upstream(p, 20) {
			if !a.drainsInto(g, arm) {
				c.Fails = append(c.Fails, Fail{Rule: "shared-island-drain", Pipe: p, Other: g,
					Message: fmt.Sprintf("%s drains into the island drain of %s upstream of the returned vent", g.Name, f.Name),
					Remedy:  fmt.Sprintf("let %s join downstream of the return", g.Name)})
				return
			}
		}
	}
}

// drainsInto: a fixture of the arm's trap, or one that wastes into it.
func (a *Analysis) drainsInto(g *system.Point, arm *Arm) bool {
	for _, f := range arm.Trap.Fixtures {
		if f == g {
			return true
		}
	}
	return len(g.Node.DrainOut) > 0 && g.Node.DrainOut[0].Kind() == system.Indirect
}

// footOf follows a drop to its foot: the first node from which the drain runs
// level, with the nodes downstream of it in order, the foot first.
func (a *Analysis) footOf(n *system.Node) (*system.Node, []*system.Node) {
	at := n
	for i := 0; i < 30 && len(at.DrainOut) > 0; i++ {
		p := at.DrainOut[0]
		first := p.FirstLeg()
		if first == nil || first.Posture != system.Upright {
			break
		}
		at = p.To
		if last := p.LastLeg(); last != nil && last.Posture == system.LevelLeg {
			// the drop and the level are one run: its end is the next node
			return p.From, []*system.Node{p.From, p.To}
		}
	}
	path := []*system.Node{at}
	for m, i := at, 0; i < 6 && len(m.DrainOut) > 0; i++ {
		m = m.DrainOut[0].To
		path = append(path, m)
	}
	return at, path
}

// Way lists the vents from a pipe on to the air.
func (a *Analysis) Way(p *system.Pipe) []*system.Pipe {
	var out []*system.Pipe
	for n := 0; n < 60 && p != nil; n++ {
		out = append(out, p)
		p = a.reach[p.To.ID].pipe
	}
	return out
}

func hasCleanout(pipes []*system.Pipe) bool {
	for _, p := range pipes {
		for i := range p.Parts {
			if p.Parts[i].IsDevice("cleanout") {
				return true
			}
		}
	}
	return false
}

// claims tells whether a run on the walk claims a method.
func (a *Analysis) claims(arm *Arm, claim string) bool {
	for _, s := range arm.Walk {
		if s.Pipe.Run.Claim == claim {
			return true
		}
	}
	return false
}
