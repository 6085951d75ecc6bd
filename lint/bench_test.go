package lint_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"crownweir/grammar/system"
	"crownweir/lint"
	"crownweir/lint/codebook"
	"crownweir/lint/pressure"
	"crownweir/lint/rule"
)

// terrace makes a plan of about n lines: bathrooms side by side, each with
// its own vent, on one building drain.
func terrace(n int) string {
	lines := []string{`plan "Terrace at Lodestar Row"`, `code upc-2021`, `scope drainage vents`, `default drain abs`, `default fall 1/4`,
		`level ground at 0'`, `roof at 12'`, `outfall SEW at -9000'`, `drain b0 to b1 12": cleanout, east 4'`}
	i := 1
	for ; len(lines) < n-1; i++ {
		for _, f := range []string{
			`room bath%[1]d on ground`, `fixture WC%[1]d water-closet in bath%[1]d side 16" front 25"`, `fixture LV%[1]d lavatory in bath%[1]d`,
			`fixture TB%[1]d bathtub in bath%[1]d`, `terminal V%[1]d roof rise 12" opening 12'`,
			`drain LV%[1]d to p%[1]d 1-1/2": trap, south 2'6"`, `vent p%[1]d to v%[1]d 2": up to 44"`, `vent v%[1]d to V%[1]d 3": up to roof`,
			`drain p%[1]d to q%[1]d 2": down to q%[1]d`, `drain WC%[1]d to q%[1]d 3": down 8", north 1'6"`,
			`drain TB%[1]d to t%[1]d 1-1/2": down 6", trap, west 3'`, `vent t%[1]d to v%[1]d 1-1/2" as VT-%[1]d: up to 44", east 3'`,
			`drain t%[1]d to s%[1]d 2": down to suit, cleanout, east 4'`, `drain q%[1]d to s%[1]d 3": down to -2', cleanout, south 6'`,
			`drain s%[1]d to b%[1]d 4" as D-%[1]d: down to suit`, `drain b%[1]d to b%[2]d 12": east 4'`,
		} {
			lines = append(lines, strings.TrimSuffix(fmt.Sprintf(f, i, i+1), fmt.Sprintf("%%!(EXTRA int=%d)", i+1)))
		}
	}
	return strings.Join(append(lines, fmt.Sprintf(`sewer b%d to SEW 12": cleanout, east 30'`, i)), "\n") + "\n"
}

func judge(t testing.TB, n int) *system.System {
	sys := system.BuildSource(nil, "a.weir", terrace(n), system.Options{})
	require.Empty(t, sys.Problems)
	return sys
}

// All rules over a plan that is already built: 2,000 lines and 50,000.
func BenchmarkRules2000(b *testing.B)  { benchmarkRules(b, 2000) }
func BenchmarkRules50000(b *testing.B) { benchmarkRules(b, 50_000) }

func benchmarkRules(b *testing.B, lines int) {
	sys := judge(b, lines)
	book, err := codebook.Load("upc-2021")
	require.NoError(b, err)
	var rules []*rule.Rule
	for _, r := range rule.All() {
		if r.Judge != nil {
			rules = append(rules, &r)
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		c := rule.NewCase(sys, book, pressure.Options{})
		c.Run(context.Background(), rules...)
	}
}

// A whole check of a 2,000-line plan, reading included.
func BenchmarkCheck2000(b *testing.B) {
	fsys := fstest.MapFS{"a.weir": {Data: []byte(terrace(2000))}}
	b.ReportAllocs()
	for b.Loop() {
		lint.Check(context.Background(), fsys, "a.weir", lint.Options{})
	}
}
