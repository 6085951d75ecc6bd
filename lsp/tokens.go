package lsp

import (
	"context"
	"encoding/binary"
	"fmt"
	"hash/fnv"
	"slices"
	"strconv"

	"go.lsp.dev/protocol"

	"crownweir/grammar"
	"crownweir/lsp/answer"
)

// tokenLegend is LSP 3.17, SemanticTokensLegend.
type tokenLegend struct {
	TokenTypes     []string `json:"tokenTypes"`
	TokenModifiers []string `json:"tokenModifiers"`
}

// tokenProvider is LSP 3.17, SemanticTokensOptions, which the library lacks.
type tokenProvider struct {
	Legend tokenLegend     `json:"legend"`
	Range  bool            `json:"range"`
	Full   map[string]bool `json:"full"`
}

func tokenOptions() tokenProvider {
	return tokenProvider{tokenLegend{answer.TokenTypes(), answer.TokenModifiers()}, true, map[string]bool{"delta": true}}
}

// coloured is what a client was last told of a document's tokens.
type coloured struct {
	id   string
	data []uint32
}

func (s *Server) tokens(ctx context.Context, now *snapshot, p *documentParams) (*coloursOf, error) {
	got, _, err := s.colour(ctx, now, p.TextDocument.URI)
	if got == nil {
		return nil, err
	}
	return &coloursOf{got.id, got.data}, nil
}

// deltaParams is LSP 3.17, SemanticTokensDeltaParams.
type deltaParams struct {
	documentParams
	PreviousResultID string `json:"previousResultId"`
}

// tokensDelta answers with what changed since the result the client has, or
// with all tokens where that is not known any more.
func (s *Server) tokensDelta(ctx context.Context, now *snapshot, p *deltaParams) (any, error) {
	got, before, err := s.colour(ctx, now, p.TextDocument.URI)
	if got == nil {
		return nil, err
	}
	if before == nil || before.id != p.PreviousResultID {
		return &coloursOf{got.id, got.data}, nil
	}
	return &protocol.SemanticTokensDelta{ResultID: got.id, Edits: delta(before.data, got.data)}, nil
}

// delta is the one stretch in which two lists differ.
func delta(before, after []uint32) []protocol.SemanticTokensEdit {
	start := 0
	for start < len(before) && start < len(after) && before[start] == after[start] {
		start++
	}
	if start == len(before) && start == len(after) {
		return []protocol.SemanticTokensEdit{}
	}
	end := 0
	for end < len(before)-start && end < len(after)-start && before[len(before)-1-end] == after[len(after)-1-end] {
		end++
	}
	return []protocol.SemanticTokensEdit{{
		Start: uint32(start), DeleteCount: uint32(len(before) - end - start), Data: after[start : len(after)-end],
	}}
}

// colour works a document's tokens out and hands out those before them too.
func (s *Server) colour(ctx context.Context, now *snapshot, uri string) (got, before *coloured, err error) {
	v, path, err := s.view(ctx, now, uri, exact)
	if err != nil || v.plan == nil {
		return nil, nil, err
	}
	got = &coloured{data: v.tokens(path, grammar.Span{})}
	sum := fnv.New64a()
	var few [4096]byte
	for list := range slices.Chunk(got.data, len(few)/4) {
		some := few[:0]
		for _, n := range list {
			some = binary.LittleEndian.AppendUint32(some, n)
		}
		sum.Write(some)
	}
	got.id = fmt.Sprintf("%016x", sum.Sum64())
	l := now.checks[placeOf(uri).key].lane
	l.mu.Lock()
	defer l.mu.Unlock()
	before, l.colours = l.colours, got
	return got, before, nil
}

func (s *Server) tokensRange(ctx context.Context, now *snapshot, p *rangeParams) (*coloursOf, error) {
	v, path, err := s.view(ctx, now, p.TextDocument.URI, exact)
	if err != nil || v.plan == nil {
		return nil, err
	}
	span := v.bytes(path, p.Range)
	if span.Start == span.End {
		return &coloursOf{}, nil
	}
	return &coloursOf{data: v.tokens(path, span)}, nil
}

// tokens are a span's tokens in the protocol's numbers: five for each, counted
// from the one before.
func (v view) tokens(path string, span grammar.Span) []uint32 {
	var found []answer.Token
	v.ask(func(plan *answer.Plan) { found = answer.SemanticTokens(plan, path, span) })
	data := make([]uint32, 0, 5*len(found))
	at := walk{text: v.files[path].text, enc: v.enc}
	var last protocol.Position
	for _, token := range found {
		start := at.position(token.Span.Start)
		end := at.position(token.Span.End)
		if end.Line != start.Line || end.Character <= start.Character {
			continue
		}
		character := start.Character
		if start.Line == last.Line {
			character -= last.Character
		}
		data = append(data, start.Line-last.Line, character, end.Character-start.Character, uint32(token.Type), uint32(token.Modifiers))
		last = start
	}
	return data
}

// coloursOf are tokens as they are written to the client: LSP 3.17,
// SemanticTokens.
type coloursOf struct {
	id   string
	data []uint32
}

// AppendJSON writes the numbers one after another: there are hundreds of
// thousands.
func (c *coloursOf) AppendJSON(to []byte) []byte {
	if c == nil {
		return append(to, "null"...)
	}
	to = append(to, '{')
	if c.id != "" { // of letters and digits
		to = append(append(append(to, `"resultId":"`...), c.id...), `",`...)
	}
	to = append(slices.Grow(to, 3*len(c.data)), `"data":[`...)
	for i, n := range c.data {
		if i > 0 {
			to = append(to, ',')
		}
		to = strconv.AppendUint(to, uint64(n), 10)
	}
	return append(to, "]}"...)
}
