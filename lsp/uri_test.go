package lsp

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// All spellings of a place are one document; its file is the system's own.
func TestItem22Places(t *testing.T) {
	for _, c := range []struct {
		drives    bool
		file      string
		spellings []string
	}{
		{true, `c:\x\a.weir`, []string{"file:///c%3A/x/a.weir", "file:///C:/x/a.weir", "file:///c:/x/a.weir", "FILE:///C%3a/x/%61.weir", "file://localhost/c:/x/a.weir"}},
		{true, `\\server\share\x.weir`, []string{"file://server/share/x.weir", "file://SERVER/share/x.weir"}},
		{false, "", []string{"file:///c%3A/x/a.weir", "file:///C:/x/a.weir"}},
		{false, "", []string{"file://server/share/x.weir", "file://Server/share/%78.weir"}},
		{false, "/x/a b#%(c)+é.weir", []string{"file:///x/a%20b%23%25(c)+%C3%A9.weir", "file:///x/a%20b%23%25%28c%29%2Bé.weir", "file:/x/a b%23%25(c)+é.weir", "file:///x/a%20b%23%25(c)+é.weir#L3"}},
		{false, "/x/../y/a.weir", []string{"file:///x/../y/a.weir"}},
		{false, "/x/100%.weir", []string{"file:///x/100%.weir", "file:///x/100%.weir"}},
		{false, "", []string{"untitled:Untitled-1", "untitled:Untitled-1"}},
		{false, "", []string{"git:/x/a.weir?%7B%22ref%22%3A%22HEAD%22%7D"}},
		{false, "", []string{"vscode-vfs://github/x/a.weir", "VSCODE-VFS://github/x/%61.weir"}},
		{false, "", []string{"nonsense"}},
		{false, "", []string{""}},
		{false, "", []string{"file:///"}},
		{false, "", []string{"file:///x/%00.weir"}},
	} {
		keys := map[string]bool{}
		for _, uri := range c.spellings {
			p := placeOn(uri, c.drives)
			keys[p.key] = true
			assert.Equal(t, uri, p.uri, "the client's own spelling is kept")
			if c.drives { // file names of another system are told apart by their letters alone
				assert.Equal(t, strings.ReplaceAll(c.file, `\`, string(filepath.Separator)), strings.ReplaceAll(p.file, `\`, string(filepath.Separator)), uri)
			} else {
				assert.Equal(t, c.file, p.file, uri)
			}
			assert.NotContains(t, p.name(), "/")
			assert.NotEmpty(t, p.name())
		}
		assert.Len(t, keys, 1, "%v", c.spellings)
	}
	assert.NotEqual(t, placeOn("git:/x/a.weir?ref=1", false).key, placeOn("git:/x/a.weir?ref=2", false).key)
}

func TestPlacesNearby(t *testing.T) {
	p := placeOf("file:///c%3A/x/y/a.weir")
	assert.Equal(t, "file:///c%3A/x/y/sub/b%20c.weir", p.beside("sub/b c.weir"))
	assert.Equal(t, "file:///c%3A/x/y/crownweir.toml", p.above(0, "crownweir.toml"))
	assert.Equal(t, "file:///c%3A/crownweir.toml", p.above(2, "crownweir.toml"))
}

func FuzzPlaces(f *testing.F) {
	f.Add("file:///c%3A/x")
	f.Add("untitled:x/../..")
	f.Add("file://%zz//")
	f.Fuzz(func(t *testing.T, uri string) {
		for _, drives := range []bool{false, true} {
			p := placeOn(uri, drives)
			assert.Equal(t, uri, p.uri)
			name := p.name()
			assert.NotContains(t, []string{"", ".", ".."}, name)
			assert.NotContains(t, name, "/")
			p.beside("sub/x.weir")
			p.above(3, "crownweir.toml")
		}
	})
}

// files writes a folder of files and gives its path.
func files(t testing.TB, contents map[string]string) string {
	t.Helper()
	dir, err := filepath.EvalSymlinks(t.TempDir())
	require.NoError(t, err)
	for name, content := range contents {
		file := filepath.Join(dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
		require.NoError(t, os.WriteFile(file, []byte(content), 0o644))
	}
	return dir
}

func TestItem23Percent(t *testing.T) {
	dir := files(t, map[string]string{"a b#%(c)+é.weir": "plan \"saved\"\n"})
	p := serve(t, Options{})
	p.hello(allAbilities)
	one := "file://" + dir + "/a%20b%23%25(c)+%C3%A9.weir"
	other := "file://" + dir + "/a%20b%23%25%28c%29%2B%c3%a9.weir"
	p.open(one, 1, demo(t))
	assert.Len(t, p.published(one, 1).Diagnostics, 2)
	p.change(other, 2, whole("plan \"x\"\n"))
	assert.Empty(t, p.published(one, 2).Diagnostics)
	p.shut(other)
	p.ask("shutdown", nil, nil)
	assert.Empty(t, p.publishes(other), "the spelling it was opened by is the one answered with")
}

func TestItem24Links(t *testing.T) {
	dir := files(t, map[string]string{"real/house.weir": "", "real/typicals.weir": library})
	require.NoError(t, os.Symlink(filepath.Join(dir, "real"), filepath.Join(dir, "link")))
	p := serve(t, Options{})
	p.hello(allAbilities)
	uri := "file://" + dir + "/link/house.weir"
	p.open(uri, 1, includer)
	assert.Empty(t, p.published(uri, 1).Diagnostics)
	p.wait("findings of the included file", func() bool { return len(p.publishesLocked("file://"+dir+"/link/typicals.weir")) == 1 })
	assert.Empty(t, p.publishes("file://"+dir+"/real/house.weir"))
	dotted := "file://" + dir + "/real/../link/house.weir"
	p.open(dotted, 1, includer)
	assert.Empty(t, p.published(dotted, 1).Diagnostics)
}

// library is a file to include, with one finding; includer includes it.
const (
	library  = "typical bath\nfixture LV lavatry\nend\n"
	includer = "plan \"x\"\ninclude \"typicals.weir\"\n"
)

func TestItem25NoFiles(t *testing.T) {
	p := serve(t, Options{})
	p.hello(allAbilities)
	for _, uri := range []string{
		"untitled:Untitled-1", "untitled:Untitled-2.weir", "git:/x/house.weir?%7B%22ref%22%3A%22%22%7D", "vscode-vfs://github/a/b.weir",
		"file:///no/such/folder/house.weir", "file:///", "x:", "nonsense",
	} {
		p.open(uri, 1, demo(t)+"include \"typicals.weir\"\n")
		got := codes(p.published(uri, 1).Diagnostics)
		assert.ElementsMatch(t, []string{"long-trap-arm", "low-vent-turn", "refused-input"}, got, uri)
		p.ask("textDocument/hover", object{"textDocument": object{"uri": uri}, "position": object{"line": 28, "character": 12}}, nil)
		p.ask("textDocument/documentLink", object{"textDocument": object{"uri": uri}}, nil)
		p.notify("textDocument/didSave", object{"textDocument": object{"uri": uri}})
	}
}

func TestItem26NoWorkspace(t *testing.T) {
	for _, extra := range []string{`"rootUri":null`, `"workspaceFolders":null`, `"rootPath":"/nowhere","workspaceFolders":[]`, `"rootUri":"file:///nowhere","workspaceFolders":false`} {
		p := serve(t, Options{})
		p.ask("initialize", params(t, rawJSON(`{"processId":null,"capabilities":`+allAbilities+`,`+extra+`}`)), nil)
		p.notify("initialized", struct{}{})
		p.open(house, 1, demo(t))
		assert.Len(t, p.published(house, 1).Diagnostics, 2, extra)
	}
}
