package rule

import (
	"fmt"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
)

func stackRules() []Rule {
	return []Rule{
		{Name: "suds-connection", Family: "Drainage", Severity: Correction, Title: "Connection in the suds zone of a stack",
			Why:      "Suds are heavy with air and slow down where a stack turns level; the next discharge presses them into whatever is connected nearby, and out of its trap.",
			Computed: "Stacks that take kitchen, laundry or bathing waste from enough storeys are followed down. Every drain that joins within the clear distance of a turn from upright to level, up the stack or down the drain, is reported.",
			Needs:    []string{"legs"}, Judge: sudsConnection},
		{Name: "stack-base-connection", Family: "Drainage", Severity: Correction, Title: "Branch too near the base of a stack",
			Why:      "Below a stack the flow turns level, jumps and fills the pipe for some way. A branch that joins there takes the surge.",
			Computed: "From the base of each stack down the drain that takes it, the developed length to every level branch is compared with the clear distance, in diameters of the stack.",
			Needs:    []string{"legs", "size"}, Judge: stackBaseConnection},
		{Name: "missing-vent-stack", Family: "Vents", Severity: Correction, Title: "Tall stack without a vent stack",
			Why:      "Waste that falls through many storeys drags air with it and presses it up at the base. A vent stack beside it lets that air go round.",
			Computed: "The storeys or branch intervals of each stack are counted. From the book's number on, a vent leaves it at or below its lowest branch and leads to the open air.",
			Needs:    []string{"vents"}, Judge: missingVentStack},
		{Name: "missing-relief-vent", Family: "Vents", Severity: Correction, Title: "Stack or branch without a relief vent",
			Why:      "In a tall stack pressure builds up between its ends, and a branch full of closets meets the flow from above. A relief vent between them evens the pressure out.",
			Computed: "Counted from the top, a vent ties the stack to its vent stack at every so many storeys or branch intervals, high enough over the floor. A circuit-vented branch of many closets below drainage from above has a relief vent.",
			Needs:    []string{"vents", "heights"}, Judge: missingReliefVent},
	}
}

// baseTurn is where a stack turns from upright to level.
type baseTurn struct {
	pipe *system.Pipe // whose upright leg ends there
	part int          // that leg
}

// turnsOf lists where a stack turns level, at its offsets and its base.
func turnsOf(s *sizing.Stack) []baseTurn {
	var out []baseTurn
	var last *baseTurn
	for _, p := range s.Pipes {
		for i := range p.Parts {
			pt := &p.Parts[i]
			switch {
			case !pt.IsLeg():
			case pt.Posture == system.Upright:
				last = &baseTurn{p, i}
			case last != nil:
				out = append(out, *last)
				last = nil
			}
		}
	}
	if last != nil && len(last.pipe.To.DrainOut) > 0 {
		if on := departs(last.pipe.To.DrainOut[0]); on != nil && on.posture == system.LevelLeg {
			out = append(out, *last)
		}
	}
	return out
}

// openBase is the drain that goes on from a stack where the plan does not tell
// how: no turn is known there.
func openBase(s *sizing.Stack) *system.Pipe {
	last := s.Pipes[len(s.Pipes)-1]
	if leg := last.LastLeg(); leg == nil || leg.Posture != system.Upright || len(last.To.DrainOut) == 0 {
		return nil
	}
	if on := last.To.DrainOut[0]; departs(on) == nil && !on.Run.Existing {
		return on
	}
	return nil
}

// joining is a drain that joins near a turn.
type joining struct {
	pipe  *system.Pipe
	at    *system.Node
	dist  float64 // metres from the turn, as far as it is known
	gap   *system.Pipe
	below bool // downstream of the turn
}

// above lists what joins the stack upstream of a turn, within metres.
func (t baseTurn) above(s *sizing.Stack, metres float64) []joining {
	var out []joining
	at := len(s.Pipes) - 1
	for at >= 0 && s.Pipes[at] != t.pipe {
		at--
	}
	dist, gap := 0.0, (*system.Pipe)(nil)
	end := t.part
	for ; at >= 0; at-- {
		p := s.Pipes[at]
		for i := end; i >= 0; i-- {
			if pt := &p.Parts[i]; pt.IsLeg() {
				if pt.Length.Known() {
					dist += pt.Length.V
				} else {
					gap = p
				}
			}
		}
		if dist >= metres-1e-6 {
			break
		}
		for _, b := range s.Branches {
			if b.At == p.From && b.Pipe.Kind().Sanitary() {
				out = append(out, joining{b.Pipe, b.At, dist, gap, false})
			}
		}
		if at > 0 {
			end = len(s.Pipes[at-1].Parts) - 1
		}
	}
	return out
}

// below lists what joins the drain downstream of a turn, within metres, as far
// as it is the stack's own: where it joins another drain it ends.
func (c *Case) below(t baseTurn, metres float64) []joining {
	var out []joining
	dist, gap := 0.0, (*system.Pipe)(nil)
	p, from := t.pipe, t.part+1
	for n := 0; n < 200; n++ {
		for i := from; i < len(p.Parts); i++ {
			if pt := &p.Parts[i]; pt.IsLeg() {
				if pt.Length.Known() {
					dist += pt.Length.V
				} else {
					gap = p
				}
			}
		}
		end := p.To
		if dist >= metres-1e-6 || len(end.DrainOut) == 0 || end.Circle {
			return out
		}
		foot := p == t.pipe && from > 0 && dist == 0 && gap == nil
		if !foot && !c.carriesOn(p, end) {
			return out
		}
		on := departs(end.DrainOut[0])
		for _, q := range end.DrainIn {
			if q == p || !q.Kind().Sanitary() {
				continue
			}
			if in := arrives(q); foot && in != nil && on != nil && in.straight(on) {
				continue // the drain that the stack comes down on
			}
			out = append(out, joining{q, end, dist, gap, true})
		}
		p, from = end.DrainOut[0], 0
		if !p.Kind().Sanitary() || p.Run.Existing && !t.pipe.Run.Existing {
			return out
		}
	}
	return out
}

// carriesOn: where drains meet, the pipe is the one that goes on; one of the
// same tag as the drain that leaves comes before one of its direction.
func (c *Case) carriesOn(p *system.Pipe, n *system.Node) bool {
	out := n.DrainOut[0]
	if p.Line == out.Line {
		return true
	}
	for _, q := range n.DrainIn {
		if q != p && q.Line == out.Line && q.Kind().Sanitary() {
			return false
		}
	}
	return c.goesOn(p, n)
}

// sudsConnection judges what joins near the turns of a stack that takes suds.
func sudsConnection(c *Case) {
	clear, storeys := c.Book.Number("suds-distance"), c.Book.Number("suds-storeys")
	kinds := c.Book.Table("suds-fixtures")
	if !clear.OK || !storeys.OK || kinds == nil {
		return
	}
	if exempt := c.Book.FlagCell("suds-dwelling-exempt"); exempt.OK && exempt.Value != 0 && c.singleDwelling() {
		return
	}
	told := map[*system.Pipe]bool{}
	for _, s := range c.Ledger.Stacks() {
		for _, t := range turnsOf(s) {
			floors := c.sudsFloors(t.pipe, kinds)
			if float64(len(floors)) < storeys.Value-eps {
				continue
			}
			for _, g := range append(t.above(s, clear.Metres()), c.below(t, clear.Metres())...) {
				if !told[g.pipe] && !g.pipe.Run.Existing {
					told[g.pipe] = true
					c.sudsJoin(s, t, g, clear, storeys, len(floors))
				}
			}
		}
		last := s.Pipes[len(s.Pipes)-1]
		if open := openBase(s); open != nil && float64(len(c.sudsFloors(last, kinds))) >= storeys.Value-eps {
			c.undecided(last.Run.Subject(), last.Run.Copy, endsLoc(open.Run), "legs of "+open.Run.Name(), "write its legs, as `east 6'`")
			continue
		}
		for _, b := range s.Branches {
			if !told[b.Pipe] && !b.Pipe.Run.Existing && len(turnsOf(s)) > 0 {
				c.complies(b.Pipe.Run.Subject())
			}
		}
	}
}

// sudsFloors are the storeys from which a pipe takes suds.
func (c *Case) sudsFloors(p *system.Pipe, kinds *codebook.Table) map[float64]bool {
	floors := map[float64]bool{}
	for _, f := range c.Vents.Upstream(p, 1<<20) {
		if word, cell := kinds.Word(f.Word, "suds"); word == "yes" && f.Level != nil {
			c.use(cell)
			floors[f.Level.Elevation] = true
		}
	}
	return floors
}

func (c *Case) sudsJoin(s *sizing.Stack, t baseTurn, g joining, clear, storeys codebook.Cell, floors int) {
	r := g.pipe.Run
	stack := t.pipe.Run.Subject()
	if g.gap != nil {
		c.undecided(r.Subject(), r.Copy, endsLoc(g.gap.Run), "length of "+g.gap.Run.Name(), "write the length of each leg")
		return
	}
	where := "above"
	if g.below {
		where = "beyond"
	}
	c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: endsLoc(r), Section: c.use(clear, storeys),
		Message: fmt.Sprintf("%s joins at %s, %s %s the level turn of %s, which takes suds from %d storeys; %s is to be clear", r.Subject(), g.at.Name(),
			quantity.FormatLength(g.dist), where, stack, floors, quantity.FormatLength(clear.Metres())),
		Measured: &Measure{round(g.dist/feet, 3), "ft", ""}, Limit: &Measure{clear.Value, "ft", "min"},
		Remedy:  fmt.Sprintf("let it join the level drain %s or more beyond the turn", quantity.FormatLength(clear.Metres())),
		Related: []Related{{itemSpan(t.pipe.Run, t.pipe.Parts[t.part].Index, t.pipe.Parts[t.part].Index), "the stack turns level at the end of this leg"}}})
}

// singleDwelling: the plan draws one home and nothing else.
func (c *Case) singleDwelling() bool {
	if c.Sys.Header.Occupancy != "private" || len(c.Sys.Dwellings) > 1 {
		return false
	}
	homes := map[string]bool{}
	for _, d := range c.Sys.Dwellings {
		homes[d.Name] = true
	}
	for _, r := range c.Sys.Rooms {
		if r.Access != "" && r.Access != "private" {
			return false
		}
		if r.Dwelling != "" {
			homes[r.Dwelling] = true
		}
	}
	return len(homes) <= 1
}

// stackBaseConnection judges level branches below the base of a stack.
func stackBaseConnection(c *Case) {
	diameters := c.Book.Number("stack-base-diameters")
	if !diameters.OK {
		return
	}
	told := map[*system.Pipe]bool{}
	for _, s := range c.Ledger.Stacks() {
		turns := turnsOf(s)
		if open := openBase(s); open != nil && s.PassesStorey() {
			last := s.Pipes[len(s.Pipes)-1].Run
			c.undecided(last.Subject(), last.Copy, endsLoc(open.Run), "legs of "+open.Run.Name(), "write its legs, as `east 6'`")
			continue
		}
		if !s.PassesStorey() || len(turns) == 0 {
			continue
		}
		t := turns[len(turns)-1]
		size := t.pipe.Size()
		if size == 0 {
			continue
		}
		clear := diameters.Value * float64(size) * 0.0254
		c.use(diameters)
		broken := false
		for _, g := range c.below(t, clear) {
			r := g.pipe.Run
			if in := arrives(g.pipe); told[g.pipe] || r.Existing || in != nil && in.posture == system.Upright || entersBy(g.pipe) == "top" {
				continue
			}
			told[g.pipe], broken = true, true
			if g.gap != nil {
				c.undecided(r.Subject(), r.Copy, endsLoc(g.gap.Run), "length of "+g.gap.Run.Name(), "write the length of each leg")
				continue
			}
			c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: endsLoc(r), Section: c.use(diameters),
				Message: fmt.Sprintf("%s joins at %s, %s beyond the base of the %s stack %s; %.0f diameters, %s, is the least", r.Subject(), g.at.Name(),
					quantity.FormatLength(g.dist), quantity.FormatSize(size), t.pipe.Run.Subject(), diameters.Value, quantity.FormatLength(clear)),
				Measured: &Measure{round(g.dist/0.0254, 3), "in", ""}, Limit: &Measure{round(clear/0.0254, 3), "in", "min"},
				Remedy:  fmt.Sprintf("let it join %s or more beyond the base", quantity.FormatLength(clear)),
				Related: []Related{{itemSpan(t.pipe.Run, t.pipe.Parts[t.part].Index, t.pipe.Parts[t.part].Index), "the stack's base is the end of this leg"}}})
		}
		if !broken && !t.pipe.Run.Existing {
			c.complies(t.pipe.Run.Subject())
		}
	}
}
