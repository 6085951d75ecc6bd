package lsp

import (
	"context"
	"encoding/json"
	"slices"
	"strings"

	"go.lsp.dev/protocol"

	"crownweir/lsp/answer"
)

// completionKinds is how clients show the kinds of answer.Item.
var completionKinds = map[string]protocol.CompletionItemKind{
	"keyword": protocol.CompletionItemKindKeyword, "kind": protocol.CompletionItemKindClass, "material": protocol.CompletionItemKindEnumMember,
	"device": protocol.CompletionItemKindFunction, "turn": protocol.CompletionItemKindFunction, "fitting": protocol.CompletionItemKindFunction,
	"direction": protocol.CompletionItemKindOperator, "attribute": protocol.CompletionItemKindProperty, "choice": protocol.CompletionItemKindEnumMember,
	"name": protocol.CompletionItemKindVariable, "copy": protocol.CompletionItemKindVariable, "place": protocol.CompletionItemKindModule,
	"rule": protocol.CompletionItemKindConstant, "size": protocol.CompletionItemKindValue, "measure": protocol.CompletionItemKindUnit,
	"snippet": protocol.CompletionItemKindSnippet, "file": protocol.CompletionItemKindFile, "book": protocol.CompletionItemKindConstant,
}

// completionItem is LSP 3.17, CompletionItem, as far as it is used.
type completionItem struct {
	Label            string                      `json:"label"`
	Kind             protocol.CompletionItemKind `json:"kind"`
	Detail           string                      `json:"detail,omitempty"`
	Documentation    *protocol.MarkupContent     `json:"documentation,omitempty"`
	SortText         string                      `json:"sortText"`
	FilterText       string                      `json:"filterText"`
	InsertTextFormat protocol.InsertTextFormat   `json:"insertTextFormat"`
	TextEdit         protocol.TextEdit           `json:"textEdit"`
	Data             *itemData                   `json:"data,omitempty"`
}

// itemData tells which text of which list belongs to an item.
type itemData struct {
	List int64 `json:"list"`
	Item int   `json:"item"`
}

// offered is the texts of the last list of completions, for a client that asks
// for them one by one.
type offered struct {
	list  int64
	texts []string
}

// completionList is LSP 3.17, CompletionList.
type completionList struct {
	IsIncomplete bool             `json:"isIncomplete"`
	Items        []completionItem `json:"items"`
}

func (s *Server) complete(ctx context.Context, now *snapshot, p *pointParams) (*completionList, error) {
	at, err := s.point(ctx, now, p, present)
	if err != nil || at.plan == nil {
		return nil, err
	}
	list := completionList{Items: []completionItem{}}
	var found []answer.Item
	at.ask(func(plan *answer.Plan) { found, list.IsIncomplete = answer.Complete(plan, at.path, at.offset) })
	item := []string{"textDocument", "completion", "completionItem"}
	snippets := now.client.can(append(item, "snippetSupport")...)
	later := slices.Contains(now.client.texts(append(item, "resolveSupport", "properties")...), "documentation")
	form := now.client.markup(append(item, "documentationFormat")...)
	source := at.files[at.path].text.source
	texts := offered{list: s.lists.Add(1)}
	for i := range found {
		f := &found[i]
		one := completionItem{
			Label: f.Label, Kind: completionKinds[f.Kind], Detail: f.Detail, SortText: f.Sort, FilterText: f.Label,
			InsertTextFormat: protocol.InsertTextFormatPlainText, TextEdit: protocol.TextEdit{Range: at.span(f.At), NewText: f.Insert},
		}
		if one.Kind == 0 {
			one.Kind = protocol.CompletionItemKindText
		}
		if f.Snippet && snippets {
			one.InsertTextFormat = protocol.InsertTextFormatSnippet
		} else if f.Snippet {
			one.TextEdit.NewText = f.Plain
		}
		// a client drops what does not begin with the word that is written
		if typed := source[f.At.Span.Start:max(at.offset, f.At.Span.Start)]; !hasPrefixFold(f.Label, typed) {
			one.FilterText = typed
		}
		switch {
		case f.Doc == "":
		case later:
			one.Data = &itemData{texts.list, len(texts.texts)}
			texts.texts = append(texts.texts, f.Doc)
		default:
			one.Documentation = &protocol.MarkupContent{Kind: form, Value: f.Doc}
		}
		list.Items = append(list.Items, one)
	}
	s.offered.Store(&texts)
	return &list, nil
}

func hasPrefixFold(text, prefix string) bool {
	return len(text) >= len(prefix) && strings.EqualFold(text[:len(prefix)], prefix)
}

// resolve adds its text to an item, which is handed back as it came.
func (s *Server) resolve(_ context.Context, now *snapshot, item *map[string]any) (map[string]any, error) {
	var data itemData
	raw, err := json.Marshal((*item)["data"])
	texts := s.offered.Load()
	if err != nil || json.Unmarshal(raw, &data) != nil || texts == nil || data.List != texts.list || data.Item < 0 || data.Item >= len(texts.texts) {
		return *item, nil
	}
	form := now.client.markup("textDocument", "completion", "completionItem", "documentationFormat")
	(*item)["documentation"] = protocol.MarkupContent{Kind: form, Value: texts.texts[data.Item]}
	return *item, nil
}
