package answer

import (
	"slices"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/catalog"
	"crownweir/lint/codebook"
)

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
		k.out, k.streams = inner.out, inner.streams
	}
}

// typicalNamed is the typical of a copy named in the line's scope; nil where
// none is.
func (k *cursor) typicalNamed(copy string) *grammar.Typical {
	name, _, _ := strings.Cut(copy, "..")
	t, ok := k.names.typical(k.names.typicalOf(symbol{points, k.scope(), name}))
	if !ok {
		return nil
	}
	return t.Statement.(*grammar.Typical)
}
