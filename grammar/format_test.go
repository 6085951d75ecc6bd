package grammar

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestFormat(t *testing.T) {
	for _, c := range []struct{ name, in, want string }{
		{"blanks and short forms", "fixture  WC1\twc   side 16\"\n", "fixture WC1 water-closet side 16\"\n"},
		{"a short form in an exception", "except F1 fixture A lav\n", "except F1 fixture A lavatory\n"},
		{"typographic marks", "drain a to b 1½″: east 2′6½″, down −3\"\nfixture A lav at 10′,4′\n", "drain a to b 1-1/2\": east 2'6-1/2\", down -3\"\nfixture A lavatory at 10',4'\n"},
		{"the writer's unit stays", "level g at 2.5ft\ndrain a to b 50mm: east 600mm\n", "level g at 2.5ft\ndrain a to b 50mm: east 600mm\n"},
		{"colons and commas", "drain a to b 2\" :trap,east 2'\n", "drain a to b 2\": trap, east 2'\n"},
		{"continuations are joined", "drain a to b 2\":\n    trap,\n\n  east 2'\n", "drain a to b 2\": trap, east 2'\n"},
		{"comments keep their lines", "# one\nplan \"x\"    # two  \n  # three\ncode upc-2021\n", "# one\nplan \"x\" # two\n# three\ncode upc-2021\n"},
		{"comments inside", "drain a to b 2\":   # one\n      trap,\n# two\n   east 2'   # three\n", "drain a to b 2\": # one\n  trap,\n  # two\n  east 2' # three\n"},
		{"blank lines fold", "\n\nplan \"x\"\n\n\n\ncode upc-2021\n\n", "plan \"x\"\n\ncode upc-2021\n"},
		{"line ends and byte order mark", "\uFEFFplan \"x\"\r\ncode  upc-2021\r\n", "plan \"x\"\r\ncode upc-2021\r\n"},
		{"indented statements", "typical b\n  fixture A lav\n  drain A to o 2\"\nend\n", "typical b\nfixture A lavatory\ndrain A to o 2\"\nend\n"},
		{"no end of line", "plan \"x\"", "plan \"x\"\n"},
		{"an unknown word is no reason", "fixture A lav  frnt 2\"\n", "fixture A lavatory frnt 2\"\n"},
		{
			"broken at commas",
			"drain t1 to t9 4\" as D-10: cleanout floor, east 8\", picks-up t2, east 2'2\", picks-up t3, east 2'2\", picks-up t4, east 9'\n",
			"drain t1 to t9 4\" as D-10: cleanout floor, east 8\", picks-up t2, east 2'2\", picks-up t3, east 2'2\",\n  picks-up t4, east 9'\n",
		},
		{
			"broken at blanks, not before a keyword",
			"fixture A lav in hall-bath side 16\" front 24\" centres 30\" rim 32\" outlet 18\" supply 21\" hazard low hot left protected none\n",
			"fixture A lavatory in hall-bath side 16\" front 24\" centres 30\" rim 32\" outlet 18\" supply 21\" hazard\n  low hot left protected none\n",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, problems := Format(Parse("a.weir", c.in))
			require.Empty(t, problems)
			require.Equal(t, c.want, got)
			checkFormat(t, c.in)
		})
	}
}

func TestFormatRefusesWhatItCannotRead(t *testing.T) {
	f := Parse("a.weir", "plan \"x\"\ndran a to b\nfixture A lav frnt 2\"\n")
	got, problems := Format(f)
	require.Empty(t, got)
	require.Len(t, problems, 1)
	require.Equal(t, ruleUnreadable, problems[0].Rule)
}

func TestFormatKeepsTheNotation(t *testing.T) {
	files, err := filepath.Glob("testdata/notation/*.weir")
	require.NoError(t, err)
	for _, path := range files {
		source, err := os.ReadFile(path)
		require.NoError(t, err)
		checkFormat(t, string(source))
	}
}

// checkFormat holds that formatting is stable and keeps every statement and
// comment.
func checkFormat(t *testing.T, source string) {
	t.Helper()
	before := Parse("a.weir", source)
	once, problems := Format(before)
	if len(problems) > 0 {
		require.Empty(t, once)
		return
	}
	after := Parse("a.weir", once)
	require.Equal(t, statementsText(before), statementsText(after), "statements of %q", once)
	require.Equal(t, commentsText(before), commentsText(after), "comments of %q", once)
	twice, problems := Format(after)
	require.Empty(t, problems, "%q", once)
	require.Equal(t, once, twice)
	for _, line := range strings.Split(once, "\n") {
		line = strings.TrimSuffix(line, "\r")
		require.Equal(t, strings.TrimRight(line, " \t"), line, "no blank at a line's end")
	}
}

func commentsText(f *File) string {
	var b strings.Builder
	for _, c := range f.Comments {
		b.WriteString(commentText(c) + "\n")
	}
	return b.String()
}

func FuzzFormat(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, source string) { checkFormat(t, source) })
}
