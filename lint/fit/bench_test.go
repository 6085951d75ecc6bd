package fit_test

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"crownweir/lint/fit"
)

// terrace makes a plan of about n lines without a size in it: bathrooms side by
// side, each with its own vent, on one building drain.
func terrace(n int) string {
	lines := []string{`plan "Terrace at Lodestar Row"`, `code upc-2021`, `scope drainage vents`, `default drain abs`, `default fall 1/4`,
		`level ground at 0'`, `roof at 12'`, `outfall SEW at -9000'`, `drain b0 to b1 12": cleanout, east 4'`}
	i := 1
	for ; len(lines) < n-1; i++ {
		for _, f := range []string{
			`room bath%[1]d on ground`, `fixture WC%[1]d water-closet in bath%[1]d side 16" front 25"`, `fixture LV%[1]d lavatory in bath%[1]d`,
			`fixture TB%[1]d bathtub in bath%[1]d`, `terminal V%[1]d roof rise 12" opening 12'`,
			`drain LV%[1]d to p%[1]d ?: trap, south 2'6"`, `vent p%[1]d to v%[1]d ?: up to 44"`, `vent v%[1]d to V%[1]d ?: up to roof`,
			`drain p%[1]d to q%[1]d ?: down to q%[1]d`, `drain WC%[1]d to q%[1]d ?: down 8", north 1'6"`,
			`drain TB%[1]d to t%[1]d ?: down 6", trap, west 3'`, `vent t%[1]d to v%[1]d ? as VT-%[1]d: up to 44", east 3'`,
			`drain t%[1]d to s%[1]d ?: down to suit, cleanout, east 4'`, `drain q%[1]d to s%[1]d ?: down to -2', cleanout, south 6'`,
			`drain s%[1]d to b%[1]d ? as D-%[1]d: down to suit`, `drain b%[1]d to b%[2]d ?: east 4'`,
		} {
			lines = append(lines, strings.TrimSuffix(fmt.Sprintf(f, i, i+1), fmt.Sprintf("%%!(EXTRA int=%d)", i+1)))
		}
	}
	return strings.Join(append(lines, fmt.Sprintf(`sewer b%d to SEW ?: cleanout, east 30'`, i)), "\n") + "\n"
}

func benchmark(b *testing.B, src string, opts fit.Options) {
	fsys := fstest.MapFS{"a.weir": {Data: []byte(src)}}
	b.ReportAllocs()
	for b.Loop() {
		r, err := fit.Solve(context.Background(), fsys, "a.weir", opts)
		require.NoError(b, err)
		require.NotEmpty(b, r.Sizes)
		b.ReportMetric(float64(r.Checks), "checks")
		b.ReportMetric(float64(len(r.Sizes)), "sizes")
	}
}

func file(b *testing.B, name string) string {
	src, err := os.ReadFile("../../testdata/" + name)
	require.NoError(b, err)
	return string(src)
}

// A bungalow of 20 pipes, and a house of 85 with its water. On one core of a
// shared machine: 7 and 36 ms. Every size tried alone at each step: 29 and 302
// checks; what the ledger asks tried together: 15 and 46; what the largest sizes
// do not mend given up at once: 16 and 26.
func BenchmarkBungalow(b *testing.B) {
	benchmark(b, file(b, "plans/bungalow.weir"), fit.Options{All: true})
}
func BenchmarkBungalowExplained(b *testing.B) {
	benchmark(b, file(b, "plans/bungalow.weir"), fit.Options{All: true, Explain: true})
}
func BenchmarkHouse(b *testing.B) {
	benchmark(b, file(b, "scenarios/s01-quillfeather.weir"), fit.Options{All: true})
}
func BenchmarkTower(b *testing.B) {
	benchmark(b, file(b, "plans/tower.weir"), fit.Options{All: true})
}

// A plan of 2,000 lines in which nothing repeats: 0.3 s. With a trial for each
// size that the ledger does not ask it took 385 checks and 7 s, now ten.
func BenchmarkTerrace2000(b *testing.B) { benchmark(b, terrace(2000), fit.Options{}) }
