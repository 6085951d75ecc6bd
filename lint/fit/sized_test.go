package fit_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"crownweir/grammar"
	"crownweir/lint/fit"
)

var update = flag.Bool("update", false, "write the solved plans anew")

// TestSizedPlans holds every plan of testdata/size to the solved plan beside it,
// `.sized`, and to why each size is no smaller and what is left, `.why`.
func TestSizedPlans(t *testing.T) {
	const root = "../../testdata/size"
	n := 0
	for _, pattern := range []string{"*.weir", "shared/plan.weir"} {
		names, err := filepath.Glob(filepath.Join(root, pattern))
		require.NoError(t, err)
		for _, name := range names {
			n++
			t.Run(filepath.ToSlash(strings.TrimPrefix(name, filepath.Clean(root)+string(filepath.Separator))), func(t *testing.T) {
				src, err := os.ReadFile(name)
				require.NoError(t, err)
				p := plan{name, os.DirFS(filepath.Dir(name)), filepath.Base(name), string(src)}
				r := p.solve(t, fit.Options{Explain: true})
				solved := p.written(r)
				for _, file := range r.Order {
					text := r.Files[file].Source
					if changed, ok := r.Texts[file]; ok {
						text = changed
					}
					hold(t, filepath.Join(filepath.Dir(name), strings.TrimSuffix(file, ".weir")+".sized"), text)
				}
				hold(t, strings.TrimSuffix(name, ".weir")+".why", why(r))
				noSizeCanBeLowered(t, p, r, "")
				again := solved.solve(t, fit.Options{})
				require.Empty(t, again.Sizes, "what is left stays left")
			})
		}
	}
	require.Greater(t, n, 10)
}

const resize = "run `go test ./lint/fit -run TestSizedPlans -update` and read what changed"

func hold(t *testing.T, name, got string) {
	t.Helper()
	if *update {
		require.NoError(t, os.WriteFile(name, []byte(got), 0o644))
	}
	want, err := os.ReadFile(name)
	require.NoError(t, err, resize)
	require.Equal(t, string(want), got, resize)
}

// why tells of each size what the next smaller would bring, and of what is left
// why it is.
func why(r *fit.Result) string {
	var b strings.Builder
	for _, z := range r.Sizes {
		fmt.Fprintf(&b, "%s: %s %s", placed(r, z.File, z.Span), z.What, z.Text)
		if z.For > 1 {
			fmt.Fprintf(&b, " (%d of them)", z.For)
		}
		if z.Bound == nil {
			fmt.Fprintf(&b, "\n    the smallest there is\n")
			continue
		}
		fmt.Fprintf(&b, "\n    not %s: %s [%s] %s\n", z.Below, z.Bound.Message, z.Bound.Rule, z.Bound.Section)
		if z.With != nil {
			fmt.Fprintf(&b, "    nor with the others of its run: %s [%s] %s\n", z.With.Message, z.With.Rule, z.With.Section)
		}
	}
	for _, l := range r.Left {
		fmt.Fprintf(&b, "%s: %s stays %s\n    %s; %s\n", placed(r, l.File, l.Span), l.What, l.Was, l.Why, l.Remedy)
	}
	return b.String()
}

func placed(r *fit.Result, file string, span grammar.Span) string {
	line, column := grammar.NewMapper(r.Files[file].Source).Position(span.Start)
	return fmt.Sprintf("%s:%d:%d", file, line, column)
}
