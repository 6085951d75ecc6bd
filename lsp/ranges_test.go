package lsp

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.lsp.dev/protocol"

	"crownweir/grammar"
)

func TestItem39SemanticTokens(t *testing.T) {
	p := serve(t, Options{})
	var hello struct {
		Capabilities struct {
			SemanticTokensProvider struct {
				Legend struct{ TokenTypes, TokenModifiers []string }
				Range  bool
				Full   struct{ Delta bool }
			}
		}
	}
	require.NoError(t, json.Unmarshal(p.hello(fullClient), &hello))
	legend := hello.Capabilities.SemanticTokensProvider
	assert.True(t, legend.Range && legend.Full.Delta)
	document := object{"uri": house}
	type tokens struct {
		ResultID string
		Data     []uint32
		Edits    []struct {
			Start, DeleteCount int
			Data               []uint32
		}
	}
	check := func(source string, data []uint32) {
		require.Zero(t, len(data)%5)
		text := newText(source)
		var line, character uint32
		for i := 0; i < len(data); i += 5 {
			if data[i] > 0 {
				character = 0
			}
			line, character = line+data[i], character+data[i+1]
			assert.True(t, i == 0 || data[i] > 0 || data[i+1] >= data[i-5+2], "sorted and apart")
			start, end := text.line(int(line))
			assert.LessOrEqual(t, int(character+data[i+2]), units(source[start:end], utf16Units), "on one line")
			assert.Less(t, int(data[i+3]), len(legend.Legend.TokenTypes))
			assert.Less(t, int(data[i+4]), 1<<len(legend.Legend.TokenModifiers))
		}
	}
	version := 0
	for name, source := range corpus(t) {
		if version++; version > 60 {
			break
		}
		source = "# é🚰\n" + source
		if version == 1 {
			p.open(house, version, source)
		} else {
			p.change(house, version, whole(source))
		}
		var full, part, delta tokens
		p.ask("textDocument/semanticTokens/full", object{"textDocument": document}, &full)
		check(source, full.Data)
		assert.NotEmpty(t, full.Data, name)
		p.ask("textDocument/semanticTokens/range", object{"textDocument": document, "range": object{"start": object{"line": 3, "character": 0}, "end": object{"line": 9, "character": 0}}}, &part)
		check(source, part.Data)
		assert.Less(t, len(part.Data), len(full.Data)+1)

		version++
		p.change(house, version, edit(0, 0, 0, "note \"z\"\n"))
		p.ask("textDocument/semanticTokens/full/delta", object{"textDocument": document, "previousResultId": full.ResultID}, &delta)
		require.Nil(t, delta.Data)
		patched := append([]uint32{}, full.Data...)
		for _, e := range delta.Edits {
			patched = append(patched[:e.Start], append(append([]uint32{}, e.Data...), patched[e.Start+e.DeleteCount:]...)...)
		}
		var again tokens
		p.ask("textDocument/semanticTokens/full", object{"textDocument": document}, &again)
		assert.Equal(t, again.Data, patched, name)
		var unknown tokens
		p.ask("textDocument/semanticTokens/full/delta", object{"textDocument": document, "previousResultId": "other"}, &unknown)
		assert.Equal(t, again.Data, unknown.Data)
	}
}

// Whatever is asked at whatever place of whatever plan, each answer's ranges
// stand in the document.
func TestRangesStandInTheDocument(t *testing.T) {
	step := 9
	if testing.Short() {
		step = 60
	}
	p := serve(t, Options{})
	p.hello(fullClient)
	version, plans, ranges := 0, 0, 0
	all := corpus(t)
	for _, name := range sortedKeys(all) { // in order, so that a short run is the same every time
		if plans++; plans%step != 0 {
			continue
		}
		source := all[name]
		version++
		if version == 1 {
			p.open(house, version, source)
		} else {
			p.change(house, version, whole(source))
		}
		text := newText(source)
		for n := 0; n < len(source); n += 131 {
			at := text.position(n, utf16Units)
			for _, method := range everyRequest {
				ask := everyParams(house)
				ask["position"], ask["positions"] = at, []any{at}
				ask["range"] = object{"start": at, "end": at}
				got := p.reply(p.start(method, ask))
				if got.Error != nil {
					assert.Contains(t, []int{-32803}, got.Error.Code, "%s: %s", method, got.Error.Message)
					continue
				}
				if strings.HasPrefix(method, "completionItem/") {
					continue
				}
				ranges += rangesIn(t, got.Result, text, name+" "+method)
			}
			p.forget()
		}
	}
	assert.Greater(t, ranges, 1000)
}

// rangesIn counts the ranges in a result and holds them to the document.
func rangesIn(t *testing.T, raw json.RawMessage, text *text, what string) int {
	var value any
	require.NoError(t, json.Unmarshal(raw, &value))
	n := 0
	var walk func(v any)
	walk = func(v any) {
		switch v := v.(type) {
		case []any:
			for _, one := range v {
				walk(one)
			}
		case map[string]any:
			var r struct{ Start, End *protocol.Position }
			if again, err := json.Marshal(v); err == nil && json.Unmarshal(again, &r) == nil && r.Start != nil && r.End != nil {
				n++
				span := text.bytes(protocol.Range{Start: *r.Start, End: *r.End}, utf16Units)
				assert.Equal(t, protocol.Range{Start: *r.Start, End: *r.End}, text.span(grammar.Span{Start: span.Start, End: span.End}, utf16Units), what)
			}
			for _, one := range v {
				walk(one)
			}
		}
	}
	walk(value)
	return n
}
