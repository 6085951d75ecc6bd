package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const demo = "testdata/demo/juniper-court.weir"

// root makes the repository's top level the current folder.
func root(t *testing.T) {
	t.Helper()
	t.Chdir(filepath.Join("..", ".."))
	_, err := os.Stat("go.mod")
	require.NoError(t, err)
}

// blocks are the fenced blocks of a document, by their opening line.
func blocks(t *testing.T, file, opening string) []string {
	t.Helper()
	content, err := os.ReadFile(file)
	require.NoError(t, err)
	var found []string
	parts := strings.Split(string(content), "\n```")
	for i := 1; i < len(parts); i += 2 {
		head, body, _ := strings.Cut(parts[i], "\n")
		if head == opening {
			found = append(found, body+"\n")
		}
	}
	return found
}

// The output that README.md shows is what its command writes.
func TestReadmeShowsRealOutput(t *testing.T) {
	root(t)
	got := command(t, theLibrary(), "", "check", demo)
	require.Empty(t, got.stderr)
	require.Equal(t, statusFindings, got.status)
	if *update {
		content, err := os.ReadFile("README.md")
		require.NoError(t, err)
		before, rest, ok := strings.Cut(string(content), "\n```text\n")
		require.True(t, ok, "README.md has a text block")
		_, after, ok := strings.Cut("\n"+rest, "\n```\n")
		require.True(t, ok, "README.md closes its text block")
		require.NoError(t, writeWhole("README.md", []byte(before+"\n```text\n"+got.stdout+"```\n"+after)))
	}
	shown := blocks(t, "README.md", "text")
	require.Len(t, shown, 1, "README.md shows one output")
	assert.Equal(t, got.stdout, shown[0], "write it anew with: go test ./cmd/crownweir -update")
}

// The command that README.md gives is the one that this test runs, and what
// README.md says of formats and options is what there is.
func TestReadmeNamesWhatThereIs(t *testing.T) {
	root(t)
	content, err := os.ReadFile("README.md")
	require.NoError(t, err)
	text := string(content)
	assert.Contains(t, text, "go run ./cmd/crownweir check "+demo+"\n")
	assert.Contains(t, text, "go test ./...\n")
	for _, command := range []string{"check", "fmt", "explain", "rules", "codes", "new"} {
		assert.Contains(t, text, "| `"+command, command)
		assert.Equal(t, statusClean, crownweir(t, "", command, "--help").status, command)
	}
}

// The demo plan has the faults that its comments tell, and no others.
func TestDemo(t *testing.T) {
	root(t)
	content, err := os.ReadFile(demo)
	require.NoError(t, err)
	told := strings.Count(string(content), "# fault: ")
	require.NotZero(t, told)
	got := command(t, theLibrary(), "", "check", "-q", demo)
	assert.Equal(t, told, strings.Count(got.stdout, ": correction: "), got.stdout)
	for _, line := range strings.Split(string(content), "\n") {
		if rule, ok := strings.CutPrefix(line, "# fault: "); ok {
			rule, _, _ = strings.Cut(rule, ",")
			assert.Contains(t, got.stdout, "["+rule+"]")
		}
	}
	assert.Equal(t, statusClean, command(t, theLibrary(), "", "fmt", "--check", demo).status, "it is laid out canonically")
}
