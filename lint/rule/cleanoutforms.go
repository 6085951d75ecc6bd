package rule

import (
	"fmt"
	"math"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

func cleanoutForms() []Rule {
	return []Rule{
		{Name: "cleanout-spacing", Family: "Cleanouts", Severity: Correction, Title: "Cleanouts too far apart",
			Why:      "A rod or cable reaches so far and no further. Between cleanouts that stand too far apart lies pipe that nobody can open.",
			Computed: "Along each line of level drains and sewer the developed length from one cleanout, or the upper end, to the next or the end is measured.",
			Needs:    []string{"legs", "cleanouts"}, Judge: cleanoutSpacing},
		{Name: "turning-drain", Family: "Cleanouts", Severity: Correction, Title: "Drain that turns too much between cleanouts",
			Why:      "Every turn takes force from the cable, and solids lodge in it. Past a few turns a stoppage cannot be reached.",
			Computed: "The level turns of each line are followed downstream from the last cleanout: added up under one family of books, each by itself under the other, where a cleanout serves the turns within a length. The riser to a cleanout is no turn of the flow.",
			Needs:    []string{"legs", "cleanouts"}, Judge: turningDrain},
		{Name: "small-cleanout", Family: "Cleanouts", Severity: Correction, Title: "Cleanout too small for its pipe",
			Why:      "Through a small opening no cutter enters that fills the pipe's bore.",
			Computed: "The cleanout's own size, else that of its run, is compared with the table by the size of the pipe it opens.",
			Needs:    []string{"cleanout size"}, Judge: smallCleanout},
		{Name: "tight-cleanout", Family: "Cleanouts", Severity: Correction, Title: "Cleanout that cannot be worked at",
			Why:      "A cleanout that a cable cannot be fed into is as good as none.",
			Computed: "The written clear space before a cleanout is compared with the least for its pipe, and the written reach under a floor with the most from an access opening.",
			Needs:    []string{"clear", "reach"}, Judge: tightCleanout},
	}
}

// reachFrom is what has passed since the last cleanout of a line.
type reachFrom struct {
	dist  float64 // metres of level pipe
	whole bool    // every length on it is known
	turns float64 // degrees, level turns of the flow
	dir   *system.Part
	over  *overrun // the breach this stretch is counted in
}

// overrun is a stretch that is too long or turns too much.
type overrun struct {
	pipe  *system.Pipe
	part  int
	value float64
	limit codebook.Cell
	after float64 // metres from the last cleanout, for a turn judged alone
}

// followCleanouts walks every line of level drains downstream. step is told of
// each level leg that is judged, with what passed before it and the turn into
// it in degrees, and gives the breach that begins there, or nil.
func (c *Case) followCleanouts(step func(p *system.Pipe, i int, at *reachFrom, turn float64) *overrun, grow func(o *overrun, at *reachFrom)) (over []*overrun, looked map[*system.Line]bool, gaps map[*system.Line]*system.Pipe) {
	looked, gaps = map[*system.Line]bool{}, map[*system.Line]*system.Pipe{}
	ends, known := make([]reachFrom, len(c.Sys.Pipes)), make([]bool, len(c.Sys.Pipes)) // by pipe
	at, before := new(reachFrom), new(reachFrom)
	storeys, arms := c.Ledger.Storeys(), c.beforeTraps()
	for _, n := range c.Sys.DrainOrder() {
		if n.Circle {
			continue
		}
		for _, p := range n.DrainOut {
			if !p.Kind().Sanitary() || arms[p] {
				continue
			}
			*at = reachFrom{whole: true}
			if q := c.comesFrom(p, n); q != nil && known[q.ID] {
				*at = ends[q.ID]
			}
			if c.cleanoutRun(n) {
				*at = reachFrom{whole: true}
			}
			for i := range p.Parts {
				pt := &p.Parts[i]
				switch {
				case pt.IsDevice("cleanout"):
					*at = reachFrom{whole: true}
				case !pt.IsLeg():
				case pt.Posture == system.Upright:
					at.dir = nil
				case c.inArm(p, i) || c.exemptAbove(p, i, storeys):
					*at = reachFrom{whole: true}
				case p.Run.Existing:
					at.dir = pt
					at.add(pt)
				default:
					turn := 0.0
					if at.dir != nil && !math.IsNaN(at.dir.Dir[0]) && !math.IsNaN(pt.Dir[0]) {
						turn = levelTurn(at.dir, pt)
					}
					at.turns += turn
					*before = *at
					at.dir = pt
					at.add(pt)
					looked[p.Line] = true
					if !at.whole && gaps[p.Line] == nil {
						gaps[p.Line] = p
					}
					if at.over != nil {
						grow(at.over, at)
						continue
					}
					if o := step(p, i, before, turn); o != nil {
						at.over = o
						grow(o, at)
						over = append(over, o)
					}
				}
			}
			ends[p.ID], known[p.ID] = *at, true
		}
	}
	return over, looked, gaps
}

// comesFrom is the drain at a node that a pipe continues: of its own line,
// else the level one that goes on; nil where it begins there.
func (c *Case) comesFrom(p *system.Pipe, n *system.Node) *system.Pipe {
	for _, q := range n.DrainIn {
		if q.Line == p.Line {
			return q
		}
	}
	for _, q := range n.DrainIn {
		last := q.LastLeg()
		if last != nil && last.Posture == system.LevelLeg && !c.inArm(q, partIndex(q, last)) && p == n.DrainOut[0] && c.goesOn(q, n) {
			return q
		}
	}
	return nil
}

func (r *reachFrom) add(pt *system.Part) {
	if !pt.Length.Known() {
		r.whole = false
		return
	}
	r.dist += pt.Length.V
}

// levelTurn is the angle between two level legs in degrees.
func levelTurn(a, b *system.Part) float64 {
	dot := a.Dir[0]*b.Dir[0] + a.Dir[1]*b.Dir[1]
	return math.Acos(math.Max(-1, math.Min(1, dot))) * 180 / math.Pi
}

// tellOverruns says the first breach of each line and that others comply.
func (c *Case) tellOverruns(over []*overrun, looked map[*system.Line]bool, gaps map[*system.Line]*system.Pipe, say func(o *overrun, rest []*overrun)) {
	byLine := map[*system.Line][]*overrun{}
	for _, o := range over {
		byLine[o.pipe.Line] = append(byLine[o.pipe.Line], o)
	}
	for _, l := range c.Sys.Lines {
		switch list, gap := byLine[l], gaps[l]; {
		case len(list) > 0:
			say(list[0], list[1:])
		case gap != nil:
			c.undecided(l.Subject(), gap.Run.Copy, endsLoc(gap.Run), "length of "+gap.Run.Name(), "write the length of each leg")
		case looked[l]:
			c.complies(l.Subject())
		}
	}
}

// spacingOf is the most between cleanouts of a pipe; a sewer may have its own,
// and one too wide for cleanouts has none.
func (c *Case) spacingOf(p *system.Pipe) codebook.Cell {
	if p.Kind() == system.Sewer {
		if most := c.Book.Number("sewer-cleanout-size-most"); most.OK && float64(p.Size()) > most.Value+eps {
			return codebook.Cell{}
		}
		if cell := c.Book.Number("sewer-cleanout-spacing"); cell.OK {
			return cell
		}
	}
	return c.Book.Number("cleanout-spacing")
}

func cleanoutSpacing(c *Case) {
	over, looked, gaps := c.followCleanouts(func(p *system.Pipe, i int, at *reachFrom, _ float64) *overrun {
		limit := c.spacingOf(p)
		if !limit.OK {
			return nil
		}
		c.use(limit)
		if at.dist+p.Parts[i].Length.V <= limit.Metres()+eps {
			return nil
		}
		return &overrun{pipe: p, part: i, limit: limit}
	}, func(o *overrun, at *reachFrom) { o.value = at.dist })
	c.tellOverruns(over, looked, gaps, func(o *overrun, rest []*overrun) {
		r, most := o.pipe.Run, quantity.FormatLength(o.limit.Metres())
		index := o.pipe.Parts[o.part].Index
		j := Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: itemSpan(r, index, index), Basis: "plan", Section: c.use(o.limit),
			Message:  fmt.Sprintf("%s runs %s without a cleanout; %s is the most", r.Subject(), quantity.FormatLength(o.value), most),
			Measured: &Measure{round(o.value/feet, 3), "ft", ""}, Limit: &Measure{o.limit.Value, "ft", "max"},
			Remedy: fmt.Sprintf("divide the leg and write a `cleanout` within %s of the last", most)}
		c.relateOverruns(&j, rest)
		c.say(j)
	})
}

func (c *Case) relateOverruns(j *Judgement, rest []*overrun) {
	for _, o := range rest {
		if len(j.Related) < 6 {
			index := o.pipe.Parts[o.part].Index
			j.Related = append(j.Related, Related{itemSpan(o.pipe.Run, index, index), "and again here"})
		}
	}
}

func turningDrain(c *Case) {
	sum := c.Book.Flag("cleanout-turn-aggregate")
	most, own, within := c.Book.Number("cleanout-turn"), c.Book.Number("sewer-cleanout-turn"), c.Book.Number("cleanout-turns-within")
	if !most.OK {
		return
	}
	const slack = 0.5 // degrees
	over, looked, _ := c.followCleanouts(func(p *system.Pipe, i int, at *reachFrom, turn float64) *overrun {
		limit := most
		if p.Kind() == system.Sewer && own.OK {
			limit = own
		}
		c.use(limit)
		if sum {
			if turn > 0 && at.turns > limit.Value+slack {
				return &overrun{pipe: p, part: i, limit: limit}
			}
			return nil
		}
		if turn <= limit.Value+slack {
			return nil
		}
		c.use(within)
		if within.OK && at.dist <= within.Metres()+eps {
			return nil
		}
		return &overrun{pipe: p, part: i, limit: limit, value: turn, after: at.dist}
	}, func(o *overrun, at *reachFrom) {
		if sum {
			o.value = at.turns
		}
	})
	c.tellOverruns(over, looked, nil, func(o *overrun, rest []*overrun) {
		r := o.pipe.Run
		index := o.pipe.Parts[o.part].Index
		j := Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: itemSpan(r, index, index), Basis: "plan", Section: c.use(o.limit),
			Message:  fmt.Sprintf("%s turns %.0f° in all between cleanouts; %.0f° is the most", r.Subject(), o.value, o.limit.Value),
			Measured: &Measure{round(o.value, 1), "deg", ""}, Limit: &Measure{o.limit.Value, "deg", "max"},
			Remedy: "write a `cleanout` before this leg"}
		if !sum {
			j.Message = fmt.Sprintf("%s turns %.0f° %s behind the last cleanout; one is due at a turn over %.0f°, and serves those within %s",
				r.Subject(), o.value, quantity.FormatLength(o.after), o.limit.Value, quantity.FormatLength(within.Metres()))
		}
		at := system.Loc{File: r.File, Span: grammar.Span{Start: j.Loc.Span.Start, End: j.Loc.Span.Start}}
		j.Fixes = []Fix{{Title: "write a cleanout before this leg", Edits: []Edit{{at, "cleanout, "}}}}
		c.relateOverruns(&j, rest)
		c.say(j)
	})
}
