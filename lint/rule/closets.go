package rule

import (
	"fmt"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/sizing"
)

// closetsOf names what is counted on a pipe: closets, and where others count
// like them, six-unit traps too; any is false where it takes no closet.
func (c *Case) closetsOf(p *system.Pipe) (what string, any bool) {
	n := 0
	for _, s := range c.Ledger.Contributors(p, 200) {
		if s.Point.Word == "water-closet" {
			n++
		}
	}
	all := c.Ledger.Of(p).Closets
	switch {
	case n == 0:
		return plural(all, "six-unit trap", "six-unit traps"), false
	case n < all:
		return "closets and six-unit traps", true
	}
	return plural(all, "closet", "closets"), true
}

func crowdedClosets(c *Case) {
	c.perLine(func(p *system.Pipe) ([]breach, bool, *Judgement) {
		load := c.Ledger.Of(p)
		if load.Closets == 0 || p.Size() == 0 {
			return nil, false, nil
		}
		var out []breach
		looked := false
		for _, st := range c.stretches(p) {
			capa := c.Ledger.Capacity(p.Size(), st.way)
			if capa.Closets <= 0 {
				continue
			}
			looked = true
			c.use(capa.ClosetCell)
			if load.Closets > capa.Closets {
				out = append(out, breach{p, load, capa, st.way, st, float64(load.Closets - capa.Closets), 0})
			}
		}
		return out, looked, nil
	}, func(l *system.Line, first, worst breach, rest []breach) {
		r := c.newWork(first.pipe)
		if r == nil {
			c.complies(l.Subject())
			return
		}
		size := quantity.FormatSize(worst.pipe.Size())
		closets, _ := c.closetsOf(worst.pipe)
		j := Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: first.st.loc(), Basis: basisOf(first.pipe.Run, "size"),
			Message:  fmt.Sprintf("%s %s of %s takes %d %s; %s allows %d", worst.way.Lies(), r.Subject(), size, worst.load.Closets, closets, size, worst.cap.Closets),
			Measured: &Measure{float64(worst.load.Closets), "count", ""}, Limit: &Measure{float64(worst.cap.Closets), "count", "max"},
			Section: c.use(worst.cap.ClosetCell), Note: fmt.Sprintf("its %s units would fit: the closets decide", sizing.Trim(worst.load.Units))}
		if worst.load.Units > worst.cap.Units+eps {
			j.Note = ""
		}
		if r != first.pipe.Run {
			j.Loc = sizeLoc(r)
			j.Message = fmt.Sprintf("%s brings %s, an existing %s %s, to %d closets; it may take %d", r.Subject(), first.pipe.Run.Subject(), size, worst.way.Lies(), worst.load.Closets, worst.cap.Closets)
		}
		if need, ok := c.Ledger.Required(worst.load, worst.way); ok {
			j.Remedy = fmt.Sprintf("make it %s from where the last closet joins, or bring that closet to another drain", quantity.FormatSize(need))
			if r == first.pipe.Run {
				j.Fixes = c.carry(first, rest)
			}
		}
		for _, b := range rest {
			if b.pipe.Run != first.pipe.Run && len(j.Related) < 6 {
				j.Related = append(j.Related, Related{b.st.loc(), fmt.Sprintf("%s takes %d", b.pipe.Run.Name(), b.load.Closets)})
			}
		}
		c.say(j)
	})
	c.existingClosets()
}

func smallClosetDrain(c *Case) {
	least := c.Book.Number("closet-drain-least")
	if !least.OK {
		return
	}
	c.perLine(func(p *system.Pipe) ([]breach, bool, *Judgement) {
		load := c.Ledger.Of(p)
		if load.Closets == 0 || p.Size() == 0 {
			return nil, false, nil
		}
		if c.trapTooSmall(p) {
			return nil, false, nil // small-trap asks trap and arm to grow together
		}
		c.use(least)
		if float64(p.Size()) >= least.Value-eps {
			return nil, true, nil
		}
		return []breach{{p, load, sizing.Capacity{Cell: least}, sizing.Way{}, stretch{pipe: p, first: -1, last: -1}, least.Value - float64(p.Size()), quantity.Size(least.Value)}}, true, nil
	}, func(l *system.Line, first, worst breach, rest []breach) {
		r := c.newWork(first.pipe)
		if r == nil {
			c.complies(l.Subject())
			return
		}
		need := quantity.FormatSize(quantity.Size(least.Value))
		closets, any := c.closetsOf(worst.pipe)
		whose := "a closet"
		if !any {
			whose = "such a trap"
		}
		c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Basis: basisOf(r, "size"),
			Message:  fmt.Sprintf("%s is %s and takes %d %s; the drain of %s is %s at least", r.Subject(), quantity.FormatSize(worst.pipe.Size()), worst.load.Closets, closets, whose, need),
			Measured: &Measure{float64(worst.pipe.Size()), "in", ""}, Limit: &Measure{least.Value, "in", "min"},
			Section: c.use(least), Remedy: fmt.Sprintf("make it %s, and no smaller downstream", need), Fixes: resizeAll(first, rest)})
	})
}
