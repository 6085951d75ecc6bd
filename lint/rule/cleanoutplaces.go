package rule

import (
	"fmt"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/venting"
)

// servesSink names a sink or urinal that discharges through a pipe.
func (c *Case) servesSink(p *system.Pipe) string {
	for _, f := range c.Vents.Upstream(p, 60) {
		switch f.Word {
		case "kitchen-sink", "sink", "bar-sink", "prep-sink", "hand-sink", "three-compartment-sink", "service-sink", "laundry-tub", "shampoo-sink", "urinal":
			return f.Name
		}
	}
	return ""
}

// closetArms: whether a closet's long arm counts as drainage pipe is the
// authority's call; both readings are told, as advice.
func (c *Case) closetArms(short interface{ Metres() float64 }, storeys []float64) {
	limit := short.Metres()
	if limit == 0 || !c.Book.Flag("cleanout-above-lowest-exempt") {
		return
	}
	for _, arm := range c.Vents.Arms {
		f := arm.Fixture
		if !arm.Closet || arm.Status != venting.Vented || arm.Chosen == nil || !arm.Chosen.Dist.Known() || arm.Trap.Pipe.Run.Existing {
			continue
		}
		if len(storeys) > 0 && f.Floor() > storeys[0]+1e-6 || arm.Chosen.Dist.V < limit-1e-6 {
			continue
		}
		cleaned := false
		for _, s := range arm.Chosen.Arm {
			for i := s.From; i < s.To; i++ {
				cleaned = cleaned || s.Pipe.Parts[i].IsDevice("cleanout")
			}
		}
		if cleaned {
			continue
		}
		c.say(Judgement{Answer: Undecided, Subject: f.Name, Copy: f.Copy, Loc: c.armLoc(arm), Severity: Advice,
			Message: fmt.Sprintf("arm of closet %s is %s and has no cleanout; lines under %s alone are exempt", f.Name, quantity.FormatLength(arm.Chosen.Dist.V), quantity.FormatLength(limit)),
			Remedy:  "ask the authority: if it counts the arm as drainage pipe, write a `cleanout` in it; if not, none is due"})
	}
}

// beforeTraps marks the pipes between fixtures and the traps they drain
// through, which are no drains yet.
func (c *Case) beforeTraps() map[*system.Pipe]bool { return c.untrapped() }

func (c *Case) findBeforeTraps() map[*system.Pipe]bool {
	out := map[*system.Pipe]bool{}
	for _, t := range c.Sys.Traps {
		if t.Own || t.Part < 0 {
			continue
		}
		for _, f := range t.Fixtures {
			way, _ := trapWay(f, t)
			for _, p := range way {
				if p != t.Pipe {
					out[p] = true
				}
			}
		}
	}
	return out
}

// twoWayRun: a run that begins with a two-way cleanout leads to the node.
func twoWayRun(n *system.Node) bool {
	for _, q := range n.DrainIn {
		if len(q.From.DrainIn) == 0 && len(q.Parts) > 0 && q.Parts[0].IsDevice("cleanout") && hasSetting(&q.Parts[0], "two-way") {
			return true
		}
	}
	return false
}

// sewerJunctions: a cleanout stands where drain and sewer meet: at the drain's
// end, within the book's distance before it, or in the sewer behind it.
func (c *Case) sewerJunctions(told map[*system.Pipe]bool) {
	if !c.Book.Flag("cleanout-sewer-junction") {
		return
	}
	cell := c.Book.FlagCell("cleanout-sewer-junction")
	within, straight := c.Book.Number("cleanout-junction-within"), c.Book.Number("sewer-cleanout-straight")
	for _, n := range c.Sys.Nodes {
		if len(n.DrainOut) == 0 || n.Circle {
			continue
		}
		s := n.DrainOut[0]
		if s.Kind() != system.Sewer || s.Run.Existing || told[s] {
			continue
		}
		meets, cleaned := false, c.cleanoutRun(n)
		for _, q := range n.DrainIn {
			meets = meets || q.Kind() == system.Drain && !opens(q)
			cleaned = cleaned || cleanedWithin(q, within.Metres())
		}
		if !meets {
			continue
		}
		subject := s.Run.Subject()
		if straight.OK && c.straightSewer(s, straight.Metres()) {
			c.use(straight)
			c.complies(subject)
			continue
		}
		c.use(cell)
		if cleaned || hasDevice(s, "cleanout") {
			c.complies(subject)
			continue
		}
		j := Judgement{Answer: Breaks, Subject: subject, Copy: s.Run.Copy, Loc: endsLoc(s.Run), Basis: "plan", Fact: "junction", Section: c.use(cell),
			Message: fmt.Sprintf("building drain and sewer meet at %s without a cleanout", n.Name()),
			Remedy:  fmt.Sprintf("write a `cleanout` at the head of %s", subject)}
		if items := s.Run.Stmt.Items; len(items) > 0 && len(s.Parts) > 0 && s.Parts[0].Index == 0 {
			at := system.Loc{File: s.Run.File, Span: grammar.Span{Start: items[0].Span.Start, End: items[0].Span.Start}}
			j.Fixes = []Fix{{Title: "write a cleanout there", Edits: []Edit{{at, "cleanout, "}}}}
		}
		c.say(j)
	}
}

// cleanedWithin: a cleanout stands in a pipe, no further than so many metres
// before its end.
func cleanedWithin(p *system.Pipe, metres float64) bool {
	dist := 0.0
	for i := len(p.Parts) - 1; i >= 0; i-- {
		pt := &p.Parts[i]
		if pt.IsDevice("cleanout") {
			return true
		}
		if pt.IsLeg() {
			if dist += pt.Length.V; !pt.Length.Known() || dist > metres+eps {
				return false
			}
		}
	}
	return false
}

// straightSewer: the sewer from here to its end turns nowhere, takes nothing
// else in and is no longer than so many metres.
func (c *Case) straightSewer(p *system.Pipe, metres float64) bool {
	length := 0.0
	var dir *system.Part
	for n := 0; n < 200; n++ {
		l, whole := p.Length()
		length += l
		if !whole || length > metres+eps {
			return false
		}
		for i := range p.Parts {
			pt := &p.Parts[i]
			if !pt.IsLeg() {
				continue
			}
			if dir != nil && !sameWay(dir, pt) {
				return false
			}
			dir = pt
		}
		if p.To.Find(system.Outfall) != nil {
			return true
		}
		if len(p.To.DrainOut) == 0 || len(p.To.DrainIn) > 1 || p.To.Circle {
			return false
		}
		p = p.To.DrainOut[0]
	}
	return false
}

// stackBases: under some books every stack has a cleanout at its base, in its
// lowest pipe or at the head of the level drain there.
func (c *Case) stackBases(told map[*system.Pipe]bool) {
	if !c.Book.Flag("cleanout-stack-base") {
		return
	}
	cell := c.Book.FlagCell("cleanout-stack-base")
	for _, p := range c.Sys.Pipes {
		last := p.LastLeg()
		if !p.Kind().Sanitary() || p.Run.Existing || last == nil || last.Posture != system.Upright || !c.Ledger.InStack(p) || len(p.To.DrainOut) == 0 {
			continue
		}
		base := p.To.DrainOut[0]
		first := base.FirstLeg()
		if first == nil || first.Posture != system.LevelLeg || told[base] {
			continue
		}
		c.use(cell)
		subject := p.Run.Subject()
		cleaned := hasDevice(p, "cleanout") || c.cleanoutRun(p.To)
		for i := 0; i < partIndex(base, first); i++ {
			cleaned = cleaned || base.Parts[i].IsDevice("cleanout")
		}
		if cleaned {
			c.complies(subject)
			continue
		}
		c.say(Judgement{Answer: Breaks, Subject: subject, Copy: p.Run.Copy, Loc: itemSpan(p.Run, last.Index, last.Index), Basis: "plan", Fact: "stack base", Section: c.use(cell),
			Message: fmt.Sprintf("stack %s has no cleanout at its base %s", subject, p.To.Name()),
			Remedy:  "write a `cleanout` at the end of its lowest leg"})
	}
}
