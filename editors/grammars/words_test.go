package grammars

import (
	"encoding/json"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar"
	"crownweir/grammar/catalog"
)

// class is what a token looks like to a reader.
type class string

const (
	comment   class = "comment"
	text      class = "text"
	openText  class = "open-text" // a text without its closing mark
	statement class = "statement" // the first word of a line
	system    class = "system"    // the first word of a run
	defined   class = "defined"   // the name a line gives
	name      class = "name"      // a name that stands elsewhere
	joint     class = "joint"     // to, at, in, …
	measure   class = "measure"
	unsolved  class = "unsolved" // `?` and `unknown`: asked, not known yet
	kind      class = "kind"     // of fixture
	device    class = "device"   // device, turn, or fitting at a point
	direction class = "direction"
	material  class = "material"
	attribute class = "attribute"
	value     class = "value" // a word of a closed list
)

// look is how one class is called in each editor, by names that every theme of
// that editor colours.
type look struct {
	Class class  `json:"class"`
	Scope string `json:"scope"` // TextMate and Sublime Text, without the language's suffix
	Vim   string `json:"vim"`   // the group linked to
	Face  string `json:"face"`  // Emacs
	Style string `json:"style"` // Kate, without ds
}

func looks() []look {
	return []look{
		{comment, "comment.line.number-sign", "Comment", "font-lock-comment-face", "Comment"},
		{text, "string.quoted.double", "String", "font-lock-string-face", "String"},
		{openText, "invalid.illegal.open-text", "Error", "font-lock-warning-face", "Error"},
		{statement, "keyword.control.statement", "Statement", "font-lock-keyword-face", "Keyword"},
		{system, "storage.type.system", "StorageClass", "font-lock-builtin-face", "ControlFlow"},
		{defined, "entity.name.function.point", "Function", "font-lock-function-name-face", "Function"},
		{name, "variable.other.name", "Identifier", "default", "Variable"},
		{joint, "keyword.other.joint", "Keyword", "font-lock-keyword-face", "Operator"},
		{measure, "constant.numeric.measure", "Number", "font-lock-constant-face", "DecVal"},
		{unsolved, "constant.language.unsolved", "Todo", "font-lock-warning-face", "Warning"},
		{kind, "support.type.kind", "Type", "font-lock-type-face", "DataType"},
		{device, "support.function.device", "PreProc", "font-lock-preprocessor-face", "BuiltIn"},
		{direction, "keyword.operator.direction", "Operator", "font-lock-preprocessor-face", "Import"},
		{material, "support.class.material", "Structure", "font-lock-type-face", "Extension"},
		{attribute, "entity.other.attribute-name", "Label", "font-lock-variable-name-face", "Attribute"},
		{value, "constant.language.value", "Constant", "font-lock-constant-face", "Constant"},
	}
}

// looksFile hands the looks to the editors' tests.
func looksFile(t *testing.T, _ string) string {
	t.Helper()
	b, err := json.MarshalIndent(looks(), "", "  ")
	require.NoError(t, err)
	return string(b) + "\n"
}

// words are the words of one class that are known wherever they stand.
type words struct {
	class class
	list  []string
}

// vocabulary is every known word, in the order in which a word that could be
// two things is taken: a trap is a device before it is an attribute.
var vocabulary = sync.OnceValue(func() []words {
	list := []words{
		{device, slices.Concat(catalog.Devices(), catalog.Turns(), catalog.Fittings())},
		{direction, append(catalog.Directions(), "over")},
		{material, catalog.Materials()},
		{kind, catalog.FixtureWords()},
		{system, catalog.Systems()},
		{unsolved, []string{"unknown"}},
		{joint, joints()},
		{attribute, attributes()},
		{value, values()},
	}
	seen := map[string]bool{}
	for i := range list {
		list[i].list = slices.DeleteFunc(list[i].list, func(word string) bool {
			again := seen[word]
			seen[word] = true
			return again
		})
	}
	return list
})

// joints are the small words between the others. No table of the notation
// lists them; TestWordsAreOfTheNotation holds them to it.
func joints() []string {
	return []string{
		"to", "at", "in", "on", "of", "as", "above", "below", "suit", "every", "no", "by", "for",
		"with", "without", "because", "approved", "until", "amended", "across", "invert",
	}
}

// legWords stand in the items of a run and in no table of attributes.
func legWords() []string {
	return []string{"fall", "drop", "picks-up", "enters", "top", "side", "heel", "system", "rise"}
}

// attributes are the words that a value follows, or that say something alone.
func attributes() []string {
	var list []string
	for _, word := range slices.Concat(grammar.Keywords(), []string{"leg"}, catalog.Devices(), []string{"interceptor run"}) {
		for _, spec := range grammar.AttrSpecs(word) {
			if first := strings.Fields(spec.Form)[0]; first == spec.Key {
				list = append(list, first)
			}
		}
	}
	list = append(list, legWords()...)
	closed := values()
	for _, form := range forms() {
		for _, word := range form.words {
			if !slices.Contains(closed, word) {
				list = append(list, word)
			}
		}
	}
	return list
}

// values are the words of the closed lists.
func values() []string {
	list := slices.Concat(catalog.Claims(), catalog.RoomUses(), catalog.Studs(), catalog.Joists())
	for _, word := range slices.Concat(grammar.Keywords(), catalog.Devices(), []string{"leg", "interceptor run"}) {
		for _, spec := range grammar.AttrSpecs(word) {
			list = append(list, spec.Words...)
		}
	}
	for _, form := range forms() {
		for _, choice := range form.choices {
			list = append(list, choice...)
		}
	}
	return list
}

// form is the small words of a statement's form.
type form struct {
	keyword string
	words   []string   // alone: `[ceiling LENGTH]`
	choices [][]string // one of several: `sewer|septic`
}

func forms() []form {
	var list []form
	for _, keyword := range grammar.Keywords() {
		f := form{keyword: keyword}
		for _, token := range strings.FieldsFunc(grammar.StatementForm(keyword), func(r rune) bool { return strings.ContainsRune(" []:,", r) }) {
			token = strings.TrimSuffix(token, "...")
			parts := strings.Split(token, "|")
			switch {
			case token == "or" || token == keyword || !isLower(parts[0]):
			case len(parts) > 1:
				f.choices = append(f.choices, parts)
			default:
				f.words = append(f.words, token)
			}
		}
		list = append(list, f)
	}
	return list
}

func isLower(word string) bool {
	return word != "" && strings.Trim(word, "abcdefghijklmnopqrstuvwxyz-") == ""
}

var classes = sync.OnceValue(func() map[string]class {
	index := map[string]class{}
	for _, w := range vocabulary() {
		for _, word := range w.list {
			index[word] = w.class
		}
	}
	return index
})

// classOf is the class of a word that stands anywhere, name where it is none.
func classOf(word string) class {
	if c, ok := classes()[word]; ok {
		return c
	}
	return name
}

func TestEveryWordIsKnown(t *testing.T) {
	for _, word := range catalog.FixtureWords() {
		assert.Equal(t, kind, classOf(word), word)
	}
	for _, word := range catalog.Materials() {
		assert.Equal(t, material, classOf(word), word)
	}
	for _, keyword := range slices.Concat(grammar.Keywords(), []string{"leg"}) {
		for _, spec := range grammar.AttrSpecs(keyword) {
			for _, word := range append(spec.Words, strings.Fields(spec.Form)[0]) {
				if isLower(word) {
					assert.NotEqual(t, name, classOf(word), word)
				}
			}
		}
	}
	for _, w := range vocabulary() {
		assert.NotEmpty(t, w.list, "%s", w.class)
	}
}

// The words that are written down here are words of the notation: the parser
// reads each of them in the sample without a problem.
func TestWordsAreOfTheNotation(t *testing.T) {
	sample := plans(t)["../testdata/colours.weir"]
	var read []string
	for _, s := range grammar.Parse("colours.weir", sample).Statements {
		one := sample[s.Pos().Start:s.Pos().End]
		if len(grammar.Parse("colours.weir", one).Problems) == 0 {
			read = append(read, tokensOf(one)...)
		}
	}
	require.Greater(t, len(read), 200)
	for _, word := range slices.Concat(joints(), legWords(), []string{"over", "unknown"}) {
		assert.True(t, slices.Contains(read, word), "%s stands in no statement of the sample that is read", word)
	}
}
