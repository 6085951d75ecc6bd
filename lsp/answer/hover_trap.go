package answer

import (
	"fmt"

	"crownweir/grammar/system"
	"crownweir/lint/venting"
)

// trap tells the whole story of how a trap is vented.
func (h *hover) trap(s placed, pt part) {
	sys := h.system()
	if sys == nil || s.file.stale {
		return
	}
	var first *system.Trap
	n := 0
	for _, t := range sys.Traps {
		if t.Own || t.Part < 0 || t.Pipe.Run.File != s.file.path || t.Pipe.Parts[t.Part].Item.Span != pt.item.Span {
			continue
		}
		if first == nil || h.worse(t, first) {
			first = t
		}
		n++
	}
	if first == nil {
		h.item(s, pt)
		return
	}
	h.trapStory(first, n)
}

// worse: of the copies of a trap the one that is not vented speaks.
func (h *hover) worse(t, than *system.Trap) bool {
	if h.c == nil {
		return false
	}
	rank := func(t *system.Trap) int {
		arm := h.c.Vents.ArmOf(t)
		if arm == nil {
			return 0
		}
		return [...]int{venting.Vented: 1, venting.Indirect: 0, venting.Undecided: 2, venting.Broken: 3, venting.STrap: 4, venting.Unvented: 5}[arm.Status]
	}
	if x, y := rank(t), rank(than); x != y {
		return x > y
	}
	return t.Pipe.ID < than.Pipe.ID
}

func (h *hover) trapStory(t *system.Trap, copies int) {
	var names, subjects []string
	for _, f := range t.Fixtures {
		names = append(names, f.Name)
		subjects = append(subjects, f.Name)
	}
	size := sized(t.Size)
	if t.Solve {
		size = "size to be worked out"
	}
	title := "trap"
	if len(names) > 0 {
		title += " of " + join(names)
	}
	h.out.para("**%s**, %s", title, size)
	if copies > 1 {
		h.out.line("one of %d copies; told for the one that needs it most", copies)
	}
	if h.c == nil {
		return
	}
	h.limits = true
	for _, f := range t.Fixtures {
		h.askedTrap(f, t)
	}
	if arm := h.c.Vents.ArmOf(t); arm != nil {
		h.story(arm)
	}
	h.tell(ofFamilies(h.findings(h.facts, system.Loc{}, subjects...), "Traps", "Vents"))
}

func (h *hover) askedTrap(f *system.Point, t *system.Trap) {
	ask, ok := h.c.AskedTrap(f)
	if !ok || ask.Size == 0 {
		return
	}
	who := "a " + f.Fixture.Title + " asks"
	switch {
	case ask.Maker:
		who = "its maker asks"
	case ask.Waste > 0:
		who = "what wastes into it asks"
	}
	say := fmt.Sprintf("%s %s%s", who, sized(ask.Size), cite(ask.Cell))
	if t.Size > 0 && t.Size < ask.Size {
		say = "**too small**: " + say
	}
	h.out.item("%s", say)
}

// story tells how an arm is vented: the method, where, how far against the
// limit, and what speaks against the other ways.
func (h *hover) story(arm *venting.Arm) {
	switch arm.Status {
	case venting.Indirect:
		h.out.para("wastes through an air gap or break: it needs no vent here")
		return
	case venting.Vented:
		h.out.para("vented: %s", wayWords(arm.Chosen))
	case venting.Broken:
		h.out.para("**not vented as the code asks**: meant is the %s", wayWords(arm.Chosen))
	case venting.STrap:
		h.out.para("**an s-trap**: the arm turns down before any vent")
	case venting.Unvented:
		h.out.para("**no vent protects it**")
	case venting.Undecided:
		h.out.para("not decided%s", doubt(arm))
	}
	h.armWords(arm)
	for _, c := range arm.Candidates {
		if c == arm.Chosen {
			for _, s := range failsOf(c) {
				h.out.item("%s", s)
			}
		}
	}
	told := 0
	for _, c := range arm.Candidates {
		if c == arm.Chosen {
			continue
		}
		if told++; told > 4 {
			h.out.item("and %d other ways", len(arm.Candidates)-told)
			break
		}
		why := "farther off"
		if list := failsOf(c); len(list) > 0 {
			why = join(list)
		}
		h.out.item("other way: %s: %s", wayWords(c), why)
	}
	if arm.Status != venting.Vented && arm.Status != venting.Broken && arm.Why != "" {
		say := "the walk from the weir " + arm.Why
		if arm.Length.Known() {
			say += " after " + length(arm.Length.V)
		}
		h.out.item("%s", say)
	}
}

func doubt(arm *venting.Arm) string {
	switch {
	case arm.Missing != nil:
		return ": the " + notWritten(arm.Missing.What)
	case arm.Doubt != "":
		return ": " + arm.Doubt
	}
	return ""
}

// wayWords names a way to the air: `individual vent k1 to V2, taken off at k1`.
func wayWords(c *venting.Candidate) string {
	if c == nil {
		return "none"
	}
	s := string(c.Method)
	if c.Vent != nil {
		s += " " + c.Vent.Run.Subject()
	}
	if c.At != nil {
		s += ", taken off at " + c.At.Name()
	}
	if c.At != c.Node && c.Node != nil {
		s += ", met at " + c.Node.Name()
	}
	return s
}

func failsOf(c *venting.Candidate) []string {
	var out []string
	if c.Never != "" {
		out = append(out, c.Never)
	}
	for _, f := range c.Fails {
		s := f.Message
		if s == "" {
			continue // the arm's own length, which is told with it
		}
		out = append(out, s+cite(f.Cell))
	}
	if c.Unsure != "" {
		out = append(out, "not settled: "+c.Unsure)
	}
	if c.Missing != nil {
		out = append(out, "the "+notWritten(c.Missing.What))
	}
	return out
}

// armWords tells the arm's length and fall against what is allowed.
func (h *hover) armWords(arm *venting.Arm) {
	dist, fall := arm.Length, arm.Fall
	if arm.Chosen != nil {
		dist, fall = arm.Chosen.Dist, arm.Chosen.Fall
	}
	limit, cell, ok := h.c.Vents.ArmLimit(arm)
	_, most := h.c.Vents.ArmLimits(arm)
	say := "arm of a length that is not known"
	if dist.Known() {
		say = "arm " + length(dist.V)
	}
	if arm.Chosen != nil && arm.Chosen.Claimed {
		ok = false // limits of the method, not of an arm
	}
	if ok {
		switch {
		case !dist.Known():
			say += fmt.Sprintf("; %s allowed%s", length(limit), cite(cell))
		case dist.V > limit+1e-6 && dist.V <= most.Metres()+1e-6:
			say += fmt.Sprintf("; %s is allowed%s, of more the table says nothing for its size", length(limit), cite(cell))
		case dist.V > limit+1e-6:
			say += fmt.Sprintf(" of %s%s, **%s too long**", length(limit), cite(cell), length(dist.V-limit))
		default:
			say += fmt.Sprintf(" of %s%s, %s to spare", length(limit), cite(cell), length(limit-dist.V))
		}
	}
	if fall.Known() {
		say += fmt.Sprintf("; it falls %s", length(fall.V))
	}
	h.out.item("%s", say)
}

// armLine tells in one line how a trap is vented.
func armLine(arm *venting.Arm) string {
	switch arm.Status {
	case venting.Indirect:
		return "wastes through an air gap or break: needs no vent"
	case venting.Vented:
		return "vented: " + wayWords(arm.Chosen)
	case venting.Broken:
		return "**not vented as the code asks**: meant is the " + wayWords(arm.Chosen)
	case venting.STrap:
		return "**an s-trap**"
	case venting.Unvented:
		return "**no vent protects it**"
	}
	return "whether it is vented is not decided" + doubt(arm)
}
