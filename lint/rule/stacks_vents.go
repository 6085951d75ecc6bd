package rule

import (
	"fmt"
	"slices"
	"sort"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
	"crownweir/lint/venting"
)

// tallStack is a stack with what its book counts on it.
type tallStack struct {
	*sizing.Stack
	subject string
	copy    *system.Copy
	loc     system.Loc
	floors  []float64 // what is counted, from the top down
	unit    string    // "storeys" or "branch intervals"
	lowest  int       // pipe that begins at the lowest branch
	foot    []*system.Pipe
	ties    []*system.Pipe
}

// tallStacks lists new stacks that are vented by vents of their own, with the
// vents that leave them at their foot and above it.
func (c *Case) tallStacks(intervals bool) []tallStack {
	if !c.Sys.Header.Vents {
		return nil
	}
	var out []tallStack
	own, storeys := c.ownMethods(), c.storeysByBuilding()
	for _, s := range c.Ledger.Stacks() {
		first, last := s.Pipes[0], s.Pipes[len(s.Pipes)-1]
		if first.Run.Existing || last.Run.Existing || len(s.Floors) == 0 || ownMethod(s, own) {
			continue
		}
		t := tallStack{Stack: s, subject: first.Line.Subject(), copy: first.Run.Copy, loc: sizeLoc(first.Run), unit: "branch intervals"}
		floors := s.Floors
		if !intervals {
			floors, t.unit = c.storeysOf(s, storeys), "storeys"
		}
		for i := len(floors) - 1; i >= 0; i-- {
			t.floors = append(t.floors, floors[i])
		}
		for i, p := range s.Pipes {
			for _, b := range s.Branches {
				if b.At == p.From {
					t.lowest = i
				}
			}
		}
		for i, p := range s.Pipes {
			at := &t.ties
			if i >= t.lowest {
				at = &t.foot
			}
			*at = append(*at, c.airward(p.From)...)
		}
		t.foot = append(t.foot, c.airward(last.To)...)
		t.foot = append(t.foot, c.footOnDrain(s)...)
		out = append(out, t)
	}
	return out
}

// airward lists the vents of a node that lead to the open air.
func (c *Case) airward(n *system.Node) []*system.Pipe {
	var out []*system.Pipe
	for _, v := range n.VentOut {
		if c.Vents.Reaches(v.To) == venting.Air {
			out = append(out, v)
		}
	}
	return out
}

// footOnDrain lists vents that leave the drain near the base of a stack, where
// the book counts that distance in diameters.
func (c *Case) footOnDrain(s *sizing.Stack) []*system.Pipe {
	diameters := c.Book.Number("stack-base-diameters")
	turns := turnsOf(s)
	if !diameters.OK || len(turns) == 0 {
		return nil
	}
	t := turns[len(turns)-1]
	var out []*system.Pipe
	dist, from, p := 0.0, t.part+1, t.pipe
	for n := 0; n < 50; n++ {
		for i := from; i < len(p.Parts); i++ {
			if pt := &p.Parts[i]; pt.IsLeg() {
				if !pt.Length.Known() {
					return out
				}
				dist += pt.Length.V
			}
		}
		if dist > diameters.Value*float64(t.pipe.Size())*0.0254+1e-6 || p.To.Circle {
			return out
		}
		out = append(out, c.airward(p.To)...)
		if len(p.To.DrainOut) == 0 {
			return out
		}
		p, from = p.To.DrainOut[0], 0
	}
	return out
}

// ownMethods marks the nodes at which a waste stack or single stack vents a trap.
func (c *Case) ownMethods() map[*system.Node]bool {
	on := map[*system.Node]bool{}
	for _, arm := range c.Vents.Arms {
		if ch := arm.Chosen; ch != nil && (ch.Method == venting.WasteStack || ch.Method == venting.SingleStack) {
			on[ch.Node] = true
		}
	}
	return on
}

// ownMethod: the stack is vented as a waste stack or a single stack.
func ownMethod(s *sizing.Stack, on map[*system.Node]bool) bool {
	for _, p := range s.Pipes {
		if p.Run.Claim == "waste-stack" || p.Run.Claim == "single-stack" || on[p.From] || on[p.To] {
			return true
		}
	}
	return false
}

// storeysByBuilding lists the floors with fixtures of each building, rising.
func (c *Case) storeysByBuilding() map[string][]float64 {
	seen := map[*system.Level]bool{}
	out := map[string][]float64{}
	for _, f := range c.Sys.Points {
		if f.Kind == system.Fixture && f.Level != nil && !seen[f.Level] {
			seen[f.Level] = true
			out[f.Level.Building] = append(out[f.Level.Building], f.Level.Elevation)
		}
	}
	for b, floors := range out {
		sort.Float64s(floors)
		out[b] = slices.Compact(floors)
	}
	return out
}

// storeysOf lists the storeys of its building that a stack runs through, from
// its base to the highest it takes waste from, rising.
func (c *Case) storeysOf(s *sizing.Stack, storeys map[string][]float64) []float64 {
	base, top := s.BaseHeight(), s.Floors[len(s.Floors)-1]
	if !base.Known() {
		return s.Floors
	}
	building := ""
	for _, f := range c.Vents.Upstream(s.Pipes[len(s.Pipes)-1], 1) {
		if f.Level != nil {
			building = f.Level.Building
		}
	}
	var out []float64
	for _, e := range storeys[building] {
		if e > base.V-eps && e <= top+eps {
			out = append(out, e)
		}
	}
	return out
}

// ventStackDue is from how many storeys or intervals a stack has a vent stack.
func (c *Case) ventStackDue() (due codebook.Cell, intervals bool) {
	if due = c.Book.Number("vent-stack-intervals"); due.OK {
		return due, true
	}
	return c.Book.Number("vent-stack-storeys"), false
}

func missingVentStack(c *Case) {
	due, intervals := c.ventStackDue()
	if !due.OK {
		return
	}
	for _, t := range c.tallStacks(intervals) {
		section := c.use(due)
		if float64(len(t.floors)) < due.Value-eps || len(t.foot) > 0 {
			c.complies(t.subject)
			continue
		}
		low := t.Pipes[t.lowest]
		c.say(Judgement{Answer: Breaks, Subject: t.subject, Copy: t.copy, Loc: t.loc, Section: section,
			Message:  fmt.Sprintf("stack %s runs through %d %s and no vent stack leaves it at or below its lowest branch at %s; from %.0f on one is due", t.subject, len(t.floors), t.unit, low.From.Name(), due.Value),
			Measured: &Measure{float64(len(t.floors)), "count", ""}, Limit: &Measure{due.Value - 1, "count", "max"},
			Remedy:  "take a vent off below the lowest branch and carry it up beside the stack to the open air",
			Related: []Related{{endsLoc(low.Run), "its lowest branch joins here"}}})
	}
}

func missingReliefVent(c *Case) {
	c.circuitReliefs()
	due, intervals := c.ventStackDue()
	every, over := c.Book.Number("yoke-every"), due
	if intervals {
		every, over = c.Book.Number("relief-every"), c.Book.Number("relief-over-intervals")
	}
	if !every.OK || !over.OK || !due.OK || every.Value < 1 {
		return
	}
	for _, t := range c.tallStacks(intervals) {
		n := float64(len(t.floors))
		if tall := n > over.Value+eps || !intervals && n >= over.Value-eps; !tall {
			continue
		}
		if len(t.foot) == 0 {
			continue // it has no vent stack to be tied to, which is told
		}
		section := c.use(every, over)
		if floor, missing := t.untied(int(every.Value + 0.5)); missing {
			c.say(Judgement{Answer: Breaks, Subject: t.subject, Copy: t.copy, Loc: t.loc, Section: section,
				Message: fmt.Sprintf("stack %s runs through %d %s and no relief vent ties it to its vent stack near the floor at %s; counted from the top one is due at every %s", t.subject,
					len(t.floors), t.unit, signedLength(floor), ordinal(int(every.Value+0.5))),
				Remedy: "tie the stack to the vent stack by a vent from below that floor's branch"})
		} else {
			c.complies(t.subject)
		}
		c.tieHeights(t)
	}
}

func ordinal(n int) string {
	if words := []string{"", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"}; n > 0 && n < len(words) {
		return words[n] + " one"
	}
	return fmt.Sprintf("%dth one", n)
}

// untied finds the first floor from the top at which a tie is due and none
// stands. One counts from the top with the top floor or without it: both pass.
// At the lowest floor the vent stack's own foot serves.
func (t tallStack) untied(every int) (floor float64, missing bool) {
	tied := map[int]bool{}
	for _, v := range t.ties {
		tied[t.index(v)] = true
	}
	for prev := -1; ; {
		due := prev + every
		if due >= len(t.floors)-1 {
			return 0, false
		}
		next := -1
		for i := range t.floors {
			if i > 0 && i > prev && i <= due+1 && tied[i] {
				next = i
			}
		}
		if next < 0 {
			return t.floors[due], true
		}
		prev = next
	}
}

// index is the place, from the top, of the floor that a tie leaves the stack at.
func (t tallStack) index(v *system.Pipe) int {
	floor, ok := t.floorAt(v.From)
	for i, f := range t.floors {
		if ok && f <= floor+eps {
			return i
		}
	}
	return -1
}

// floorAt is the floor whose branch joins at a node, else the lowest floor
// that stands above it.
func (t tallStack) floorAt(n *system.Node) (float64, bool) {
	for _, b := range t.Branches {
		if b.At == n && b.Known {
			return b.Floor, true
		}
	}
	z := n.Pos[system.DWV][2]
	if !z.Known() {
		return 0, false
	}
	for i := len(t.floors) - 1; i >= 0; i-- {
		if t.floors[i] >= z.V-eps {
			return t.floors[i], true
		}
	}
	return t.floors[0], true
}

// tieHeights: a tie's upper end stands high enough over its floor.
func (c *Case) tieHeights(t tallStack) {
	least := c.Book.Number("yoke-height")
	if !least.OK {
		return
	}
	for _, v := range t.ties {
		floor, ok := t.floorAt(v.From)
		if !ok || t.index(v) == 0 || v.Run.Existing {
			continue
		}
		end := v
		for n := 0; n < 20 && len(end.To.VentIn) == 1 && len(end.To.VentOut) == 1; n++ {
			end = end.To.VentOut[0]
		}
		z := end.To.Pos[system.DWV][2]
		if !z.Known() || len(end.To.VentIn) < 2 {
			continue
		}
		r := v.Run
		section := c.use(least)
		if z.V-floor >= least.Metres()-0.0008 {
			c.complies(r.Subject())
			continue
		}
		c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: endsLoc(r), Section: section, Fact: "height",
			Message:  fmt.Sprintf("relief vent %s joins the vent stack %s above the floor; %s is the least", r.Subject(), signedLength(z.V-floor), quantity.FormatLength(least.Metres())),
			Measured: &Measure{round((z.V-floor)/0.0254, 3), "in", ""}, Limit: &Measure{least.Value, "in", "min"},
			Remedy: fmt.Sprintf("carry it up to %s above the floor before it joins", quantity.FormatLength(least.Metres()))})
	}
}

// circuitReliefs reports circuit-vented branches that lack a relief vent.
func (c *Case) circuitReliefs() {
	told := map[*system.Line]*Judgement{}
	for _, arm := range c.Vents.Arms {
		if arm.Chosen == nil || arm.Chosen.Method != venting.Circuit || arm.Trap.Pipe.Run.Existing {
			continue
		}
		f, broke := arm.Fixture, false
		if arm.Status == venting.Broken {
			for _, fail := range arm.Chosen.Fails {
				if fail.Rule != "missing-relief-vent" || fail.Pipe == nil {
					continue
				}
				broke = true
				r := fail.Pipe.Run
				if j := told[fail.Pipe.Line]; j != nil {
					j.Related = append(j.Related, Related{c.fixtureLoc(f), f.Name + " relies on it too"})
					continue
				}
				told[fail.Pipe.Line] = c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: endsLoc(r), Message: fail.Message, Remedy: fail.Remedy, Section: c.use(fail.Cell),
					Measured: &Measure{fail.Measured, fail.Unit, ""}, Limit: &Measure{fail.Limit, fail.Unit, fail.Kind}})
			}
		}
		if !broke {
			c.complies(f.Name)
		}
	}
}
