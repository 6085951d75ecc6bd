package lsp

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A buffer that is open goes before the file on the disk, in the plans that
// include it too; what is found in a file is told there.
func TestIncludes(t *testing.T) {
	dir := files(t, map[string]string{"house.weir": "", "sub/typicals.weir": "typical bath\nfixture LV lavatory\nend\n"})
	p := serve(t, Options{})
	p.hello(allAbilities)
	uri, lib := "file://"+dir+"/house.weir", "file://"+dir+"/sub/typicals.weir"
	p.open(uri, 1, "plan \"x\"\ninclude \"sub/typicals.weir\"\n")
	assert.Empty(t, p.published(uri, 1).Diagnostics)
	p.open(lib, 1, "typical bath\nfixture LV lavatry\nend\n")
	assert.Equal(t, []string{"unknown-word"}, codes(p.published(lib, 1).Diagnostics), "once, though two plans find it")
	p.change(lib, 2, edit(1, 0, 0, "# one line on\n"))
	assert.Equal(t, "2:11-2:18", p.published(lib, 2).Diagnostics[0].Range.String())
	p.shut(lib)
	p.last("the file on the disk again", lib, func(got testPublished) bool { return len(got.Diagnostics) == 0 })

	// the file on the disk changes, and nobody but the client sees it
	require.NoError(t, os.WriteFile(filepath.Join(dir, "sub/typicals.weir"), []byte("typical bath\nfixture LV lavatri\nend\n"), 0o644))
	p.notify("workspace/didChangeWatchedFiles", object{"changes": []any{object{"uri": lib, "type": 2}}})
	p.last("the changed file", lib, func(got testPublished) bool { return len(got.Diagnostics) == 1 && got.Version == nil })
	require.NoError(t, os.WriteFile(filepath.Join(dir, "sub/typicals.weir"), []byte("typical bath\nfixture LV lavatory\nend\n"), 0o644))
	p.notify("textDocument/didSave", object{"textDocument": object{"uri": uri}})
	p.last("a save of another file", lib, func(got testPublished) bool { return len(got.Diagnostics) == 0 })

	require.NoError(t, os.Remove(filepath.Join(dir, "sub/typicals.weir")))
	p.notify("workspace/didChangeWatchedFiles", object{"changes": []any{object{"uri": lib, "type": 3}}})
	p.last("the vanished file", uri, func(got testPublished) bool { return len(got.Diagnostics) == 1 })
	p.open(lib, 1, "typical bath\nfixture LV lavatory\nend\n")
	p.last("the vanished file in a buffer", uri, func(got testPublished) bool { return len(got.Diagnostics) == 0 })
}

// What an open plan finds in a closed file goes when the plan is closed, or
// includes it no more.
func TestItem28IncludedFilesAreCleared(t *testing.T) {
	dir := files(t, map[string]string{"house.weir": "", "typicals.weir": library})
	uri, lib := "file://"+dir+"/house.weir", "file://"+dir+"/typicals.weir"
	p := serve(t, Options{})
	p.hello(allAbilities)
	one := func(got testPublished) bool { return len(got.Diagnostics) == 1 }
	none := func(got testPublished) bool { return len(got.Diagnostics) == 0 }
	p.open(uri, 1, includer)
	p.last("the included file", lib, one)
	p.change(uri, 2, whole("plan \"x\"\n"))
	p.last("it is included no more", lib, none)
	p.change(uri, 3, whole(includer))
	p.last("it is again", lib, one)
	p.shut(uri)
	p.last("the plan is closed", lib, none)
}

func TestItem40Settings(t *testing.T) {
	dir := files(t, map[string]string{
		"crownweir.toml":      "skip = [\"long-trap-arm\"]\n",
		"near/crownweir.toml": "skip = [\"low-vent-turn\"]\n",
		"near/deep/x.weir":    "",
	})
	p := serve(t, Options{})
	p.hello(allAbilities)
	far, near := "file://"+dir+"/a.weir", "file://"+dir+"/near/deep/a.weir"
	p.open(far, 1, demo(t))
	p.open(near, 1, demo(t))
	assert.Equal(t, []string{"low-vent-turn"}, codes(p.published(far, 1).Diagnostics))
	assert.Equal(t, []string{"long-trap-arm"}, codes(p.published(near, 1).Diagnostics), "the nearest settings hold")

	write := func(content string) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "near/crownweir.toml"), []byte(content), 0o644))
		p.notify("workspace/didChangeWatchedFiles", object{"changes": []any{object{"uri": "file://" + dir + "/near/crownweir.toml", "type": 2}}})
	}
	count := func(n int) func(testPublished) bool {
		return func(got testPublished) bool { return len(got.Diagnostics) == n }
	}
	write("")
	p.last("both findings", near, count(2))
	write("skip = [\n  \"low-vent-trn\",\n]\n")
	config := "file://" + dir + "/near/crownweir.toml"
	got := p.last("the broken settings", config, count(1)).Diagnostics[0]
	assert.Equal(t, "1:3-1:17", got.Range.String())
	assert.Contains(t, got.Message, "there is no rule \"low-vent-trn\"; did you mean \"low-vent-turn\"")
	p.change(near, 2, edit(0, 0, 0, "# typed\n"))
	assert.Len(t, p.published(near, 2).Diagnostics, 2, "the last good settings hold")
	assert.Len(t, p.publishes(config), 1, "and their fault is told once")
	assert.NotContains(t, p.received(), "window/showMessage")

	// a client that watches nothing saves
	require.NoError(t, os.WriteFile(filepath.Join(dir, "near/crownweir.toml"), []byte("skip = [\"low-vent-turn\"]\n# longer\n"), 0o644))
	p.notify("textDocument/didSave", object{"textDocument": object{"uri": far}})
	p.last("settings put right", config, count(0))
	p.last("and they hold", near, count(1))
	require.NoError(t, os.Remove(filepath.Join(dir, "near/crownweir.toml")))
	p.notify("textDocument/didSave", object{"textDocument": object{"uri": near}})
	p.last("the settings above", near, func(got testPublished) bool {
		return len(got.Diagnostics) == 1 && got.Diagnostics[0].Code == "low-vent-turn"
	})
}

// Settings that never could be read judge nothing: a plan is not held to other
// settings instead.
func TestItem40BrokenFromTheStart(t *testing.T) {
	dir := files(t, map[string]string{"crownweir.toml": "amend = [\"city.toml\"]\n"})
	p := serve(t, Options{})
	p.hello(allAbilities)
	uri := "file://" + dir + "/a.weir"
	p.open(uri, 1, demo(t))
	got := p.published(uri, 1).Diagnostics
	require.Len(t, got, 1)
	assert.Contains(t, got[0].Message, "the plan is not judged, its settings cannot be read: ")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "city.toml"), []byte("[trap-arm]\n"), 0o644))
	p.notify("workspace/didChangeWatchedFiles", object{"changes": []any{object{"uri": "file://" + dir + "/city.toml", "type": 1}}})
	p.last("the amendment is there", uri, func(got testPublished) bool { return len(got.Diagnostics) >= 2 })
}

// A pull client is told to ask again where something else than its own edit
// changed a plan's findings.
func TestRefresh(t *testing.T) {
	dir := files(t, map[string]string{"house.weir": "", "typicals.weir": library})
	uri := "file://" + dir + "/house.weir"
	p := serve(t, Options{})
	p.mu.Lock()
	p.answer = func(m envelope) (any, bool) { return nil, true }
	p.mu.Unlock()
	p.hello(`{"textDocument":{"diagnostic":{}},"workspace":{"diagnostics":{"refreshSupport":true}}}`)
	p.open(uri, 1, includer)
	p.ask("textDocument/diagnostic", object{"textDocument": object{"uri": uri}}, nil)
	p.change(uri, 2, edit(0, 0, 0, "#\n"))
	p.ask("textDocument/diagnostic", object{"textDocument": object{"uri": uri}}, nil)
	time.Sleep(20 * time.Millisecond)
	assert.NotContains(t, p.received(), "workspace/diagnostic/refresh")
	p.notify("workspace/didChangeWatchedFiles", object{"changes": []any{object{"uri": "file://" + dir + "/typicals.weir", "type": 2}}})
	p.wait("the refresh", func() bool {
		for _, m := range p.messages {
			if m.Method == "workspace/diagnostic/refresh" {
				return true
			}
		}
		return false
	})
}

// A file is opened while the plan that includes it is checked for the first
// time, before anybody knows that it does.
func TestOvertaken(t *testing.T) {
	dir := files(t, map[string]string{"house.weir": "", "typicals.weir": "typical bath\nfixture LV lavatory\nend\n"})
	uri, lib := "file://"+dir+"/house.weir", "file://"+dir+"/typicals.weir"
	var running, most, begun counter
	hold := make(chan struct{})
	p := serve(t, Options{Check: held(hold, &running, &most, &begun)})
	p.hello(allAbilities)
	p.open(uri, 1, includer+"place bath as B1 on ground\nlevel ground at 0'\n")
	for begun.value() == 0 {
		time.Sleep(time.Millisecond)
	}
	p.open(lib, 1, "typical bth\nfixture LV lavatory\nend\n")
	p.ask("textDocument/formatting", object{"textDocument": object{"uri": lib}}, nil) // the opening is done
	close(hold)
	got := p.last("a finding of the text in the buffer", uri, func(got testPublished) bool { return len(got.Diagnostics) > 0 })
	assert.Contains(t, got.Diagnostics[0].Message, "bath")
}

// A question asked in an included file is answered from the plan that includes
// it: there its typicals are placed and its names are used.
func TestAskedInAnIncludedFile(t *testing.T) {
	dir := files(t, map[string]string{"house.weir": "", "typicals.weir": "typical bath\nfixture LV lavatory\nend\n"})
	uri, lib := "file://"+dir+"/house.weir", "file://"+dir+"/typicals.weir"
	p := serve(t, Options{})
	p.hello(allAbilities)
	p.open(uri, 1, includer+"level ground at 0'\nplace bath as B1 on ground\n")
	p.published(uri, 1)
	p.open(lib, 1, "typical bath\nfixture LV lavatory\nend\n")
	p.published(lib, 1)
	p.last("the plan with the buffer", uri, func(got testPublished) bool { return len(p.publishesLocked(uri)) > 0 })
	var found []struct{ URI string }
	p.ask("textDocument/references", object{"textDocument": object{"uri": lib}, "position": object{"line": 0, "character": 9}, "context": object{"includeDeclaration": true}}, &found)
	var where []string
	for _, f := range found {
		where = append(where, f.URI)
	}
	assert.ElementsMatch(t, []string{lib, uri}, where)
}

// A drain that begins in the plan and goes on in a typical of an included file
// is mended in both; a file that is not open has no version.
func TestItem39FixOfSeveralFiles(t *testing.T) {
	tail := "typical tail\ndrain top to out 2\": south 8' fall 1/8\nend\n"
	source := "plan \"é🚰\"\ndefault drain abs\nlevel ground at 0'\nroof at 12'\ninclude \"parts/tail.weir\"\noutfall SEW at -4'\nterminal V1 roof rise 12\"\n" +
		"place tail as T1 on ground\nfixture LV lavatory\ndrain LV to b1 1-1/2\": trap, west 2'\nvent b1 to V1 1-1/2\": up to roof\n" +
		"drain b1 to T1.top 2\": down 1', cleanout, south 3' fall 1/8\ndrain T1.out to d2 3\": down to -2', cleanout, south 5'\nsewer d2 to SEW 4\": cleanout, south 20'\n"
	dir := files(t, map[string]string{"house.weir": "", "parts/tail.weir": tail})
	uri, lib := "file://"+dir+"/house.weir", "file://"+dir+"/parts/tail.weir"
	p := serve(t, Options{})
	p.hello(fullClient)
	ask := func(kind string, line int) (actions []testAction) {
		at := object{"line": line, "character": 45}
		p.ask("textDocument/codeAction", object{"textDocument": object{"uri": uri}, "range": object{"start": at, "end": at},
			"context": object{"diagnostics": []any{}, "only": []string{kind}}}, &actions)
		return actions
	}
	mended := func(versions map[string]int) {
		actions := ask("quickfix", 11)
		i := slices.IndexFunc(actions, func(a testAction) bool { return strings.HasSuffix(a.Title, "(flat-drain)") })
		require.GreaterOrEqual(t, i, 0, actions)
		texts, told := map[string]string{}, map[string]int{}
		for _, change := range actions[i].Edit.DocumentChanges {
			file := change.TextDocument
			texts[file.URI] = applied(t, map[string]string{uri: source, lib: tail}[file.URI], change.Edits)
			if file.Version != nil {
				told[file.URI] = *file.Version
			}
		}
		assert.Equal(t, map[string]string{uri: strings.Replace(source, "1/8", "1/4", 1), lib: strings.Replace(tail, "1/8", "1/4", 1)}, texts)
		assert.Equal(t, versions, told)
	}
	p.open(uri, 3, source)
	p.published(uri, 3)
	mended(map[string]int{uri: 3})
	assert.Empty(t, ask("source.fixAll", 0), "what runs on saving a file changes no other")
	p.open(lib, 7, tail)
	mended(map[string]int{uri: 3, lib: 7})
}

// Where a check is quick a size is found by trying; one that was slow by chance
// is made again.
func TestSizeIsTried(t *testing.T) {
	source := "plan \"x\"\ndefault drain abs\nlevel ground at 0'\nroof at 12'\noutfall SEW at -4'\nterminal V1 roof rise 12\"\nfixture LV lavatory\n" +
		"drain LV to b1 1-1/2\": trap, west 2'\nvent b1 to V1 1-1/2\": up to roof\ndrain b1 to b2 4\": down to -2', cleanout, south 5'\nsewer b2 to SEW 4\": cleanout, south 20'\n"
	p := serve(t, Options{})
	p.hello(fullClient)
	p.open(house, 1, source)
	var title string
	for version := 2; version < 60 && !strings.Contains(title, "the least by trial"); version++ {
		p.change(house, version, whole(source))
		p.published(house, version)
		var actions []testAction
		at := object{"line": 9, "character": 3}
		p.ask("textDocument/codeAction", object{"textDocument": object{"uri": house}, "range": object{"start": at, "end": at},
			"context": object{"diagnostics": []any{}, "only": []string{"refactor.rewrite"}}}, &actions)
		for _, a := range actions {
			if strings.HasPrefix(a.Title, "size ") {
				title = a.Title
				assert.Contains(t, applied(t, source, a.Edit.DocumentChanges[0].Edits), "drain b1 to b2 1-1/2\": down")
			}
		}
	}
	assert.Equal(t, `size b1 to b2: 1-1/2", the least by trial: 1-1/4" brings shrinking-drain`, title)
}
