package rule

import (
	"fmt"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
)

// lead is what stands between a fixture's outlet and its trap.
type lead struct {
	drop, level float64 // metres: outlet to weir, and level length
	legs        int
	whole       bool // every length on it is known
	open        bool // an air gap or another fixture stands between
	loc         system.Loc
	only        *system.Part // its one leg, where there is one
}

// leadOf measures the tailpiece or standpipe of a fixture.
func leadOf(f *system.Point, t *system.Trap) (lead, bool) {
	way, ok := trapWay(f, t)
	if !ok || t.Part < 0 {
		return lead{}, false
	}
	l := lead{whole: true, loc: t.Loc}
	first, last := -1, -1
	for k, p := range way {
		l.open = l.open || opens(p) || k > 0 && p.From.Find(system.Fixture) != nil
		if p != t.Pipe && p.FirstLeg() == nil {
			l.whole = false
		}
		for i := range p.Parts {
			if p == t.Pipe && i >= t.Part {
				break
			}
			pt := &p.Parts[i]
			if !pt.IsLeg() {
				continue
			}
			l.legs++
			l.only = pt
			if p.Run == way[0].Run {
				if first < 0 {
					first = pt.Index
				}
				last = pt.Index
			}
			d := pt.Drop()
			if !pt.Length.Known() || pt.Posture == system.Upright && !d.Known() {
				l.whole = false
				continue
			}
			l.drop += d.V
			if pt.Posture == system.LevelLeg {
				l.level += pt.Length.V
			}
		}
	}
	if first >= 0 {
		l.loc = itemSpan(way[0].Run, first, last)
	}
	if l.legs != 1 {
		l.only = nil
	}
	return l, true
}

func longTailpiece(c *Case) {
	limit, level := c.Book.Number("tailpiece"), c.Book.Number("trap-horizontal-most")
	if !limit.OK {
		return
	}
	for _, t := range c.Sys.Traps {
		if t.Own || t.Pipe.Run.Existing {
			continue
		}
		for _, f := range t.Fixtures {
			l, ok := leadOf(f, t)
			if !ok || l.open || l.legs == 0 || f.Existing || f.Word == "clothes-washer" {
				continue
			}
			c.use(limit, level)
			broke := false
			if l.drop > limit.Metres()+eps {
				broke = true
				c.say(Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: l.loc, Fact: "drop", Basis: "plan", Section: c.use(limit),
					Message:  fmt.Sprintf("trap of %s stands %s below its outlet; %s is the most", f.Name, quantity.FormatLength(l.drop), quantity.FormatLength(limit.Metres())),
					Measured: &Measure{round(l.drop/0.0254, 3), "in", ""}, Limit: &Measure{limit.Value, "in", "max"},
					Remedy: fmt.Sprintf("raise the trap to within %s of the outlet", quantity.FormatLength(limit.Metres())),
					Fixes:  c.legFix(t.Pipe.Run, l.only, limit.Metres())})
			}
			if level.OK && l.level > level.Metres()+eps {
				broke = true
				c.say(Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: l.loc, Fact: "level", Basis: "plan", Section: c.use(level),
					Message:  fmt.Sprintf("trap of %s stands %s sideways from its outlet; %s is the most", f.Name, quantity.FormatLength(l.level), quantity.FormatLength(level.Metres())),
					Measured: &Measure{round(l.level/0.0254, 3), "in", ""}, Limit: &Measure{level.Value, "in", "max"},
					Remedy: fmt.Sprintf("bring the trap to within %s of the outlet", quantity.FormatLength(level.Metres()))})
			}
			switch {
			case broke:
			case !l.whole:
				c.undecided(f.Name, f.Copy, l.loc, "length of the tailpiece of "+f.Name, "write the length of every leg before its trap")
			default:
				c.complies(f.Name)
			}
		}
	}
}

// legFix writes another length on the one plumb leg before a trap.
func (c *Case) legFix(r *system.Run, pt *system.Part, metres float64) []Fix {
	if pt == nil || pt.Item.By != grammar.ByLength || pt.Dir[2] != -1 {
		return nil
	}
	sp := pt.Item.Length.Span
	if sp.End <= sp.Start {
		return nil
	}
	text := quantity.FormatLength(metres)
	return []Fix{{Title: fmt.Sprintf("make it %s", text), Edits: []Edit{{system.Loc{File: r.File, Span: sp}, text}}}}
}

// washers goes through the clothes washers that discharge into a standpipe of
// their own.
func (c *Case) washers(judge func(f *system.Point, t *system.Trap, l lead)) {
	for _, t := range c.Sys.Traps {
		if t.Own || t.Pipe.Run.Existing {
			continue
		}
		for _, f := range t.Fixtures {
			if f.Word != "clothes-washer" || f.Existing {
				continue
			}
			if l, ok := leadOf(f, t); ok && !l.open {
				judge(f, t, l)
			}
		}
	}
}

func standpipeHeight(c *Case) {
	least, most, tray := c.Book.Number("standpipe-least"), c.Book.Number("standpipe-most"), c.Book.Number("standpipe-tray-least")
	if !least.OK || !most.OK {
		return
	}
	c.washers(func(f *system.Point, t *system.Trap, l lead) {
		low := least
		for _, g := range t.Fixtures {
			if g.Word == "laundry-tub" && tray.OK {
				low = tray
			}
		}
		if l.legs == 0 || !l.whole {
			c.undecided(f.Name, f.Copy, l.loc, "height of the standpipe of "+f.Name, "write it before the trap, as `down 26\", trap`")
			return
		}
		c.use(low, most)
		cell, kind, remedy := most, "max", "cut it, or raise its trap"
		switch {
		case l.drop > most.Metres()+eps:
		case l.drop < low.Metres()-eps:
			cell, kind, remedy = low, "min", "lengthen it, or lower its trap"
		default:
			c.complies(f.Name)
			return
		}
		span := fmt.Sprintf("%s to %s is the range", quantity.FormatLength(low.Metres()), quantity.FormatLength(most.Metres()))
		j := Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: l.loc, Basis: "plan", Section: c.use(cell),
			Message:  fmt.Sprintf("standpipe of %s rises %s above its weir; %s", f.Name, signedLength(l.drop), span),
			Measured: &Measure{round(l.drop/0.0254, 3), "in", ""}, Limit: &Measure{cell.Value, "in", kind},
			Remedy: fmt.Sprintf("%s, so that it rises %s at %s", remedy, quantity.FormatLength(cell.Metres()), map[string]string{"max": "most", "min": "least"}[kind])}
		if c.laundryHeightFits(f, t, cell.Metres()-l.drop) {
			j.Fixes = c.legFix(t.Pipe.Run, l.only, cell.Metres())
		}
		c.say(j)
	})
}

// laundryHeightFits: the weir, lowered by so much, is still at a lawful height.
func (c *Case) laundryHeightFits(f *system.Point, t *system.Trap, lowered float64) bool {
	least, most := c.Book.Number("laundry-trap-least"), c.Book.Number("laundry-trap-most")
	z := t.Pipe.Parts[t.Part].Z0
	if !least.OK || !most.OK || !z.Known() {
		return true
	}
	h := z.V - f.Floor() - lowered
	return h > least.Metres()-eps && h < most.Metres()+eps
}

func laundryTrapHeight(c *Case) {
	least, most := c.Book.Number("laundry-trap-least"), c.Book.Number("laundry-trap-most")
	if !least.OK || !most.OK {
		return
	}
	c.washers(func(f *system.Point, t *system.Trap, l lead) {
		z := t.Pipe.Parts[t.Part].Z0
		if l.legs == 0 || !z.Known() {
			if l.legs == 0 {
				c.undecided(f.Name, f.Copy, l.loc, "height of the standpipe of "+f.Name, "write it before the trap, as `down 26\", trap`")
			} else {
				c.undecided(f.Name, f.Copy, l.loc, "height of the trap of "+f.Name, "write `outlet LENGTH` on it, and the length of its standpipe")
			}
			return
		}
		h := z.V - f.Floor()
		c.use(least, most)
		cell, kind, word := most, "max", "most"
		switch {
		case h > most.Metres()+0.0008:
		case h < least.Metres()-0.0008:
			cell, kind, word = least, "min", "least"
		default:
			c.complies(f.Name)
			return
		}
		c.say(Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: t.Loc, Basis: "plan", Section: c.use(cell),
			Message:  fmt.Sprintf("trap of %s has its weir %s above the floor; %s to %s is the range", f.Name, signedLength(h), quantity.FormatLength(least.Metres()), quantity.FormatLength(most.Metres())),
			Measured: &Measure{round(h/0.0254, 3), "in", ""}, Limit: &Measure{cell.Value, "in", kind},
			Remedy:  fmt.Sprintf("set the trap %s above the floor at %s", quantity.FormatLength(cell.Metres()), word),
			Because: [][2]string{{"standpipe-height", f.Name}}})
	})
}
