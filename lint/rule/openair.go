package rule

import (
	"fmt"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
)

// mouths lists the new terminals through a roof.
func (c *Case) mouths() []*system.Point {
	var out []*system.Point
	for _, t := range c.Sys.Points {
		if t.Kind == system.Terminal && t.Word != "admittance" && !t.Existing && len(t.Node.VentIn) > 0 {
			out = append(out, t)
		}
	}
	return out
}

// reading is a length written or found on a point.
type reading struct {
	v        float64 // metres
	loc      system.Loc
	basis    string
	fix      system.Loc // where its quantity stands in the plan
	ok, asks bool       // asks: written `unknown`
}

func lengthOf(p *system.Point, key string) reading {
	a, ok := p.Attr(key)
	if !ok {
		return reading{}
	}
	if a.Unknown() {
		return reading{asks: true}
	}
	q, ok := a.Qty()
	if !ok {
		return reading{}
	}
	r := reading{v: q.SI, loc: system.Loc{File: p.File, Span: a.Span}, basis: "plan", ok: true}
	if at, found := p.FoundAt[key]; found {
		r.loc, r.basis = at, "found"
		return r
	}
	r.fix = system.Loc{File: p.File, Span: qtySpan(a)}
	return r
}

func qtySpan(a grammar.Attr) grammar.Span {
	for _, v := range a.Values {
		if v.Kind == grammar.OperandQty {
			return v.Span
		}
	}
	return grammar.Span{}
}

// rewrite is the fix that writes another length in a reading's place.
func (r reading) rewrite(title string, metres float64) []Fix {
	if r.fix.Span.End <= r.fix.Span.Start {
		return nil
	}
	text := quantity.FormatLength(metres)
	return []Fix{{Title: title + " " + text, Edits: []Edit{{r.fix, text}}}}
}

// frosty tells whether the plan's winter lies below the book's threshold.
func (c *Case) frosty() bool {
	below := c.Book.Number("frost-below")
	w := c.Sys.Header.Winter
	return below.OK && w.Known() && w.V*9/5+32 < below.Value-eps
}

func lowTerminal(c *Case) {
	least := c.Book.Number("terminal-rise")
	if !least.OK || c.frosty() && c.Book.Number("frost-rise").OK {
		return
	}
	for _, t := range c.mouths() {
		c.judgeRise(t, lengthOf(t, "rise"), "", least.Metres(), c.use(least), "above the roof")
	}
}

// judgeRise compares a terminal's rise with a least.
func (c *Case) judgeRise(t *system.Point, r reading, fact string, least float64, section, why string) {
	switch {
	case r.asks:
		c.say(Judgement{Answer: Undecided, Subject: t.Name, Asked: true})
	case !r.ok:
	case r.v >= least-eps:
		c.complies(t.Name)
	default:
		c.say(Judgement{Answer: Breaks, Subject: t.Name, Copy: t.Copy, Loc: r.loc, Basis: r.basis, Fact: fact, Section: section,
			Message:  fmt.Sprintf("terminal %s rises %s %s; %s is the least", t.Name, quantity.FormatLength(r.v), why, quantity.FormatLength(least)),
			Measured: &Measure{round(r.v/0.0254, 3), "in", ""}, Limit: &Measure{round(least/0.0254, 3), "in", "min"},
			Remedy: fmt.Sprintf("carry it %s above the roof or higher", quantity.FormatLength(least)), Fixes: r.rewrite("raise it to", least)})
	}
}

func nearOpeningTerminal(c *Case) {
	away, above, line := c.Book.Number("terminal-opening-away"), c.Book.Number("terminal-opening-above"), c.Book.Number("terminal-lot-line")
	for _, t := range c.mouths() {
		o, h, l := lengthOf(t, "opening"), lengthOf(t, "above"), lengthOf(t, "lot-line")
		if o.asks || l.asks || h.asks && o.ok && o.v < away.Metres()-eps {
			c.say(Judgement{Answer: Undecided, Subject: t.Name, Asked: true})
		}
		if o.ok && away.OK && !(h.asks && o.v < away.Metres()-eps) {
			c.use(away, above)
			switch {
			case o.v >= away.Metres()-eps || h.ok && h.v >= above.Metres()-eps:
				c.complies(t.Name)
			case !h.ok:
				c.undecided(t.Name, t.Copy, o.loc, "height of "+t.Name+" above the opening beside it", "write `above LENGTH` behind the opening")
			default:
				j := Judgement{Answer: Breaks, Subject: t.Name, Copy: t.Copy, Loc: o.loc, Basis: o.basis, Fact: "opening", Section: c.use(away),
					Message: fmt.Sprintf("terminal %s opens %s from an opening and %s above it; %s away or %s above is required", t.Name,
						quantity.FormatLength(o.v), signedLength(h.v), quantity.FormatLength(away.Metres()), quantity.FormatLength(above.Metres())),
					Measured: &Measure{round(o.v/feet, 3), "ft", ""}, Limit: &Measure{away.Value, "ft", "min"},
					Remedy: fmt.Sprintf("move it %s away, or raise it %s above the opening", quantity.FormatLength(away.Metres()), quantity.FormatLength(above.Metres()))}
				if h.basis == "found" {
					j.Loc, j.Basis = h.loc, "found"
				}
				c.say(j)
			}
		}
		if !l.ok || !line.OK {
			continue
		}
		c.use(line)
		if l.v >= line.Metres()-eps {
			c.complies(t.Name)
			continue
		}
		c.say(Judgement{Answer: Breaks, Subject: t.Name, Copy: t.Copy, Loc: l.loc, Basis: l.basis, Fact: "lot line", Section: c.use(line),
			Message:  fmt.Sprintf("terminal %s opens %s from the lot line; %s is the least", t.Name, quantity.FormatLength(l.v), quantity.FormatLength(line.Metres())),
			Measured: &Measure{round(l.v/feet, 3), "ft", ""}, Limit: &Measure{line.Value, "ft", "min"},
			Remedy: fmt.Sprintf("move it %s or more from the lot line", quantity.FormatLength(line.Metres()))})
	}
}

func frostTerminal(c *Case) {
	if !c.frosty() {
		return
	}
	below, least := c.Book.Number("frost-below"), c.Book.Number("frost-vent-least")
	inside, rise := c.Book.Number("frost-change-inside"), c.Book.Number("frost-rise")
	c.use(below)
	for _, t := range c.mouths() {
		if rise.OK {
			r := lengthOf(t, "rise")
			if r.ok {
				c.use(rise)
			}
			c.judgeRise(t, r, "rise", rise.Metres(), rise.Section, "above a roof on which frost may close it")
		}
		if !least.OK {
			continue
		}
		c.use(least)
		last := t.Node.VentIn[0]
		for _, p := range t.Node.VentIn {
			if p.Size() > last.Size() {
				last = p
			}
		}
		r := last.Run
		need := quantity.FormatSize(quantity.Size(least.Value))
		switch {
		case r.Existing:
		case last.Size() == 0:
			if !r.Solve {
				c.undecided(t.Name, t.Copy, endsLoc(r), "size of "+r.Subject(), "write its nominal size")
			}
		case float64(last.Size()) < least.Value-eps:
			c.say(Judgement{Answer: Breaks, Subject: t.Name, Copy: t.Copy, Loc: sizeLoc(r), Basis: basisOf(r, "size"), Fact: "size", Section: c.use(least),
				Message:  fmt.Sprintf("terminal %s is %s; frost may close it, and %s is the least", t.Name, quantity.FormatSize(last.Size()), need),
				Measured: &Measure{float64(last.Size()), "in", ""}, Limit: &Measure{least.Value, "in", "min"},
				Remedy: fmt.Sprintf("make the vent %s from %s below the roof to the air", need, quantity.FormatLength(inside.Metres())), Fixes: upsize(r, need)})
		default:
			c.frostChange(t, last, quantity.Size(least.Value))
		}
	}
}

// frostChange judges where a vent too small for frost is enlarged.
func (c *Case) frostChange(t *system.Point, last *system.Pipe, least quantity.Size) {
	inside := c.Book.Number("frost-change-inside")
	roof := c.Sys.RoofOf(t)
	n, small := change(last, least)
	if n == nil || roof == nil || !inside.OK {
		c.complies(t.Name)
		return
	}
	z := n.Pos[system.DWV][2]
	if !z.Known() {
		c.undecided(t.Name, t.Copy, endsLoc(small.Run), "height of "+n.Name(), "write the legs of the vent below the roof, as `up 8'`")
		return
	}
	c.use(inside)
	depth := roof.Elevation - z.V
	if depth >= inside.Metres()-0.0008 {
		c.complies(t.Name)
		return
	}
	c.say(Judgement{Answer: Breaks, Subject: t.Name, Copy: t.Copy, Loc: endsLoc(last.Run), Basis: "plan", Fact: "change", Section: c.use(inside),
		Message: fmt.Sprintf("vent of %s grows from %s to %s only %s below the roof; where frost may close it %s is the least", t.Name,
			quantity.FormatSize(small.Size()), quantity.FormatSize(last.Size()), signedLength(depth), quantity.FormatLength(inside.Metres())),
		Measured: &Measure{round(depth/0.0254, 3), "in", ""}, Limit: &Measure{inside.Value, "in", "min"},
		Remedy: fmt.Sprintf("enlarge it %s or more below the roof", quantity.FormatLength(inside.Metres())), Related: []Related{{sizeLoc(small.Run), "the smaller vent"}}})
}

// change is the highest point below a terminal at which every vent that
// arrives is smaller than a size, and one of those vents.
func change(p *system.Pipe, least quantity.Size) (*system.Node, *system.Pipe) {
	for i := 0; i < 200; i++ {
		n := p.From
		var big, small *system.Pipe
		for _, q := range n.VentIn {
			switch {
			case float64(q.Size()) >= float64(least)-eps:
				big = q
			case q.Size() > 0:
				small = q
			}
		}
		switch {
		case big != nil:
			p = big
		case small != nil && len(n.DrainIn)+len(n.DrainOut) == 0:
			return n, small
		default:
			return nil, nil
		}
	}
	return nil, nil
}
