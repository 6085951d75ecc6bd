package rule

import (
	"fmt"
	"math"
	"strings"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/pressure"
	"crownweir/lint/sizing"
)

func supplyPressure() []Rule {
	return []Rule{
		{Name: "weak-pressure", Family: "Supply", Severity: Correction, Title: "Too little pressure left at an outlet",
			Why:      "A shower that starves scalds when a closet fills; a flushometer that starves does not close.",
			Computed: "From the source's pressure what the height, the meter, each device, the pipe and its fittings take at peak demand is taken off, along every way; what is left is compared with what the outlet needs. Between the usual losses of a device that names none, the shortage must hold at the lowest. Where the supply table governs and is kept, a shortage by friction alone is a caution.",
			Needs:    []string{"static pressure", "meter", "legs", "size", "material"}, Judge: weakPressure},
		{Name: "long-hot-wait", Family: "Supply", Severity: Advice, Title: "Hot water that is long in coming",
			Why:      "Cooled water is run to waste until the hot arrives, and lukewarm pipe is where legionella grows.",
			Computed: "The water in the hot pipe between the heater, or the loop that is kept hot, and the outlet is divided by the outlet's flow. Where the book limits the length of that pipe it is a caution.",
			Needs:    []string{"legs", "size", "material"}, Judge: longHotWait},
		{Name: "dead-leg", Family: "Supply", Severity: Advice, Title: "Pipe in which water stands",
			Why:      "Water that never moves loses its chlorine and breeds what it should not.",
			Computed: "A supply pipe that ends at nothing is measured from where the last water leaves it.",
			Needs:    []string{"legs"}, Judge: deadLeg},
	}
}

func psiOf(pascal float64) float64 { return pascal / pascals }

func psiText(pascal float64) string { return sizing.Trim(round(psiOf(pascal), 1)) }

func weakPressure(c *Case) {
	if !c.Sys.Header.Water {
		return
	}
	a := c.Pressure()
	c.noPressure(a)
	short := c.tableShort()
	told := map[string]bool{}
	worst := map[*system.Point]*side{}
	var order []*side
	for i := range a.Outlets {
		o := &a.Outlets[i]
		if p, ok := pressureOf(o.Source); o.Point.Existing || !o.NeedKnown || ok && p <= 0 {
			continue // a source that gives nothing is told itself
		}
		j := c.leftAt(a, o, short)
		switch old := worst[o.Point]; {
		case j == nil:
		case old == nil:
			worst[o.Point] = &side{o, j}
			order = append(order, worst[o.Point])
		case old.better(o, j):
			*old = side{o, j}
		}
	}
	for _, s := range order {
		if j := s.j; j.Answer == Undecided && !j.Asked {
			if told[j.Missing] {
				continue // one line of what is missing answers for all
			}
			told[j.Missing] = true
		}
		c.say(*s.j)
	}
}

// side is the cold or the hot of a fixture, as it was judged.
type side struct {
	o *pressure.Outlet
	j *Judgement
}

// better tells whether a fixture's other side is the one to speak of: a breach
// before what is undecided before what complies, of two breaches the deeper.
func (s *side) better(o *pressure.Outlet, j *Judgement) bool {
	if s.j.Answer == Breaks || j.Answer == Breaks {
		return j.Answer == Breaks && (s.j.Answer != Breaks || o.Left.Most < s.o.Left.Most)
	}
	return j.Answer == Undecided && s.j.Answer == Complies
}

// noPressure tells of sources that give none.
func (c *Case) noPressure(a *pressure.Analysis) {
	for _, src := range c.Water().Sources {
		p, ok := pressureOf(src)
		if !ok || p > 0 {
			continue
		}
		loc, basis := attrLoc(src, "pressure")
		c.say(Judgement{Answer: Breaks, Subject: src.Name, Copy: src.Copy, Loc: loc, Basis: basis,
			Message:  fmt.Sprintf("%s gives %s psi; a source has more than none", src.Name, sizing.Trim(p)),
			Measured: &Measure{round(p, 2), "psi", ""}, Limit: &Measure{0, "psi", "min"}, Remedy: "write the static pressure as measured, as `62psi`"})
	}
}

// tableShort tells the pipes that the supply table finds too small.
func (c *Case) tableShort() map[*system.Pipe]bool {
	w := c.Water()
	short := map[*system.Pipe]bool{}
	if w.Looped || !w.TableGoverns() {
		return short
	}
	own := c.ownSupplies()
	for _, p := range c.Sys.Pipes {
		way, ok := w.ByTable(w.SourceOf(p.From))
		if !ok || !p.Kind().Water() || own[p] || !w.Feeds(p) {
			continue
		}
		if units, _, ok := w.Allowed(way, p.Size()); ok && w.Of(p).Units > units+eps {
			short[p] = true
		}
	}
	return short
}

// leftAt judges one outlet; nil where the table's finding stands for it, or
// where the table governs and the reckoning beside it waits for a fact.
func (c *Case) leftAt(a *pressure.Analysis, o *pressure.Outlet, short map[*system.Pipe]bool) *Judgement {
	f := o.Point
	_, table := c.Water().ByTable(o.Source)
	table = table && !c.Water().Looped
	c.use(o.Cell)
	j := &Judgement{Subject: f.Name, Copy: f.Copy, Loc: f.Loc, Section: c.use(o.Cell)}
	atRest := o.ShortAtRest()
	switch {
	case o.Short():
		if table && !atRest {
			for _, l := range a.Way(o) {
				if short[l.Pipe] {
					return nil
				}
			}
			j.Severity = Caution
		}
		c.tooWeak(a, o, j, atRest, table)
		return j
	case o.Enough():
		j.Answer = Complies
		return j
	case table:
		return nil
	}
	j.Answer = Undecided
	if o.Missing.Missing() {
		if o.Missing.Solve {
			return nil
		}
		j.Missing, j.Write, j.Asked = o.Missing.What, o.Missing.Write, o.Missing.Asked
		switch {
		case o.Missing.Run != nil:
			j.Loc, j.Copy = endsLoc(o.Missing.Run), o.Missing.Run.Copy
		case o.Missing.Point != nil:
			j.Loc, j.Copy = o.Missing.Point.Loc, o.Missing.Point.Copy
		}
		return j
	}
	for _, l := range a.Way(o) {
		for _, d := range l.Devices {
			if d.Assumed {
				r := l.Pipe.Run
				j.Loc, j.Copy = endsLoc(r), r.Copy
				j.Missing = fmt.Sprintf("loss of the %s in %s, usually %s to %s psi", d.Name, r.Subject(), psiText(d.Loss.Least), psiText(d.Loss.Most))
				j.Write = "write it next after the device, as `loss 5psi`"
				return j
			}
		}
	}
	return nil
}

// tooWeak words a shortage: the whole budget, and what would mend it.
func (c *Case) tooWeak(a *pressure.Analysis, o *pressure.Outlet, j *Judgement, atRest, table bool) {
	f := o.Point
	sideWord := "cold"
	if o.Hot {
		sideWord = "hot"
	}
	left := psiText(o.Left.Most) + " psi is left"
	switch {
	case o.Left.Most < 0:
		left = "no pressure is left"
	case psiText(o.Left.Most) == psiText(o.Need):
		left = "just under " + left
	}
	static, _ := pressureOf(o.Source)
	b := a.Budget(o)
	j.Answer = Breaks
	j.Message = fmt.Sprintf("%s at %s, %s; %s asks %s: %s psi at %s%s", left, f.Name, sideWord, article(f.Fixture.Title), psiText(o.Need), sizing.Trim(round(static, 1)), o.Source.Name, budgetText(b))
	j.Measured, j.Limit = &Measure{round(psiOf(o.Left.Most), 2), "psi", ""}, &Measure{round(psiOf(o.Need), 2), "psi", "min"}
	worst := b.Worst
	switch {
	case atRest && b.Regulator != nil && b.Held < b.Free:
		j.Note = "without any flow it has " + psiText(o.Static)
		j.Remedy = fmt.Sprintf("set the regulator in %s higher, or raise the pressure behind it by a pump", b.Regulator.Run.Subject())
	case atRest:
		j.Note = "without any flow it has " + psiText(o.Static)
		j.Remedy = "raise the pressure by a booster pump: no pipe is large enough"
	case o.Need-o.Left.Most >= b.Friction:
		j.Remedy = fmt.Sprintf("raise the pressure, or take devices that lose less: the pipe takes no more than %s psi of it", psiText(b.Friction))
	case worst != nil && worst.Friction > 0:
		size := ""
		if s := worst.Pipe.Size(); s > 0 {
			size = ", " + quantity.FormatSize(s)
		}
		j.Remedy = fmt.Sprintf("enlarge %s%s, which takes %s psi at %s gpm; `crownweir size` finds the least sizes", worst.Pipe.Run.Subject(), size, psiText(worst.Friction), sizing.Trim(round(worst.Flow.Q/gpm, 1)))
		j.Related = append(j.Related, Related{sizeLoc(worst.Pipe.Run), "takes the most on the way"})
	default:
		j.Remedy = "raise the pressure, or take devices that lose less"
	}
	if table {
		j.Note = strings.TrimPrefix(j.Note+"; the supply table allows these sizes", "; ")
	}
	for _, l := range b.Fast(c.Water()) {
		if !c.Water().TableGoverns() {
			j.Because = append(j.Because, [2]string{"fast-water", l.Pipe.Run.Subject()})
		}
	}
}

// budgetText is what the way takes, in words.
func budgetText(b pressure.Budget) string {
	var s strings.Builder
	switch {
	case b.Regulator != nil && b.Held < b.Free:
		fmt.Fprintf(&s, ", held to %s by the regulator in %s", psiText(b.Held), b.Regulator.Run.Subject())
	}
	part := func(v float64, what string) {
		if math.Abs(psiOf(v)) >= 0.05 {
			fmt.Fprintf(&s, ", less %s %s", psiText(v), what)
		}
	}
	switch {
	case b.Height < 0 && psiOf(-b.Height) >= 0.05:
		fmt.Fprintf(&s, ", and %s for %s of fall", psiText(-b.Height), quantity.FormatLength(-b.Rise))
	default:
		part(b.Height, "for "+quantity.FormatLength(b.Rise)+" of height")
	}
	for _, d := range b.Devices {
		what := "in the " + d.Name
		if size, ok := strings.CutPrefix(d.Name, "meter "); ok {
			what = "in the " + size + " meter"
		}
		if d.Name == "loss" {
			what = "of written loss"
		}
		part(d.Loss.Least, what)
	}
	part(b.Friction, fmt.Sprintf("in %.0f ft of pipe and %.0f ft of fittings", b.Length/feet, b.Fittings/feet))
	return s.String()
}

// deadLeg finds supply pipes that end at nothing.
func deadLeg(c *Case) {
	if !c.Sys.Header.Water {
		return
	}
	most := c.Book.Number("dead-leg-length")
	if !most.OK {
		return
	}
	w := c.Water()
	for _, n := range c.Sys.Nodes {
		if len(n.WaterIn) != 1 || len(n.WaterOut) > 0 || !onlyJunctions(n) {
			continue
		}
		length, last := 0.0, n.WaterIn[0]
		first, whole := last, true
		for p := last; p != nil; p = w.Parent(p.From) {
			l, all := p.Length()
			length, whole, first = length+l, whole && all, p
			if len(p.From.WaterOut) > 1 || p.From.Find(system.Heater) != nil || p.From.Find(system.Manifold) != nil {
				break
			}
		}
		r := first.Run
		if r.Existing || last.Kind() == system.Return || w.SourceOf(first.From) == nil {
			continue
		}
		c.use(most)
		if length <= most.Metres()+eps {
			if !whole {
				c.undecided(r.Subject(), r.Copy, endsLoc(r), "length of "+r.Name(), "write the length of each leg")
				continue
			}
			c.complies(r.Subject())
			continue
		}
		c.say(Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: endsLoc(r), Section: c.use(most),
			Message:  fmt.Sprintf("%s ends at %s, where nothing draws: water stands in %s of pipe", r.Subject(), n.Name(), quantity.FormatLength(length)),
			Measured: &Measure{round(length/feet, 2), "ft", ""}, Limit: &Measure{most.Value, "ft", "max"},
			Remedy: fmt.Sprintf("cut it back to %s, or let it serve an outlet", quantity.FormatLength(most.Metres()))})
	}
}

func onlyJunctions(n *system.Node) bool {
	for _, p := range n.Points {
		if p.Kind != system.Junction {
			return false
		}
	}
	return true
}
