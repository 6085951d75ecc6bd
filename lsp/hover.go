package lsp

import (
	"context"

	"go.lsp.dev/protocol"

	"crownweir/grammar/system"
	"crownweir/lsp/answer"
)

// spot is a place that a question is asked of, in a plan that was checked.
type spot struct {
	*judged
	path   string // in the plan
	text   *text
	offset int
}

// spot finds what a position of an open document means. ok is false where the
// document is not open or its check was given up.
func (s *Server) spot(ctx context.Context, now *snapshot, uri string, at protocol.Position) (spot, bool) {
	c := now.checks[placeOf(uri).key]
	if c == nil {
		return spot{}, false
	}
	got := c.wait(ctx, s.judge)
	if got == nil || got.plan == nil {
		return spot{}, false
	}
	return spot{got, got.plan.Path, got.doc.text, got.doc.text.offset(at, now.client.encoding)}, true
}

// at is where a location of the plan is.
func (j *judged) at(loc system.Loc, enc encoding) (protocol.Location, bool) {
	f, ok := j.files[loc.File]
	if !ok {
		return protocol.Location{}, false
	}
	return protocol.Location{URI: protocol.DocumentURI(f.uri), Range: f.text.span(loc.Span, enc)}, true
}

// hoverParams is LSP 3.17, HoverParams, as far as it is read.
type hoverParams struct {
	TextDocument struct {
		URI string `json:"uri"`
	} `json:"textDocument"`
	Position protocol.Position `json:"position"`
}

func (s *Server) hover(ctx context.Context, now *snapshot, p *hoverParams) (*protocol.Hover, error) {
	at, ok := s.spot(ctx, now, p.TextDocument.URI, p.Position)
	if !ok {
		return nil, nil
	}
	markdown, loc, ok := answer.Hover(at.plan, at.path, at.offset)
	if !ok {
		return nil, nil
	}
	h := &protocol.Hover{Contents: protocol.MarkupContent{Kind: protocol.Markdown, Value: markdown}}
	if where, ok := at.at(loc, now.client.encoding); ok {
		h.Range = &where.Range
	}
	return h, nil
}
