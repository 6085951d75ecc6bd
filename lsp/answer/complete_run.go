package answer

import (
	"slices"
	"strings"

	"crownweir/grammar/catalog"
	"crownweir/grammar/system"
)

// run offers what may follow in a run: its ends, its head, its items.
func (k *cursor) run(words []token) {
	keyword := words[0].text
	if i := slices.IndexFunc(words, func(t token) bool { return t.kind == tokColon }); i >= 0 {
		k.items(keyword, words[:i], words[i+1:])
		return
	}
	chain := len(words) > 1 && strings.Contains(words[1].text, "..")
	switch {
	case len(words) == 1:
		k.points("from "+keyword, nil)
	case len(words) == 2 && !chain:
		k.words("keyword", []string{"to"}, nil)
	case len(words) == 3 && !chain:
		k.points("to "+keyword, words[1:2])
		if !strings.Contains(k.typed(), ".") && keyword != "sewer" {
			k.add(50, Item{Label: k.free(stemOf(keyword)), Kind: "name", Detail: "a new point"})
		}
	default:
		k.head(keyword, words)
	}
}

// stemOf is how new points of a system are called.
func stemOf(keyword string) string {
	switch keyword {
	case "vent":
		return "v"
	case "cold", "service":
		return "c"
	case "hot", "return":
		return "h"
	}
	return "d"
}

// head offers size, material and marks, in any order.
func (k *cursor) head(keyword string, words []token) {
	rest := words[min(4, len(words)):]
	if len(words) > 1 && strings.Contains(words[1].text, "..") {
		rest = words[2:]
	}
	switch prev := last(rest, 0); prev {
	case "as":
		k.symbols(tags, "name")
		return
	case "system":
		k.words("choice", catalog.Claims(), nil)
		return
	}
	if !slices.ContainsFunc(rest, func(t token) bool { return isSizeWord(t.text) }) {
		k.sizes(keyword, words)
	}
	if !slices.ContainsFunc(rest, func(t token) bool { return slices.Contains(catalog.Materials(), t.text) }) {
		k.materials(keyword)
	}
	list := []string{"as", "existing"}
	if keyword == "drain" || keyword == "vent" {
		list = append(list, "system")
	}
	k.words("keyword", list, rest)
}

func isSizeWord(word string) bool {
	return word == "?" || word != "" && (digit(word[0]) || word[0] >= 0x80)
}

// materials offers the materials of a system, those the plan uses first.
func (k *cursor) materials(keyword string) {
	list := []string{"abs", "pvc", "cast-iron", "copper-dwv", "galvanized", "pvc-80", "hdpe"}
	switch {
	case isWater(keyword):
		list = []string{"copper-k", "copper-l", "copper-m", "pex", "pe-rt", "cpvc", "galvanized", "pvc-80", "hdpe"}
	case keyword == "sewer":
		list = append(list, "clay")
	case keyword == "discharge" || keyword == "indirect":
		list = append(list, "copper-l", "copper-m", "cpvc")
	}
	used := k.facts.materials
	if sys := k.system(); sys != nil && used == nil {
		used = map[string]int{}
		for _, r := range sys.Runs {
			used[r.Material]++
		}
		k.facts.materials = used
	}
	for i, m := range list {
		rank, detail := 50+i, meaningOf(m)
		if n := used[m]; n > 0 {
			rank, detail = 30+i, detail+", "+plural(n, "run", "runs")+" in this plan"
		}
		k.add(rank, Item{Label: m, Kind: "material", Detail: detail})
	}
}

// items offers what may follow behind the colon.
func (k *cursor) items(keyword string, head, words []token) {
	item := words
	if i := lastComma(words); i >= 0 {
		item = words[i+1:]
	}
	if len(item) == 0 {
		k.itemStart(keyword, head, words)
		return
	}
	word := item[0].text
	switch {
	case word == "picks-up":
		if len(item) == 1 {
			k.points("leg", head[1:])
		}
	case word == "enters":
		if len(item) == 1 {
			k.words("choice", []string{"top", "side", "heel"}, nil)
		}
	case word == "over", slices.Contains(catalog.Directions(), word):
		k.leg(keyword, word, item, head)
	case slices.Contains(catalog.Devices(), word):
		k.attrs(word, item[1:], nil)
	}
}

func lastComma(words []token) int {
	for i := len(words) - 1; i >= 0; i-- {
		if words[i].kind == tokComma {
			return i
		}
	}
	return -1
}

// itemStart offers the first word of an item: directions, the devices of the
// system, turns.
func (k *cursor) itemStart(keyword string, head, words []token) {
	rank := 10
	offer := func(kind string, list []string) {
		for _, w := range list {
			rank++
			detail := meaningOf(w)
			if kind == "direction" {
				detail = wayOf(w)
			}
			k.add(rank, Item{Label: w, Kind: kind, Detail: detail})
		}
	}
	if keyword == "drain" && !written(words, "trap") && len(head) > 1 {
		if q := k.pointOf(head[1].text); q != nil && q.Kind == system.Fixture && !q.Fixture.OwnTrap && q.Fixture.NeedsDrain {
			k.add(1, Item{Label: "trap", Kind: "device", Detail: "the trap of " + head[1].text})
		}
	}
	dirs := catalog.Directions()
	offer("direction", dirs[:4])
	offer("direction", []string{"up", "down"})
	offer("direction", dirs[4:8])
	offer("direction", append([]string{"over"}, dirs[10:]...))
	offer("device", devicesOf(keyword))
	offer("turn", catalog.Turns())
	offer("keyword", []string{"picks-up", "enters"})
}

// devicesOf lists the devices that stand in a system.
func devicesOf(keyword string) []string {
	switch {
	case isWater(keyword):
		return []string{"valve", "meter", "regulator", "backflow", "vacuum-breaker", "arrester", "softener", "filter", "strainer", "expansion-tank", "relief-valve", "loss", "primer"}
	case keyword == "vent":
		return []string{"cleanout"}
	case keyword == "indirect":
		return []string{"air-gap", "air-break", "trap", "valve", "cleanout"}
	case keyword == "discharge":
		return []string{"valve", "cleanout"}
	}
	return []string{"trap", "cleanout", "flange", "backwater-valve", "air-gap", "air-break", "interceptor", "primer"}
}

// leg offers a leg's length, fall and marks.
func (k *cursor) leg(keyword, word string, item, head []token) {
	k.key = "leg"
	rises := word == "up" || word == "down" || strings.HasPrefix(word, "up-") || strings.HasPrefix(word, "down-")
	slants := rises && strings.Contains(word, "-")
	prev := last(item, 0)
	switch {
	case len(item) == 1:
		list := []string{"to"}
		if slants {
			list = append(list, "across")
		}
		k.words("keyword", list, nil)
		k.lengths()
		return
	case prev == "to":
		k.words("keyword", []string{"suit"}, nil)
		if word == "up" || strings.HasPrefix(word, "up-") {
			if keyword == "vent" {
				k.add(1, Item{Label: "roof", Kind: "keyword", Detail: "through the roof, to the terminal"})
			}
			k.turnHeight(keyword, head)
		}
		if word != "over" {
			k.points("leg", head[1:2])
		}
		return
	case prev == "above" || prev == "below":
		k.symbols(levels, "place")
		return
	case prev == "fall":
		k.add(0, Item{Label: "to suit", Kind: "keyword", Detail: "one fall between two heights"})
		k.add(1, Item{Label: "1/4", Kind: "measure", Detail: "inches a foot"})
		return
	case prev == "across" || prev == "drop":
		return
	}
	if k.attrValue("leg", "drain", item[1:]) {
		return
	}
	if !rises && !isWater(keyword) && !written(item, "fall") && !written(item, "drop") {
		k.words("attribute", []string{"fall", "drop"}, item)
	}
	if written(item, "to") && rises && len(item) == 3 && isSizeWord(prev) {
		k.words("keyword", []string{"above", "below"}, item)
	}
	k.attrs("drain", item[1:], nil)
}

// lengths offers the lengths that are written most in the plan's legs.
func (k *cursor) lengths() {
	order := k.file.legs()
	slices.SortStableFunc(order, func(a, b legLength) int { return b.count - a.count })
	for i, t := range order[:min(5, len(order))] {
		k.add(20+i, Item{Label: t.text, Kind: "measure", Detail: "written " + plural(t.count, "time", "times")})
	}
}

// turnHeight offers the height at which a vent may first turn.
func (k *cursor) turnHeight(keyword string, head []token) {
	if keyword != "vent" || len(head) < 2 || k.c == nil {
		return
	}
	rise := k.c.Book.Number("vent-rise")
	q := k.pointOf(head[1].text)
	if q == nil || !rise.OK {
		return
	}
	for _, arm := range k.c.Vents.Arms {
		for _, s := range arm.Walk {
			if s.Pipe.To != q.Node {
				continue
			}
			if rim := arm.Fixture.Rim(); rim.Known() {
				need := rim.V - arm.Fixture.Floor() + rise.Metres()
				k.add(0, Item{Label: length(need), Kind: "measure", Detail: "the least before it turns: the rim of " + arm.Fixture.Name + " and " + length(rise.Metres()) + cite(rise)})
				return
			}
		}
	}
}
