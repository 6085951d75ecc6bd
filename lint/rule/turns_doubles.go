package rule

import (
	"fmt"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

// teeFault is what is wrong with a double sanitary tee.
type teeFault struct {
	cell            codebook.Cell
	message         string
	measured, limit *Measure
	missing         *system.Pipe // a way that is not measured
}

// inlets are the drains that enter a fitting from its sides.
func (j junction) inlets() []*system.Pipe {
	var out []*system.Pipe
	for _, p := range j.in {
		in, on, side := arrives(p), departs(j.out), entersBy(p)
		switch {
		case side == "top":
		case side == "" && in != nil && (in.posture == system.Upright || on != nil && in.straight(on)):
		default:
			out = append(out, p)
		}
	}
	return out
}

// doubleFault judges a double sanitary tee; nil where nothing is wrong with it.
func (c *Case) doubleFault(f junction) *teeFault {
	inlets := f.inlets()
	if len(inlets) < 2 {
		return nil
	}
	if fault := c.narrowBarrel(f, inlets); fault != nil {
		return fault
	}
	return c.facingClosets(f, inlets)
}

// narrowBarrel: the barrel stands too few sizes above the largest inlet.
func (c *Case) narrowBarrel(f junction, inlets []*system.Pipe) *teeFault {
	steps := c.Book.Number("double-tee-steps")
	ladder := c.Book.Table("size-ladder")
	if !steps.OK || f.out.Size() == 0 {
		return nil
	}
	var largest quantity.Size
	for _, p := range inlets {
		largest = max(largest, p.Size())
	}
	barrel, inlet := ladder.BySize(f.out.Size(), "step"), ladder.BySize(largest, "step")
	if !barrel.OK || !inlet.OK || barrel.Value-inlet.Value >= steps.Value-eps {
		return nil
	}
	above := barrel.Value - inlet.Value
	return &teeFault{cell: steps,
		message: fmt.Sprintf("double sanitary tee %s is %s with inlets of %s, %s above them; its barrel is to be %.0f sizes above the largest inlet",
			f.point.Name, quantity.FormatSize(f.out.Size()), quantity.FormatSize(largest), sizesText(above), steps.Value),
		measured: &Measure{above, "sizes", ""}, limit: &Measure{steps.Value, "sizes", "min"}}
}

func sizesText(n float64) string {
	switch {
	case n < eps:
		return "no size"
	case n < 1+eps:
		return "one size"
	}
	return fmt.Sprintf("%.0f sizes", n)
}

// facingClosets: two closets enter opposite each other, too near the tee.
func (c *Case) facingClosets(f junction, inlets []*system.Pipe) *teeFault {
	least := c.Book.Number("back-to-back-closet-run")
	if !least.OK {
		return nil
	}
	var closets []string
	var nearest float64
	var missing *system.Pipe
	for _, p := range inlets {
		closet, run, gap := closetRun(p)
		if closet == nil {
			continue
		}
		if len(closets) == 0 || run < nearest {
			nearest = run
		}
		if gap != nil && run < least.Metres()-1e-6 {
			missing = gap
		}
		closets = append(closets, closet.Name)
	}
	if len(closets) < 2 || nearest >= least.Metres()-1e-6 {
		return nil
	}
	if missing != nil {
		return &teeFault{cell: least, missing: missing}
	}
	return &teeFault{cell: least,
		message: fmt.Sprintf("closets %s face each other in the double sanitary tee %s, the nearer %s from it on the level; %s is the least",
			joinNames(closets), f.point.Name, quantity.FormatLength(nearest), quantity.FormatLength(least.Metres())),
		measured: &Measure{round(nearest/0.0254, 3), "in", ""}, limit: &Measure{least.Value, "in", "min"}}
}

// closetRun follows a drain upstream to a closet that it serves alone, and
// measures the level way; gap is a pipe whose length is not written.
func closetRun(p *system.Pipe) (closet *system.Point, metres float64, gap *system.Pipe) {
	for n := 0; n < 20; n++ {
		if p.FirstLeg() == nil && len(p.Run.Pipes) == 1 {
			gap = p
		}
		for i := range p.Parts {
			pt := &p.Parts[i]
			switch {
			case !pt.IsLeg() || pt.Posture != system.LevelLeg:
			case pt.Length.Known():
				metres += pt.Length.V
			default:
				gap = p
			}
		}
		for _, f := range p.From.Points {
			if f.Kind == system.Fixture {
				if f.Word == "water-closet" {
					return f, metres, gap
				}
				return nil, 0, nil
			}
		}
		if len(p.From.DrainIn) != 1 {
			return nil, 0, nil
		}
		p = p.From.DrainIn[0]
	}
	return nil, 0, nil
}

func wrongDoubleFitting(c *Case) {
	for _, pt := range c.Sys.Points {
		f, ok := c.junctionAt(pt)
		if !ok {
			continue
		}
		name := pt.Name
		switch pt.Word {
		case "double-wye", "double-fixture-fitting":
			if len(f.inlets()) >= 2 {
				c.complies(name)
			}
			continue
		case "double-sanitary-tee":
		default:
			continue
		}
		fault := c.doubleFault(f)
		if fault == nil {
			if len(f.inlets()) >= 2 {
				c.use(c.Book.Number("double-tee-steps"), c.Book.Number("back-to-back-closet-run"))
				c.complies(name)
			}
			continue
		}
		if fault.missing != nil {
			r := fault.missing.Run
			c.undecided(name, pt.Copy, endsLoc(r), "length of "+r.Name(), "write the length of each leg")
			continue
		}
		loc, basis := f.loc()
		j := Judgement{Answer: Breaks, Subject: name, Copy: pt.Copy, Loc: loc, Basis: basis, Section: c.use(fault.cell), Message: fault.message,
			Measured: fault.measured, Limit: fault.limit, Remedy: "let the two join at different points, each by a wye"}
		for _, p := range f.inlets() {
			j.Related = append(j.Related, Related{endsLoc(p.Run), p.Run.Subject() + " enters here"})
		}
		if out := departs(f.out); out != nil && out.posture == system.Upright {
			j.Remedy = "use a double-fixture-fitting, or let the two join at different heights"
			j.Fixes = f.rewrite("double-fixture-fitting")
		}
		c.say(j)
	}
}
