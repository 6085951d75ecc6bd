package grammar

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestMutatedPlans holds the properties of the fuzz targets over plans whose
// tokens are shuffled, dropped, repeated and broken over lines: what a fuzzer
// that knows no words seldom reaches.
func TestMutatedPlans(t *testing.T) {
	files, err := filepath.Glob("testdata/notation/*.weir")
	require.NoError(t, err)
	var lines, tokens []string
	for _, path := range files {
		source, err := os.ReadFile(path)
		require.NoError(t, err)
		for _, line := range strings.Split(string(source), "\n") {
			lines = append(lines, line)
			tokens = append(tokens, lexTexts(line)...)
		}
	}
	tokens = append(tokens, "wc", "lav", "2′6½″", "at", "10',4'", "# c", "\n", "\n  ", "\n\n", "\n# d\n", ",\n  ", ":", ",", "\r\n", "\t", "end", "unknown", "?", `"`, "ü", "\xff")
	rng := rand.New(rand.NewPCG(1, 2))
	n := 4000
	if testing.Short() {
		n = 400
	}
	for range n {
		var b strings.Builder
		for range 1 + rng.IntN(5) {
			b.WriteString(mutate(rng, lines[rng.IntN(len(lines))], tokens) + "\n")
		}
		source := b.String()
		checkLex(t, source)
		checkParse(t, source)
		checkFormat(t, source)
		if t.Failed() {
			t.Fatalf("source: %q", source)
		}
	}
}

func mutate(rng *rand.Rand, line string, tokens []string) string {
	parts := strings.Split(line, " ")
	for range rng.IntN(4) {
		i := rng.IntN(len(parts))
		switch rng.IntN(6) {
		case 0:
			parts = append(parts[:i:i], parts[i+1:]...)
		case 1:
			parts[i] = tokens[rng.IntN(len(tokens))]
		case 2:
			parts = append(parts[:i:i], append([]string{tokens[rng.IntN(len(tokens))]}, parts[i:]...)...)
		case 3:
			parts[i] += "\n  "
		case 4:
			parts[i] += " # remark\n "
		case 5:
			if len(parts[i]) > 1 {
				parts[i] = parts[i][1:]
			}
		}
		if len(parts) == 0 {
			return ""
		}
	}
	if rng.IntN(6) == 0 {
		return "  " + strings.Join(parts, " ")
	}
	return strings.Join(parts, " ")
}
