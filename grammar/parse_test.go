package grammar

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestNotationParsesWithoutAProblem(t *testing.T) {
	files, err := filepath.Glob("testdata/notation/*.weir")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, path := range files {
		t.Run(filepath.Base(path), func(t *testing.T) {
			source, err := os.ReadFile(path)
			require.NoError(t, err)
			f := Parse(path, string(source))
			require.Empty(t, problemsText(f))
			require.NotEmpty(t, f.Statements)
			golden(t, strings.TrimSuffix(path, ".weir")+".golden", statementsText(f))
		})
	}
}

// Every line of testdata/problems.txt that begins with `>` is a line of a
// plan (a lone `>` is an empty one); what follows it are the problems.
func TestProblems(t *testing.T) {
	const path = "testdata/problems.txt"
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	var out strings.Builder
	for _, c := range strings.Split(strings.TrimSpace(string(text)), "\n\n") {
		var source []string
		for _, line := range strings.Split(c, "\n") {
			switch {
			case strings.HasPrefix(line, "#"):
				out.WriteString(line + "\n")
			case strings.HasPrefix(line, ">"):
				out.WriteString(line + "\n")
				source = append(source, strings.TrimPrefix(line[1:], " "))
			}
		}
		f := Parse("case.weir", strings.Join(source, "\n"))
		out.WriteString(problemsText(f))
		for _, s := range f.Statements {
			out.WriteString("  kept " + show(s) + "\n")
		}
		out.WriteString("\n")
	}
	golden(t, path, out.String())
}
