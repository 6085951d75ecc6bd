// Package grammars writes what editors colour plans by: one model of the
// notation's words (words_test.go, measures_test.go, positions_test.go), and a
// file for each way of writing it down. Words come from grammar and
// grammar/catalog, so that a new kind of fixture is a new word everywhere.
//
// It knows what a word looks like and where it stands in its line. It refuses
// to know what a plan means: the language server tells that. It is made of
// tests alone, because nothing of the product is built from it.
//
// After a change of words: go test ./editors/grammars -update
package grammars

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the editors' files anew")

// generated is every file, relative to the folder editors, and its writer. A
// writer is given what stands in the file now, because one file holds more
// than the words.
func generated() map[string]func(t *testing.T, now string) string {
	files := map[string]func(t *testing.T, now string) string{
		"vscode/syntaxes/weir.tmLanguage.json": textMate,
		"sublime/Weir.sublime-syntax":          sublime,
		"vim/syntax/weir.vim":                  vim,
		"neovim/syntax/weir.vim":               vim,
		"emacs/weir-mode.el":                   emacs,
		"kate/weir.xml":                        kate,
		"testdata/colours.golden":              colours,
		"testdata/looks.json":                  looksFile,
	}
	for _, shared := range []string{"ftdetect/weir.vim", "ftplugin/weir.vim", "compiler/crownweir.vim"} {
		files["neovim/"+shared] = copyOf("vim/" + shared)
	}
	return files
}

func TestGeneratedFiles(t *testing.T) {
	for name, write := range generated() {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join("..", filepath.FromSlash(name))
			now, err := os.ReadFile(path)
			if !*update {
				require.NoError(t, err)
			}
			want := write(t, string(now))
			require.NotEmpty(t, want)
			if *update && want != string(now) {
				require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
				require.NoError(t, os.WriteFile(path, []byte(want), 0o644))
				return
			}
			assert.Equal(t, want, string(now), "run: go test ./editors/grammars -update")
		})
	}
}

// copyOf hands over a file that two editors share.
func copyOf(name string) func(t *testing.T, now string) string {
	return func(t *testing.T, _ string) string {
		t.Helper()
		source, err := os.ReadFile(filepath.Join("..", filepath.FromSlash(name)))
		require.NoError(t, err)
		return string(source)
	}
}
