package fit_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar/quantity"
	"crownweir/lint/fit"
)

// FuzzSolve: whatever a plan says, only its sizes change, each to one that is
// made, and what is left is told with a reason and a remedy.
func FuzzSolve(f *testing.F) {
	names, err := filepath.Glob("../../testdata/size/*.weir")
	require.NoError(f, err)
	for _, name := range names {
		src, err := os.ReadFile(name)
		require.NoError(f, err)
		f.Add(string(src), strings.Contains(name, "metric"))
	}
	f.Add("drain a to b ?\ndrain b to a ?: trap ?\nvent a to ?", true)
	f.Fuzz(func(t *testing.T, src string, all bool) {
		if len(src) > 6000 || strings.Count(src, "place ") > 6 {
			t.Skip("long plans are for the benchmarks")
		}
		ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
		defer cancel()
		r, err := fit.Solve(ctx, fstest.MapFS{"a.weir": {Data: []byte(src)}}, "a.weir", fit.Options{All: all})
		if err != nil {
			t.Skip("a plan of many pipes")
		}
		if r.Unread != "" {
			return
		}
		onlySizesChange(t, r)
		for _, z := range r.Sizes {
			size, ok := quantity.ParseSize(z.Text)
			require.True(t, ok, z.Text)
			require.Equal(t, z.Size, size)
			require.Equal(t, z.Below > 0, z.Bound != nil, z.What)
		}
		for _, l := range r.Left {
			require.NotEmpty(t, l.Why, l.What)
			require.NotEmpty(t, l.Remedy, l.What+": "+l.Why)
		}
	})
}

// TestHostilePlans: counts, circles and contradictions cost a moment and no more
// trials than sizes.
func TestHostilePlans(t *testing.T) {
	head := "plan \"x\"\ncode upc-2021\ndefault drain abs\nlevel ground at 0'\nroof at 12'\nroom r on ground\noutfall SEW at -5'\n"
	chain := head + "fixture LV lavatory in r\nfixture WC water-closet in r\ndrain LV to p1 ?: trap ?, east 2'\ndrain WC to p1 ?: down 8\", east 2'\n" +
		"drain p1..p4000 ?: east 1'\nsewer p4000 to SEW ?: east 1'\n"
	copies := head + "typical t\nfixture LV lavatory\ndrain LV to o ?: trap ?, east 2'\nend\nplace t as A1..A2000 in r on ground\n" +
		"meet A1.o A2.o\nsewer A1.o to SEW ?: east 4'\n"
	var circle strings.Builder
	circle.WriteString(head)
	for i := range 300 {
		fmt.Fprintf(&circle, "drain c%d to c%d ?: trap ?, east 1'\nvent c%d to v%d ?: up 1'\nvent v%d to c%d ?: down 1'\n", i, (i+1)%300, i, i, i, i)
	}
	for name, c := range map[string]struct {
		src    string
		checks int
	}{
		"a chain of 4,000 links":              {chain, 40},
		"2,000 copies":                        {copies, 40},
		"300 circles":                         {circle.String(), 60},
		"nothing but questions":               {head + strings.Repeat("drain ? to ? ?: trap ?, ?\n", 300), 10},
		"two sizes in one place":              {head + "drain a to b ? ? 2\": trap ? ?, east 2'\n", 10},
		"a size that is none, and one unread": {head + "fixture LV lavatory in r\ndrain LV to b 2-3/8\": trap 9\", east ?\nsewer b to SEW ?\n", 20},
	} {
		t.Run(name, func(t *testing.T) {
			for _, all := range []bool{false, true} {
				r, err := fit.Solve(context.Background(), fstest.MapFS{"a.weir": {Data: []byte(c.src)}}, "a.weir", fit.Options{All: all})
				require.NoError(t, err)
				assert.LessOrEqual(t, r.Checks, c.checks)
				onlySizesChange(t, r)
			}
		})
	}
}

// TestCancelled: work that nobody waits for stops.
func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := fit.Solve(ctx, fstest.MapFS{"a.weir": {Data: []byte(terrace(2000))}}, "a.weir", fit.Options{})
	require.ErrorIs(t, err, context.Canceled)
}
