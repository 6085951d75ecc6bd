package lsp

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.lsp.dev/protocol"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lsp/answer"
)

// What is written by appending reads as what the library's types are written as.
func TestAppendedAnswers(t *testing.T) {
	text := newText("é \"x\"\ttab\nsecond 🚰 line\n")
	at := func(start, end int) system.Loc { return system.Loc{Span: grammar.Span{Start: start, End: end}} }
	found := []answer.Symbol{
		{Name: "é \"x\"\ttab", Detail: "a\\b <c> \x00 \xff", Kind: "room", At: at(0, len(text.source)), Select: at(3, 6), Children: []answer.Symbol{
			{Name: "second", Kind: "run", At: at(11, 29), Select: at(18, 22)},
		}},
		{Name: "", Kind: "no such kind", At: at(2, 2), Select: at(2, 2)},
	}
	for _, enc := range encodings {
		v := view{enc: enc, files: map[string]judgedFile{"": {text: text}}}
		var of func(list []answer.Symbol) []protocol.DocumentSymbol
		of = func(list []answer.Symbol) (out []protocol.DocumentSymbol) {
			for _, s := range list {
				out = append(out, protocol.DocumentSymbol{Name: s.Name, Detail: s.Detail, Kind: symbolKind(s.Kind),
					Range: v.span(s.At), SelectionRange: v.span(s.Select), Children: of(s.Children)})
			}
			return out
		}
		want, err := json.Marshal(of(found))
		require.NoError(t, err)
		got := (&tree{found, walk{text: text, enc: enc}}).AppendJSON(nil)
		assert.JSONEq(t, string(want), string(got))
	}
	for _, c := range []coloursOf{{}, {"0a", []uint32{0, 4000000000, 12}}} {
		want, err := json.Marshal(protocol.SemanticTokens{ResultID: c.id, Data: append([]uint32{}, c.data...)})
		require.NoError(t, err)
		got := c.AppendJSON(nil)
		assert.JSONEq(t, string(want), string(got))
	}
	assert.Equal(t, "null", string((*coloursOf)(nil).AppendJSON(nil)))
	assert.Equal(t, "[]", string((&tree{}).AppendJSON(nil)))
}
