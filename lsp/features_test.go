package lsp

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.lsp.dev/protocol"
)

// fullClient can everything that changes an answer's form.
const fullClient = `{"workspace":{"workspaceEdit":{"documentChanges":true},"inlayHint":{"refreshSupport":true}},"textDocument":{
	"publishDiagnostics":{"relatedInformation":true,"versionSupport":true,"dataSupport":true},
	"completion":{"completionItem":{"snippetSupport":true,"documentationFormat":["markdown"],"resolveSupport":{"properties":["documentation","detail"]}}},
	"codeAction":{"codeActionLiteralSupport":{"codeActionKind":{"valueSet":["quickfix"]}},"isPreferredSupport":true},
	"rename":{"prepareSupport":true},"documentSymbol":{"hierarchicalDocumentSymbolSupport":true},
	"signatureHelp":{"signatureInformation":{"parameterInformation":{"labelOffsetSupport":true}}}}}`

// plainClient can none of it but take actions.
const plainClient = `{"textDocument":{"publishDiagnostics":{"versionSupport":true},"codeAction":{"codeActionLiteralSupport":{}}}}`

type testWorkspaceEdit struct {
	Changes         map[string][]protocol.TextEdit
	DocumentChanges []struct {
		TextDocument struct {
			URI     string
			Version *int
		}
		Edits []protocol.TextEdit
	}
}

// applied is a text after a client's edits of it.
func applied(t testing.TB, source string, edits []protocol.TextEdit) string {
	t.Helper()
	text := newText(source)
	var made []lineEdit
	for _, e := range edits {
		made = append(made, lineEdit{at: text.bytes(e.Range, utf16Units), text: e.NewText})
	}
	for i := range made { // they may come in any order
		for j := i + 1; j < len(made); j++ {
			if made[j].at.Start < made[i].at.Start {
				made[i], made[j] = made[j], made[i]
			}
		}
	}
	return applyEdits(t, source, made)
}

type testAction struct {
	Title, Kind string
	IsPreferred bool
	Diagnostics []testDiagnostic
	Edit        testWorkspaceEdit
}

func TestItem39Actions(t *testing.T) {
	source := "plan \"x\"\nlevel ground at 0'\nroom kitchen on ground\nfixture KS kitchen-snk in kitchen\nfixture LV lavatry in kitchen\n"
	for _, abilities := range []string{fullClient, plainClient} {
		p := serve(t, Options{})
		var got struct {
			Capabilities struct {
				CodeActionProvider struct{ CodeActionKinds []string }
			}
		}
		require.NoError(t, json.Unmarshal(p.hello(abilities), &got))
		assert.Equal(t, actionKinds(), got.Capabilities.CodeActionProvider.CodeActionKinds)
		p.open(house, 4, source)
		findings := p.published(house, 4).Diagnostics
		require.NotEmpty(t, findings)
		ask := func(only ...string) (actions []testAction) {
			context := object{"diagnostics": params(t, rawJSON(p.rawDiagnostics(house)))}
			if only != nil {
				context["only"] = only
			}
			p.ask("textDocument/codeAction", object{"textDocument": object{"uri": house},
				"range": object{"start": object{"line": 3, "character": 12}, "end": object{"line": 3, "character": 12}}, "context": context}, &actions)
			return actions
		}
		fixes := ask("quickfix")
		require.NotEmpty(t, fixes)
		fix := fixes[0]
		assert.Equal(t, "quickfix", fix.Kind)
		assert.Equal(t, "write kitchen-sink (unknown-word)", fix.Title)
		assert.Equal(t, abilities == fullClient, fix.IsPreferred)
		require.Len(t, fix.Diagnostics, 1, "linked to what it answers")
		assert.Equal(t, "unknown-word", fix.Diagnostics[0].Code)
		edits := fix.Edit.Changes[house]
		if abilities == fullClient {
			require.Len(t, fix.Edit.DocumentChanges, 1)
			assert.Equal(t, house, fix.Edit.DocumentChanges[0].TextDocument.URI)
			assert.Equal(t, 4, *fix.Edit.DocumentChanges[0].TextDocument.Version)
			edits = fix.Edit.DocumentChanges[0].Edits
		}
		assert.Equal(t, strings.Replace(source, "kitchen-snk", "kitchen-sink", 1), applied(t, source, edits))

		all := ask("source.fixAll")
		require.Len(t, all, 1)
		assert.Equal(t, fixAll, all[0].Kind)
		edits = all[0].Edit.Changes[house]
		if abilities == fullClient {
			edits = all[0].Edit.DocumentChanges[0].Edits
		}
		put := applied(t, source, edits)
		assert.Contains(t, put, "LV lavatory")
		assert.Contains(t, put, "KS kitchen-sink")
		for _, only := range [][]string{{"source"}, {"source.fixAll.crownweir"}} {
			assert.Len(t, ask(only...), 1, "%v", only)
		}
		assert.Empty(t, ask("source.organizeImports"))
		assert.NotEmpty(t, ask("refactor", "quickfix"))
		for _, a := range ask() {
			assert.Contains(t, actionKinds(), a.Kind)
		}
		p.change(house, 5, whole(put))
		for _, d := range p.published(house, 5).Diagnostics {
			assert.NotEqual(t, "unknown-word", d.Code, "what was put right is found no more")
		}
		assert.Empty(t, ask("source.fixAll"))
	}
	old := serve(t, Options{})
	assert.NotContains(t, string(old.hello(`{}`)), "codeActionProvider")
}

// rawDiagnostics is the list of the latest publish for a document.
func (p *peer) rawDiagnostics(uri string) string {
	var got struct{ Diagnostics json.RawMessage }
	require.NoError(p.t, json.Unmarshal([]byte(p.rawPublish(uri)), &got))
	return string(got.Diagnostics)
}

type testItem struct {
	Label, Detail, SortText, FilterText string
	InsertTextFormat                    int
	Documentation                       *struct{ Kind, Value string }
	TextEdit                            struct {
		Range   testRange
		NewText string
	}
	Data json.RawMessage
}

// A house is begun in an empty file.
func TestItem39CompletionInABlankPlan(t *testing.T) {
	for _, source := range []string{"", "\n", "\ufeff \n"} {
		p := serve(t, Options{})
		p.hello(fullClient)
		p.open(house, 1, source)
		var list struct{ Items []testItem }
		p.ask("textDocument/completion", object{"textDocument": object{"uri": house}, "position": object{"line": 0, "character": 0}}, &list)
		labels := map[string]bool{}
		for _, item := range list.Items {
			labels[item.Label] = true
		}
		for _, want := range []string{"plan", "code", "level", "fixture", "drain"} {
			assert.True(t, labels[want], "%q: %s", source, want)
		}
		assert.Contains(t, p.published(house, 1).Diagnostics[0].Message, "the plan is empty")
	}
}

func TestItem39Completion(t *testing.T) {
	source := demo(t) + "fixture BT bath"
	line := strings.Count(source, "\n")
	at := object{"textDocument": object{"uri": house}, "position": object{"line": line, "character": 15}}
	for _, abilities := range []string{fullClient, plainClient} {
		p := serve(t, Options{})
		p.hello(abilities)
		p.open(house, 1, source)
		var list struct {
			IsIncomplete bool
			Items        []testItem
		}
		p.ask("textDocument/completion", at, &list)
		require.NotEmpty(t, list.Items)
		labels := map[string]testItem{}
		for _, item := range list.Items {
			labels[item.Label] = item
			assert.Equal(t, fmt.Sprintf("%d:11-%d:15", line, line), item.TextEdit.Range.String(), "the word that is written")
			assert.True(t, strings.HasPrefix(strings.ToLower(item.FilterText), "bath"), item.FilterText)
			if abilities == plainClient {
				assert.Equal(t, 1, item.InsertTextFormat)
				assert.NotContains(t, item.TextEdit.NewText, "${")
				assert.Nil(t, item.Data)
			} else {
				assert.Nil(t, item.Documentation, "it is asked for")
			}
		}
		require.Contains(t, labels, "bathtub")
		if abilities == plainClient {
			continue
		}
		// an item comes back with its text, and as it went otherwise
		p.change(house, 2, whole(demo(t)+"waive long"))
		var raw struct{ Items []json.RawMessage }
		p.ask("textDocument/completion", object{"textDocument": object{"uri": house}, "position": object{"line": line, "character": 10}}, &raw)
		resolved := 0
		for _, one := range raw.Items {
			var before, after map[string]any
			require.NoError(t, json.Unmarshal(one, &before))
			p.ask("completionItem/resolve", one, &after)
			if after["documentation"] != nil {
				resolved++
				delete(after, "documentation")
			}
			assert.Equal(t, before, after)
		}
		assert.Positive(t, resolved)
		p.ask("completionItem/resolve", object{"label": "x", "data": object{"list": 1, "item": 99}}, nil)
		p.ask("completionItem/resolve", object{"label": "x", "data": "foreign"}, nil)
	}
}

func TestItem39Rename(t *testing.T) {
	dir := files(t, map[string]string{"house.weir": "", "typicals.weir": "level ground at 0'\nroom bath on ground\n"})
	uri, lib := "file://"+dir+"/house.weir", "file://"+dir+"/typicals.weir"
	source := "plan \"x\"\ninclude \"typicals.weir\"\nfixture LV lavatory in bath\nnote \"é🚰\" on LV\n"
	at := func(line, character int) object {
		return object{"textDocument": object{"uri": uri}, "position": object{"line": line, "character": character}, "newName": "wash"}
	}
	for _, abilities := range []string{fullClient, plainClient} {
		p := serve(t, Options{})
		p.hello(abilities)
		p.open(uri, 3, source)
		var can struct {
			Range       testRange
			Placeholder string
		}
		p.ask("textDocument/prepareRename", at(2, 24), &can)
		assert.Equal(t, "bath", can.Placeholder)
		assert.Equal(t, "2:23-2:27", can.Range.String())
		assert.Equal(t, -32803, p.refused("textDocument/prepareRename", at(2, 3)), "a keyword")
		refusal := p.reply(p.start("textDocument/rename", at(2, 3))).Error
		assert.Contains(t, refusal.Message, "keyword")
		var edit testWorkspaceEdit
		p.ask("textDocument/rename", at(2, 24), &edit)
		edits := edit.Changes
		if abilities == fullClient {
			edits = map[string][]protocol.TextEdit{}
			for _, change := range edit.DocumentChanges {
				edits[change.TextDocument.URI] = change.Edits
				assert.Equal(t, change.TextDocument.URI == uri, change.TextDocument.Version != nil, "a file that is not open has no version")
			}
		}
		assert.Equal(t, strings.Replace(source, "in bath", "in wash", 1), applied(t, source, edits[uri]))
		assert.Len(t, edits[lib], 1)
		p.ask("textDocument/rename", at(3, 14), &edit)
	}
}

func TestOutlineForms(t *testing.T) {
	for abilities, tree := range map[string]bool{fullClient: true, plainClient: false} {
		p := serve(t, Options{})
		p.hello(abilities)
		p.open(house, 1, demo(t))
		var list []struct {
			Name     string
			Children []json.RawMessage
			Location *struct{ URI string }
		}
		p.ask("textDocument/documentSymbol", object{"textDocument": object{"uri": house}}, &list)
		require.NotEmpty(t, list)
		children := 0
		for _, s := range list {
			children += len(s.Children)
			assert.Equal(t, tree, s.Location == nil)
		}
		assert.Equal(t, tree, children > 0)
		p.ask("workspace/symbol", object{"query": "KS"}, &list)
		require.NotEmpty(t, list)
		assert.Equal(t, "KS", list[0].Name)
		assert.Equal(t, house, list[0].Location.URI)
	}
}

func TestWayOfTheWater(t *testing.T) {
	p := serve(t, Options{})
	p.hello(fullClient)
	p.open(house, 1, demo(t))
	var items []json.RawMessage
	p.ask("textDocument/prepareCallHierarchy", object{"textDocument": object{"uri": house}, "position": object{"line": 28, "character": 12}}, &items)
	require.Len(t, items, 1, "k1")
	type end struct{ Name string }
	var up, down []struct {
		From, To   end
		FromRanges []testRange
	}
	p.ask("callHierarchy/incomingCalls", object{"item": items[0]}, &up)
	p.ask("callHierarchy/outgoingCalls", object{"item": items[0]}, &down)
	var names []string
	for _, f := range up {
		names = append(names, f.From.Name)
	}
	for _, f := range down {
		names = append(names, f.To.Name)
	}
	assert.Contains(t, names, "KS")
	assert.Contains(t, names, "b1")
}

func TestSchedule(t *testing.T) {
	p := serve(t, Options{})
	p.hello(fullClient)
	p.open(house, 1, demo(t))
	var text string
	p.ask("workspace/executeCommand", object{"command": "crownweir.schedule", "arguments": []any{house, "drains", "text"}}, &text)
	assert.Contains(t, text, "KS")
	assert.Contains(t, text, "not an approval", "the caution is on every output")
	for _, wrong := range []object{
		{"command": "crownweir.draw"}, {"command": "crownweir.schedule"}, {"command": "crownweir.schedule", "arguments": []any{house, "drians"}},
		{"command": "crownweir.schedule", "arguments": []any{house, "drains", "docx"}}, {"command": "crownweir.schedule", "arguments": []any{1, 2, 3, 4}},
	} {
		assert.Equal(t, -32602, p.refused("workspace/executeCommand", wrong))
	}
	assert.Equal(t, -32803, p.refused("workspace/executeCommand", object{"command": "crownweir.schedule", "arguments": []any{"file:///closed.weir", "drains"}}))
}

// A check that takes long is shown, and its showing always ends.
func TestItem12Progress(t *testing.T) {
	var running, most, begun counter
	hold := make(chan struct{})
	p := serve(t, Options{Check: held(hold, &running, &most, &begun)})
	created := false
	p.mu.Lock()
	p.answer = func(m envelope) (any, bool) {
		created = created || m.Method == "window/workDoneProgress/create"
		return nil, true
	}
	p.mu.Unlock()
	p.hello(`{"window":{"workDoneProgress":true}}`)
	p.open(house, 1, demo(t))
	shown := func(kind string) func() bool {
		return func() bool {
			for _, m := range p.messages {
				if m.Method == "$/progress" && strings.Contains(string(m.Params), `"kind":"`+kind+`"`) {
					return true
				}
			}
			return false
		}
	}
	p.wait("its beginning", shown("begin"))
	p.mu.Lock()
	assert.True(t, created)
	p.mu.Unlock()
	close(hold)
	p.wait("its end", shown("end"))
	var order []string
	for _, method := range p.received() {
		if strings.Contains(method, "rogress") {
			order = append(order, method)
		}
	}
	assert.Equal(t, []string{"window/workDoneProgress/create", "$/progress", "$/progress"}, order)
}
