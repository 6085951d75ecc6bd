package rule

import (
	"fmt"
	"math"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/venting"
)

func cleanouts() []Rule {
	return []Rule{
		{Name: "missing-cleanout", Family: "Cleanouts", Severity: Correction, Title: "Level drain without a cleanout at its upper end",
			Why:      "Every level drain stops up some day. Without a cleanout at its upper end it is opened by breaking a wall or a floor.",
			Computed: "Each level drain is followed from its upper end, measured from the vent, to where it joins another. Its length, what it serves and its storey decide whether a cleanout is due there.",
			Needs:    []string{"legs", "cleanouts"}, Judge: missingCleanout},
	}
}

// levelDrain is a level drain from its upper end to where it joins another.
type levelDrain struct {
	pipes   []*system.Pipe
	start   int // part of the first pipe at which the level begins
	length  float64
	whole   bool
	cleaned bool
	twoWay  bool
	main    bool // it is the building drain: it reaches the sewer or outfall
	upper   *system.Node
}

func missingCleanout(c *Case) {
	if !c.Book.Flag("cleanout-upper-end") {
		return
	}
	short := c.Book.Number("cleanout-short-line")
	sinks := c.Book.Flag("cleanout-short-line-sinks")
	storeys := c.Ledger.Storeys()
	for _, p := range c.Sys.Pipes {
		if !p.Kind().Sanitary() || p.Run.Existing {
			continue
		}
		d, ok := c.upperEnd(p)
		if !ok {
			continue
		}
		subject := p.Run.Subject()
		if !d.main && c.Book.Flag("cleanout-above-lowest-exempt") && c.aboveLowest(d, storeys) {
			c.complies(subject)
			continue
		}
		serves := ""
		if sinks {
			serves = c.servesSink(d.pipes[0])
		}
		if short.OK {
			c.use(short)
			limit := short.Metres()
			if d.length < limit-1e-6 && serves == "" {
				if d.whole {
					c.complies(subject)
				} else {
					c.undecided(subject, p.Run.Copy, endsLoc(p.Run), "length of "+p.Run.Name(), "write the length of each leg")
				}
				continue
			}
		}
		if d.cleaned || d.twoWay && d.main && c.Book.Flag("cleanout-two-way-serves") {
			c.use(c.Book.FlagCell("cleanout-upper-end"))
			c.complies(subject)
			continue
		}
		r := p.Run
		j := Judgement{Answer: Breaks, Subject: subject, Copy: r.Copy, Loc: itemSpan(r, p.Parts[d.start].Index, p.Parts[d.start].Index), Section: c.use(c.Book.FlagCell("cleanout-upper-end")),
			Message:  fmt.Sprintf("level drain %s, %s long, has no cleanout at its upper end", subject, quantity.FormatLength(d.length)),
			Measured: &Measure{round(d.length/0.3048, 3), "ft", ""}, Remedy: "write a `cleanout` before its first level leg"}
		if short.OK {
			j.Limit = &Measure{short.Value, "ft", "max"}
		}
		if serves != "" && short.OK && d.length < short.Metres() {
			j.Note = fmt.Sprintf("short lines are exempt unless they serve sinks or urinals, as %s", serves)
			j.Limit, j.Measured = nil, nil
		}
		at := system.Loc{File: r.File, Span: r.Stmt.Items[p.Parts[d.start].Index].Span}
		at.Span.End = at.Span.Start
		j.Fixes = []Fix{{Title: "write a cleanout there", Edits: []Edit{{at, "cleanout, "}}}}
		c.say(j)
	}
	c.closetArms(short, storeys)
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
			} else {
				d.whole = false
			}
		}
		end := at.To
		if ended {
			break
		}
		if end.Find(system.Outfall) != nil || at.Kind() == system.Sewer {
			d.main = true
			d.twoWay = d.twoWay || c.cleanoutRun(end)
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
		if lastDevice(q) {
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

// aboveLowest: the drain hangs above the lowest floor with a fixture.
func (c *Case) aboveLowest(d levelDrain, storeys []float64) bool {
	if len(storeys) == 0 {
		return false
	}
	pt := &d.pipes[0].Parts[d.start]
	if pt.Z0.Known() {
		return pt.Z0.V > storeys[0]+0.3048 // a foot: a drain just above the slab lies on it
	}
	level, many := d.pipes[0].From.Serves()
	return !many && level != nil && level.Elevation > storeys[0]+1e-6
}

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
// authority's call; both readings are told.
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
		c.say(Judgement{Answer: Undecided, Subject: f.Name, Copy: f.Copy, Loc: c.armLoc(arm), Severity: Caution,
			Message: fmt.Sprintf("arm of closet %s is %s and has no cleanout; lines under %s alone are exempt", f.Name, quantity.FormatLength(arm.Chosen.Dist.V), quantity.FormatLength(limit)),
			Remedy:  "ask the authority: if it counts the arm as drainage pipe, write a `cleanout` in it; if not, none is due"})
	}
}
