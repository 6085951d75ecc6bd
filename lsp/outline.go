package lsp

import (
	"context"
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

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
func (s *Server) symbols(ctx context.Context, now *snapshot, p *documentParams) (any, error) {
	v, path, err := s.view(ctx, now, p.TextDocument.URI, exact)
	if err != nil || v.plan == nil {
		return nil, err
	}
	var found []answer.Symbol
	v.ask(func(plan *answer.Plan) { found = answer.Symbols(plan, path) })
	if now.client.can("textDocument", "documentSymbol", "hierarchicalDocumentSymbolSupport") {
		return &tree{found, walk{text: v.files[path].text, enc: v.enc}}, nil
	}
	list := []protocol.SymbolInformation{}
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

// tree is symbols as they are written to the client: LSP 3.17, DocumentSymbol.
type tree struct {
	found []answer.Symbol
	at    walk
}

// AppendJSON writes the symbols one after another: there are tens of thousands.
func (t *tree) AppendJSON(to []byte) []byte {
	return t.list(slices.Grow(to, bytesPerSymbol*counted(t.found)), t.found)
}

// bytesPerSymbol is about how long a symbol is written.
const bytesPerSymbol = 240

func counted(list []answer.Symbol) int {
	n := len(list)
	for i := range list {
		n += counted(list[i].Children)
	}
	return n
}

func (t *tree) list(to []byte, list []answer.Symbol) []byte {
	to = append(to, '[')
	for i := range list {
		s := &list[i]
		if i > 0 {
			to = append(to, ',')
		}
		to = appendText(append(to, `{"name":`...), s.Name)
		if s.Detail != "" {
			to = appendText(append(to, `,"detail":`...), s.Detail)
		}
		to = strconv.AppendInt(append(to, `,"kind":`...), int64(symbolKind(s.Kind)), 10)
		// asked in the order of the text, which is what a walk is quick at
		start := t.at.position(s.At.Span.Start)
		from, until := t.at.position(s.Select.Span.Start), t.at.position(s.Select.Span.End)
		end := t.at.position(s.At.Span.End)
		to = appendRange(append(to, `,"range":`...), start, end)
		to = appendRange(append(to, `,"selectionRange":`...), from, until)
		if len(s.Children) > 0 {
			to = t.list(append(to, `,"children":`...), s.Children)
		}
		to = append(to, '}')
	}
	return append(to, ']')
}

func appendRange(to []byte, start, end protocol.Position) []byte {
	for _, one := range []struct {
		name string
		at   protocol.Position
	}{{`{"start":{"line":`, start}, {`,"end":{"line":`, end}} {
		to = strconv.AppendUint(append(to, one.name...), uint64(one.at.Line), 10)
		to = strconv.AppendUint(append(to, `,"character":`...), uint64(one.at.Character), 10)
		to = append(to, '}')
	}
	return append(to, '}')
}

// appendText writes a text as JSON.
func appendText(to []byte, text string) []byte {
	for i := range len(text) {
		if c := text[i]; c < ' ' || c == '"' || c == '\\' || c >= utf8.RuneSelf {
			raw, _ := json.Marshal(text) // a text does not fail
			return append(to, raw...)
		}
	}
	return append(append(append(to, '"'), text...), '"')
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
