package grammars

import (
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"

	"crownweir/grammar"
	"crownweir/grammar/catalog"
)

// position is what the tokens behind the first word of a line are, where
// their place tells it and not the word itself.
type position struct {
	id       string
	keywords []string
	first    class
	slots    []slot
}

// slot is one token of a position. A token that does not fit ends it.
type slot struct {
	class    class
	words    []string // one of these; nil: any name or range of names
	except   []string // names that it is not, besides the reserved words
	optional bool     // the next slot may stand in its place
}

func positions() []position {
	naming := slot{class: defined}
	referring := slot{class: name}
	listed := []position{
		{"Roof", []string{"roof"}, statement, []slot{naming}},
		{"Dwelling", []string{"dwelling"}, statement, []slot{{class: defined, except: []string{"baths", "bedrooms"}}}},
		{"Existing", []string{"existing"}, statement, []slot{{class: value, words: []string{"drain", "stack", "supply", "vent", "vents"}}, naming}},
		{"Run", catalog.Systems(), system, []slot{referring, {class: joint, words: []string{"to"}}, referring}},
		{"Place", []string{"place"}, statement, []slot{referring, {class: joint, words: []string{"as"}}, naming}},
		{"Except", []string{"except"}, statement, []slot{
			referring,
			{class: joint, words: []string{"no"}, optional: true},
			{class: statement, words: grammar.Keywords()},
			referring,
		}},
		{"Found", []string{"found"}, statement, []slot{{class: system, words: catalog.Systems(), optional: true}, referring}},
		{"Word", []string{"code", "waive", "inspection"}, statement, []slot{{class: value}}},
		{"Naming", []string{
			"building", "level", "room", "typical", "fixture", "main", "outfall", "terminal", "heater",
			"manifold", "ejector", "interceptor", "fitting", "object",
		}, statement, []slot{naming}},
	}
	bare := position{id: "Bare", first: statement}
	for _, keyword := range grammar.Keywords() {
		if !slices.ContainsFunc(listed, func(p position) bool { return slices.Contains(p.keywords, keyword) }) {
			bare.keywords = append(bare.keywords, keyword)
		}
	}
	return append(listed, bare)
}

var listedPositions = sync.OnceValue(positions)

// referring are the joints that a name follows.
func referring() []string { return []string{"to", "in", "on", "of", "as", "above", "below"} }

// reserved are the words that are never names.
func reserved() []string {
	return []string{"to", "at", "in", "on", "of", "as", "above", "below", "roof", "rise", "suit", "every", "no"}
}

func TestEveryStatementHasOnePosition(t *testing.T) {
	count := map[string]int{}
	for _, p := range positions() {
		for _, keyword := range p.keywords {
			count[keyword]++
		}
	}
	for _, keyword := range grammar.Keywords() {
		assert.Equal(t, 1, count[keyword], keyword)
		delete(count, keyword)
	}
	assert.Empty(t, count, "no statement begins so")
	for _, word := range reserved() {
		file := grammar.Parse("p.weir", "building "+word+"\n")
		assert.NotEmpty(t, file.Problems, "%s is a name after all", word)
	}
}
