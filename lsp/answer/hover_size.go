package answer

import (
	"fmt"
	"math"

	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/rule"
	"crownweir/lint/sizing"
)

// size tells what a pipe of that size carries and may carry; a trap's size
// tells the trap.
func (h *hover) size(s placed, pt part) {
	switch {
	case pt.attr == nil:
		h.pipe(s)
	case pt.item != nil && pt.item.Word.Text == "trap":
		h.trap(s, pt)
	case pt.item != nil && pt.item.Word.Text == "meter":
		h.item(s, pt)
	default:
		h.out.para("**%s** = %s mm nominal", sizeText(pt), metricName(pt.qty))
		if say := meaningOfAttr(pt.attr.Key); say != "" {
			h.out.line("`%s`: %s", pt.attr.Key, say)
		}
	}
}

func sizeText(pt part) string {
	if size, ok := pt.qty.Size(); ok {
		return quantity.FormatSize(size)
	}
	return pt.text
}

// metricName is the metric name of a nominal size, as 50 for 2".
func metricName(v quantity.Value) string {
	size, ok := v.Size()
	if !ok {
		return "?"
	}
	for _, dn := range []string{"15", "20", "25", "32", "40", "50", "65", "75", "80", "100", "125", "150", "200", "250", "300", "375"} {
		if s, ok := quantity.ParseSize(dn + "mm"); ok && s == size {
			return dn
		}
	}
	return number(size.Inches()*25.4, 0)
}

// pipe tells of the run that a statement makes; of several copies, the one
// with the largest load.
func (h *hover) pipe(s placed) {
	runs := h.facts.runsOf(s)
	if len(runs) == 0 {
		return
	}
	r := h.heaviest(runs)
	title := fmt.Sprintf("**%s %s**, %s", r.Kind, r.Subject(), sizeOf(r))
	if r.Material != "" {
		if r.Size == 0 {
			title += ","
		}
		title += " " + r.Material
		if r.MatOf == system.Default {
			title += " by default"
		}
	}
	if r.Existing {
		title += ", existing"
	}
	h.out.para("%s", title)
	if len(runs) > 1 {
		h.out.line("one of %s; told for the one that carries most", plural(len(runs), "run", "runs"))
	}
	if h.c != nil {
		switch {
		case r.Kind.Water():
			h.water(r)
		case r.Kind == system.Vent:
			h.vent(r)
		default:
			h.drain(r)
		}
	}
	var subjects []string
	for _, run := range runs {
		subjects = append(subjects, runSubjects(run)...)
	}
	h.tell(h.findings(h.facts, system.Loc{}, subjects...))
}

func sizeOf(r *system.Run) string {
	switch {
	case r.Solve:
		return "size to be worked out"
	case r.SizeOf == system.Found:
		return sized(r.Size) + " as found on site"
	}
	return sized(r.Size)
}

// heaviest is the run with the largest load; the first where nothing is known.
func (h *hover) heaviest(runs []*system.Run) *system.Run {
	best, most := runs[0], math.Inf(-1)
	if h.c == nil {
		return best
	}
	for _, r := range runs {
		for _, p := range r.Pipes {
			units := 0.0
			switch {
			case r.Kind.Water():
				units = h.c.Water().Of(p).Units
			case r.Kind == system.Vent:
				units = h.c.Vents.Load(p).Units
			default:
				units = h.c.Ledger.Of(p).Units
			}
			if units > most {
				best, most = r, units
			}
		}
	}
	return best
}

// drain tells the load of a drain by fixture, and for each way it lies what it
// may carry and what the next size would.
func (h *hover) drain(r *system.Run) {
	c := h.c
	h.limits = true
	last := r.Pipes[len(r.Pipes)-1]
	load := c.Ledger.Of(last)
	h.out.para("carries %s", loadWords(load))
	if list := h.shares(last, load); list != "" {
		h.out.line("%s", list)
	}
	for _, st := range worstStretches(h.facts.stretchesOf(h.c, r)) {
		h.stretch(st)
	}
}

// shares lists the fixtures that load a pipe.
func (h *hover) shares(p *system.Pipe, load sizing.Load) string {
	var names []string
	for _, s := range h.c.Ledger.Contributors(p, 7) {
		units := sizing.Trim(s.Load.Units)
		if s.Load.Unknown > 0 {
			units = "?"
		}
		names = append(names, s.Point.Name+" "+units)
	}
	if len(names) == 0 {
		return ""
	}
	if more := load.Fixtures - len(names); more > 0 {
		return fmt.Sprintf("from %s and %d more", join(names), more)
	}
	return "from " + join(names)
}

// worstStretches keeps, of the stretches that lie alike, the one with the
// least to spare.
func worstStretches(list []rule.DrainStretch) []rule.DrainStretch {
	var out []rule.DrainStretch
	at := map[string]int{}
	for _, s := range list {
		i, seen := at[s.Lies]
		if !seen {
			at[s.Lies] = len(out)
			out = append(out, s)
			continue
		}
		o := &out[i]
		length, whole := o.Length+s.Length, o.Whole && s.Whole
		if spare(s) < spare(*o) || spare(s) == spare(*o) && s.Load.Units > o.Load.Units {
			*o = s
		}
		o.Length, o.Whole = length, whole
	}
	return out
}

func spare(s rule.DrainStretch) float64 {
	if !s.Capacity.OK {
		return math.Inf(1)
	}
	return s.Capacity.Units - s.Load.Units
}

func (h *hover) stretch(s rule.DrainStretch) {
	way := s.Lies
	if s.Whole || s.Length > 0 {
		way += ", " + orMore(s.Length, s.Whole)
	}
	if s.Fall.Known() {
		way += " at " + quantity.FormatGrade(s.Fall.V)
		if s.Fall.Origin != system.Written {
			way += " (" + from(s.Fall) + ")"
		}
	}
	switch {
	case s.Lies == "trap arm":
		h.out.item("%s: held to its trap, not to its load", way)
	case s.Lies == "not drawn":
		h.out.item("its legs are not written, so how it lies is not known")
	case s.Lies == "indirect" || s.Lies == "discharge":
		h.out.item("%s: no table of drains limits it", way)
	default:
		h.out.item("%s: %s%s", way, capacity(s), h.otherSizes(s))
	}
}

// capacity tells what a stretch may carry against what it carries.
func capacity(s rule.DrainStretch) string {
	switch {
	case s.Pipe.Size() == 0:
		return "what it may carry waits for its size"
	case !s.Capacity.OK:
		return "the book prints no limit for " + sized(s.Pipe.Size())
	}
	say := fmt.Sprintf("%s may carry %s%s", sized(s.Pipe.Size()), units(s.Capacity.Units), cite(s.Capacity.Cell, s.Capacity.Factor))
	switch left := spare(s); {
	case left < -1e-6:
		say += fmt.Sprintf("; **%s too many**", sizing.Trim(-left))
	case s.Load.Unknown > 0:
		say += "; not decided while a load is not known"
	default:
		say += fmt.Sprintf("; %s to spare", sizing.Trim(left))
	}
	if s.Capacity.Closets >= 0 && s.Load.Closets > 0 {
		say += fmt.Sprintf("; at most %s%s", plural(s.Capacity.Closets, "closet", "closets"), cite(s.Capacity.ClosetCell))
		if s.Load.Closets > s.Capacity.Closets {
			say += fmt.Sprintf(", **it has %d**", s.Load.Closets)
		}
	}
	return say
}

// otherSizes tells the least size for a stretch's load and the next one up.
func (h *hover) otherSizes(s rule.DrainStretch) string {
	size, say := s.Pipe.Size(), ""
	if s.Required > 0 {
		word := "least size for it"
		if s.Load.Unknown > 0 {
			word = "least size for what is known of it"
		}
		if size > 0 && s.Required > size {
			word = "**too small**: " + word
		}
		say = fmt.Sprintf("; %s %s%s", word, sized(s.Required), cite(s.Asks))
	}
	if next, ok := h.c.Ledger.Larger(size); ok && size > 0 && next != s.Required {
		if may, cell, ok := h.larger(s, next); ok {
			say += fmt.Sprintf("; next up %s, %s%s", sized(next), units(may), cell)
		}
	}
	return say
}

// larger is what another size would carry in a stretch's place.
func (h *hover) larger(s rule.DrainStretch, size quantity.Size) (float64, string, bool) {
	for i := range s.Pipe.Parts {
		pt := &s.Pipe.Parts[i]
		if !pt.IsLeg() {
			continue
		}
		w := h.c.Ledger.WayOf(s.Pipe, pt)
		if w.Lies() != s.Lies {
			continue
		}
		if w.Posture == system.LevelLeg {
			w.Fall = s.Fall
		}
		c := h.c.Ledger.Capacity(size, w)
		return c.Units, cite(c.Cell, c.Factor), c.OK
	}
	return 0, "", false
}

// vent tells what a vent serves, what asks its size, how far it is to the air
// and where it first turns.
func (h *hover) vent(r *system.Run) {
	v, ok := h.facts.ventOf(h.c, r)
	if !ok {
		return
	}
	h.limits = true
	if v.Load.Traps == 0 {
		h.out.para("serves no trap")
	} else {
		say := fmt.Sprintf("serves %s: %s", plural(v.Load.Traps, "trap", "traps"), units(v.Load.Units))
		if v.Load.Closets > 0 {
			say += ", " + plural(v.Load.Closets, "closet", "closets")
		}
		if h.facts.openRun(h.c, r) {
			say += ", or more: a load is not known"
		}
		h.out.para("%s", say)
	}
	var protects []string
	for _, p := range r.Pipes {
		for _, arm := range h.c.Vents.Protects(p) {
			protects = append(protects, arm.Fixture.Name)
		}
	}
	if len(protects) > 0 {
		h.out.line("the vent of %s begins here", listed(protects, 6))
	}
	if v.Need > 0 {
		say := fmt.Sprintf("least size: %s, asked by %s%s", sized(v.Need), v.Why, cite(v.Cell))
		if h.facts.openRun(h.c, r) {
			say += moreOnceKnown
		}
		if r.Size > 0 && v.Need > r.Size {
			say = "**too small**: " + say
		}
		h.out.item("%s", say)
	}
	h.ventWay(r)
	h.ventTurn(r)
}

func (h *hover) ventWay(r *system.Run) {
	w, ok := h.facts.wayOf(h.c, r)
	if !ok {
		return
	}
	say := fmt.Sprintf("longest way in %s to the open air: %s", sized(w.Size), orMore(w.Length, w.Whole))
	if w.Limit.OK {
		say += fmt.Sprintf(" of %s%s", length(w.Limit.Metres()), cite(w.Limit))
		if w.Length > w.Limit.Metres()+1e-6 {
			say = "**too long**: " + say
		}
		if w.Share.OK {
			say += fmt.Sprintf("; %s of it level, %s allowed%s", length(w.Level), length(w.MostLevel()), cite(w.Share))
		}
	}
	h.out.item("%s", say)
}

func (h *hover) ventTurn(r *system.Run) {
	t, ok := h.facts.turnOf(h.c, r)
	switch {
	case !ok:
	case t.Free:
		h.out.item("upright to the open air")
	case t.Island:
		h.out.item("an island's loop, which may turn below the rim")
	case t.RimOf == nil:
		h.out.item("%s; no rim is known to hold it to", t.What)
	case !t.Height.Known():
		h.out.item("%s at a height that is not known", t.What)
	default:
		floor := t.RimOf.Floor()
		say := fmt.Sprintf("%s %s above the floor", t.What, length(t.Height.V-floor))
		if t.Cell.OK {
			say += fmt.Sprintf("; the rim of %s asks %s%s", t.RimOf.Name, length(t.Need-floor), cite(t.Cell))
			if t.Height.V < t.Need-0.0008 {
				say = "**too low**: " + say
			}
		}
		h.out.item("%s", say)
	}
}

// join writes names one after another.
func join(names []string) string { return listed(names, len(names)) }

// isRun tells whether a keyword begins a run.
func isRun(word string) bool {
	for _, s := range catalog.Systems() {
		if s == word {
			return true
		}
	}
	return false
}
