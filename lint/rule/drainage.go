package rule

import (
	"fmt"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/sizing"
)

const eps = 1e-6

func drainage() []Rule {
	return []Rule{
		{Name: "undersized-drain", Family: "Drainage", Severity: Correction, Title: "Drain too small for its load",
			Why:      "A drain that carries more fixture units than its size allows runs full, siphons traps on its way and backs up into the lowest fixture.",
			Computed: "The fixture units upstream are added up; each level and upright stretch is compared with the table for its posture, fall and part in the system. The trap arm is left out.",
			Needs:    []string{"size", "legs", "fixture kinds"}, Judge: undersizedDrain},
		{Name: "shrinking-drain", Family: "Drainage", Severity: Correction, Title: "Drain smaller in the direction of flow",
			Why:      "Whatever passes the larger pipe must pass the next. A reduction catches solids and paper.",
			Computed: "At every point the drain that leaves is compared with those that arrive.",
			Needs:    []string{"size"}, Judge: shrinkingDrain},
		{Name: "crowded-closets", Family: "Drainage", Severity: Correction, Title: "Too many closets on a 3 in drain",
			Why:      "Closets discharge in a surge. Several on a 3 in pipe fill its bore and pull the seals of the traps beside them, even where the units would fit.",
			Computed: "Closets and six-unit traps upstream are counted and compared with the limit for a level or an upright 3 in pipe.",
			Needs:    []string{"size", "fixture kinds"}, Judge: crowdedClosets},
		{Name: "small-closet-drain", Family: "Drainage", Severity: Correction, Title: "Closet on a drain that is too small",
			Why:      "A closet's waste does not pass a small pipe reliably; it stops up where nobody can reach it.",
			Computed: "Every pipe downstream of a closet, its arm included, is compared with the least size for closets.",
			Needs:    []string{"size", "fixture kinds"}, Judge: smallClosetDrain},
		{Name: "small-sink-branch", Family: "Drainage", Severity: Correction, Title: "Sink on a branch that is too small",
			Why:      "Grease and soap narrow a sink's drain from the first day. Beyond the trap arm the code asks a larger pipe for sinks, dishwashers and urinals.",
			Computed: "Beyond the trap arm, every pipe that serves a kind on the book's list is compared with that kind's least branch.",
			Needs:    []string{"size", "fixture kinds"}, Judge: smallSinkBranch},
		{Name: "flat-drain", Family: "Drainage", Severity: Correction, Title: "Drain with too little fall",
			Why:      "Below its least fall a drain runs too slowly to carry solids along; they settle until it stops up.",
			Computed: "The fall of each level leg, as written, found or worked out, is compared with the least for its size.",
			Needs:    []string{"fall"}, Judge: flatDrain},
	}
}

// stretches are the legs of a pipe beyond any trap arm, by posture. The list is
// shared: whoever changes it takes a copy.
func (c *Case) stretches(p *system.Pipe) []stretch { return c.stretched()[p.ID] }

func (c *Case) findStretches() [][]stretch {
	out := make([][]stretch, len(c.Sys.Pipes))
	all := make([]stretch, 0, len(c.Sys.Pipes))
	for _, p := range c.Sys.Pipes {
		if p.Kind().Sanitary() {
			from := len(all)
			all = c.addStretches(all, p)
			out[p.ID] = all[from:len(all):len(all)]
		}
	}
	return out
}

func (c *Case) addStretches(out []stretch, p *system.Pipe) []stretch {
	level, upright := -1, -1
	for i := range p.Parts {
		pt := &p.Parts[i]
		if !pt.IsLeg() || c.inArm(p, i) {
			continue
		}
		s := &upright
		if pt.Posture == system.LevelLeg {
			s = &level
		}
		if *s < 0 {
			*s = len(out)
			out = append(out, stretch{pipe: p, first: pt.Index, way: c.Ledger.WayOf(p, pt)})
		}
		st := &out[*s]
		st.last = pt.Index
		if pt.Posture == system.LevelLeg && pt.Fall.Known() && (!st.way.Fall.Known() || pt.Fall.V < st.way.Fall.V) {
			st.way.Fall = pt.Fall
		}
	}
	return out
}

type stretch struct {
	pipe        *system.Pipe
	first, last int // items of the run
	way         sizing.Way
}

func (s stretch) loc() system.Loc {
	if s.first == s.last {
		return itemSpan(s.pipe.Run, s.first, s.last)
	}
	return sizeLoc(s.pipe.Run)
}

// verdict of one pipe against its capacity.
type breach struct {
	pipe     *system.Pipe
	load     sizing.Load
	cap      sizing.Capacity
	way      sizing.Way
	st       stretch
	over     float64
	required quantity.Size
}

// perLine judges every line of drains once: the first run that breaks, with
// the worst value, the others related.
func (c *Case) perLine(judge func(p *system.Pipe) (found []breach, looked bool, undecided *Judgement), report func(l *system.Line, first breach, worst breach, rest []breach)) {
	for _, l := range c.Sys.Lines {
		if len(l.Pipes) == 0 || !l.Runs[0].Kind.Sanitary() {
			continue
		}
		var all []breach
		looked := false
		var wait *Judgement
		for _, p := range l.Pipes {
			b, ok, u := judge(p)
			looked = looked || ok
			all = append(all, b...)
			if u != nil && wait == nil {
				wait = u
			}
		}
		switch {
		case len(all) > 0:
			worst := all[0]
			for _, b := range all {
				if b.over > worst.over+eps {
					worst = b
				}
			}
			report(l, all[0], worst, all[1:])
		case wait != nil:
			c.say(*wait)
		case looked:
			c.complies(l.Subject())
		}
	}
}

func undersizedDrain(c *Case) {
	asks := c.sinkAsks()
	c.perLine(func(p *system.Pipe) ([]breach, bool, *Judgement) {
		load := c.Ledger.Of(p)
		if load.Fixtures == 0 && load.Units == 0 && load.Unknown == 0 {
			return nil, false, nil
		}
		if p.Size() == 0 {
			return nil, false, &Judgement{Answer: Undecided, Subject: p.Run.Subject(), Copy: p.Run.Copy, Loc: endsLoc(p.Run), Missing: "size of " + p.Run.Subject(), Write: "write its nominal size"}
		}
		sts := c.stretches(p)
		if len(sts) == 0 && p.FirstLeg() == nil {
			return c.blindDrain(p, load)
		}
		var out []breach
		told := false
		for _, st := range sts {
			capa := c.Ledger.Capacity(p.Size(), st.way)
			c.use(capa.Cell, capa.Factor)
			if !capa.OK || load.Units <= capa.Units+eps {
				continue
			}
			if c.toldBySink(asks[p.From.ID], st, load) {
				told = true
				continue
			}
			out = append(out, breach{p, load, capa, st.way, st, load.Units - capa.Units, 0})
		}
		if len(out) == 0 && load.Unknown > 0 {
			f := c.unknownLoad(p)
			return nil, true, &Judgement{Answer: Undecided, Subject: p.Run.Subject(), Copy: p.Run.Copy, Loc: f.Loc, Missing: "load of " + f.Name, Write: "write `units N` on it"}
		}
		return out, len(sts) > 0 && !told, nil
	}, func(l *system.Line, first, worst breach, rest []breach) {
		c.reportSize(first, worst, rest)
	})
	c.intervalLoads()
	c.existingLoad()
	c.washerBranches()
}

// blindDrain judges a run whose legs are not written: only where both postures
// agree.
func (c *Case) blindDrain(p *system.Pipe, load sizing.Load) ([]breach, bool, *Judgement) {
	up := c.Ledger.Capacity(p.Size(), sizing.Way{Posture: system.Upright})
	lv := c.Ledger.Capacity(p.Size(), sizing.Way{Posture: system.LevelLeg, Drain: true})
	switch {
	case up.OK && lv.OK && load.Units > max64(up.Units, lv.Units)+eps:
		best, w := up, sizing.Way{Posture: system.Upright}
		if lv.Units > up.Units {
			best, w = lv, sizing.Way{Posture: system.LevelLeg}
		}
		return []breach{{p, load, best, w, stretch{pipe: p, first: -1}, load.Units - best.Units, 0}}, true, nil
	case up.Carries(load) && lv.Carries(load):
		return nil, true, nil
	}
	return nil, false, &Judgement{Answer: Undecided, Subject: p.Run.Subject(), Copy: p.Run.Copy, Loc: endsLoc(p.Run), Missing: "legs of " + p.Run.Name(), Write: "write its legs, as `east 6'`"}
}

// unknownLoad is a fixture upstream whose load is not known.
func (c *Case) unknownLoad(p *system.Pipe) *system.Point {
	for _, f := range c.Vents.Upstream(p, 1000) {
		if c.Ledger.Fixture(f).Load.Unknown > 0 {
			return f
		}
	}
	for _, f := range c.Sys.Points {
		if f.Kind == system.ExistingDrain || f.Kind == system.ExistingStack || f.Kind == system.Ejector {
			return f
		}
	}
	return p.From.Points[0]
}

func (c *Case) reportSize(first, worst breach, rest []breach) {
	r := c.newWork(first.pipe)
	if r == nil {
		c.complies(first.pipe.Run.Subject())
		return
	}
	size := quantity.FormatSize(worst.pipe.Size())
	j := Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: first.st.loc(), Basis: basisOf(first.pipe.Run, "size"),
		Message:  fmt.Sprintf("%s %s carries %s units; %s allows %s", worst.way.Lies(), r.Subject(), sizing.Trim(worst.load.Units), size, sizing.Trim(worst.cap.Units)),
		Measured: &Measure{worst.load.Units, "units", ""}, Limit: &Measure{worst.cap.Units, "units", "max"},
		Section: c.use(worst.cap.Cell, worst.cap.Factor), Note: c.loadStory(worst.pipe)}
	if first.pipe.Run != r {
		j.Loc = sizeLoc(r)
		j.Message = fmt.Sprintf("%s brings %s, an existing %s %s, to %s units; it may carry %s", r.Subject(), first.pipe.Run.Subject(), size, worst.way.Lies(), sizing.Trim(worst.load.Units), sizing.Trim(worst.cap.Units))
	}
	if worst.cap.Factor.OK {
		j.Message += fmt.Sprintf(" at %s", quantity.FormatGrade(worst.way.Fall.V))
	}
	need, ok := c.Ledger.Required(worst.load, worst.way)
	if ok {
		j.Remedy = fmt.Sprintf("make it %s, or take load off it", quantity.FormatSize(need))
		if worst.pipe.Run == r {
			j.Fixes = c.carry(first, rest)
		}
	} else {
		j.Remedy = "divide the load between two drains"
	}
	for _, b := range rest {
		if b.pipe.Run != first.pipe.Run && len(j.Related) < 6 {
			j.Related = append(j.Related, Related{b.st.loc(), fmt.Sprintf("%s carries %s units", b.pipe.Run.Name(), sizing.Trim(b.load.Units))})
		}
	}
	c.say(j)
}

// newWork is the run a fault of a pipe is reported at: its own, or for existing
// work the first new run that discharges into it; nil where none does.
func (c *Case) newWork(p *system.Pipe) *system.Run {
	if !p.Run.Existing {
		return p.Run
	}
	seen := map[*system.Node]bool{}
	queue := []*system.Node{p.From}
	for len(queue) > 0 && len(seen) < 5000 {
		n := queue[0]
		queue = queue[1:]
		if seen[n] {
			continue
		}
		seen[n] = true
		for _, q := range n.DrainIn {
			if !q.Run.Existing {
				return q.Run
			}
			queue = append(queue, q.From)
		}
	}
	return nil
}

// loadStory tells which fixtures load a pipe, for the line under the marker.
func (c *Case) loadStory(p *system.Pipe) string {
	shares := c.Ledger.Contributors(p, 40)
	if len(shares) == 0 {
		return ""
	}
	s := "from "
	for i, sh := range shares {
		if i == 6 && len(shares) > 7 {
			return s + fmt.Sprintf(" and %d more", c.Ledger.Of(p).Fixtures-6)
		}
		if i > 0 {
			s += ", "
		}
		s += fmt.Sprintf("%s %s", sh.Point.Name, sizing.Trim(sh.Load.Units))
	}
	return s
}

func shrinkingDrain(c *Case) {
	told := map[*system.Line]bool{}
	for _, n := range c.Sys.Nodes {
		for _, out := range n.DrainOut {
			if !out.Kind().Sanitary() {
				continue
			}
			if out.Size() == 0 || out.Run.Existing || told[out.Line] {
				continue
			}
			looked := false
			for _, in := range n.DrainIn {
				if !in.Kind().Sanitary() || in.Size() == 0 {
					continue
				}
				looked = true
				if float64(in.Size()) <= float64(out.Size())+eps {
					continue
				}
				told[out.Line] = true
				r := out.Run
				c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Basis: basisOf(r, "size"),
					Message:  fmt.Sprintf("%s is %s; the %s of %s flows into it at %s", r.Subject(), quantity.FormatSize(out.Size()), quantity.FormatSize(in.Size()), in.Run.Subject(), n.Name()),
					Measured: &Measure{float64(out.Size()), "in", ""}, Limit: &Measure{float64(in.Size()), "in", "min"},
					Remedy:  fmt.Sprintf("make %s %s", r.Subject(), quantity.FormatSize(in.Size())),
					Fixes:   widen(out.Line, drainsInto),
					Related: []Related{{sizeLoc(in.Run), fmt.Sprintf("%s is %s", in.Run.Subject(), quantity.FormatSize(in.Size()))}}})
				break
			}
			if looked && !told[out.Line] {
				c.complies(out.Run.Subject())
			}
		}
	}
}
