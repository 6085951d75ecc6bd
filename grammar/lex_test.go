package grammar

import (
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func lexTexts(text string) []string {
	var l lexer
	l.lex(text, 0)
	var out []string
	for _, t := range l.toks[:len(l.toks)-1] {
		out = append(out, t.text)
	}
	return out
}

func TestTokens(t *testing.T) {
	for text, want := range map[string][]string{
		`drain KS to k1 2":trap,east 2'`:         {"drain", "KS", "to", "k1", `2"`, ":", "trap", ",", "east", "2'"},
		`fixture A lav at 10',4' side 16"`:       {"fixture", "A", "lav", "at", "10',4'", "side", `16"`},
		`object C can at 6',3',8'`:               {"object", "C", "can", "at", "6',3',8'"},
		`east 6',4'`:                             {"east", "6'", ",", "4'"},
		`at 10',north`:                           {"at", "10'", ",", "north"},
		`note "say \"no\" # here" on A # remark`: {"note", `say "no" # here`, "on", "A"},
		`S1..S8 F12.ba..F3.ba`:                   {"S1..S8", "F12.ba..F3.ba"},
		`2′6½″ ? 2x8 2026-11-02`:                 {"2′6½″", "?", "2x8", "2026-11-02"},
		"a\u00a0b":                               {"a", "b"},
		`plan "open`:                             {"plan", `"open`},
	} {
		require.Equal(t, want, lexTexts(text), text)
	}
}

func TestNames(t *testing.T) {
	for _, name := range []string{"a", "WC1", "D-40", "B2.WC1", "A.F1.D-Ka", "Küche", "x_1", "b1.c2"} {
		require.True(t, isName(name), name)
	}
	for _, name := range []string{"", "2x8", "-a", "_a", "a.", "a..b", "a.1", ".a", "a b", "a\"", "45", "a'"} {
		require.False(t, isName(name), name)
	}
}

// checkLex holds that tokens and comments, in order, rejoin to the input with
// nothing but blanks between them.
func checkLex(t *testing.T, text string) {
	t.Helper()
	var l lexer
	l.lex(text, 0)
	spans := []Span{}
	for _, tok := range l.toks[:len(l.toks)-1] {
		spans = append(spans, tok.span())
		if tok.kind != tokString {
			require.Equal(t, text[tok.start:tok.end], tok.text)
		}
	}
	for _, c := range l.comments {
		spans = append(spans, c.Span)
		require.Equal(t, text[c.Span.Start:c.Span.End], c.Text)
	}
	sort.Slice(spans, func(i, j int) bool { return spans[i].Start < spans[j].Start })
	at := 0
	for _, s := range spans {
		require.GreaterOrEqual(t, s.Start, at)
		require.Greater(t, s.End, s.Start)
		require.Equal(t, s.Start-at, firstInk(text[at:s.Start]), "what lies between tokens is blank")
		at = s.End
	}
	require.Equal(t, len(text)-at, firstInk(text[at:]))
}

func FuzzLex(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, text string) { checkLex(t, text) })
}

// seed adds the notation's examples, whole and by line, and the awkward.
func seed(f *testing.F) {
	files, err := filepath.Glob("testdata/notation/*.weir")
	require.NoError(f, err)
	for _, path := range files {
		source, err := os.ReadFile(path)
		require.NoError(f, err)
		f.Add(string(source))
	}
	cases, err := os.ReadFile("testdata/problems.txt")
	require.NoError(f, err)
	for _, line := range strings.Split(string(cases), "\n") {
		if strings.HasPrefix(line, ">") {
			f.Add(strings.TrimPrefix(line[1:], " "))
		}
	}
	for _, text := range []string{
		"", "\n", "\xef\xbb\xbfplan \"x\"\r\n", "  \t", "#", "\"", "a\"b", "at 1',", "fixture A lav\n# c\n\n  side 16\" # d\n  front 24\"",
		"drain a to b 2\":\n  # first\n  trap,\n\n  # then\n  east 2' # last\n", "\x00", "\xff\xfe", "drain \u00a0a to b", "meet a..b", "place x as A1..A0",
		"drain a to b 2\": east 2′6½″, up to −1′\n", "typical a\n  end\n", "note \"\u2028\"", "drain a to b 2\",\n  hot x to y", "vent a to b\n  drain c to d\n\tx",
	} {
		f.Add(text)
	}
}
