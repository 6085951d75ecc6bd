package answer

import (
	"slices"
	"strconv"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lint/venting"
)

// symbols offers the names of a space, those of the line's typical first.
func (k *cursor) symbols(sp space, kind string) {
	rank := 0
	for _, scope := range slices.Compact([]string{k.scope(), ""}) {
		for _, sym := range k.declaredIn(sp, scope) {
			rank++
			k.add(rank, Item{Label: sym.name, Kind: kind, Detail: k.symbolDetail(sym)})
		}
	}
}

// declaredIn lists the declared symbols of a space, in the order of the plan.
func (k *cursor) declaredIn(sp space, scope string) []symbol {
	var out []symbol
	for sym := range k.names.declared {
		if sym.space == sp && sym.scope == scope {
			out = append(out, sym)
		}
	}
	for key, list := range k.names.ranges {
		if key.space != sp || key.scope != scope {
			continue
		}
		for _, r := range list {
			for n := r.from; n <= r.to && n < r.from+100; n++ {
				out = append(out, symbol{sp, scope, key.head + strconv.Itoa(n) + key.tail})
			}
		}
	}
	slices.SortFunc(out, func(a, b symbol) int { return compareNames(a.name, b.name) })
	return slices.Compact(out)
}

// compareNames orders names by letters, and by number where they differ in one.
func compareNames(a, b string) int {
	head, _, x, y, ok := rangeParts(grammar.Ref{First: grammar.Word{Text: a}, Last: grammar.Word{Text: b}})
	if ok && head != "" && x != y {
		return x - y
	}
	return strings.Compare(a, b)
}

func (k *cursor) symbolDetail(sym symbol) string {
	m, ok := k.names.declaration(sym)
	if !ok {
		return ""
	}
	switch st := m.stmt.Statement.(type) {
	case *grammar.Level:
		return "floor at " + m.stmt.file.text(st.At.Span)
	case *grammar.Room:
		return strings.TrimSpace("on " + st.On.Text + " " + st.Use.Text)
	case *grammar.Typical:
		return plural(len(k.facts.copies[sym.name]), "copy", "copies")
	case *grammar.Place:
		return "copy of " + st.Typical.Text
	}
	return sym.space.String()
}

// copies offers the placed typicals of the line's scope.
func (k *cursor) copies() {
	for i, sym := range k.declaredIn(points, k.scope()) {
		if t := k.names.typicalOf(sym); t != "" {
			k.add(i, Item{Label: sym.name, Kind: "copy", Detail: "copy of " + t})
		}
	}
}

// freeName is a name that is not taken: the first letters of a word, and a
// number where that is taken.
func (k *cursor) freeName(word string) string {
	stem := ""
	for _, part := range strings.FieldsFunc(word, func(r rune) bool { return r == '-' || r == '_' }) {
		if part[0] >= 'a' && part[0] <= 'z' {
			stem += strings.ToUpper(part[:1])
		}
	}
	if stem == "" {
		stem = "A"
	}
	return k.free(stem)
}

func (k *cursor) free(stem string) string {
	if name, ok := k.fresh[stem]; ok {
		return name
	}
	for n := 1; ; n++ {
		name := stem + strconv.Itoa(n)
		if _, taken := k.names.first(symbol{points, k.scope(), name}); !taken {
			if k.fresh == nil {
				k.fresh = map[string]string{}
			}
			k.fresh[stem] = name
			return name
		}
	}
}

// points offers the points that a run of a system may begin at: role "from
// SYSTEM", end at: "to SYSTEM", or any: "".
func (k *cursor) points(role string, have []token) {
	if i := strings.LastIndexByte(k.typed(), '.'); i >= 0 {
		k.reaching(role, k.typed()[:i])
		return
	}
	from := ""
	if strings.HasPrefix(role, "to ") && len(have) > 0 {
		from = have[0].text
	}
	for _, sym := range k.pointSymbols(k.scope()) {
		k.offerPoint(role, "", sym, from, have)
	}
}

// reaching offers the points inside a copy.
func (k *cursor) reaching(role, copy string) {
	scope := k.scope()
	for _, step := range strings.Split(copy, ".") {
		if scope = k.names.typicalOf(symbol{points, scope, step}); scope == "" {
			return
		}
	}
	for _, sym := range k.pointSymbols(scope) {
		k.offerPoint(role, copy+".", sym, "", nil)
	}
}

// pointSymbols lists every point of a scope: those written anywhere, and those
// that ranges of copies make.
func (k *cursor) pointSymbols(scope string) []symbol {
	out := k.names.points[scope]
	for key, list := range k.names.ranges {
		if key.space == points && key.scope == scope && len(list) > 0 {
			more := append(slices.Clone(out), k.declaredIn(points, scope)...)
			slices.SortFunc(more, func(a, b symbol) int { return compareNames(a.name, b.name) })
			return slices.Compact(more)
		}
	}
	return out
}

// offerPoint offers a point where it makes sense in its role.
func (k *cursor) offerPoint(role, lead string, sym symbol, from string, have []token) {
	label := lead + sym.name
	if k.onlyHere(sym) || written(have, label) {
		return
	}
	if t := k.names.typicalOf(sym); t != "" {
		k.add(600, Item{Label: label, Insert: label + ".", Kind: "copy", Detail: "copy of " + t})
		return
	}
	q := k.pointOf(label)
	if q == nil {
		if role == "" {
			k.add(500, Item{Label: label, Kind: "name"})
		}
		return
	}
	if role == "" {
		h := hover{Plan: k.Plan}
		k.add(100, Item{Label: label, Kind: "name", Detail: h.pointTitle(q)})
		return
	}
	if rank, why := k.suits(role, q, k.pointOf(from)); rank > 0 {
		k.add(rank, Item{Label: label, Kind: "name", Detail: why})
	}
}

// onlyHere: the name stands nowhere but in the word that is being written.
func (k *cursor) onlyHere(sym symbol) bool {
	list := k.names.mentions[sym]
	return len(list) == 1 && list[0].loc.File == k.file.path && within(list[0].loc.Span, k.offset) && list[0].loc.Span.Start == k.word.start
}

// pointOf is a point of the system as the line would reach it, in the first
// copy of its typical; nil where there is none.
func (k *cursor) pointOf(name string) *system.Point {
	sys := k.system()
	prefixes := k.facts.prefixes(k.scope())
	if sys == nil || name == "" || len(prefixes) == 0 {
		return nil
	}
	return sys.Point(prefixes[0] + name)
}

// suits tells how well a point suits a role, 0 where it does not, and why.
func (k *cursor) suits(role string, q, from *system.Point) (rank int, why string) {
	h := hover{Plan: k.Plan}
	title := h.pointTitle(q)
	end, kind, _ := strings.Cut(role, " ")
	switch {
	case end == "leg" && (pass(q) || q.Kind >= system.ExistingDrain):
		return 200, title
	case end == "leg":
		return 0, ""
	}
	if end == "from" {
		rank, why = k.begins(kind, q)
	} else {
		if from != nil && from.Node == q.Node {
			return 0, ""
		}
		rank, why = k.ends(kind, q, from)
	}
	if why == "" {
		return rank, title
	}
	return rank, title + ", " + why
}

// begins ranks a point that a run of a kind may begin at.
func (k *cursor) begins(kind string, q *system.Point) (int, string) {
	n := q.Node
	drained, vented := len(n.DrainIn)+len(n.DrainOut) > 0, len(n.VentIn)+len(n.VentOut) > 0
	watered := len(n.WaterIn)+len(n.WaterOut) > 0
	switch kind {
	case "drain":
		switch {
		case q.Kind == system.Fixture && len(n.DrainOut) == 0 && q.Fixture.NeedsDrain:
			return 1, "no drain yet"
		case endless(q) && len(n.DrainIn) > 0:
			return 2, "nothing leaves it yet"
		case q.Kind == system.Fixture || pass(q) && (drained || !watered && !vented) || q.Kind == system.Interceptor:
			return 20, ""
		}
	case "sewer":
		switch {
		case endless(q) && len(n.DrainIn) > 0:
			return 1, "nothing leaves it yet"
		case pass(q) && drained:
			return 20, ""
		}
	case "vent":
		switch {
		case k.wantsVent(q):
			return 1, "on the arm of a trap without a vent"
		case pass(q) && len(n.VentIn) > 0 && len(n.VentOut) == 0 && !drained:
			return 2, "nothing leaves it yet"
		case pass(q) && (drained || vented) || q.Kind == system.Ejector:
			return 20, ""
		}
	case "service":
		switch {
		case q.Kind == system.Main || q.Kind == system.ExistingSupply:
			return 1, ""
		case pass(q) && watered:
			return 20, ""
		}
	case "cold":
		switch {
		case pass(q) && len(n.WaterIn) > 0 || q.Kind == system.Manifold || q.Kind == system.Main || q.Kind == system.ExistingSupply:
			return 10 + len(n.WaterOut), ""
		}
	case "hot", "return":
		switch {
		case q.Kind == system.Heater || q.Kind == system.Manifold:
			return 1, ""
		case pass(q) && onWater(q, system.Hot):
			return 10, ""
		}
	case "discharge":
		if q.Kind == system.Ejector {
			return 1, ""
		}
	case "indirect":
		switch {
		case q.Kind == system.Fixture && len(n.DrainOut) == 0 && q.Fixture.NeedsDrain:
			return 1, "no drain yet"
		case q.Kind == system.Fixture || q.Kind == system.Heater:
			return 20, ""
		}
	}
	return 0, ""
}

// ends ranks a point that a run of a kind from a point may end at.
func (k *cursor) ends(kind string, q, from *system.Point) (int, string) {
	n := q.Node
	drained, vented := len(n.DrainIn)+len(n.DrainOut) > 0, len(n.VentIn)+len(n.VentOut) > 0
	watered := len(n.WaterIn)+len(n.WaterOut) > 0
	switch kind {
	case "drain", "discharge":
		switch {
		case from != nil && k.leadsTo(n, from.Node):
			return 0, "" // it would run in a circle
		case q.Kind == system.Interceptor || q.Kind == system.Ejector || q.Kind == system.ExistingDrain || q.Kind == system.ExistingStack:
			return 5, ""
		case pass(q) && len(n.DrainOut) > 0:
			return 2, "flows on"
		case pass(q) && (drained || !vented && !watered):
			return 10, ""
		case q.Kind == system.Outfall:
			return 30, ""
		}
	case "sewer":
		switch {
		case q.Kind == system.Outfall:
			return 1, ""
		case q.Kind == system.ExistingDrain || pass(q) && drained && (from == nil || !k.leadsTo(n, from.Node)):
			return 10, ""
		}
	case "vent":
		switch {
		case q.Kind == system.Terminal && len(n.VentIn) == 0:
			return 1, "no vent ends there yet"
		case q.Kind == system.Terminal || q.Kind == system.ExistingVent:
			return 2, ""
		case pass(q) && vented && len(n.VentOut) > 0:
			return 5, "a vent goes on"
		case pass(q) && !drained && !watered:
			return 10, ""
		}
	case "cold", "hot":
		hot := kind == "hot"
		switch {
		case q.Kind == system.Fixture && (hot && q.Fixture.NeedsHot || !hot && q.Fixture.NeedsCold):
			if !fed(q, hot) {
				return 1, "no " + kind + " water yet"
			}
			return 20, ""
		case !hot && q.Kind == system.Heater || q.Kind == system.Manifold:
			return 3, ""
		case q.Kind == system.Fixture && q.Word == "equipment":
			return 6, ""
		case pass(q) && !drained && !vented:
			return 10, ""
		}
	case "service":
		if pass(q) && !drained && !vented {
			return 1, ""
		}
	case "return":
		if q.Kind == system.Heater {
			return 1, ""
		}
		if pass(q) && watered {
			return 10, ""
		}
	case "indirect":
		switch {
		case q.Kind == system.Fixture && (q.Word == "floor-sink" || q.Word == "floor-drain" || q.Word == "service-sink"):
			return 1, "a receptor"
		case q.Kind == system.Fixture && (q.Word == "kitchen-sink" || q.Word == "laundry-tub"):
			return 2, "a receptor"
		case pass(q) && drained:
			return 20, ""
		}
	}
	return 0, ""
}

// pass: a point that pipes may pass: a junction or a fitting.
func pass(q *system.Point) bool { return q.Kind == system.Junction || q.Kind == system.Fitting }

// endless: waste arrives and nothing takes it on.
func endless(q *system.Point) bool {
	return pass(q) && len(q.Node.DrainOut) == 0 && q.Node.Find(system.Outfall) == nil && q.Node.Find(system.ExistingDrain) == nil && q.Node.Find(system.ExistingStack) == nil
}

func fed(q *system.Point, hot bool) bool {
	for _, p := range q.Node.WaterIn {
		if (p.Kind() == system.Hot) == hot {
			return true
		}
	}
	return false
}

// wantsVent: a trap that is not vented passes the point on its arm.
func (k *cursor) wantsVent(q *system.Point) bool {
	if k.c == nil {
		return false
	}
	if k.bare == nil {
		k.bare = map[*system.Node]bool{}
		for _, arm := range k.c.Vents.Arms {
			if arm.Status != venting.Unvented && arm.Status != venting.STrap {
				continue
			}
			for _, s := range arm.Walk {
				k.bare[s.Pipe.To] = true
			}
		}
	}
	return k.bare[q.Node]
}

// leadsTo tells whether the drains from one node reach another.
func (k *cursor) leadsTo(from, to *system.Node) bool {
	if k.above == nil {
		k.above = map[*system.Node]bool{}
		for next := []*system.Node{to}; len(next) > 0; {
			n := next[len(next)-1]
			next = next[:len(next)-1]
			if k.above[n] {
				continue
			}
			k.above[n] = true
			for _, p := range n.DrainIn {
				next = append(next, p.From)
			}
		}
	}
	return k.above[from]
}
