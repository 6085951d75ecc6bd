package fit_test

import (
	"context"
	"math/rand"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar"
	"crownweir/lint"
	"crownweir/lint/fit"
)

// run sizes one run of a plan.
func (p plan) run(t testing.TB, file string, offset int) *fit.Result {
	judge := func(parse func(path, source string) *grammar.File) *lint.Report {
		return lint.Check(context.Background(), p.fsys, p.base, lint.Options{Parse: parse})
	}
	r, err := fit.Run(context.Background(), judge, file, offset)
	require.NoError(t, err)
	return r
}

const tub = `plan "Bedstraw Row, laundry"
code upc-2021
default drain abs
default fall 1/4
level ground at 0'
roof at 12'
outfall SEW at -4'
terminal V1 roof rise 12"
fixture LT1 laundry-tub
drain LT1 to k1 1-1/2": trap, east 2'
vent k1 to V1 1-1/2": up to roof
drain k1 to k2 4": down to -2', cleanout, east 5'
sewer k2 to SEW 3": cleanout, east 20'
`

func TestRun(t *testing.T) {
	at := func(p plan, text string) int {
		i := strings.Index(p.src, text)
		return i + len(text)
	}
	for _, c := range []struct{ name, from, to, run, want, rule string }{
		{"one too large is lowered", "", "", "drain k1 to k2", `drain k1 to k2 2": down`, "small-sink-branch"},
		{"one too small is raised", `to k2 4"`, `to k2 1-1/2"`, "drain k1 to k2", `drain k1 to k2 2": down`, "small-sink-branch"},
		{"one to be found", `to k2 4"`, "to k2 ?", "drain k1 to k2", `drain k1 to k2 2": down`, "small-sink-branch"},
		{"one without a size", `to k2 4"`, "to k2", "drain k1 to k2", `drain k1 to k2 2": down`, "small-sink-branch"},
		{"one without a size and items", `k1 to V1 1-1/2": up to roof`, "k1 to V1", "vent k1 to V1", "vent k1 to V1 2\"\n", "short-vent-area"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := plan{base: "a.weir", src: strings.Replace(tub, c.from, c.to, 1)}
			p = p.with(map[string]string{"a.weir": p.src})
			r := p.run(t, "a.weir", at(p, c.run))
			require.Len(t, r.Sizes, 1, r.Left)
			assert.Contains(t, r.Texts["a.weir"], c.want)
			if r.Sizes[0].Below > 0 {
				assert.Equal(t, c.rule, r.Sizes[0].Bound.Rule)
			}
			assert.LessOrEqual(t, r.Checks, 12, "checks of a plan for one size")
		})
	}
}

// Of any run of any plan: nothing but its own sizes changes, none of them can
// be lowered, and what is sized is so already.
func TestRunProperties(t *testing.T) {
	for i, p := range plans(t) {
		t.Run(p.name, func(t *testing.T) {
			t.Parallel()
			random := rand.New(rand.NewSource(int64(i)))
			asking := p.asking(random, 0.2)
			var runs []*grammar.Run
			for _, st := range grammar.Parse(p.base, asking.src).Statements {
				if r, ok := st.(*grammar.Run); ok {
					runs = append(runs, r)
				}
			}
			for range min(3, len(runs)) {
				run := runs[random.Intn(len(runs))]
				r := asking.run(t, p.base, run.Pos().Start)
				for _, z := range r.Sizes {
					require.Equal(t, p.base, z.File)
					require.True(t, run.Pos().Start <= z.Span.Start && z.Span.End <= run.Pos().End)
				}
				onlySizesChange(t, r)
				noSizeCanBeLowered(t, asking, r, "")
				require.Empty(t, asking.written(r).run(t, p.base, run.Pos().Start).Texts, "sizing a sized run anew changes nothing")
			}
		})
	}
}
