package lsp

import (
	"context"
	"encoding/json"
	"fmt"
	"hash/fnv"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
)

// Diagnostics that the client asks for: LSP 3.17, "Pull Diagnostics", which the
// library does not have.
const methodDiagnostic = "textDocument/diagnostic"

// codeServerCancelled asks the client to ask again: LSP 3.17, LSPErrorCodes.
const codeServerCancelled jsonrpc2.Code = -32802

// diagnosticParams is DocumentDiagnosticParams.
type diagnosticParams struct {
	documentParams
	PreviousResultID string `json:"previousResultId"`
}

// diagnosticReport is DocumentDiagnosticReport. Items is left out where the
// report is unchanged.
type diagnosticReport struct {
	Kind     string                 `json:"kind"`
	ResultID string                 `json:"resultId"`
	Items    *[]protocol.Diagnostic `json:"items,omitempty"`
}

func (s *Server) diagnostic(ctx context.Context, now *snapshot, p *diagnosticParams) (diagnosticReport, error) {
	items, ok := s.findings(ctx, now, placeOf(p.TextDocument.URI).key)
	if !ok {
		data := json.RawMessage(`{"retriggerRequest":true}`)
		return diagnosticReport{}, &jsonrpc2.Error{Code: codeServerCancelled, Message: "the plan has changed meanwhile", Data: &data}
	}
	raw, err := json.Marshal(items)
	if err != nil {
		return diagnosticReport{}, err
	}
	sum := fnv.New64a()
	sum.Write(raw)
	report := diagnosticReport{Kind: "full", ResultID: fmt.Sprintf("%016x", sum.Sum64()), Items: &items}
	if report.ResultID == p.PreviousResultID {
		report.Kind, report.Items = "unchanged", nil
	}
	return report, nil
}

// findings are those of an open file: of its own check, and of the plans that
// include it. ok is false where a check was given up for a newer one.
func (s *Server) findings(ctx context.Context, now *snapshot, key string) (items []protocol.Diagnostic, ok bool) {
	items = []protocol.Diagnostic{}
	doc := now.docs[key]
	if doc == nil {
		return items, true
	}
	plans := []string{key}
	for _, plan := range sortedKeys(now.checks) {
		if plan != key && dependsOn(now.checks[plan], doc.file) {
			plans = append(plans, plan)
		}
	}
	for _, plan := range plans {
		got := s.settled(ctx, now.checks[plan])
		if got == nil {
			return nil, false
		}
		for _, d := range got.diagnostics(now)[key] {
			if !holds(items, d) {
				items = append(items, d)
			}
		}
	}
	return items, true
}
