package answer

import (
	"fmt"
	"slices"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/catalog"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/rule"
)

// An Item is one thing that could stand at a place.
type Item struct {
	Label  string
	Detail string // why it fits, in a few words
	Doc    string // markdown
	// Insert replaces At. Where Snippet is set it holds tab stops such as
	// `${1:KS}`; Plain is the same without them.
	Insert  string
	Snippet bool
	Plain   string
	At      system.Loc
	Sort    string
	Kind    string // "keyword", "kind", "material", "device", "turn", "fitting", "direction", "attribute", "choice", "name", "copy", "place", "rule", "size", "measure", "snippet", "file", "book"
}

// mostItems is how many items are handed out at once; a plan has thousands of
// names.
const mostItems = 400

// Complete lists what could stand at a place, what fits best first. incomplete
// is set where more would fit than is handed out.
func Complete(p *Plan, path string, offset int) (items []Item, incomplete bool) {
	f := p.file(path)
	if f == nil {
		return nil, false
	}
	offset = f.clamp(offset)
	l, ok := f.lineBefore(offset)
	if !ok {
		return nil, false
	}
	known, c, unlock := p.lock()
	defer unlock()
	at := cursor{Plan: p, file: f, names: p.written(), facts: known, c: c, line: l, offset: offset}
	at.split()
	at.statement(at.before)
	return at.sorted()
}

// cursor is a place in a statement that is being written.
type cursor struct {
	*Plan
	file   *file
	names  *names
	facts  *facts
	c      *rule.Case // nil where nothing was judged
	line   line
	offset int
	before []token // the words before the one that is being written
	word   token   // that word; empty between words
	key    string  // whose words are offered: a statement's, an attribute's
	out    []Item

	// above is every node from which drains lead to the run's start.
	above map[*system.Node]bool
	bare  map[*system.Node]bool // on the arms of traps without a vent
	fresh map[string]string     // names that are free, by their stem
	trunk string                // the point that most waste passes
}

// split parts the words before the place from the one being written.
func (k *cursor) split() {
	k.word = token{start: k.offset, end: k.offset}
	for _, t := range k.line.tokens {
		switch {
		case t.end < k.offset, t.end == k.offset && (t.kind == tokComma || t.kind == tokColon):
			k.before = append(k.before, t)
		case t.start < k.offset:
			k.word = t
		case t.start == k.offset && t.kind == tokWord && k.word.end == k.offset && k.word.start == k.offset:
			return // a word begins right here: it stays
		default:
			return
		}
	}
}

// typed is what was written of the word, as far as the place.
func (k *cursor) typed() string { return k.file.source[k.word.start:k.offset] }

// last is the n-th word before the place, 0 being the nearest; "" beyond.
func last(words []token, n int) string {
	if i := len(words) - 1 - n; i >= 0 {
		return words[i].text
	}
	return ""
}

// scope is the typical that the line stands in, or "".
func (k *cursor) scope() string {
	if k.line.typical == nil {
		return ""
	}
	return k.line.typical.Name.Text
}

// add offers an item; what is inserted is its label unless told otherwise.
func (k *cursor) add(rank int, it Item) {
	if it.Insert == "" {
		it.Insert = it.Label
	}
	it.At = k.file.loc(k.word.span())
	it.Sort = fmt.Sprintf("%03d", min(rank, 999))
	k.out = append(k.out, it)
}

// words offers words of a closed list that are not written yet.
func (k *cursor) words(kind string, list []string, have []token) {
	k.wordsFrom(100, kind, list, have)
}

func (k *cursor) wordsFrom(rank int, kind string, list []string, have []token) {
	for i, w := range list {
		if !written(have, w) {
			k.add(rank+i, Item{Label: w, Kind: kind, Detail: meaningIn(k.key, w)})
		}
	}
}

func written(have []token, word string) bool {
	return slices.ContainsFunc(have, func(t token) bool { return t.kind == tokWord && t.text == word })
}

// sorted hands out the items in their order, each label once.
func (k *cursor) sorted() ([]Item, bool) {
	slices.SortStableFunc(k.out, func(a, b Item) int { return strings.Compare(a.Sort, b.Sort) })
	seen := map[string]bool{}
	typed, many := k.typed(), len(k.out) > mostItems
	var out []Item
	for _, it := range k.out {
		if seen[it.Label] {
			continue
		}
		if many {
			if _, ok := fits(it.Label, typed); !ok {
				continue
			}
		}
		if seen[it.Label] = true; len(out) == mostItems {
			return number3(out), true
		}
		out = append(out, it)
	}
	return number3(out), many
}

// number3 makes the order of a list its sort keys.
func number3(list []Item) []Item {
	for i := range list {
		list[i].Sort = fmt.Sprintf("%03d", i)
	}
	return list
}

// statement offers what may follow the words of a statement so far.
func (k *cursor) statement(words []token) {
	if len(words) == 0 {
		k.keywords()
		return
	}
	keyword := words[0].text
	if k.key = keyword; isRun(keyword) {
		k.key = "run"
	}
	if k.word.kind == tokText && k.word.end > k.word.start {
		if keyword == "include" {
			k.includes()
		}
		return
	}
	switch {
	case isRun(keyword):
		k.run(words)
	case isPoint(keyword):
		k.point(words)
	case keyword == "except":
		k.except(words)
	default:
		k.header(keyword, words)
	}
}

func isPoint(keyword string) bool {
	switch keyword {
	case "fixture", "main", "outfall", "terminal", "heater", "manifold", "ejector", "interceptor", "fitting", "object", "existing":
		return true
	}
	return false
}

// keywords offers the statements that may begin here, and whole fixtures.
func (k *cursor) keywords() {
	usual := []string{"fixture", "drain", "vent", "sewer", "cold", "hot", "service", "terminal", "fitting", "room", "level"}
	if len(k.file.stmts) == 0 {
		usual = []string{"plan", "code"}
	}
	for i, w := range grammar.Keywords() {
		if !k.mayBegin(w) {
			continue
		}
		rank := 200 + i
		if j := slices.Index(usual, w); j >= 0 {
			rank = 100 + j
		}
		snippet := formSnippet(w)
		k.add(rank, Item{Label: w, Kind: "keyword", Detail: grammar.StatementForm(w), Doc: meaningOf(w),
			Insert: snippet, Snippet: strings.Contains(snippet, "${"), Plain: w + " "})
	}
	if k.mayBegin("fixture") && k.mayBegin("drain") {
		for i, fx := range catalog.FixtureKinds() {
			if it, ok := k.wholeFixture(fx); ok {
				k.add(400+i, it)
			}
		}
	}
}

// mayBegin tells whether a statement may stand where the line stands.
func (k *cursor) mayBegin(word string) bool {
	switch {
	case k.line.typical != nil:
		switch word {
		case "end", "room", "meet", "except", "waive", "note", "place", "dwelling":
			return true
		case "main", "outfall":
			return false
		}
		return isRun(word) || isPoint(word)
	case word == "end":
		return false
	case k.file.path != k.Path && k.Path != "":
		switch word {
		case "level", "room", "typical", "note", "include":
			return true
		}
		return false
	}
	switch word { // what stands once
	case "plan", "code", "occupancy", "scope", "method", "climate":
		return !slices.ContainsFunc(k.file.stmts, func(s placed) bool { return s.Keyword() == word && s.Pos().Start != k.line.start })
	}
	return true
}

// formSnippet is the least form of a statement with tab stops.
func formSnippet(word string) string {
	forms := map[string]string{
		"plan": `plan "${1:title}"`, "code": "code ${1:upc-2021}", "occupancy": "occupancy ${1:private}", "scope": "scope ${1:drainage vents water}",
		"default": "default ${1:drain} ${2:abs}", "method": "method ${1:table}", "climate": "climate winter ${1:-10F}",
		"include": `include "${1:typicals.weir}"`, "note": `note "${1:text}"`, "building": "building ${1:name}",
		"level": "level ${1:name} at ${2:0'}", "roof": "roof at ${1:20'}", "room": "room ${1:name} on ${2:level}",
		"fixture": "fixture ${1:NAME} ${2:kind}", "main": "main ${1:M} at ${2:-3'} ${3:60psi}", "outfall": "outfall ${1:SEW} at ${2:-4'}",
		"terminal": "terminal ${1:V1} roof rise ${2:12\"}", "heater": "heater ${1:WH} in ${2:room} storage ${3:50gal}",
		"manifold": "manifold ${1:PM} in ${2:room}", "ejector": "ejector ${1:E1} in ${2:room} inlet ${3:-13\"}",
		"interceptor": "interceptor ${1:G1} ${2:grease} at ${3:-3'}", "fitting": "fitting ${1:k1} ${2:sanitary-tee}",
		"object": "object ${1:CAN1} ${2:recessed-light} in ${3:room} at ${4:6',3',8'}", "existing": "existing ${1:drain} ${2:BD} ${3:4\"}",
		"typical": "typical ${1:name}\n$0\nend", "place": "place ${1:typical} as ${2:A}", "except": "except ${1:A} ${2:no drain k1 to k2}",
		"meet": "meet ${1:k1} ${2:k2}", "inspection": "inspection ${1:rough-in} on ${2:2026-01-31}", "dwelling": "dwelling baths ${1:2} bedrooms ${2:3}",
		"found": "found ${1:WC1} ${2:side 15\"}", "test": "test ${1:drainage} water ${2:10'} for ${3:15min} ${4:held}",
		"waive": `waive ${1:rule} on ${2:subject} because "${3:reason}"`, "end": "end",
	}
	if s, ok := forms[word]; ok {
		return s
	}
	return word + " ${1:FROM} to ${2:TO} ${3:2\"}: $0"
}

// includes offers the files that are at hand.
func (k *cursor) includes() {
	for i, path := range k.paths() {
		if path == k.file.path || path == k.Path {
			continue
		}
		k.add(i, Item{Label: path, Kind: "file", Insert: `"` + path + `"`})
	}
}

// header offers what follows in header lines, places, repeats and records.
func (k *cursor) header(keyword string, words []token) {
	prev := last(words, 0)
	n := len(words)
	switch keyword {
	case "code":
		switch {
		case n == 1:
			for i, b := range codebook.Names() {
				k.add(i, Item{Label: b, Kind: "book"})
			}
		case prev == "amended":
			k.add(0, Item{Label: "by", Kind: "keyword"})
		case n == 2:
			k.add(0, Item{Label: "amended", Kind: "keyword", Detail: "a city's amendments over the book", Insert: `amended by "${1:city.toml}"`, Snippet: true, Plain: "amended by "})
		}
	case "occupancy":
		if n == 1 {
			k.words("choice", catalog.Occupancies(), nil)
		}
	case "scope":
		k.words("choice", []string{"drainage", "vents", "water"}, words)
	case "default":
		k.defaults(words)
	case "method":
		if n == 1 {
			k.words("choice", []string{"table", "engineered"}, nil)
		}
	case "climate":
		if n == 1 {
			k.words("keyword", []string{"winter"}, nil)
		}
	case "level", "roof":
		k.levelLine(keyword, words)
	case "room":
		k.roomLine(words)
	case "dwelling":
		k.attrs(keyword, words[1:], nil)
	case "meet":
		k.points("", words[1:])
	case "place":
		k.placeLine(words)
	default:
		k.record(keyword, words)
	}
}

func (k *cursor) defaults(words []token) {
	switch prev := last(words, 0); {
	case len(words) == 1:
		k.words("choice", []string{"drain", "vent", "water", "fall", "stop"}, nil)
	case prev == "fall":
		k.add(0, Item{Label: "1/4", Kind: "measure", Detail: "inches a foot"})
	case prev == "water":
		k.materials("cold")
	case prev == "drain" || prev == "vent":
		k.materials(prev)
	}
}

func (k *cursor) levelLine(keyword string, words []token) {
	switch prev := last(words, 0); {
	case prev == "of":
		k.symbols(buildings, "place")
	case prev == "at" || prev == "every":
	case len(words) > 1 || keyword == "roof":
		list := []string{"at", "every", "of"}
		if keyword == "roof" {
			list = []string{"at", "of"}
		}
		k.words("keyword", list, words)
	}
}

func (k *cursor) roomLine(words []token) {
	switch prev := last(words, 0); {
	case len(words) == 1:
	case prev == "on":
		k.symbols(levels, "place")
	case prev == "use":
		k.words("choice", catalog.RoomUses(), nil)
	case prev == "of":
		k.symbols(dwellings, "place")
	case prev == "ceiling":
	default:
		k.words("keyword", []string{"on", "use", "of", "ceiling"}, words)
		if !slices.ContainsFunc(words, func(t token) bool { return slices.Contains(catalog.Occupancies(), t.text) }) {
			k.words("choice", catalog.Occupancies(), nil)
		}
	}
}

func (k *cursor) placeLine(words []token) {
	switch prev := last(words, 0); {
	case len(words) == 1:
		k.symbols(typicals, "name")
	case len(words) == 2:
		k.words("keyword", []string{"as"}, nil)
	case prev == "as":
		k.add(0, Item{Label: k.freeName(words[1].text), Kind: "copy", Detail: "a name that is free"})
	case prev == "in":
		k.symbols(rooms, "place")
	case prev == "on":
		k.symbols(levels, "place")
	case prev == "at":
	case prev == "every":
		k.words("direction", catalog.Directions()[:8], nil)
	case prev == "facing":
		k.words("direction", []string{"north", "south", "east", "west"}, nil)
	case slices.Contains(catalog.Directions(), prev) && last(words, 1) == "every":
	default:
		k.words("keyword", []string{"in", "on", "at", "every", "opposite-hand", "facing"}, words[3:])
	}
}

// except offers the copies, then what is replaced or taken away in them.
func (k *cursor) except(words []token) {
	switch {
	case len(words) == 1:
		k.copies()
	case len(words) == 2:
		k.words("keyword", []string{"no"}, nil)
		for i, w := range grammar.Keywords() {
			if isRun(w) || isPoint(w) && w != "main" && w != "outfall" || w == "meet" || w == "place" {
				k.add(200+i, Item{Label: w, Kind: "keyword", Detail: grammar.StatementForm(w)})
			}
		}
	default:
		inner := *k
		if t := k.typicalNamed(words[1].text); t != nil {
			inner.line.typical = t
		}
		if words[2].text != "no" {
			inner.statement(words[2:])
		} else if len(words) == 3 {
			for i, w := range grammar.Keywords() {
				if isRun(w) || isPoint(w) && w != "main" && w != "outfall" || w == "meet" || w == "place" {
					inner.add(i, Item{Label: w, Kind: "keyword"})
				}
			}
		} else if len(words) == 4 || last(words, 0) == "to" {
			inner.points("", nil)
		} else if len(words) == 5 && isRun(words[3].text) {
			inner.words("keyword", []string{"to"}, nil)
		}
		k.out = inner.out
	}
}

// typicalNamed is the typical of a copy named in the line's scope; nil where
// none is.
func (k *cursor) typicalNamed(copy string) *grammar.Typical {
	name, _, _ := strings.Cut(copy, "..")
	t, ok := k.names.typicals[k.names.typicalOf(symbol{points, k.scope(), name})]
	if !ok {
		return nil
	}
	return t.Statement.(*grammar.Typical)
}
