package lsp

import (
	"encoding/json"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// allowed are the methods that a server may send unasked to any client.
var allowed = map[string]bool{
	"textDocument/publishDiagnostics": true, "window/showMessage": true, "window/logMessage": true,
}

// useful is a session that touches every request.
func useful(t *testing.T, p *peer, uri string) {
	p.open(uri, 1, demo(t))
	p.change(uri, 2, edit(0, 0, 0, "# changed\n"))
	for _, method := range everyRequest {
		p.reply(p.start(method, everyParams(uri)))
	}
	p.notify("textDocument/didSave", object{"textDocument": object{"uri": uri}})
	p.notify("workspace/didChangeConfiguration", object{"settings": nil})
	p.notify("workspace/didChangeWatchedFiles", object{"changes": []any{object{"uri": "file:///nowhere/x.weir", "type": 2}}})
	p.notify("workspace/didChangeWorkspaceFolders", object{"event": object{"added": []any{}, "removed": []any{}}})
	p.shut(uri)
	p.ask("shutdown", nil, nil)
}

// everyRequest lists what a client may ask.
var everyRequest = []string{
	"textDocument/hover", "textDocument/signatureHelp", "textDocument/definition", "textDocument/references", "textDocument/documentHighlight",
	"textDocument/documentLink", "textDocument/prepareRename", "textDocument/rename", "textDocument/documentSymbol", "workspace/symbol",
	"textDocument/foldingRange", "textDocument/selectionRange", "textDocument/inlayHint", "textDocument/codeLens",
	"textDocument/semanticTokens/full", "textDocument/semanticTokens/full/delta", "textDocument/semanticTokens/range",
	"textDocument/prepareCallHierarchy", "callHierarchy/incomingCalls", "callHierarchy/outgoingCalls",
	"textDocument/formatting", "textDocument/rangeFormatting", "textDocument/diagnostic",
	"textDocument/completion", "completionItem/resolve", "textDocument/codeAction", "workspace/executeCommand",
}

// everyParams are parameters that any of these requests can take.
func everyParams(uri string) object {
	position := object{"line": 29, "character": 8}
	whole := object{"start": object{"line": 0, "character": 0}, "end": object{"line": 60, "character": 0}}
	return object{
		"textDocument": object{"uri": uri}, "position": position, "positions": []any{position}, "range": whole, "newName": "k9", "query": "k",
		"context": object{"includeDeclaration": true, "diagnostics": []any{}}, "options": object{"tabSize": 2}, "previousResultId": "none",
		"command": "crownweir.schedule", "arguments": []any{uri, "drains"}, "label": "KS", "item": object{"name": "KS", "data": object{"document": uri, "point": "KS"}},
	}
}

// The list above is the table's.
func TestEveryRequestIsTried(t *testing.T) {
	var served []string
	for _, method := range (&Server{}).table().Requests() {
		if method != "initialize" && method != "shutdown" {
			served = append(served, method)
		}
	}
	tried := append([]string{}, everyRequest...)
	sort.Strings(tried)
	assert.Equal(t, served, tried)
}

func TestItem11OnlyWhatTheClientKnows(t *testing.T) {
	p := serve(t, Options{})
	p.hello(`{}`)
	useful(t, p, house)
	for _, method := range p.received() {
		assert.True(t, allowed[method], "%s was sent", method)
	}
}

func TestItem12NothingBeforeInitialized(t *testing.T) {
	p := serve(t, Options{})
	abilities := `{"workspace":{"didChangeWatchedFiles":{"dynamicRegistration":true}},"window":{"workDoneProgress":true}}`
	p.ask("initialize", params(t, rawJSON(`{"processId":null,"capabilities":`+abilities+`}`)), nil)
	time.Sleep(50 * time.Millisecond)
	assert.Empty(t, p.received())
	p.notify("initialized", struct{}{})
	p.wait("the registration", func() bool { return len(p.messages) == 1 })
	var got struct {
		Registrations []struct {
			Method          string
			RegisterOptions struct {
				Watchers []struct{ GlobPattern string }
			}
		}
	}
	p.mu.Lock()
	m := p.messages[0]
	p.mu.Unlock()
	assert.Equal(t, "client/registerCapability", m.Method)
	require.NoError(t, json.Unmarshal(m.Params, &got))
	assert.Equal(t, "workspace/didChangeWatchedFiles", got.Registrations[0].Method)
	assert.Equal(t, "**/*.weir", got.Registrations[0].RegisterOptions.Watchers[0].GlobPattern)
	// a client that never answers holds nothing up
	p.open(house, 1, demo(t))
	p.published(house, 1)
}

// Every request is answered exactly once, whatever else goes on.
func TestItem15AnsweredOnce(t *testing.T) {
	p := serve(t, Options{})
	p.hello(allAbilities)
	p.open(house, 1, demo(t))
	var ids []string
	version := 1
	for i := range 20 {
		for _, method := range everyRequest {
			id := p.start(method, everyParams(house))
			ids = append(ids, id)
			if len(ids)%7 == 0 {
				p.notify("$/cancelRequest", object{"id": json.RawMessage(id)})
			}
		}
		version++
		p.change(house, version, edit(0, 0, 0, strings.Repeat("#", i)+"\n"))
	}
	for _, id := range ids {
		p.reply(id)
	}
	p.ask("shutdown", nil, nil)
	p.mu.Lock()
	defer p.mu.Unlock()
	for id, answers := range p.answers {
		assert.Len(t, answers, 1, "request %s", id)
	}
}

// The parameters that real clients sent open a session that works for them.
func TestRecordedClients(t *testing.T) {
	recorded, err := filepath.Glob("testdata/initialize/*.json")
	require.NoError(t, err)
	require.Len(t, recorded, 7)
	clients := map[string]string{
		// made after notes of what it sends, not recorded
		"vim9": `{"processId":null,"clientInfo":{"name":"Vim"},"capabilities":{"general":{"positionEncodings":["utf-32","utf-16"]},"textDocument":{"diagnostic":{},"publishDiagnostics":{"versionSupport":true}}}}`,
	}
	for _, file := range recorded {
		raw, err := os.ReadFile(file)
		require.NoError(t, err)
		clients[strings.TrimSuffix(filepath.Base(file), ".json")] = string(raw)
	}
	pulls := map[string]bool{"vscode": true, "monaco": true, "vim9": true}
	registers := map[string]bool{"vscode": true, "monaco": true, "eglot": true}
	for name, raw := range clients {
		t.Run(name, func(t *testing.T) {
			p := serve(t, Options{})
			var got struct {
				Capabilities struct {
					PositionEncoding   encoding
					DiagnosticProvider any
				}
			}
			p.ask("initialize", json.RawMessage(raw), &got)
			p.notify("initialized", struct{}{})
			want := utf16Units
			if name == "vim9" {
				want = utf32Units
			}
			assert.Equal(t, want, got.Capabilities.PositionEncoding)
			assert.Equal(t, pulls[name], got.Capabilities.DiagnosticProvider != nil)
			p.open(house, 1, demo(t))
			if pulls[name] {
				var report struct{ Items []testDiagnostic }
				p.ask("textDocument/diagnostic", object{"textDocument": object{"uri": house}}, &report)
				assert.Len(t, report.Items, 2)
			} else {
				assert.Len(t, p.published(house, 1).Diagnostics, 2)
			}
			useful(t, p, "file:///nowhere/other.weir")
			if registers[name] {
				assert.Contains(t, p.received(), "client/registerCapability")
			}
			for _, method := range p.received() {
				refresh := strings.HasSuffix(method, "/refresh") && (pulls[name] || name == "lspmode")
				assert.True(t, allowed[method] || registers[name] && method == "client/registerCapability" || refresh, "%s was sent", method)
			}
		})
	}
}

// Nothing but the transport may write to the standard streams.
func TestItem09NoStrayOutput(t *testing.T) {
	for _, pattern := range []string{"*.go", "wire/*.go", "answer/*.go", "settings/*.go"} {
		files, err := filepath.Glob(pattern)
		require.NoError(t, err)
		for _, file := range files {
			if strings.HasSuffix(file, "_test.go") {
				continue
			}
			source, err := os.ReadFile(file)
			require.NoError(t, err)
			for _, stray := range []string{"os.Std", "fmt.Print", "println(", "\"log\"", "log.Print"} {
				assert.NotContains(t, string(source), stray, file)
			}
		}
	}
}
