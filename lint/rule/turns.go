package rule

import (
	"fmt"
	"math"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

func turns() []Rule {
	return []Rule{
		{Name: "wrong-turn", Family: "Drainage", Severity: Correction, Title: "Fitting that may not turn the drain that way",
			Why:      "A sharp turn stops solids and throws the flow back where it leaves a drop or bends on the level. Each change of direction has fittings that lead the waste round it.",
			Computed: "Every written turn, and every run that enters a written junction, is a change from level to upright, upright to level or level to level; the fitting is looked up for it. A run that goes straight through does not turn, and a turn that is not written is taken as one the code accepts.",
			Needs:    []string{"turns or fittings as built", "legs", "size"}, Judge: wrongTurn},
		{Name: "wrong-double-fitting", Family: "Vents", Severity: Correction, Title: "Double tee that lets one fixture discharge into the other",
			Why:      "Straight across a double tee one fixture's waste shoots into the other's arm, fouls it and pulls its trap. A double fixture fitting leads both down, and a wide enough barrel lets them fall.",
			Computed: "At a written double sanitary tee the barrel is compared with the largest inlet in steps of nominal size, or the level way of closets opposite each other with the least, as the book has it.",
			Needs:    []string{"fitting as built", "size", "legs"}, Judge: wrongDoubleFitting},
		{Name: "flat-vent-takeoff", Family: "Vents", Severity: Correction, Title: "Vent taken off level beside a level drain",
			Why:      "Waste runs into a vent opening that lies beside it and leaves solids there; the vent closes and nobody sees it.",
			Computed: "Where a vent leaves a level drain by a level leg, the fitting written there is to be rolled, or to lie on its back, so that the opening stands above the drain's centre line.",
			Needs:    []string{"fitting as built", "legs"}, Judge: flatVentTakeoff},
	}
}

// A change of direction, as the table of fittings has it.
const (
	levelToUpright = "horizontal-to-vertical"
	uprightToLevel = "vertical-to-horizontal"
	levelToLevel   = "horizontal-to-horizontal"
)

func changeWords(change string) string {
	switch change {
	case levelToUpright:
		return "from level to upright"
	case uprightToLevel:
		return "from upright to level"
	}
	return "from one level way into another"
}

// changeOf tells which change of direction lies between two postures; "" for
// an upright pipe that stays upright.
func changeOf(before, after system.Posture) string {
	switch {
	case before == system.LevelLeg && after == system.LevelLeg:
		return levelToLevel
	case before == system.LevelLeg:
		return levelToUpright
	case after == system.LevelLeg:
		return uprightToLevel
	}
	return ""
}

// turnVerdict is what the table says of a fitting in one place.
type turnVerdict struct {
	cell            codebook.Cell
	cells           []codebook.Cell // what else it rests on
	ok              bool
	noRow           bool   // the table does not speak of the fitting
	unsized         bool   // the answer depends on a size nobody wrote
	why             string // what speaks against it
	measured, limit *Measure
}

// turnAllowed looks a fitting up for a change of direction of a pipe.
func (c *Case) turnAllowed(word, change string, p *system.Pipe) turnVerdict {
	say, cell := c.Book.Table("turns").Word(word, change)
	v := turnVerdict{cell: cell, noRow: !cell.OK}
	most, least := c.Book.Number("turn-fixture-drain-most"), c.Book.Number("turn-large-least")
	size := float64(p.Size())
	own := func() bool { return size <= most.Value+eps && c.ownDrain(p) }
	large := func() bool { return size >= least.Value-eps }
	ownText := fmt.Sprintf("it is for the drain of one fixture, of %s or smaller", quantity.FormatSize(quantity.Size(most.Value)))
	largeText := fmt.Sprintf("it is for drains of %s or larger", quantity.FormatSize(quantity.Size(least.Value)))
	switch say {
	case "yes":
		v.ok = true
		return v
	case "no":
		v.why = c.Book.Title + " does not accept it for that"
		return v
	case "a":
		v.ok, v.why, v.cells = own(), ownText, []codebook.Cell{most}
		if size > most.Value+eps {
			v.measured, v.limit = &Measure{size, "in", ""}, &Measure{most.Value, "in", "max"}
		}
	case "b":
		v.ok, v.why, v.cells = large(), largeText, []codebook.Cell{least}
		v.measured, v.limit = &Measure{size, "in", ""}, &Measure{least.Value, "in", "min"}
	case "ab":
		v.ok, v.why, v.cells = own() || large(), ownText+", or "+largeText[len("it is "):], []codebook.Cell{most, least}
	default:
		v.noRow = true
		return v
	}
	v.unsized = p.Size() == 0
	return v
}

// ownDrain: the pipe carries the waste of one trap alone.
func (c *Case) ownDrain(p *system.Pipe) bool {
	if c.Ledger.Of(p).Fixtures <= 1 {
		return true
	}
	var one *system.Trap
	for _, f := range c.Vents.Upstream(p, 12) {
		if len(f.Node.DrainOut) > 0 && f.Node.DrainOut[0].Kind() == system.Indirect {
			continue
		}
		t := c.Sys.TrapOf(f)
		if t == nil || one != nil && t != one {
			return false
		}
		one = t
	}
	return one != nil
}

func wrongTurn(c *Case) {
	if c.Book.Table("turns") == nil {
		return
	}
	for _, p := range c.Sys.Pipes {
		if !p.Kind().Sanitary() || p.Run.Existing {
			continue
		}
		for i := range p.Parts {
			if p.Parts[i].Item.Kind == grammar.Turn {
				c.writtenTurn(p, i)
			}
		}
	}
	c.junctions()
}

// writtenTurn judges a fitting written between two legs.
func (c *Case) writtenTurn(p *system.Pipe, i int) {
	before, after := legBefore(p, i), legAfter(p, i)
	if before == nil || after == nil {
		return
	}
	change := changeOf(before.posture, after.posture)
	if change == "" {
		return
	}
	r, pt := p.Run, &p.Parts[i]
	word := pt.Item.Word.Text
	v := c.turnAllowed(word, change, p)
	switch {
	case v.noRow:
		return
	case v.unsized:
		c.undecided(r.Subject(), r.Copy, endsLoc(r), "size of "+r.Subject(), "write its nominal size")
		return
	}
	section := c.use(append([]codebook.Cell{v.cell}, v.cells...)...)
	if v.ok {
		c.complies(r.Subject())
		return
	}
	j := Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: itemSpan(r, pt.Index, pt.Index), Section: section,
		Message:  fmt.Sprintf("%s turns %s %s; %s", word, r.Subject(), changeWords(change), v.why),
		Measured: v.measured, Limit: v.limit, Fact: fmt.Sprint("turn ", pt.Index), Remedy: "turn it with a fitting of longer sweep"}
	if better := c.betterTurn(before, after, change, p); better != "" {
		j.Remedy = "turn it with a " + better
		j.Fixes = []Fix{{Title: "make it a " + better, Edits: []Edit{{system.Loc{File: r.File, Span: pt.Item.Word.Span}, better}}}}
	}
	c.say(j)
}

// betterTurn is the shortest fitting that the book accepts for the turn.
func (c *Case) betterTurn(before, after *way, change string, p *system.Pipe) string {
	words := []string{"quarter-bend", "short-sweep", "long-sweep"}
	if dot := before.dir[0]*after.dir[0] + before.dir[1]*after.dir[1] + before.dir[2]*after.dir[2]; dot > 0.5 {
		words = []string{"eighth-bend"}
	}
	for _, w := range words {
		if v := c.turnAllowed(w, change, p); v.ok && !v.unsized {
			return w
		}
	}
	return ""
}

// way is how a leg lies where something turns.
type way struct {
	posture system.Posture
	dir     [3]float64
}

func wayOf(pt *system.Part) *way {
	if pt == nil {
		return nil
	}
	return &way{pt.Posture, pt.Dir}
}

// told: the way's direction is written.
func (w *way) told() bool { return !math.IsNaN(w.dir[0]) && !math.IsNaN(w.dir[1]) }

// straight: the second way goes on in the direction of the first.
func (w *way) straight(on *way) bool {
	for i := range w.dir {
		if !(math.Abs(w.dir[i]-on.dir[i]) < 1e-6) {
			return false
		}
	}
	return true
}

// legBefore is the leg a turn takes over from: in its pipe, else in the only
// drain that arrives where its pipe begins. A closet discharges down.
func legBefore(p *system.Pipe, i int) *way {
	for j := i - 1; j >= 0; j-- {
		if p.Parts[j].IsLeg() {
			return wayOf(&p.Parts[j])
		}
	}
	for _, f := range p.From.Points {
		if f.Kind == system.Fixture {
			if f.Word == "water-closet" {
				return &way{system.Upright, [3]float64{0, 0, -1}}
			}
			return nil
		}
	}
	if len(p.From.DrainIn) == 1 {
		return arrives(p.From.DrainIn[0])
	}
	return nil
}

// legAfter is the leg a turn hands on to: in its pipe, else in the drain that
// goes on where nothing else joins.
func legAfter(p *system.Pipe, i int) *way {
	for j := i + 1; j < len(p.Parts); j++ {
		if p.Parts[j].IsLeg() {
			return wayOf(&p.Parts[j])
		}
	}
	if n := p.To; len(n.DrainIn) == 1 && len(n.DrainOut) == 1 {
		return departs(n.DrainOut[0])
	}
	return nil
}

// arrives is the leg by which a pipe arrives; a piece of a run that has no
// length of its own takes that of the piece before it.
func arrives(p *system.Pipe) *way {
	for i := indexOfPipe(p); i >= 0; i-- {
		q := p.Run.Pipes[i]
		if last := q.LastLeg(); last != nil {
			return wayOf(last)
		}
		if len(q.Parts) > 0 {
			return nil
		}
	}
	return nil
}

// departs is the leg by which a pipe sets out.
func departs(p *system.Pipe) *way {
	for i := indexOfPipe(p); i >= 0 && i < len(p.Run.Pipes); i++ {
		q := p.Run.Pipes[i]
		if first := q.FirstLeg(); first != nil {
			return wayOf(first)
		}
		if len(q.Parts) > 0 {
			return nil
		}
	}
	return nil
}

func indexOfPipe(p *system.Pipe) int {
	for i, q := range p.Run.Pipes {
		if q == p {
			return i
		}
	}
	return -1
}
