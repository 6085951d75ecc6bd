package lsp

import (
	"context"

	"go.lsp.dev/protocol"

	"crownweir/grammar/system"
	"crownweir/lsp/answer"
)

func (s *Server) hover(ctx context.Context, now *snapshot, p *pointParams) (*protocol.Hover, error) {
	at, err := s.point(ctx, now, p, past)
	if err != nil || at.plan == nil {
		return nil, err
	}
	var markdown string
	var loc system.Loc
	var ok bool
	at.ask(func(plan *answer.Plan) { markdown, loc, ok = answer.Hover(plan, at.path, at.offset) })
	if !ok {
		return nil, nil
	}
	h := &protocol.Hover{Contents: protocol.MarkupContent{Kind: now.client.markup("textDocument", "hover", "contentFormat"), Value: markdown}}
	if where, ok := at.location(loc); ok {
		h.Range = &where.Range
	}
	return h, nil
}

// signatureHelp is LSP 3.17, SignatureHelp: the library's leaves out a part
// that is the first and knows no label offsets.
type signatureHelp struct {
	Signatures      []signature `json:"signatures"`
	ActiveSignature int         `json:"activeSignature"`
	ActiveParameter *uint32     `json:"activeParameter,omitempty"`
}

type signature struct {
	Label         string                 `json:"label"`
	Documentation protocol.MarkupContent `json:"documentation"`
	Parameters    []parameter            `json:"parameters"`
}

type parameter struct {
	Label any `json:"label"` // [2]uint32 or the text itself
}

func (s *Server) signature(ctx context.Context, now *snapshot, p *pointParams) (*signatureHelp, error) {
	at, err := s.point(ctx, now, p, present)
	if err != nil || at.plan == nil {
		return nil, err
	}
	var sig answer.Signature
	var ok bool
	at.ask(func(plan *answer.Plan) { sig, ok = answer.SignatureAt(plan, at.path, at.offset) })
	if !ok {
		return nil, nil
	}
	one := signature{Label: sig.Form, Parameters: []parameter{}, Documentation: protocol.MarkupContent{
		Kind: now.client.markup("textDocument", "signatureHelp", "signatureInformation", "documentationFormat"), Value: sig.About,
	}}
	form := newText(sig.Form)
	offsets := now.client.can("textDocument", "signatureHelp", "signatureInformation", "parameterInformation", "labelOffsetSupport")
	for _, part := range sig.Parts {
		if offsets { // always in UTF-16
			one.Parameters = append(one.Parameters, parameter{[2]uint32{
				form.position(part[0], utf16Units).Character, form.position(part[1], utf16Units).Character,
			}})
		} else {
			one.Parameters = append(one.Parameters, parameter{sig.Form[part[0]:part[1]]})
		}
	}
	help := &signatureHelp{Signatures: []signature{one}}
	if sig.Active >= 0 {
		active := uint32(sig.Active)
		help.ActiveParameter = &active
	}
	return help, nil
}
