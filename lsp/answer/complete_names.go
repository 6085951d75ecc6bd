package answer

import (
	"strconv"
	"strings"

	"crownweir/grammar"
)

// compareNames orders names by letters, and by number where they differ in one.
func compareNames(a, b string) int {
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	head := i
	for head > 0 && digit(a[head-1]) {
		head--
	}
	if head > 0 && a != b && b != "" {
		x, restA, okA := leadingNumber(a[head:])
		y, restB, okB := leadingNumber(b[head:])
		if okA && okB && x != y && restA == restB {
			return x - y
		}
	}
	return strings.Compare(a, b)
}

// leadingNumber splits a text behind the digits it begins with.
func leadingNumber(s string) (n int, rest string, ok bool) {
	i := 0
	for i < len(s) && digit(s[i]) {
		i++
	}
	if i > 18 {
		return 0, "", false
	}
	for _, c := range []byte(s[:i]) {
		n = 10*n + int(c-'0')
	}
	return n, s[i:], i > 0
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
	for i, sym := range k.declaredIn(scoped{points, k.scope()}) {
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

// free is a stem with the least number that makes a name that is not taken.
func (k *cursor) free(stem string) string {
	if name, ok := k.frees[stem]; ok {
		return name
	}
	name := func(n int) string { return stem + strconv.Itoa(n) }
	key, n := symbol{points, k.scope(), stem}, 1
	if k.facts != nil { // what the check knows is looked through once
		n = max(1, k.facts.taken[key])
		for k.names.checked().taken(symbol{points, k.scope(), name(n)}) {
			n++
		}
		k.facts.taken[key] = n
		for sym := range k.names.fresh { // but for what is lost since
			rest, is := strings.CutPrefix(sym.name, stem)
			if m, _, ok := leadingNumber(rest); is && ok && 0 < m && m < n && name(m) == sym.name && sym == (symbol{points, k.scope(), sym.name}) && !k.names.taken(sym) {
				n = m
			}
		}
	}
	for k.names.taken(symbol{points, k.scope(), name(n)}) {
		n++
	}
	if k.frees == nil {
		k.frees = map[string]string{}
	}
	k.frees[stem] = name(n)
	return name(n)
}
