package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const module = "crownweir"

// floors are the packages from the ground up. A package imports only from
// floors below its own here; packages of one floor may lean on each other.
func floors() []string {
	return []string{
		"grammar/quantity",
		"grammar/catalog",
		"grammar",
		"grammar/system",
		"lint/codebook",
		"lint/hydraulics",
		"lint/sizing",
		"lint/pressure",
		"lint/venting",
		"lint/rule",
		"lint",
		"lint/fit",
		"lint/sheet/...",
		"lsp/...",
		"editors/...",
		"cmd/...",
	}
}

// floorOf is the floor a package stands on, -1 where it stands on none.
func floorOf(pkg string) int {
	for i, floor := range floors() {
		tree, below := strings.CutSuffix(floor, "/...")
		if pkg == tree || below && strings.HasPrefix(pkg, tree+"/") {
			return i
		}
	}
	return -1
}

// sourceFile is one file of the product, tests left out.
type sourceFile struct {
	name, pkg string
	syntax    *ast.File
}

func sourceFiles(t *testing.T) []sourceFile {
	t.Helper()
	root(t)
	var files []sourceFile
	err := filepath.WalkDir(".", func(name string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case entry.IsDir() && (entry.Name() == "testdata" || len(entry.Name()) > 1 && entry.Name()[0] == '.'):
			return fs.SkipDir
		case path.Ext(name) != ".go" || strings.HasSuffix(name, "_test.go"):
			return nil
		}
		syntax, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution)
		files = append(files, sourceFile{name, filepath.ToSlash(filepath.Dir(name)), syntax})
		return err
	})
	require.NoError(t, err)
	require.NotEmpty(t, files)
	return files
}

func imports(t *testing.T, file sourceFile) []string {
	t.Helper()
	var paths []string
	for _, spec := range file.syntax.Imports {
		name, err := strconv.Unquote(spec.Path.Value)
		require.NoError(t, err)
		paths = append(paths, name)
	}
	return paths
}

func TestImportDirections(t *testing.T) {
	crossed := 0
	for _, file := range sourceFiles(t) {
		floor := floorOf(file.pkg)
		if !assert.NotEqual(t, -1, floor, "%s stands on no floor", file.pkg) {
			continue
		}
		for _, imported := range imports(t, file) {
			pkg, ours := strings.CutPrefix(imported, module+"/")
			if !ours || pkg == file.pkg {
				continue
			}
			crossed++
			below := floorOf(pkg)
			shared := below == floor && strings.HasSuffix(floors()[floor], "/...")
			assert.True(t, below >= 0 && below < floor || shared, "%s imports %s, which stands above it", file.name, pkg)
		}
	}
	assert.Greater(t, crossed, 20, "the imports of the product were looked at")
}

// Below cmd and lsp nothing reaches for the machine: files come through an
// fs.FS, and there is no clock.
func TestNoMachineBelowCommands(t *testing.T) {
	barred := map[string]bool{
		"os": true, "os/exec": true, "os/signal": true, "os/user": true, "syscall": true, "unsafe": true,
		"net": true, "net/http": true, "io/ioutil": true, "path/filepath": true, "math/rand": true, "math/rand/v2": true, "log": true,
	}
	for _, file := range sourceFiles(t) {
		if strings.HasPrefix(file.pkg, "cmd") || strings.HasPrefix(file.pkg, "lsp") {
			continue
		}
		for _, imported := range imports(t, file) {
			assert.False(t, barred[imported], "%s imports %s", file.name, imported)
		}
		for _, call := range clockReadings(file.syntax) {
			assert.Fail(t, "a clock below cmd and lsp", "%s reads time.%s", file.name, call)
		}
	}
}

// clockReadings are the uses of package time that read the clock or wait.
func clockReadings(file *ast.File) []string {
	name := ""
	for _, spec := range file.Imports {
		if spec.Path.Value == `"time"` {
			name = "time"
			if spec.Name != nil {
				name = spec.Name.Name
			}
		}
	}
	if name == "" {
		return nil
	}
	reads := map[string]bool{"Now": true, "Since": true, "Until": true, "Sleep": true, "After": true, "Tick": true, "NewTimer": true, "NewTicker": true, "AfterFunc": true}
	var found []string
	ast.Inspect(file, func(n ast.Node) bool {
		if selector, ok := n.(*ast.SelectorExpr); ok {
			if of, ok := selector.X.(*ast.Ident); ok && of.Name == name && reads[selector.Sel.Name] {
				found = append(found, selector.Sel.Name)
			}
		}
		return true
	})
	return found
}

// The tests above see what they are there to see.
func TestClockReadingsAreSeen(t *testing.T) {
	for source, want := range map[string][]string{
		"package p\nimport \"time\"\nvar a = time.Now()":                                          {"Now"},
		"package p\nimport clock \"time\"\nvar a = clock.Since":                                   {"Since"},
		"package p\nimport \"time\"\nfunc f(t time.Time) time.Time { return t.AddDate(0, 0, 1) }": nil,
		"package p\nvar time struct{ Now int }\nvar a = time.Now":                                 nil,
	} {
		file, err := parser.ParseFile(token.NewFileSet(), "p.go", source, 0)
		require.NoError(t, err)
		assert.Equal(t, want, clockReadings(file), source)
	}
	assert.Equal(t, -1, floorOf("lint/util"))
	assert.Less(t, floorOf("lint/rule"), floorOf("lint"))
	assert.Less(t, floorOf("lint"), floorOf("lint/sheet/finding"))
	assert.Less(t, floorOf("lint/sheet/finding"), floorOf("cmd/crownweir"))
}

// The repository's top level is what DEVELOPERS.md maps and nothing else.
func TestTopLevel(t *testing.T) {
	root(t)
	required := []string{"cmd", "grammar", "lint", "testdata", "go.mod", "go.sum", "README.md", "DEVELOPERS.md", ".ci", ".gitignore", ".gitattributes"}
	later := map[string]bool{"lsp": true, "editors": true}
	entries, err := os.ReadDir(".")
	require.NoError(t, err)
	there := map[string]bool{}
	for _, entry := range entries {
		there[entry.Name()] = true
	}
	for _, name := range required {
		assert.True(t, there[name], "%s is missing", name)
		delete(there, name)
	}
	for name := range there {
		assert.True(t, later[name] || strings.HasPrefix(name, "."), "%s does not belong at the top level", name)
	}
}
