package rule

import (
	"fmt"
	"math"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
)

func cleanouts() []Rule {
	return []Rule{
		{Name: "missing-cleanout", Family: "Cleanouts", Severity: Correction, Title: "Level drain without a cleanout at its upper end",
			Why:      "Every level drain stops up some day. Without a cleanout at its upper end it is opened by breaking a wall or a floor.",
			Computed: "Each level drain is followed from its upper end, measured from the vent, to where it joins another. Its length, what it serves and its storey decide whether a cleanout is due there. Where drain and sewer meet, and under some books at the base of a stack, one is due too.",
			Needs:    []string{"legs", "cleanouts"}, Judge: missingCleanout},
	}
}

// levelDrain is a level drain from its upper end to where it joins another.
type levelDrain struct {
	pipes   []*system.Pipe
	start   int // part of the first pipe at which the level begins
	length  float64
	bare    float64 // of it before the first cleanout
	whole   bool
	cleaned bool
	twoWay  bool
	main    bool // it is the building drain: it reaches the sewer or outfall
	upper   *system.Node
}

func missingCleanout(c *Case) {
	told := map[*system.Pipe]bool{}
	if c.Book.Flag("cleanout-upper-end") {
		c.upperEnds(told)
	}
	c.sewerJunctions(told)
	c.stackBases(told)
}

// upperEnds judges the upper end of every level drain, and notes the pipes at
// which one is missing.
func (c *Case) upperEnds(told map[*system.Pipe]bool) {
	short := c.Book.Number("cleanout-short-line")
	for _, l := range c.CleanoutLines() {
		p, d := l.Pipe, l.drain
		r, subject := p.Run, p.Run.Subject()
		if !l.above {
			c.use(l.Cells...)
		}
		switch {
		case l.Waits:
			c.undecided(subject, r.Copy, endsLoc(r), "length of "+r.Name(), "write the length of each leg")
			continue
		case !l.Due || l.Cleaned:
			c.complies(subject)
			continue
		}
		j := Judgement{Answer: Breaks, Subject: subject, Copy: r.Copy, Loc: itemSpan(r, p.Parts[d.start].Index, p.Parts[d.start].Index), Section: c.use(c.Book.FlagCell("cleanout-upper-end")),
			Message:  fmt.Sprintf("level drain %s, %s long, has no cleanout at its upper end", subject, quantity.FormatLength(d.length)),
			Measured: &Measure{round(d.length/feet, 3), "ft", ""}, Remedy: "write a `cleanout` before its first level leg"}
		if short.OK {
			j.Limit = &Measure{short.Value, "ft", "max"}
		}
		if l.serves != "" && short.OK && d.length < short.Metres() {
			j.Note = fmt.Sprintf("short lines are exempt unless they serve sinks or urinals, as %s", l.serves)
			j.Limit, j.Measured = nil, nil
		}
		at := system.Loc{File: r.File, Span: r.Stmt.Items[p.Parts[d.start].Index].Span}
		at.Span.End = at.Span.Start
		j.Fixes = []Fix{{Title: "write a cleanout there", Edits: []Edit{{at, "cleanout, "}}}}
		told[p] = true
		c.say(j)
	}
	c.closetArms(short, c.Ledger.Storeys())
}

// upperEnd tells whether a level drain begins in this pipe, and follows it.
func (c *Case) upperEnd(p *system.Pipe) (levelDrain, bool) {
	start := -1
	upright := false // a drop stands before the level in this pipe
	for i := range p.Parts {
		pt := &p.Parts[i]
		if !pt.IsLeg() || c.inArm(p, i) {
			continue
		}
		if pt.Posture == system.LevelLeg {
			start = i
			break
		}
		upright = true
	}
	if start < 0 {
		return levelDrain{}, false
	}
	if !upright && start == firstBeyondArm(c, p) {
		for _, q := range p.From.DrainIn {
			if !q.Kind().Sanitary() {
				continue
			}
			if last := q.LastLeg(); last != nil && last.Posture == system.LevelLeg && !c.inArm(q, partIndex(q, last)) {
				return levelDrain{}, false // it goes on from a level drain
			}
		}
	}
	d := levelDrain{start: start, whole: true, upper: p.From}
	met := false // a cleanout on the way
	d.cleaned = c.cleanedAbove(p, start)
	at, i := p, start
	for n := 0; n < 2000; n++ {
		d.pipes = append(d.pipes, at)
		ended := false
		for ; i < len(at.Parts); i++ {
			pt := &at.Parts[i]
			if pt.IsDevice("cleanout") && d.length < 1e-6 {
				d.cleaned = true
			}
			met = met || pt.IsDevice("cleanout")
			if pt.IsDevice("cleanout") && hasSetting(pt, "two-way") {
				d.twoWay = true
			}
			if !pt.IsLeg() {
				continue
			}
			if pt.Posture != system.LevelLeg {
				ended = true
				break
			}
			if pt.Length.Known() {
				d.length += pt.Length.V
			} else if !met {
				d.whole = false
			}
			if !met {
				d.bare = d.length
			}
		}
		end := at.To
		if ended {
			break
		}
		met = met || c.cleanoutRun(end)
		d.twoWay = d.twoWay || twoWayRun(end)
		if end.Find(system.Outfall) != nil || at.Kind() == system.Sewer {
			d.main = true
			if end.Find(system.Outfall) != nil {
				break
			}
		}
		if len(end.DrainOut) == 0 || end.Circle || !c.goesOn(at, end) {
			break
		}
		at, i = end.DrainOut[0], 0
		if at.Run.Existing {
			break
		}
	}
	return d, true
}

func hasSetting(pt *system.Part, key string) bool {
	for _, a := range pt.Item.Attrs {
		if a.Key == key {
			return true
		}
	}
	return false
}

func firstBeyondArm(c *Case, p *system.Pipe) int {
	for i := range p.Parts {
		if p.Parts[i].IsLeg() && !c.inArm(p, i) {
			return i
		}
	}
	return -1
}

func partIndex(p *system.Pipe, pt *system.Part) int {
	for i := range p.Parts {
		if &p.Parts[i] == pt {
			return i
		}
	}
	return -1
}

// goesOn: of the level drains that meet at a node, this one is the line that
// goes on: the one of the same pipe, else in the same direction, else the
// larger load.
func (c *Case) goesOn(in *system.Pipe, n *system.Node) bool {
	out := n.DrainOut[0]
	best, rank := in, -1.0
	for _, q := range n.DrainIn {
		last := q.LastLeg()
		if !q.Kind().Sanitary() || last == nil || last.Posture != system.LevelLeg || c.inArm(q, partIndex(q, last)) {
			continue
		}
		r := c.Ledger.Of(q).Units / 1e6
		switch first := out.FirstLeg(); {
		case q.Line == out.Line:
			r += 4
		case first != nil && sameWay(last, first):
			r += 2
		}
		if r > rank+1e-9 {
			best, rank = q, r
		}
	}
	return best == in
}

func sameWay(a, b *system.Part) bool {
	for i := range a.Dir {
		if !(math.Abs(a.Dir[i]-b.Dir[i]) < 1e-9) {
			return false
		}
	}
	return true
}

// cleanedAbove: a cleanout at the upper end: before the level in its pipe, at
// the foot of the drop that ends there, or on a run of its own to that point.
func (c *Case) cleanedAbove(p *system.Pipe, start int) bool {
	for i := 0; i < start; i++ {
		if p.Parts[i].IsDevice("cleanout") {
			return true
		}
	}
	if start > 0 && firstBeyondArm(c, p) < start && firstBeyondArm(c, p) >= 0 {
		// the drop stands in this pipe: what joins above it cleans it too
		for _, q := range p.From.DrainIn {
			if lastDevice(q) {
				return true
			}
		}
	}
	if c.cleanoutRun(p.From) {
		return true
	}
	for _, q := range p.From.DrainIn {
		if lastDevice(q) || q.Line == p.Line && c.cleanedLine(q) {
			return true
		}
		if last := q.LastLeg(); last != nil && last.Posture == system.Upright {
			for i := range q.Parts {
				if q.Parts[i].IsDevice("cleanout") {
					return true
				}
			}
		}
	}
	return false
}

// lastDevice: a cleanout at a run's end serves both pipes that meet there.
func lastDevice(p *system.Pipe) bool {
	for i := len(p.Parts) - 1; i >= 0 && !p.Parts[i].IsLeg(); i-- {
		if p.Parts[i].IsDevice("cleanout") {
			return true
		}
	}
	return false
}

// cleanoutRun: a run that begins with a cleanout leads to the node.
func (c *Case) cleanoutRun(n *system.Node) bool {
	for _, q := range n.DrainIn {
		if len(q.From.DrainIn) == 0 && len(q.Parts) > 0 && q.Parts[0].IsDevice("cleanout") {
			return true
		}
	}
	return false
}

// cleanedLine: a line that drops on its way is still one line, and a cleanout
// at the upper end of a level part above the drop serves what lies below it.
func (c *Case) cleanedLine(q *system.Pipe) bool {
	for n := 0; n < 200; n++ {
		level := false
		for i := range q.Parts {
			pt := &q.Parts[i]
			level = level || pt.IsLeg() && pt.Posture == system.LevelLeg && !c.inArm(q, i)
			if pt.IsDevice("cleanout") {
				return true
			}
		}
		if level && c.cleanoutRun(q.From) {
			return true
		}
		var up *system.Pipe
		for _, in := range q.From.DrainIn {
			if in.Line == q.Line {
				up = in
			}
		}
		if up == nil {
			return false
		}
		q = up
	}
	return false
}

// exemptAbove: the book asks no cleanout above the lowest floor, and the leg
// hangs there, on no branch of the building drain.
func (c *Case) exemptAbove(p *system.Pipe, part int, storeys []float64) bool {
	if !c.Book.Flag("cleanout-above-lowest-exempt") || len(storeys) == 0 {
		return false
	}
	pt := &p.Parts[part]
	if pt.Z0.Known() {
		if pt.Z0.V <= storeys[0]+0.3048 { // a foot: a drain just above the slab lies on it
			return false
		}
	} else if level, many := p.From.Serves(); many || level == nil || level.Elevation <= storeys[0]+1e-6 {
		return false
	}
	return !levelToSewer(p, part)
}

// levelToSewer: from that part on the waste reaches the sewer without a drop,
// so that it is the building drain or a level branch of it.
func levelToSewer(p *system.Pipe, part int) bool {
	for n := 0; n < 2000; n++ {
		for ; part < len(p.Parts); part++ {
			if pt := &p.Parts[part]; pt.IsLeg() && pt.Posture == system.Upright {
				return false
			}
		}
		if p.Kind() == system.Sewer || p.To.Find(system.Outfall) != nil {
			return true
		}
		if len(p.To.DrainOut) == 0 || p.To.Circle || !p.Kind().Sanitary() {
			return false
		}
		p, part = p.To.DrainOut[0], 0
	}
	return false
}
