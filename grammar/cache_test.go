package grammar

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// checkParse holds that spans lie in the source, that words stand where their
// spans say, and that a cached reading equals a fresh one.
func checkParse(t *testing.T, source string) {
	t.Helper()
	fresh := Parse("a.weir", source)
	readAs := map[Span]string{}
	for _, p := range fresh.Problems {
		readAs[p.Span] = p.Suggest
	}
	checkSpans(t, source, readAs, reflect.ValueOf(fresh))
	for _, p := range fresh.Problems {
		require.NotEmpty(t, p.Message)
		require.NotEmpty(t, p.Remedy)
		require.NotEmpty(t, p.Rule)
	}
	c := NewCache()
	ParseCached(c, "a.weir", "plan \"x\"\n"+source)
	same(t, fresh, ParseCached(c, "a.weir", source))
	same(t, fresh, ParseCached(c, "a.weir", source))
	same(t, fresh, ParseCached(NewCache(), "a.weir", source))
}

// same holds that two files are equal, spans included, and shows the first
// statement that is not.
func same(t *testing.T, want, got *File) {
	t.Helper()
	if reflect.DeepEqual(want, got) {
		return
	}
	require.Equal(t, problemsText(want), problemsText(got))
	require.Equal(t, len(want.Statements), len(got.Statements))
	for i := range want.Statements {
		if !reflect.DeepEqual(want.Statements[i], got.Statements[i]) {
			require.Equal(t, want.Statements[i], got.Statements[i])
		}
	}
	require.Fail(t, "files differ")
}

func checkSpans(t *testing.T, source string, readAs map[Span]string, v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			checkSpans(t, source, readAs, v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			checkSpans(t, source, readAs, v.Index(i))
		}
	case reflect.Struct:
		switch x := v.Interface().(type) {
		case Span:
			if x.Start < 0 || x.Start > x.End || x.End > len(source) {
				t.Errorf("span %v of %d bytes", x, len(source))
			}
			return
		case Word:
			written := source[x.Span.Start:x.Span.End]
			if x.Text != "" && written[0] != '"' && words().fixtureKind[written] == "" && written != x.Text && readAs[x.Span] != x.Text {
				t.Errorf("word %q stands at %q", x.Text, written)
			}
		}
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				checkSpans(t, source, readAs, v.Field(i))
			}
		}
	}
}

func FuzzParse(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, source string) { checkParse(t, source) })
}

func TestCachedEqualsFresh(t *testing.T) {
	files, err := filepath.Glob("testdata/notation/*.weir")
	require.NoError(t, err)
	for _, path := range files {
		source, err := os.ReadFile(path)
		require.NoError(t, err)
		checkParse(t, string(source))
	}
}

func TestEditsThroughOneCache(t *testing.T) {
	c := NewCache()
	lines := strings.Split(plan(300), "\n")
	ParseCached(c, "a.weir", strings.Join(lines, "\n"))
	for _, edit := range []struct {
		line int
		text string
	}{{0, "plan \"other\""}, {150, "drain a to b 2\": east"}, {151, "  hot left"}, {299, "typical x"}, {10, ""}, {20, "# remark"}} {
		lines[edit.line] = edit.text
		source := strings.Join(lines, "\n")
		same(t, Parse("a.weir", source), ParseCached(c, "a.weir", source))
	}
}

func TestUnchangedStatementsAreShared(t *testing.T) {
	c := NewCache()
	a := ParseCached(c, "a.weir", "plan \"x\"\nlevel g at 0'\n")
	b := ParseCached(c, "a.weir", "plan \"x\"\nlevel g at 1'\n")
	require.Same(t, a.Statements[0], b.Statements[0])
}

func TestCacheForgets(t *testing.T) {
	c := NewCache()
	ParseCached(c, "a.weir", "plan \"once\"\n")
	for range 3 * keepTurns {
		ParseCached(c, "a.weir", "code upc-2021\n")
	}
	require.Len(t, c.entries, 1)
}

func TestHostileSources(t *testing.T) {
	for name, c := range map[string]struct {
		source     string
		rule       string
		statements int
	}{
		"a line too long":     {"plan \"x\"\nnote \"" + strings.Repeat("x", 1<<20) + "\"\ncode upc-2021\n", ruleRefused, 2},
		"a file too large":    {strings.Repeat("plan \"x\"\n", 12<<20), ruleRefused, 0},
		"nothing but garbage": {strings.Repeat("x y z\n", 1<<20), ruleUnreadable, 0},
		"one endless line":    {"plan \"x\"\nmeet" + strings.Repeat("\n a", 1<<20), ruleRefused, 1},
		"endless continuation": {
			"fixture A lav" + strings.Repeat("\n  hot left", 1<<18), ruleRefused, 0,
		},
		"endless items": {"drain a to b 2\": " + strings.Repeat("trap, ", 10_000) + "trap", "", 1},
	} {
		t.Run(name, func(t *testing.T) {
			f := Parse("a.weir", c.source)
			require.Len(t, f.Statements, c.statements)
			require.LessOrEqual(t, len(f.Problems), mostProblems+1)
			if c.rule == "" {
				require.Empty(t, f.Problems)
			} else {
				require.NotEmpty(t, f.Problems)
				require.Equal(t, c.rule, f.Problems[0].Rule)
			}
		})
	}
}
