package rule

import (
	"fmt"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

// lying tells whether the drain at a node lies level; settled is false where
// its legs are not written.
func lying(n *system.Node) (level, settled bool, drain *system.Run) {
	for _, p := range n.DrainOut {
		if !p.Kind().Sanitary() {
			continue
		}
		leg := p.FirstLeg()
		if leg == nil {
			return false, false, p.Run
		}
		return leg.Posture == system.LevelLeg, true, p.Run
	}
	return n.Find(system.ExistingDrain) != nil, true, nil
}

// entrance tells how a pipe enters the junction at its end: "top", "side",
// "heel" or "below"; "" where no leg is written.
func entrance(p *system.Pipe) (how string, index int) {
	for i := len(p.Parts) - 1; i >= 0; i-- {
		pt := &p.Parts[i]
		if pt.Item.Kind == grammar.Enters {
			return pt.Item.Side.Text, pt.Index
		}
		if !pt.IsLeg() {
			continue
		}
		switch {
		case pt.Posture == system.LevelLeg:
			return "side", pt.Index
		case pt.Down:
			return "top", pt.Index
		}
		return "below", pt.Index
	}
	return "", -1
}

func lowEjectorEntry(c *Case) {
	asked := c.Book.FlagCell("ejector-enters-top")
	if !c.Book.Flag("ejector-enters-top") {
		return
	}
	for _, e := range c.ejectors() {
		pipes, end := discharge(e)
		if len(pipes) == 0 {
			continue
		}
		last := pipes[len(pipes)-1]
		r := last.Run
		level, settled, drain := lying(end)
		if r.Existing || end.Find(system.Outfall) != nil {
			continue
		}
		section := c.use(asked)
		if !settled {
			c.undecided(r.Subject(), r.Copy, endsLoc(drain), "legs of "+drain.Name(), "write its legs, as `east 6'`")
			continue
		}
		how, index := entrance(last)
		switch {
		case !level || how == "top":
			c.complies(r.Subject())
		case how == "":
			c.undecided(r.Subject(), r.Copy, endsLoc(r), "legs of "+r.Name(), "write its legs, or `enters top`")
		default:
			into := end.Name()
			if drain != nil {
				into = drain.Subject()
			}
			from := "the " + how
			if how == "below" {
				from = how
			}
			j := Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: itemSpan(r, index, index), Section: section,
				Message: fmt.Sprintf("discharge %s enters the level drain %s from %s; a pumped discharge enters from the top", r.Subject(), into, from),
				Remedy:  "bring it over the drain and down into it, or write `enters top`"}
			item := r.Stmt.Items[index]
			if item.Kind == grammar.Enters {
				j.Fixes = []Fix{{Title: "bring it in from the top", Edits: []Edit{{system.Loc{File: r.File, Span: item.Side.Span}, "top"}}}}
			} else {
				j.Fixes = appendItem(r, "enters top")
			}
			c.say(j)
		}
	}
}

// headOf is where a fixture's drain begins to need fall: its trap, or the foot
// of a closet's own drop; the pipes from there to a node follow.
func (c *Case) headOf(f *system.Point, to *system.Node) (z system.Num, way []*system.Pipe) {
	for n := f.Node; n != to; {
		if len(n.DrainOut) == 0 || len(way) > len(c.Sys.Pipes) {
			return system.Num{}, nil
		}
		p := n.DrainOut[0]
		way = append(way, p)
		n = p.To
	}
	z = f.Node.Pos[system.DWV][2]
	t := c.Sys.TrapOf(f)
	for _, p := range way {
		for i := range p.Parts {
			pt := &p.Parts[i]
			switch {
			case t != nil && !t.Own && t.Pipe == p && t.Part == i:
				return pt.Z0, way
			case (t == nil || t.Own) && pt.IsLeg():
				if pt.Posture == system.LevelLeg {
					return pt.Z0, way
				}
				z = pt.Z1
			}
		}
	}
	return z, way
}

func needlessPumping(c *Case) {
	for _, e := range c.ejectors() {
		pipes, end := discharge(e)
		if len(pipes) == 0 {
			continue
		}
		over, known := levelLengths(pipes)
		into := end.Pos[system.DWV][2]
		if !known || !into.Known() {
			continue
		}
		fixtures, _ := fixturesUp(e.Node, func(p *system.Pipe) bool { return p.Kind().Sanitary() })
		for _, f := range fixtures {
			if f.Existing || len(f.Node.DrainOut) == 0 {
				continue
			}
			p := f.Node.DrainOut[0]
			fall := c.leastFall(p.Size())
			z, way := c.headOf(f, e.Node)
			level, whole := levelLengths(way)
			if !z.Known() || !whole || !fall.OK || p.Size() == 0 {
				continue
			}
			c.use(fall)
			need := into.V + (level+over)*fall.Value/12
			if z.V < need-touch {
				c.complies(f.Name)
				continue
			}
			c.say(Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: f.Loc,
				Message:  fmt.Sprintf("%s is pumped by %s, but its drain begins at %s, high enough to reach %s at %s by gravity", f.Name, e.Name, signedLength(z.V), end.Name(), signedLength(into.V)),
				Note:     fmt.Sprintf("%s of level way at %s in/ft take %s", quantity.FormatLength(level+over), fraction(fall.Value), quantity.FormatLength(need-into.V)),
				Measured: &Measure{heightInches(z.V), "in", ""}, Limit: &Measure{heightInches(need), "in", "max"},
				Remedy:  fmt.Sprintf("drain it to %s without the pump, or note what stands in its way", end.Name()),
				Related: []Related{{e.Loc, "the ejector"}}})
		}
	}
}

// leastFall is the least fall of a level drain of a size, in inches a foot.
func (c *Case) leastFall(size quantity.Size) codebook.Cell {
	return c.Book.Table("least-fall").BySize(size, "fall")
}
