package answer

import (
	"slices"
	"strconv"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/system"
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
