package answer

import (
	"fmt"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lint/sizing"
)

// name tells what a name stands for.
func (h *hover) name(pt part) {
	switch pt.sym.space {
	case points:
		if t := h.names.typicalOf(pt.sym); t != "" {
			h.copyOf(pt, t)
			return
		}
		h.pointNamed(pt)
	case tags:
		h.tag(pt)
	case typicals:
		h.typical(pt.text)
	case levels:
		h.level(pt.text)
	case rooms:
		h.room(pt)
	case roofs:
		if sys := h.system(); sys != nil {
			for _, r := range sys.Roofs {
				if r.Name == pt.text {
					h.out.para("roof **%s** at %s", r.Name, length(r.Elevation))
				}
			}
		}
	case dwellings:
		h.dwelling(pt.text)
	case buildings, trenches:
		h.out.para("%s **%s**, named %s", pt.sym.space, pt.text, plural(len(h.written().mentions[pt.sym]), "time", "times"))
	}
}

func (h *hover) level(name string) {
	sys := h.system()
	if sys == nil {
		return
	}
	for _, l := range sys.Levels {
		if l.Name != name {
			continue
		}
		n, rooms := 0, 0
		for _, f := range sys.Fixtures() {
			if f.Level == l {
				n++
			}
		}
		for _, r := range sys.Rooms {
			if r.Level == l {
				rooms++
			}
		}
		h.out.para("level **%s**: finished floor at %s", l.Name, length(l.Elevation))
		h.out.line("%s, %s", plural(rooms, "room", "rooms"), plural(n, "fixture", "fixtures"))
		return
	}
}

func (h *hover) room(pt part) {
	sys := h.system()
	if sys == nil {
		return
	}
	prefixes := h.facts.prefixes(pt.sym.scope)
	for _, r := range sys.Rooms {
		if len(prefixes) == 0 || r.Name != prefixes[0]+pt.text {
			continue
		}
		where := ""
		if r.Level != nil {
			where = " on " + r.Level.Name
		}
		h.out.para("room **%s**%s", pt.text, where)
		if r.Use != "" {
			h.out.line("use %s", r.Use)
		}
		var list []string
		for _, f := range sys.Fixtures() {
			if f.Room == r {
				list = append(list, f.Fixture.Title+" "+f.Name)
				if h.c != nil && list != nil {
					list[len(list)-1] += " (" + h.c.Ledger.Occupancy(f) + ")"
				}
			}
		}
		if len(list) > 0 {
			h.out.line("holds %s", listed(list, 8))
		}
		if len(prefixes) > 1 {
			h.out.line("in %d copies", len(prefixes))
		}
		h.tell(h.findings(h.facts, system.Loc{}, r.Name))
		return
	}
}

func (h *hover) dwelling(name string) {
	sys := h.system()
	if sys == nil {
		return
	}
	for _, d := range sys.Dwellings {
		if d.Name != name {
			continue
		}
		h.out.para("dwelling **%s**", name)
		if d.Baths.Known() || d.Bedrooms.Known() {
			h.out.line("baths %s, bedrooms %s", number(d.Baths.V, 2), number(d.Bedrooms.V, 0))
		}
		h.tell(h.findings(h.facts, system.Loc{}, name))
		return
	}
}

func (h *hover) typical(name string) {
	h.out.para("typical **%s**", name)
	t, ok := h.names.typicals[name]
	if !ok {
		return
	}
	fixtures := 0
	for _, s := range t.Statement.(*grammar.Typical).Body {
		if s.Keyword() == "fixture" {
			fixtures++
		}
	}
	h.out.line("%s, %s", plural(len(t.Statement.(*grammar.Typical).Body), "line", "lines"), plural(fixtures, "fixture", "fixtures"))
	var at []string
	for _, c := range h.facts.copies[name] {
		at = append(at, c.Name)
	}
	if len(at) == 0 {
		h.out.line("placed nowhere")
		return
	}
	h.out.line("placed %s: %s", plural(len(at), "time", "times"), listed(at, 8))
}

// copyOf tells of a placed typical.
func (h *hover) copyOf(pt part, typical string) {
	h.out.para("**%s**: a copy of typical `%s`", pt.path, typical)
	sys := h.system()
	if sys == nil {
		return
	}
	for _, c := range h.facts.copies[typical] {
		if c.Name != strings.TrimPrefix(pt.path, ".") {
			continue
		}
		if c.Level != nil {
			h.out.line("on %s, floor at %s", c.Level.Name, length(c.Level.Elevation))
		}
		if c.Room != nil {
			h.out.line("in %s", c.Room.Name)
		}
	}
}

// tag tells of the runs that a tag makes one pipe.
func (h *hover) tag(pt part) {
	sys := h.system()
	prefixes := h.facts.prefixes(pt.base)
	if sys == nil || len(prefixes) == 0 {
		return
	}
	runs := sys.Tagged(prefixes[0] + pt.path)
	h.out.para("tag **%s**: %s of one pipe", pt.path, plural(len(runs), "run", "runs"))
	for i, r := range runs {
		if i == 8 {
			h.out.item("and %d more", len(runs)-i)
			break
		}
		h.out.item("%s %s %s", r.Kind, ends(r, r.Copy), sized(r.Size))
	}
	h.tell(h.findings(h.facts, system.Loc{}, prefixes[0]+pt.path))
}

// pointNamed tells where a point is, what flows in and out and what it carries.
func (h *hover) pointNamed(pt part) {
	list := h.pointsNamed(h.facts, pt)
	if len(list) == 0 {
		h.out.para("**%s**", pt.path)
		h.out.line("no line of the plan makes this point")
		return
	}
	q := list[0]
	h.out.para("**%s**: %s", pt.path, h.pointTitle(q))
	if len(list) > 1 {
		h.out.line("in %d copies; told for %s", len(list), q.Name)
	}
	h.elevations(q)
	h.flows(q)
	if h.c != nil {
		h.carried(q)
	}
	if q.Kind == system.Fixture {
		h.fixtureLines(q)
	}
	h.tell(h.findings(h.facts, system.Loc{}, q.Name))
}

// pointTitle says what a point is: `kitchen sink in kitchen`.
func (h *hover) pointTitle(q *system.Point) string {
	s := ""
	switch q.Kind {
	case system.Fixture:
		s = q.Fixture.Title
	case system.Junction:
		s = "a point where runs meet"
	case system.Fitting:
		s = "fitting"
		if q.Word != "" {
			s = q.Word
		}
	case system.Terminal:
		s = "vent terminal"
		if q.Word == "admittance" {
			s = "air admittance valve"
		} else if r := h.system().RoofOf(q); r != nil {
			s = strings.TrimSpace("vent terminal through roof " + r.Name)
		}
	case system.Main:
		s = "water main"
		if v, ok := q.Qty("pressure"); ok {
			s += ", " + number(v.PSI(), 0) + " psi static"
		}
	case system.Outfall:
		s = "outfall of the building sewer"
	case system.Interceptor:
		s = strings.TrimSpace(q.Word + " interceptor")
	case system.Object:
		s = q.Word + ", to keep clear of"
	case system.ExistingDrain, system.ExistingStack, system.ExistingSupply, system.ExistingVent:
		s = "existing " + q.Word
	default:
		s = q.Decl.Keyword()
	}
	if q.Existing {
		s = "existing " + s
	}
	if q.Room != nil {
		s += " in " + q.Room.Name
	}
	return s
}

// elevations tells the height of a point in each system that has it.
func (h *hover) elevations(q *system.Point) {
	nets := []struct {
		net  system.Net
		what string
		in   bool
	}{
		{system.DWV, "drains and vents", len(q.Node.DrainIn)+len(q.Node.DrainOut)+len(q.Node.VentIn)+len(q.Node.VentOut) > 0},
		{system.ColdNet, "cold water", onWater(q, system.Cold)},
		{system.HotNet, "hot water", onWater(q, system.Hot)},
	}
	told := ""
	for _, n := range nets {
		if !n.in {
			continue
		}
		z := q.Node.Pos[n.net][2]
		say := "height not known"
		if z.Known() {
			say = "at " + overFloor(q, z.V) + ", " + from(z)
		}
		if say == told {
			continue
		}
		told = say
		h.out.line("%s: %s", n.what, say)
	}
}

func onWater(q *system.Point, kind system.Kind) bool {
	for _, list := range [][]*system.Pipe{q.Node.WaterIn, q.Node.WaterOut} {
		for _, p := range list {
			hot := p.Kind() == system.Hot || p.Kind() == system.Return
			if hot == (kind == system.Hot) {
				return true
			}
		}
	}
	return false
}

// overFloor prints an elevation, over the point's floor where it has one.
func overFloor(q *system.Point, z float64) string {
	level := q.Level
	if level == nil {
		level, _ = q.Node.Serves()
	}
	if level == nil {
		return "elevation " + length(z)
	}
	above := z - level.Elevation
	words := length(above) + " above floor " + level.Name
	if above < -1e-9 {
		words = length(-above) + " below floor " + level.Name
	}
	if level.Elevation != 0 {
		words += fmt.Sprintf(" (elevation %s)", length(z))
	}
	return words
}

// flows lists what comes in and what goes out.
func (h *hover) flows(q *system.Point) {
	say := func(word string, lists ...[]*system.Pipe) {
		for _, list := range lists {
			for i, p := range list {
				if i == 6 {
					h.out.item("%s: and %d more", word, len(list)-i)
					break
				}
				h.out.item("%s: %s %s %s", word, p.Kind(), ends(p.Run, q.Copy), sized(p.Size()))
			}
		}
	}
	n := q.Node
	say("in", n.DrainIn, n.VentIn, n.WaterIn)
	say("out", n.DrainOut, n.VentOut, n.WaterOut)
	if len(n.Points) > 1 {
		var same []string
		for _, o := range n.Points {
			if o != q {
				same = append(same, o.Name)
			}
		}
		h.out.item("same place as %s", listed(same, 6))
	}
}

// carried is the load at a point.
func (h *hover) carried(q *system.Point) {
	n := q.Node
	if len(n.DrainIn)+len(n.DrainOut) > 0 {
		h.out.para("drainage here: %s", loadWords(h.c.Ledger.At(n)))
		h.limits = true
	}
	for _, p := range n.WaterIn {
		l := h.c.Water().Of(p)
		h.out.line("%s here: %s", p.Kind(), supplyWords(l))
		h.limits = true
	}
}

// loadWords prints a drainage load; one that is not whole says so.
func loadWords(l sizing.Load) string {
	s := units(l.Units)
	if l.Closets > 0 {
		s += " and " + plural(l.Closets, "closet", "closets")
	}
	if l.Unknown > 0 {
		s += fmt.Sprintf(" or more: the load of %s is not known", plural(l.Unknown, "fixture", "fixtures"))
	}
	return s
}

func supplyWords(l sizing.SupplyLoad) string {
	s := "supply " + units(l.Units)
	if l.Valves+l.Closets+l.Urinals > 0 {
		s += fmt.Sprintf(", %s", plural(max(l.Valves, l.Closets+l.Urinals), "flushometer valve", "flushometer valves"))
	}
	if l.Unknown > 0 {
		s += fmt.Sprintf(" or more: the units of %s are not known", plural(l.Unknown, "fixture", "fixtures"))
	}
	return s
}
