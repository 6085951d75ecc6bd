package main

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestDocuments(t *testing.T) {
	start := here(t)
	for _, c := range []struct {
		golden string
		args   []string
	}{
		{"explain.text", []string{"explain", "long-trap-arm"}},
		{"explain.markdown", []string{"explain", "--format", "markdown", "long-trap-arm"}},
		{"rules.text", []string{"rules"}},
		{"rules.markdown", []string{"rules", "--format", "markdown"}},
		{"rules.json", []string{"rules", "--format", "json"}},
		{"codes.text", []string{"codes"}},
		{"codes.markdown", []string{"codes", "--format", "markdown"}},
		{"codes.json", []string{"codes", "--format", "json"}},
		{"help.text", []string{"--help"}},
		{"help-check.text", []string{"check", "--help"}},
	} {
		t.Run(c.golden, func(t *testing.T) {
			got := crownweir(t, "", c.args...)
			assert.Empty(t, got.stderr)
			assert.Equal(t, statusClean, got.status)
			golden(t, start, c.golden, got.stdout)
		})
	}
	assert.Equal(t, crownweir(t, "", "--help"), crownweir(t, ""), "no command shows the help")
}

func TestNew(t *testing.T) {
	folder(t, nil)
	assert.Equal(t, outcome{starter, "", statusClean}, crownweir(t, "", "new"))
	got := crownweir(t, "", "new", "The \"Old\" Mill", "-o", "mill.weir")
	assert.Equal(t, outcome{"", "", statusClean}, got)
	content, err := os.ReadFile("mill.weir")
	require.NoError(t, err)
	assert.Contains(t, string(content), "plan \"The \\\"Old\\\" Mill\"\n")
	assert.Equal(t, statusMisused, crownweir(t, "", "new", "-o", "mill.weir").status)
}

// The starter plan and its title check clean under the real rules.
func TestNewChecksClean(t *testing.T) {
	folder(t, nil)
	lib := theLibrary()
	for _, name := range []string{"", "House 7", "The \"Old\" Mill", "水 # not a comment"} {
		plan := command(t, lib, "", "new", name).stdout
		got := command(t, lib, plan, "check", "--fail-on", "advice", "-")
		assert.Equal(t, statusClean, got.status, "%s%s", got.stdout, got.stderr)
		assert.Contains(t, got.stdout, "1 plan: 0 corrections, 0 cautions, 0 pieces of advice, 0 waived\n")
		assert.NotContains(t, got.stdout, "\n0 requirements judged", "it was judged")
		assert.Equal(t, outcome{plan, "", statusClean}, command(t, lib, plan, "fmt", "-"), "it is laid out canonically")
	}
}

// The real catalogue and the real books can be listed in every format.
func TestRealDocuments(t *testing.T) {
	lib := theLibrary()
	for _, rule := range lib.rules() {
		for _, format := range []string{"text", "markdown"} {
			got := command(t, lib, "", "explain", "--format", format, rule.Name)
			want := statusClean
			if rule.Retired != "" {
				want = statusMisused
			}
			assert.Equal(t, want, got.status, "%s: %s", rule.Name, got.stderr)
		}
	}
	var rules struct{ Rules []struct{ Name string } }
	require.NoError(t, json.Unmarshal([]byte(command(t, lib, "", "rules", "--format", "json").stdout), &rules))
	assert.Len(t, rules.Rules, len(lib.rules()))
	assert.Greater(t, len(rules.Rules), 20)
	var codes struct {
		Books []struct {
			Name       string
			Edition    int
			Limits     int
			FromMemory int `json:"from_memory"`
		}
	}
	require.NoError(t, json.Unmarshal([]byte(command(t, lib, "", "codes", "--format", "json").stdout), &codes))
	require.Len(t, codes.Books, len(lib.books()))
	for _, book := range codes.Books {
		assert.Greater(t, book.Edition, 1990, book.Name)
		assert.Greater(t, book.Limits, book.FromMemory, book.Name)
	}
}
