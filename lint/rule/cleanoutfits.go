package rule

import (
	"fmt"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
)

// opened goes through the cleanouts of new work, each with the size of the
// pipe it opens: its own run's, or where it stands at the head of a riser, the
// pipe that the riser leads to.
func (c *Case) opened(judge func(p *system.Pipe, pt *system.Part, pipe quantity.Size)) {
	for _, p := range c.Sys.Pipes {
		if !p.Kind().Sanitary() || p.Run.Existing {
			continue
		}
		for i := range p.Parts {
			pt := &p.Parts[i]
			if !pt.IsDevice("cleanout") {
				continue
			}
			pipe := p.Size()
			if i == 0 && len(p.From.DrainIn) == 0 && p.From.Find(system.Fixture) == nil && firstIsUpright(p) && len(p.To.DrainOut) > 0 {
				pipe = p.To.DrainOut[0].Size()
			}
			if pipe > 0 {
				judge(p, pt, pipe)
			}
		}
	}
}

func firstIsUpright(p *system.Pipe) bool {
	f := p.FirstLeg()
	return f != nil && f.Posture == system.Upright
}

func smallCleanout(c *Case) {
	table := c.Book.Table("cleanout-size")
	c.opened(func(p *system.Pipe, pt *system.Part, pipe quantity.Size) {
		least := table.BySize(pipe, "size")
		if !least.OK {
			return
		}
		r, size := p.Run, p.Size()
		a, written := grammar.FindAttr(pt.Item.Attrs, "size")
		if written {
			s, ok := a.Size()
			if !ok {
				return
			}
			size = s
		}
		if size == 0 {
			return
		}
		c.use(least)
		if float64(size) >= least.Value-eps {
			c.complies(r.Subject())
			return
		}
		need := quantity.FormatSize(quantity.Size(least.Value))
		j := Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: itemSpan(r, pt.Index, pt.Index), Basis: "plan", Section: c.use(least),
			Message:  fmt.Sprintf("cleanout of %s is %s; a pipe of %s asks %s", r.Subject(), quantity.FormatSize(size), quantity.FormatSize(pipe), need),
			Measured: &Measure{float64(size), "in", ""}, Limit: &Measure{least.Value, "in", "min"},
			Remedy: fmt.Sprintf("make it %s", need)}
		fit, ok := c.nominal(least.Value) // what is sold and can be written: the table prints 3-1/2
		if !ok {
			c.say(j)
			return
		}
		need = quantity.FormatSize(fit)
		if written {
			if sp := qtySpan(a); sp.End > sp.Start {
				j.Fixes = []Fix{{Title: "make it " + need, Edits: []Edit{{system.Loc{File: r.File, Span: sp}, need}}}}
			}
		} else {
			j.Fixes = upsize(r, need)
		}
		c.say(j)
	})
}

// nominal is the smallest pipe size of the book that is not below inches.
func (c *Case) nominal(inches float64) (quantity.Size, bool) {
	for _, s := range c.Ledger.Sizes() {
		if float64(s) >= inches-eps {
			return s, true
		}
	}
	return 0, false
}

func tightCleanout(c *Case) {
	table, far := c.Book.Table("cleanout-clearance"), c.Book.Number("cleanout-crawl-reach")
	c.opened(func(p *system.Pipe, pt *system.Part, pipe quantity.Size) {
		r := p.Run
		if a, ok := grammar.FindAttr(pt.Item.Attrs, "clear"); ok {
			least := table.BySize(pipe, "clear")
			q, fine := a.Qty()
			switch {
			case a.Unknown():
				c.say(Judgement{Answer: Undecided, Subject: r.Subject(), Asked: true})
			case !fine || !least.OK:
			case q.SI >= least.Metres()-eps:
				c.use(least)
				c.complies(r.Subject())
			default:
				c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: system.Loc{File: r.File, Span: a.Span}, Basis: "plan", Section: c.use(least), Fact: "clear",
					Message:  fmt.Sprintf("cleanout of %s has %s of clear space; a pipe of %s asks %s", r.Subject(), quantity.FormatLength(q.SI), quantity.FormatSize(pipe), quantity.FormatLength(least.Metres())),
					Measured: &Measure{round(q.SI/0.0254, 3), "in", ""}, Limit: &Measure{least.Value, "in", "min"},
					Remedy: fmt.Sprintf("keep %s clear before it, or move it", quantity.FormatLength(least.Metres()))})
			}
		}
		a, ok := grammar.FindAttr(pt.Item.Attrs, "reach")
		q, fine := a.Qty()
		switch {
		case !ok || !far.OK:
		case a.Unknown():
			c.say(Judgement{Answer: Undecided, Subject: r.Subject(), Asked: true})
		case !fine:
		case q.SI <= far.Metres()+eps:
			c.use(far)
			c.complies(r.Subject())
		default:
			c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: system.Loc{File: r.File, Span: a.Span}, Basis: "plan", Section: c.use(far), Fact: "reach",
				Message:  fmt.Sprintf("cleanout of %s lies %s from an access opening; %s is the most", r.Subject(), quantity.FormatLength(q.SI), quantity.FormatLength(far.Metres())),
				Measured: &Measure{round(q.SI/feet, 3), "ft", ""}, Limit: &Measure{far.Value, "ft", "max"},
				Remedy: fmt.Sprintf("bring it within %s of an opening, or extend it above the floor or outdoors", quantity.FormatLength(far.Metres()))})
		}
	})
}
