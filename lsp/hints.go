package lsp

import (
	"context"

	"go.lsp.dev/protocol"

	"crownweir/lsp/answer"
)

const methodInlayHint = "textDocument/inlayHint"

// rangeParams is LSP 3.17, InlayHintParams and SemanticTokensRangeParams.
type rangeParams struct {
	documentParams
	Range protocol.Range `json:"range"`
}

// inlayHint is LSP 3.17, InlayHint, which the library does not have.
type inlayHint struct {
	Position    protocol.Position `json:"position"`
	Label       string            `json:"label"`
	Tooltip     string            `json:"tooltip,omitempty"`
	PaddingLeft bool              `json:"paddingLeft"`
}

// hints come of an earlier check, at moved places, to clients that ask again
// once they are told to: whoever cannot be told waits for the check.
func (s *Server) hints(ctx context.Context, now *snapshot, p *rangeParams) ([]inlayHint, error) {
	m := exact
	if now.client.can("workspace", "inlayHint", "refreshSupport") {
		m = past
	}
	v, path, err := s.view(ctx, now, p.TextDocument.URI, m)
	if err == nil && v.late != nil {
		v.late.lane.hinted.Store(true)
		select {
		case <-v.late.done: // who told its findings may not have seen that
			v, path, err = s.view(ctx, now, p.TextDocument.URI, exact)
		default:
		}
	}
	if err != nil || v.plan == nil {
		return nil, err
	}
	span := v.bytes(path, p.Range)
	d, edited := v.drift[path]
	if edited {
		span = d.covered(span)
	}
	var found []answer.Hint
	v.ask(func(plan *answer.Plan) { found = answer.Hints(plan, path, span) })
	list := make([]inlayHint, 0, len(found))
	for _, h := range found {
		if edited && d.touches(h.At.Span) {
			continue // what it was said of is not there any more
		}
		list = append(list, inlayHint{Position: v.span(h.At).Start, Label: h.Text, Tooltip: h.Tip, PaddingLeft: true})
	}
	return list, nil
}

// lenses are lines of text: there is nothing to run behind them.
func (s *Server) lenses(ctx context.Context, now *snapshot, p *documentParams) ([]protocol.CodeLens, error) {
	v, path, err := s.view(ctx, now, p.TextDocument.URI, exact)
	if err != nil || v.plan == nil {
		return nil, err
	}
	var found []answer.Lens
	v.ask(func(plan *answer.Plan) { found = answer.Lenses(plan, path) })
	list := make([]protocol.CodeLens, 0, len(found))
	for _, l := range found {
		list = append(list, protocol.CodeLens{Range: v.span(l.At), Command: &protocol.Command{Title: l.Title}})
	}
	return list, nil
}
