package answer

import (
	"fmt"
	"slices"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/catalog"
	"crownweir/grammar/system"
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
	f := p.page(path)
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
	at := cursor{Plan: p, file: f, names: p.pageNames(), facts: known, c: c, line: l, offset: offset}
	at.split()
	at.statement(at.before)
	return at.sorted()
}

// cursor is a place in a statement that is being written.
type cursor struct {
	*Plan
	file    *file
	names   *names
	facts   *facts
	c       *rule.Case // nil where nothing was judged
	line    line
	offset  int
	before  []token // the words before the one that is being written
	word    token   // that word; empty between words
	key     string  // whose words are offered: a statement's, an attribute's
	out     []offered
	streams []stream

	above  []bool                // by its number, every node from which drains lead to the run's start
	bare   map[*system.Node]bool // on the arms of traps without a vent
	inRoom string                // the room that a fixture here stands in
	frees  map[string]string     // names that are free, by their stem
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
	k.out = append(k.out, offered{rank: min(rank, 999), Item: it})
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
	if k.file.empty() {
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
		return word == "end" || standsInTypical(word)
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
		return !slices.ContainsFunc(k.file.headers(word), func(start int) bool { return start != k.line.start })
	}
	return true
}

func standsInTypical(word string) bool {
	switch word {
	case "room", "meet", "except", "waive", "note", "place", "dwelling":
		return true
	case "main", "outfall":
		return false
	}
	return isRun(word) || isPoint(word)
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
