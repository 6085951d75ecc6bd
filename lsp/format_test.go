package lsp

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar"
)

// corpus is every plan of the repository's test data, by name.
func corpus(t testing.TB) map[string]string {
	plans := map[string]string{}
	for _, pattern := range []string{"../testdata/*/*.weir", "../grammar/testdata/*/*.weir"} {
		files, err := filepath.Glob(pattern)
		require.NoError(t, err)
		for _, file := range files {
			source, err := os.ReadFile(file)
			require.NoError(t, err)
			plans[file] = string(source)
		}
	}
	require.Greater(t, len(plans), 100)
	return plans
}

// applyEdits makes edits of bytes, and holds them to be in order and apart.
func applyEdits(t testing.TB, source string, edits []lineEdit) string {
	var out strings.Builder
	at := 0
	for _, e := range edits {
		require.LessOrEqual(t, at, e.at.Start)
		require.LessOrEqual(t, e.at.Start, e.at.End)
		require.LessOrEqual(t, e.at.End, len(source))
		out.WriteString(source[at:e.at.Start])
		out.WriteString(e.text)
		at = e.at.End
	}
	out.WriteString(source[at:])
	return out.String()
}

// untidy spoils a layout without changing what it says.
func untidy(source string) string {
	source = strings.ReplaceAll(source, ", ", ",\n   ")
	source = strings.ReplaceAll(source, " to ", "   to ")
	return strings.ReplaceAll(source, "\n\n", "\n\n\n\n")
}

func TestEditsMakeTheLayout(t *testing.T) {
	tidy, done := 0, 0
	for name, source := range corpus(t) {
		for _, before := range []string{source, untidy(source), strings.ReplaceAll(untidy(source), "\n", "\r\n"), strings.TrimRight(source, "\n")} {
			after, problems := grammar.Format(grammar.Parse("a.weir", before))
			if len(problems) > 0 {
				continue
			}
			edits := lineEdits(before, after)
			assert.Equal(t, after, applyEdits(t, before, edits), name)
			done++
			if before == after {
				assert.Empty(t, edits, name)
				tidy++
			}
		}
	}
	assert.Greater(t, done, 200)
	assert.Greater(t, tidy, 50)
}

func TestEditsAreSmall(t *testing.T) {
	for _, c := range []struct {
		before, after string
		want          []lineEdit
	}{
		{"a b\nc  d\ne\n", "a b\nc d\ne\n", []lineEdit{{at: grammar.Span{Start: 6, End: 7}}}},
		{"a\n\n\n\nb\n", "a\n\nb\n", []lineEdit{{at: grammar.Span{Start: 3, End: 5}}}},
		{"a\nb", "a\nb\n", []lineEdit{{at: grammar.Span{Start: 3, End: 3}, text: "\n"}}},
		{"a\r\nb  c\r\n", "a\r\nb c\r\n", []lineEdit{{at: grammar.Span{Start: 5, End: 6}}}},
		{"é  ½\n", "é 1/2\n", []lineEdit{{at: grammar.Span{Start: 3, End: 6}, text: "1/2"}}},
	} {
		got := lineEdits(c.before, c.after)
		for i := range got {
			got[i].lines = grammar.Span{}
		}
		assert.Equal(t, c.after, applyEdits(t, c.before, lineEdits(c.before, c.after)))
		assert.Equal(t, c.want, got, c.before)
	}
}

func FuzzLineEdits(f *testing.F) {
	f.Add("a\nb  c\n", "a\nb c\n")
	f.Add("é\r\n\r\n", "e\n")
	f.Fuzz(func(t *testing.T, before, after string) {
		assert.Equal(t, after, applyEdits(t, before, lineEdits(before, after)))
	})
}

type testEdit struct {
	Range   testRange
	NewText string
}

func TestItem38Formatting(t *testing.T) {
	p := serve(t, Options{})
	p.hello(allAbilities)
	source := "plan \"x\"   \nlevel ground  at 0'\nfixture   KS ks\n\n\n\nroom a  on ground\n"
	p.open(house, 1, source)
	document := object{"uri": house}
	options := object{"tabSize": 2, "insertSpaces": true}
	var edits []testEdit
	p.ask("textDocument/formatting", object{"textDocument": document, "options": options}, &edits)
	after, _ := grammar.Format(grammar.Parse("house.weir", source))
	text := newText(source)
	var made []lineEdit
	for _, e := range edits {
		raw, _ := json.Marshal(e.Range)
		var r struct{ Start, End testPosition }
		require.NoError(t, json.Unmarshal(raw, &r))
		made = append(made, lineEdit{at: grammar.Span{Start: text.starts[r.Start.Line] + r.Start.Character, End: text.starts[r.End.Line] + r.End.Character}, text: e.NewText})
	}
	assert.Equal(t, after, applyEdits(t, source, made))
	assert.Len(t, edits, 5)

	lines := func(first, last int) (touched []string) {
		var edits []testEdit
		p.ask("textDocument/rangeFormatting", object{"textDocument": document, "options": options,
			"range": object{"start": object{"line": first, "character": 0}, "end": object{"line": last, "character": 0}}}, &edits)
		for _, e := range edits {
			touched = append(touched, e.Range.String())
		}
		return touched
	}
	assert.Equal(t, []string{"1:13-1:14"}, lines(1, 2))
	assert.Equal(t, []string{"6:7-6:8"}, lines(6, 99))
	assert.Empty(t, lines(4, 5), "a part of what is one edit")

	p.change(house, 2, whole(after))
	p.ask("textDocument/formatting", object{"textDocument": document, "options": options}, &edits)
	assert.Empty(t, edits, "what is laid out stays")
	assert.NotContains(t, p.received(), "window/showMessage")

	p.change(house, 3, whole(source+"drian a to b\n"))
	p.ask("textDocument/formatting", object{"textDocument": document, "options": options}, &edits)
	assert.Empty(t, edits, "what cannot be read is left as it is")
	assert.Contains(t, p.received(), "window/showMessage")
}

type testPosition struct{ Line, Character int }
