package lsp

import (
	"context"
	"strings"

	"go.lsp.dev/protocol"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lsp/answer"
)

// symbolKinds is how clients show the kinds of answer.Symbol.
var symbolKinds = map[string]protocol.SymbolKind{
	"building": protocol.SymbolKindModule, "level": protocol.SymbolKindNamespace, "room": protocol.SymbolKindNamespace,
	"fixture": protocol.SymbolKindObject, "terminal": protocol.SymbolKindInterface, "source": protocol.SymbolKindEvent,
	"outfall": protocol.SymbolKindEvent, "equipment": protocol.SymbolKindObject, "fitting": protocol.SymbolKindField,
	"existing": protocol.SymbolKindConstant, "run": protocol.SymbolKindFunction, "stack": protocol.SymbolKindFunction,
	"typical": protocol.SymbolKindClass, "copy": protocol.SymbolKindVariable, "record": protocol.SymbolKindString,
}

func symbolKind(word string) protocol.SymbolKind {
	if kind, ok := symbolKinds[word]; ok {
		return kind
	}
	return protocol.SymbolKindVariable
}

// symbols hands out a tree to clients that show one, else a list.
func (s *Server) symbols(ctx context.Context, now *snapshot, p *documentParams) ([]any, error) {
	v, path, err := s.view(ctx, now, p.TextDocument.URI, exact)
	if err != nil || v.plan == nil {
		return nil, err
	}
	var found []answer.Symbol
	v.ask(func(plan *answer.Plan) { found = answer.Symbols(plan, path) })
	list := []any{}
	if now.client.can("textDocument", "documentSymbol", "hierarchicalDocumentSymbolSupport") {
		for i := range found {
			list = append(list, v.symbol(&found[i]))
		}
		return list, nil
	}
	var flat func(within string, found []answer.Symbol)
	flat = func(within string, found []answer.Symbol) {
		for i := range found {
			list = append(list, v.information(&found[i], within))
			flat(found[i].Name, found[i].Children)
		}
	}
	flat("", found)
	return list, nil
}

func (v view) symbol(s *answer.Symbol) protocol.DocumentSymbol {
	d := protocol.DocumentSymbol{Name: s.Name, Detail: s.Detail, Kind: symbolKind(s.Kind), Range: v.span(s.At), SelectionRange: v.span(s.Select)}
	for i := range s.Children {
		d.Children = append(d.Children, v.symbol(&s.Children[i]))
	}
	return d
}

func (v view) information(s *answer.Symbol, within string) protocol.SymbolInformation {
	where, _ := v.location(s.At)
	return protocol.SymbolInformation{Name: s.Name, Kind: symbolKind(s.Kind), Location: where, ContainerName: within}
}

// mostSymbols is how many symbols of the open plans are handed out at a time.
const mostSymbols = 500

// workspaceSymbols searches the plans that are open, with what they include.
func (s *Server) workspaceSymbols(ctx context.Context, now *snapshot, p *struct {
	Query string `json:"query"`
}) ([]protocol.SymbolInformation, error) {
	list := []protocol.SymbolInformation{}
	seen := map[protocol.Location]bool{}
	for _, key := range sortedKeys(now.checks) {
		v, _, err := s.view(ctx, now, now.docs[key].uri, past)
		if err != nil || v.plan == nil {
			continue
		}
		var found []answer.Symbol
		v.ask(func(plan *answer.Plan) { found = answer.WorkspaceSymbols(plan, p.Query) })
		for i := range found {
			one := v.information(&found[i], found[i].Detail)
			if where, ok := v.location(found[i].Select); ok && !seen[where] && len(list) < mostSymbols {
				seen[where] = true
				one.Location = where
				list = append(list, one)
			}
		}
	}
	return list, nil
}

// foldingRange is LSP 3.17, FoldingRange, as far as it is used.
type foldingRange struct {
	StartLine uint32 `json:"startLine"`
	EndLine   uint32 `json:"endLine"`
	Kind      string `json:"kind,omitempty"`
}

func (s *Server) folds(ctx context.Context, now *snapshot, p *documentParams) ([]foldingRange, error) {
	v, path, err := s.view(ctx, now, p.TextDocument.URI, exact)
	if err != nil || v.plan == nil {
		return nil, err
	}
	var found []answer.Fold
	v.ask(func(plan *answer.Plan) { found = answer.Folds(plan, path) })
	line := func(n int) uint32 { return uint32(n) }
	if t := v.files[path].text; strings.Contains(t.source, "\r") { // a line may end where the notation's does not
		m := grammar.NewMapper(t.source)
		line = func(n int) uint32 { return t.position(m.OffsetUTF8(n, 0), v.enc).Line }
	}
	list := make([]foldingRange, 0, len(found))
	for _, f := range found {
		list = append(list, foldingRange{line(f.First), line(f.Last), f.Kind})
	}
	return list, nil
}

const methodSelectionRange = "textDocument/selectionRange"

// selectionParams is LSP 3.17, SelectionRangeParams.
type selectionParams struct {
	documentParams
	Positions []protocol.Position `json:"positions"`
}

func (s *Server) selections(ctx context.Context, now *snapshot, p *selectionParams) ([]protocol.SelectionRange, error) {
	v, path, err := s.view(ctx, now, p.TextDocument.URI, exact)
	if err != nil || v.plan == nil {
		return nil, err
	}
	list := make([]protocol.SelectionRange, 0, len(p.Positions))
	for _, at := range p.Positions {
		offset := v.files[path].text.offset(at, v.enc)
		var spans []system.Loc
		v.ask(func(plan *answer.Plan) { spans = answer.Selection(plan, path, offset) })
		var outer *protocol.SelectionRange
		for i := len(spans) - 1; i >= 0; i-- {
			outer = &protocol.SelectionRange{Range: v.span(spans[i]), Parent: outer}
		}
		if outer == nil { // one answer is due for every position
			outer = &protocol.SelectionRange{Range: protocol.Range{Start: at, End: at}}
		}
		list = append(list, *outer)
	}
	return list, nil
}
