package lsp

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Whatever parameters come, each request is answered, nothing is an internal
// error, and the session goes on.
func FuzzSession(f *testing.F) {
	notices := []string{
		"initialized", "textDocument/didOpen", "textDocument/didChange", "textDocument/didSave", "textDocument/didClose",
		"workspace/didChangeConfiguration", "workspace/didChangeWatchedFiles", "workspace/didChangeWorkspaceFolders", "$/setTrace", "$/cancelRequest",
	}
	methods := append(append([]string{}, notices...), everyRequest...)
	for i := range methods {
		raw, _ := json.Marshal(everyParams(house))
		f.Add(uint8(i), string(raw))
		f.Add(uint8(i), `{"textDocument":{"uri":"file:///nowhere/house.weir","version":null},"position":{"line":4294967295,"character":4294967295},"positions":[null],"range":null,"contentChanges":[{"range":{"start":{"line":9,"character":9},"end":{"line":0,"character":0}},"text":"\u0000"}],"item":null,"context":{"only":[""],"diagnostics":[null,1]}}`)
		f.Add(uint8(i), `[]`)
		f.Add(uint8(i), `{"textDocument":null,"changes":[{"uri":"\u0000"}],"settings":[[]],"query":1,"newName":"to"}`)
	}
	f.Fuzz(func(t *testing.T, which uint8, raw string) {
		if !json.Valid([]byte(raw)) {
			return
		}
		p := serve(t, Options{})
		p.hello(fullClient)
		p.open(house, 1, demo(t))
		method := methods[int(which)%len(methods)]
		if int(which)%len(methods) < len(notices) {
			p.notify(method, json.RawMessage(raw))
		} else {
			got := p.reply(p.start(method, json.RawMessage(raw)))
			if got.Error != nil {
				assert.NotEqual(t, -32603, got.Error.Code, "%s %s: %s", method, raw, got.Error.Message)
				assert.NotEmpty(t, got.Error.Message)
			}
		}
		p.reply(p.start("textDocument/hover", everyParams(house)))
		p.ask("shutdown", nil, nil)
		p.notify("exit", nil)
		assert.True(t, (<-p.ended).Exit)
	})
}
