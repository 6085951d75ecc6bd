package editors

import (
	"flag"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lint"
	"crownweir/lint/codebook"
	"crownweir/lsp/settings"
)

var update = flag.Bool("update", false, "write the schema of settings anew")

// The schema knows the rules and the books that there are.
func TestSettingsSchema(t *testing.T) {
	words := settings.Words{Books: codebook.Names()}
	for _, r := range lint.Rules() {
		words.Rules = append(words.Rules, r.Name)
	}
	want, err := words.Schema()
	require.NoError(t, err)
	const file = "toml/crownweir.schema.json"
	if *update {
		require.NoError(t, os.WriteFile(file, want, 0o644))
	}
	got, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, string(want), string(got), "run: go test ./editors -update")
}
