package lsp

import (
	"context"
	"fmt"
	"hash/fnv"
	"slices"

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

func (s *Server) tokens(ctx context.Context, now *snapshot, p *documentParams) (*protocol.SemanticTokens, error) {
	got, _, err := s.colour(ctx, now, p.TextDocument.URI)
	if got == nil {
		return nil, err
	}
	return &protocol.SemanticTokens{ResultID: got.id, Data: got.data}, nil
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
		return &protocol.SemanticTokens{ResultID: got.id, Data: got.data}, nil
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
	for _, n := range got.data {
		sum.Write([]byte{byte(n), byte(n >> 8), byte(n >> 16), byte(n >> 24)})
	}
	got.id = fmt.Sprintf("%016x", sum.Sum64())
	l := now.checks[placeOf(uri).key].lane
	l.mu.Lock()
	defer l.mu.Unlock()
	before, l.colours = l.colours, got
	return got, before, nil
}

func (s *Server) tokensRange(ctx context.Context, now *snapshot, p *rangeParams) (*protocol.SemanticTokens, error) {
	v, path, err := s.view(ctx, now, p.TextDocument.URI, exact)
	if err != nil || v.plan == nil {
		return nil, err
	}
	span := v.bytes(path, p.Range)
	if span.Start == span.End {
		return &protocol.SemanticTokens{Data: []uint32{}}, nil
	}
	return &protocol.SemanticTokens{Data: v.tokens(path, span)}, nil
}

// tokens are a span's tokens in the protocol's numbers: five for each, counted
// from the one before.
func (v view) tokens(path string, span grammar.Span) []uint32 {
	var found []answer.Token
	v.ask(func(plan *answer.Plan) { found = answer.SemanticTokens(plan, path, span) })
	types, modifiers := answer.TokenTypes(), answer.TokenModifiers()
	data := make([]uint32, 0, 5*len(found))
	var last protocol.Position
	for _, token := range found {
		r := v.span(token.At)
		kind := slices.Index(types, token.Type)
		if kind < 0 || r.End.Line != r.Start.Line || r.End.Character <= r.Start.Character {
			continue
		}
		var bits uint32
		for _, m := range token.Modifiers {
			if i := slices.Index(modifiers, m); i >= 0 {
				bits |= 1 << i
			}
		}
		character := r.Start.Character
		if r.Start.Line == last.Line {
			character -= last.Character
		}
		data = append(data, r.Start.Line-last.Line, character, r.End.Character-r.Start.Character, uint32(kind), bits)
		last = r.Start
	}
	return data
}
