package answer

import (
	"slices"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lint"
	"crownweir/lint/fit"
	"crownweir/lint/rule"
)

// facts is what was worked out about a plan, found by the places it belongs
// to. It is made under the plan's lock, once.
type facts struct {
	runs   map[place][]*system.Run
	points map[place][]*system.Point
	copies map[string][]*system.Copy // by typical

	asks      map[*system.Run][]rule.PipeAsk
	fitted    map[place]*fit.Result // runs that were sized by trying
	stretches map[*system.Run][]rule.DrainStretch
	vents     map[*system.Run]rule.VentSize
	open      map[*system.Pipe]bool
	ways      map[*system.Run]rule.VentWay
	turns     map[*system.Run]rule.VentTurn

	// of completion, by what the check knew
	candidates map[string][]candidate
	ranked     map[ranking][]ranked
	declared   map[scoped][]symbol
	taken      map[symbol]int    // up to which number the names of a stem are taken
	materials  map[string]int    // how many runs are of one
	trunk      string            // the point that most waste passes
	feeds      map[string]string // … and the first that water passes, by system
	sinks      []string          // … and the first that take indirect wastes; nil before they are looked for

	// subjects holds the findings by the full names of what they speak of.
	subjects map[string][]int
	byFile   map[string][]int
}

// lock takes the plan's lock and hands out its facts; unlock gives it back.
// Nothing is known of a plan that was not judged: c is nil then.
func (p *Plan) lock() (k *facts, c *rule.Case, unlock func()) {
	judged, of := p, p // whose case is read, and whose facts are
	if p.earlier != nil {
		judged = p.earlier
	}
	if p.pages != nil {
		of = p.earlier
	}
	of.file("")
	judged.mu.Lock()
	if p.Report != nil {
		c = p.Report.Case
	}
	if of.known == nil {
		of.known = of.gather()
	}
	return of.known, c, judged.mu.Unlock
}

func (p *Plan) gather() *facts {
	k := &facts{runs: map[place][]*system.Run{}, points: map[place][]*system.Point{}, copies: map[string][]*system.Copy{},
		subjects: map[string][]int{}, byFile: map[string][]int{},
		candidates: map[string][]candidate{}, ranked: map[ranking][]ranked{}, declared: map[scoped][]symbol{}, taken: map[symbol]int{}, feeds: map[string]string{}}
	if s := p.system(); s != nil {
		for _, r := range s.Runs {
			at := place{r.File, r.Stmt.Pos().Start}
			k.runs[at] = append(k.runs[at], r)
		}
		for _, pt := range s.Points {
			if pt.Decl != nil {
				at := place{pt.File, pt.Decl.Pos().Start}
				k.points[at] = append(k.points[at], pt)
			}
		}
		for _, cp := range s.Copies {
			k.copies[cp.Typical] = append(k.copies[cp.Typical], cp)
		}
	}
	if p.Report != nil {
		for i := range p.Report.Findings {
			f := &p.Report.Findings[i]
			k.byFile[f.File] = append(k.byFile[f.File], i)
			names := f.Copies
			if len(names) == 0 {
				names = []string{f.Subject}
			}
			for _, n := range names {
				k.subjects[n] = append(k.subjects[n], i)
			}
		}
	}
	return k
}

// stretchesOf are the stretches of a run of waste, as the rules judged them.
func (k *facts) stretchesOf(c *rule.Case, r *system.Run) []rule.DrainStretch {
	if k.stretches == nil {
		k.stretches = map[*system.Run][]rule.DrainStretch{}
		for _, s := range c.DrainStretches() {
			k.stretches[s.Pipe.Run] = append(k.stretches[s.Pipe.Run], s)
		}
	}
	return k.stretches[r]
}

// ventOf is what a vent serves and the size that this asks, of its pipes the
// one that serves most.
func (k *facts) ventOf(c *rule.Case, r *system.Run) (rule.VentSize, bool) {
	if k.vents == nil {
		k.vents = map[*system.Run]rule.VentSize{}
		for _, v := range c.VentSizes() {
			old, seen := k.vents[v.Pipe.Run]
			if !seen || v.Need > old.Need || v.Need == old.Need && v.Load.Units > old.Load.Units {
				k.vents[v.Pipe.Run] = v
			}
		}
	}
	v, ok := k.vents[r]
	return v, ok
}

// openVents are the vents that serve a trap whose load is not known.
func (k *facts) openVents(c *rule.Case) map[*system.Pipe]bool {
	if k.open == nil {
		k.open = map[*system.Pipe]bool{}
		for _, arm := range c.Vents.Arms {
			if arm.Chosen == nil || arm.Chosen.Vent == nil {
				continue
			}
			for _, f := range arm.Trap.Fixtures {
				if c.Ledger.Received(f).Load.Unknown > 0 {
					for _, p := range append(c.Vents.Way(arm.Chosen.Vent), arm.Chosen.Vent) {
						k.open[p] = true
					}
				}
			}
		}
	}
	return k.open
}

// openRun tells whether a run of vent serves a trap whose load is not known.
func (k *facts) openRun(c *rule.Case, r *system.Run) bool {
	return slices.ContainsFunc(r.Pipes, func(p *system.Pipe) bool { return k.openVents(c)[p] })
}

// wayOf is the longest way to the air that begins to be of its size in a run.
func (k *facts) wayOf(c *rule.Case, r *system.Run) (rule.VentWay, bool) {
	if k.ways == nil {
		k.ways = map[*system.Run]rule.VentWay{}
		for _, w := range c.VentWays() {
			if old, seen := k.ways[w.First.Run]; !seen || w.Length > old.Length {
				k.ways[w.First.Run] = w
			}
		}
	}
	w, ok := k.ways[r]
	return w, ok
}

// turnOf is the first turn of a vent that protects a trap.
func (k *facts) turnOf(c *rule.Case, r *system.Run) (rule.VentTurn, bool) {
	if k.turns == nil {
		k.turns = map[*system.Run]rule.VentTurn{}
		for _, v := range c.VentTurns() {
			if _, seen := k.turns[v.Pipe.Run]; !seen {
				k.turns[v.Pipe.Run] = v
			}
		}
	}
	t, ok := k.turns[r]
	return t, ok
}

// runsOf lists the runs that a statement makes, in all its copies.
func (k *facts) runsOf(s placed) []*system.Run {
	if s.file.stale {
		return nil
	}
	return k.runs[s.place()]
}

// pointsOf lists the points that a statement makes, in all its copies.
func (k *facts) pointsOf(s placed) []*system.Point {
	if s.file.stale {
		return nil
	}
	return k.points[s.place()]
}

// pointsNamed lists what a name stands for in the plan: one point, or one in
// every copy of the typical it is written in.
func (p *Plan) pointsNamed(k *facts, pt part) []*system.Point {
	s := p.system()
	if s == nil {
		return nil
	}
	var out []*system.Point
	for _, prefix := range k.prefixes(pt.base) {
		if q := s.Point(prefix + pt.path); q != nil {
			out = append(out, q)
		}
	}
	return out
}

// prefixes is what names written in a typical begin with, copy by copy; ""
// alone outside typicals.
func (k *facts) prefixes(typical string) []string {
	if typical == "" {
		return []string{""}
	}
	var out []string
	for _, c := range k.copies[typical] {
		out = append(out, c.Prefix())
	}
	return out
}

// findings lists what is found of the named subjects and at a place, in the
// report's order.
func (p *Plan) findings(k *facts, at system.Loc, subjects ...string) []*lint.Finding {
	if p.Report == nil {
		return nil
	}
	var list []int
	for _, s := range subjects {
		list = append(list, k.subjects[s]...)
	}
	if at.File != "" {
		for _, i := range k.byFile[at.File] {
			if f := &p.Report.Findings[i]; overlap(findingSpan(f), at.Span) {
				list = append(list, i)
			}
		}
	}
	slices.Sort(list)
	var out []*lint.Finding
	for _, i := range slices.Compact(list) {
		out = append(out, &p.Report.Findings[i])
	}
	return out
}

// ofRules keeps the findings of families of rules.
func ofFamilies(list []*lint.Finding, families ...string) []*lint.Finding {
	var out []*lint.Finding
	for _, f := range list {
		if slices.Contains(families, catalogue()[f.Rule].Family) {
			out = append(out, f)
		}
	}
	return out
}

// runSubjects is how findings may name a run.
func runSubjects(r *system.Run) []string {
	out := []string{r.Subject()}
	if r.Tag != "" {
		out = append(out, r.Name())
	}
	for _, pp := range r.Pipes {
		if pp.Line != nil {
			if s := pp.Line.Subject(); !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

// ends names a run by its ends, as they are written in a copy.
func ends(r *system.Run, c *system.Copy) string {
	return strings.TrimPrefix(r.From, c.Prefix()) + " to " + strings.TrimPrefix(r.To, c.Prefix())
}

func findingSpan(f *lint.Finding) grammar.Span {
	return grammar.Span{Start: f.StartByte, End: f.EndByte}
}
