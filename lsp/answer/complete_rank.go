package answer

import (
	"slices"
	"strconv"
	"strings"

	"crownweir/grammar/system"
)

// stream is items in the order of their rank, of which only those are made that
// are handed out: a plan has thousands of names.
type stream struct {
	after int // how many items were offered one by one before it
	n     int
	at    func(i int) (rank int, label string)
	good  func(i int) bool // whether it is offered at all
	item  func(i int) Item
}

// offered is an item with its rank.
type offered struct {
	rank, order int
	Item
}

// sorted hands out the items in their order, each label once: all of them, or
// of more than are handed out at once those that begin like the word that is
// being written.
func (k *cursor) sorted() ([]Item, bool) {
	for i := range k.out {
		k.out[i].order = i
	}
	slices.SortStableFunc(k.out, func(a, b offered) int { return a.rank - b.rank })
	typed, many := strings.ToLower(k.typed()), k.many()
	seen := map[string]bool{}
	var out []Item
	at := make([]int, len(k.streams)) // how far each of them is taken
	for one := 0; ; {
		best, rank, label := -1, 0, ""
		if one < len(k.out) {
			best, rank, label = len(k.streams), k.out[one].rank, k.out[one].Label
		}
		for i := len(k.streams) - 1; i >= 0; i-- {
			s := &k.streams[i]
			if at[i] == s.n {
				continue
			}
			r, l := s.at(at[i])
			if best < 0 || r < rank || r == rank && (best < len(k.streams) || k.out[one].order >= s.after) {
				best, rank, label = i, r, l
			}
		}
		if best < 0 {
			return number3(out), many
		}
		var make func() Item
		if best == len(k.streams) {
			it := &k.out[one].Item
			make = func() Item { return *it }
			one++
		} else {
			s, i := &k.streams[best], at[best]
			at[best]++
			if many && !holds(label, typed) || !s.good(i) {
				continue
			}
			make = func() Item { return s.item(i) }
		}
		if seen[label] || many && !holds(label, typed) {
			continue
		}
		if len(out) == mostItems {
			return number3(out), true
		}
		seen[label] = true
		it := make()
		it.At = k.file.loc(k.word.span())
		out = append(out, it)
	}
}

// many tells whether more is offered than is handed out at once.
func (k *cursor) many() bool {
	n := len(k.out)
	for _, s := range k.streams {
		for i := 0; i < s.n && n <= mostItems; i++ {
			if s.good(i) {
				n++
			}
		}
	}
	return n > mostItems
}

// holds tells whether the letters of a query in small letters stand in a name
// in their order, whatever its case.
func holds(name, query string) bool {
	at := 0
	for i := 0; i < len(name) && at < len(query); i++ {
		c := name[i]
		if c >= 0x80 {
			_, ok := fits(name, query)
			return ok
		}
		if 'A' <= c && c <= 'Z' {
			c += 'a' - 'A'
		}
		if c == query[at] {
			at++
		}
	}
	return at == len(query)
}

// candidate is a name of a scope that may be a point's.
type candidate struct {
	symbol
	typical string        // it is a copy of
	point   *system.Point // as it is reached in the first copy of its scope; nil where it is not known
}

// scoped is a space of names in a scope.
type scoped struct {
	space space
	scope string
}

// ranking is what is offered of a scope in a role.
type ranking struct{ scope, role string }

// ranked is a candidate by its place in the list of its scope, and its rank.
type ranked struct{ at, rank int32 }

// candidates are the points of a scope in the order of their names, as the
// check knew them.
func (k *cursor) candidates(scope string) []candidate {
	if list, ok := k.facts.candidates[scope]; ok {
		return list
	}
	n := k.names.checked()
	var list []candidate
	prefixes := k.facts.prefixes(scope)
	for _, sym := range n.pointSymbols(scope, k.facts) {
		list = append(list, k.candidate(n, sym, prefixes))
	}
	k.facts.candidates[scope] = list
	return list
}

func (k *cursor) candidate(n *names, sym symbol, prefixes []string) candidate {
	c := candidate{symbol: sym, typical: n.typicalOf(sym)}
	if sys := k.system(); sys != nil && len(prefixes) > 0 {
		c.point = sys.Point(prefixes[0] + sym.name)
	}
	return c
}

// ranks orders the points of a scope as they suit a role, wherever the run
// begins; those that do not are left out.
func (k *cursor) ranks(scope, role string) []ranked {
	key := ranking{scope, role}
	if list, ok := k.facts.ranked[key]; ok {
		return list
	}
	list := k.rank(role, k.candidates(scope))
	k.facts.ranked[key] = list
	return list
}

func (k *cursor) rank(role string, of []candidate) []ranked {
	var list []ranked
	for i := range of {
		if rank, _ := k.suits(role, &of[i]); rank > 0 {
			list = append(list, ranked{int32(i), int32(min(rank, 999))})
		}
	}
	slices.SortStableFunc(list, func(a, b ranked) int { return int(a.rank - b.rank) })
	return list
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
	scope := k.scope()
	k.offerPoints(role, "", k.candidates(scope), k.ranks(scope, role), from, have, true)
	if fresh := k.news(scope); len(fresh) > 0 {
		k.offerPoints(role, "", fresh, k.rank(role, fresh), from, have, false)
	}
}

// news are the points of a scope that were written or lost since the check, as
// far as they are there.
func (k *cursor) news(scope string) []candidate {
	var list []candidate
	for _, sym := range k.names.news(scoped{points, scope}) {
		if len(k.names.written(sym)) > 0 || k.names.ranged(sym) {
			list = append(list, k.candidate(k.names, sym, k.facts.prefixes(scope)))
		}
	}
	return list
}

// reaching offers the points inside a copy.
func (k *cursor) reaching(role, copy string) {
	scope := k.scope()
	for _, step := range strings.Split(copy, ".") {
		if scope = k.names.typicalOf(symbol{points, scope, step}); scope == "" {
			return
		}
	}
	list := slices.Clone(k.candidates(scope))
	if news := k.news(scope); len(k.names.fresh) > 0 {
		list = append(slices.DeleteFunc(list, func(c candidate) bool { return k.names.fresh[c.symbol] }), news...)
		slices.SortStableFunc(list, func(a, b candidate) int { return compareNames(a.name, b.name) })
	}
	for i := range list {
		list[i].point = k.pointOf(copy + "." + list[i].name)
	}
	k.offerPoints(role, copy+".", list, k.rank(role, list), "", nil, false)
}

// offerPoints offers points where they make sense in their role. checked tells
// that they are those of the check, of which some may be known better now.
func (k *cursor) offerPoints(role, lead string, of []candidate, order []ranked, from string, have []token, checked bool) {
	start := k.pointOf(from)
	word := k.file.source[k.word.start:wordEnd(k.file.source, k.word.start)] // the whole of it
	k.streams = append(k.streams, stream{
		after: len(k.out), n: len(order),
		at: func(i int) (int, string) { return int(order[i].rank), lead + of[order[i].at].name },
		good: func(i int) bool {
			c := &of[order[i].at]
			switch {
			case checked && k.names.fresh[c.symbol], strings.HasPrefix(word, c.name) && k.onlyHere(c.symbol), written(have, lead+c.name):
				return false
			}
			return c.point == nil || start == nil || c.typical != "" || !k.circles(role, c.point, start)
		},
		item: func(i int) Item {
			c := &of[order[i].at]
			it := Item{Label: lead + c.name, Kind: "name"}
			it.Insert = it.Label
			switch {
			case c.typical != "":
				it.Insert, it.Kind, it.Detail = it.Label+".", "copy", "copy of "+c.typical
			case c.point != nil:
				h := hover{Plan: k.Plan}
				it.Detail = h.pointTitle(c.point)
				if _, why := k.suits(role, c); why != "" {
					it.Detail += ", " + why
				}
			}
			return it
		},
	})
}

// onlyHere: the name stands nowhere but in the word that is being written.
func (k *cursor) onlyHere(sym symbol) bool {
	list := k.names.written(sym)
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

// symbols offers the names of a space, those of the line's typical first.
func (k *cursor) symbols(sp space, kind string) {
	before := 0
	for _, scope := range slices.Compact([]string{k.scope(), ""}) {
		before += k.symbolsOf(scoped{sp, scope}, kind, before)
	}
}

// symbolsOf offers the names of a space, with ranks from a number on, and tells
// how many there are.
func (k *cursor) symbolsOf(in scoped, kind string, before int) int {
	list := k.declaredIn(in)
	k.streams = append(k.streams, stream{
		after: len(k.out), n: len(list),
		at:   func(i int) (int, string) { return min(before+i+1, 999), list[i].name },
		good: func(int) bool { return true },
		item: func(i int) Item {
			return Item{Label: list[i].name, Insert: list[i].name, Kind: kind, Detail: k.symbolDetail(list[i])}
		},
	})
	return len(list)
}

// declaredIn lists the declared symbols of a space, in the order of the plan:
// those of the check, and what was declared and lost since.
func (k *cursor) declaredIn(in scoped) []symbol {
	list := k.facts.declaredIn(k.names.checked(), in)
	news := k.names.news(in)
	if len(news) == 0 {
		return list
	}
	list = slices.Clone(list)
	for _, sym := range news {
		i := slices.Index(list, sym)
		_, ok := k.names.declaration(sym)
		switch {
		case i >= 0 && !ok:
			list = slices.Delete(list, i, i+1)
		case i < 0 && ok:
			i, _ = slices.BinarySearchFunc(list, sym, func(a, b symbol) int { return compareNames(a.name, b.name) })
			list = slices.Insert(list, i, sym)
		}
	}
	return list
}

func (k *facts) declaredIn(n *names, in scoped) []symbol {
	if list, ok := k.declared[in]; ok {
		return list
	}
	var out []symbol
	for sym := range n.declared {
		if sym.space == in.space && sym.scope == in.scope {
			out = append(out, sym)
		}
	}
	for key, list := range n.ranges {
		if key.space != in.space || key.scope != in.scope {
			continue
		}
		for _, r := range list {
			out = append(out, r.symbols(key)...)
		}
	}
	slices.SortFunc(out, func(a, b symbol) int { return compareNames(a.name, b.name) })
	out = slices.Compact(out)
	k.declared[in] = out
	return out
}

// mostOfRange is how many names of a range are offered.
const mostOfRange = 100

// symbols are the names of a range, the first of them where they are many.
func (r rangeOf) symbols(key rangeKey) []symbol {
	var out []symbol
	for n := r.from; n <= r.to && n < r.from+mostOfRange; n++ {
		out = append(out, symbol{key.space, key.scope, key.head + strconv.Itoa(n) + key.tail})
	}
	return out
}

// pointSymbols lists every point of a scope: those written anywhere, and those
// that ranges of copies make.
func (n *names) pointSymbols(scope string, known *facts) []symbol {
	out := n.points[scope]
	for key, list := range n.ranges {
		if key.space == points && key.scope == scope && len(list) > 0 {
			more := append(slices.Clone(out), known.declaredIn(n, scoped{points, scope})...)
			slices.SortFunc(more, func(a, b symbol) int { return compareNames(a.name, b.name) })
			return slices.Compact(more)
		}
	}
	return out
}
