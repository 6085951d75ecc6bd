package lsp

import (
	"context"
	"encoding/json"
	"slices"
	"strings"

	"go.lsp.dev/protocol"

	"crownweir/lint"
	"crownweir/lsp/answer"
)

// fixAll is the kind that a client runs on saving.
const fixAll = "source.fixAll.crownweir"

// actionKinds lists the kinds of actions that are handed out.
func actionKinds() []string {
	return []string{"quickfix", "refactor.rewrite", "refactor.extract", "refactor.inline", fixAll}
}

// automatic is LSP 3.17, CodeActionTriggerKind: the user did not ask.
const automatic = 2

// actionParams is LSP 3.17, CodeActionParams, as far as it is read. Diagnostics
// go back as they came.
type actionParams struct {
	rangeParams
	Context struct {
		Diagnostics []json.RawMessage `json:"diagnostics"`
		Only        []string          `json:"only"`
		TriggerKind int               `json:"triggerKind"`
	} `json:"context"`
}

// codeAction is LSP 3.17, CodeAction, as far as it is used.
type codeAction struct {
	Title       string                  `json:"title"`
	Kind        string                  `json:"kind"`
	Diagnostics []json.RawMessage       `json:"diagnostics,omitempty"`
	IsPreferred bool                    `json:"isPreferred,omitempty"`
	Edit        *protocol.WorkspaceEdit `json:"edit"`
}

func (s *Server) actions(ctx context.Context, now *snapshot, p *actionParams) ([]codeAction, error) {
	list := []codeAction{}
	v, path, err := s.view(ctx, now, p.TextDocument.URI, exact)
	if err != nil || v.plan == nil || !literalActions(now.client) {
		return list, err
	}
	span := v.bytes(path, p.Range)
	var found []answer.Action
	v.ask(func(plan *answer.Plan) {
		if p.wants("quickfix") || p.wants("refactor") {
			found = answer.Actions(plan, path, span, p.Context.TriggerKind == automatic)
		}
		if p.wants(fixAll) {
			if edits := answer.FixAll(plan, path); len(edits) > 0 {
				found = append(found, answer.Action{Title: "put right all that has one remedy", Kind: fixAll, Edits: edits})
			}
		}
	})
	preferred := now.client.can("textDocument", "codeAction", "isPreferredSupport")
	for i := range found {
		a := &found[i]
		if !p.wants(a.Kind) {
			continue
		}
		edit, err := v.workspaceEdit(now.client, a.Edits)
		if err != nil {
			s.logf("%q is not offered: %v", a.Title, err)
			continue
		}
		list = append(list, codeAction{
			Title: a.Title, Kind: a.Kind, Edit: edit, IsPreferred: a.Preferred && preferred, Diagnostics: v.answers(a.Findings, path, p.Context.Diagnostics),
		})
	}
	return list, nil
}

// literalActions tells whether a client takes actions at all, and not commands
// alone as the oldest did.
func literalActions(c *client) bool {
	return c.at("textDocument", "codeAction", "codeActionLiteralSupport") != nil
}

// wants tells whether actions of a kind are asked for: of one of the kinds
// asked for or below it, or holding one of them.
func (p *actionParams) wants(kind string) bool {
	return len(p.Context.Only) == 0 || slices.ContainsFunc(p.Context.Only, func(only string) bool {
		return only == "" || kind == only || strings.HasPrefix(kind, only+".") || strings.HasPrefix(only, kind+".")
	})
}

// answers picks from a client's diagnostics those of the findings named: by
// the identity they were sent with, else by rule and place.
func (v view) answers(findings []string, path string, diagnostics []json.RawMessage) []json.RawMessage {
	var list []json.RawMessage
	for _, raw := range diagnostics {
		var d struct {
			Range protocol.Range `json:"range"`
			Code  any            `json:"code"`
			Data  *note          `json:"data"`
		}
		if json.Unmarshal(raw, &d) != nil {
			continue
		}
		if slices.ContainsFunc(v.plan.Report.Findings, func(f lint.Finding) bool {
			if !slices.Contains(findings, f.ID) || f.File != path {
				return false
			}
			if d.Data != nil {
				return d.Data.ID == f.ID
			}
			return d.Code == f.Rule && d.Range == v.files[path].text.visible(spanOf(f.Place), v.enc)
		}) {
			list = append(list, raw)
		}
	}
	return list
}
