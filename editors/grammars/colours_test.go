package grammars

import (
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
)

var dump = flag.String("dump", "", "a folder to write every plan and its colours to, for the editors' tests")

// coloured is one token with its class.
type coloured struct {
	line       int // from 1
	start, end int // byte offsets in the line
	class      class
}

// colour is the model itself: what every editor's file must come to. It reads
// a line as the notation's lexer does.
func colour(source string) []coloured {
	var list []coloured
	for i, line := range strings.Split(source, "\n") {
		for _, c := range colourLine(strings.TrimSuffix(line, "\r")) {
			c.line = i + 1
			list = append(list, c)
		}
	}
	return list
}

var (
	anchoredMeasure = regexp.MustCompile(`^(?:` + measurePattern + `|` + datePattern + `)$`)
	anchoredRef     = regexp.MustCompile(`^(?:` + refPattern + `)$`)
)

func colourLine(line string) []coloured {
	var list []coloured
	var slots []slot
	var last string
	for i := 0; i < len(line); {
		switch c := line[i]; {
		case strings.IndexByte(" \t,:", c) >= 0:
			if c == ',' || c == ':' {
				slots, last = nil, ""
			}
			i++
			continue
		case c == '#':
			return append(list, coloured{start: i, end: len(line), class: comment})
		case c == '"':
			end, class := textEnd(line, i)
			list = append(list, coloured{start: i, end: end, class: class})
			i, slots, last = end, nil, ""
			continue
		}
		end := i
		for end < len(line) && strings.IndexByte(" \t,:#", line[end]) < 0 {
			end++
		}
		token := line[i:end]
		var found class
		if i == 0 {
			found, slots = firstWord(token)
		} else {
			found, slots = inSlot(token, slots)
			if found == "" {
				found = elsewhere(token, last)
			}
		}
		if found != "" {
			list = append(list, coloured{start: i, end: end, class: found})
		}
		i, last = end, token
	}
	return list
}

// textEnd is the end of the text that begins at i; without a closing mark it
// is the end of the line.
func textEnd(line string, i int) (int, class) {
	for j := i + 1; j < len(line); j++ {
		switch {
		case line[j] == '"':
			return j + 1, text
		case line[j] == '\\' && j+1 < len(line) && line[j+1] == '"':
			j++
		}
	}
	return len(line), openText
}

func firstWord(token string) (class, []slot) {
	for _, p := range listedPositions() {
		if slices.Contains(p.keywords, token) {
			return p.first, p.slots
		}
	}
	return "", nil
}

// inSlot is the class that a token's place gives it, "" where it has none.
func inSlot(token string, slots []slot) (class, []slot) {
	for len(slots) > 0 {
		s := slots[0]
		slots = slots[1:]
		if s.fits(token) {
			return s.class, slots
		}
		if !s.optional {
			return "", nil
		}
	}
	return "", nil
}

func (s slot) fits(token string) bool {
	if s.words != nil {
		return slices.Contains(s.words, token)
	}
	return anchoredRef.MatchString(token) && !slices.Contains(reserved(), token) && !slices.Contains(s.except, token)
}

func elsewhere(token, last string) class {
	switch {
	case token == "?":
		return unsolved
	case anchoredMeasure.MatchString(token):
		return measure
	case slices.Contains(referring(), last) && slot{}.fits(token):
		return name
	case classOf(token) != name:
		return classOf(token)
	case anchoredRef.MatchString(token):
		return name
	}
	return ""
}

// colours is the sample's tokens, one a line: line:column-column class token,
// counted from 1 in code points.
func colours(t *testing.T, _ string) string {
	t.Helper()
	source, err := os.ReadFile("../testdata/colours.weir")
	require.NoError(t, err)
	return listing(string(source))
}

func listing(source string) string {
	lines := strings.Split(source, "\n")
	var b strings.Builder
	for _, c := range colour(source) {
		line := lines[c.line-1]
		start := utf8.RuneCountInString(line[:c.start]) + 1
		end := utf8.RuneCountInString(line[:c.end])
		fmt.Fprintf(&b, "%d:%d-%d %s %s\n", c.line, start, end, c.class, line[c.start:c.end])
	}
	return b.String()
}

// Every class is in the sample, and every position.
func TestSampleShowsEverything(t *testing.T) {
	source, err := os.ReadFile("../testdata/colours.weir")
	require.NoError(t, err)
	seen := map[class]bool{}
	for _, c := range colour(string(source)) {
		seen[c.class] = true
	}
	for _, l := range looks() {
		assert.True(t, seen[l.Class], "%s is not in the sample", l.Class)
	}
	for _, p := range positions() {
		for _, keyword := range p.keywords {
			assert.Regexp(t, `(?m)^`+keyword+`\b`, string(source))
		}
	}
}

// What the parser takes for a keyword, a measure or a name is coloured as
// one, in every plan of the repository.
func TestColoursAgreeWithTheParser(t *testing.T) {
	measures, keywords, names := 0, 0, 0
	for path, source := range plans(t) {
		at := map[int]coloured{}
		offsets := lineOffsets(source)
		for _, c := range colour(source) {
			c.start += offsets[c.line-1]
			c.end += offsets[c.line-1]
			at[c.start] = c
		}
		file := grammar.Parse(path, source)
		if len(file.Problems) > 0 {
			continue
		}
		for _, s := range file.Statements {
			if s.Pos().Start > 0 && source[s.Pos().Start-1] != '\n' {
				continue // an indented statement is no first word
			}
			got := at[s.Pos().Start].class
			assert.True(t, got == statement || got == system, "%s: %s is %q", path, s.Keyword(), got)
			keywords++
			point, ok := s.(*grammar.Point)
			if ok && point.Name.Text != "" {
				assert.Equal(t, defined, at[point.Name.Span.Start].class, "%s: %s", path, point.Name.Text)
				names++
			}
			run, ok := s.(*grammar.Run)
			if !ok {
				continue
			}
			assert.Equal(t, name, at[run.From.Span.Start].class, "%s: %s", path, run.From)
			if run.Size.Kind != quantity.None {
				assert.Equal(t, measure, at[run.Size.Span.Start].class, "%s: %s", path, run.Size.Text)
				assert.Equal(t, run.Size.Span.End, at[run.Size.Span.Start].end, "%s: %s", path, run.Size.Text)
				measures++
			}
			for _, item := range run.Items {
				want := map[grammar.ItemKind]class{grammar.Leg: direction, grammar.Device: device, grammar.Turn: device}[item.Kind]
				if want != "" {
					assert.Equal(t, want, at[item.Word.Span.Start].class, "%s: %s", path, item.Word.Text)
				}
			}
		}
	}
	assert.Greater(t, keywords, 1000)
	assert.Greater(t, measures, 500)
	assert.Greater(t, names, 300)
}

func lineOffsets(source string) []int {
	offsets := []int{0}
	for i := range len(source) {
		if source[i] == '\n' {
			offsets = append(offsets, i+1)
		}
	}
	return offsets
}

// plans is every plan in the repository's testdata, by its path.
func plans(t *testing.T) map[string]string {
	t.Helper()
	list := map[string]string{}
	for _, root := range []string{"../../testdata", "../../grammar", "../testdata"} {
		err := filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
			if err != nil || entry.IsDir() || filepath.Ext(path) != ".weir" {
				return err
			}
			source, err := os.ReadFile(path)
			if err == nil && utf8.Valid(source) && len(source) < 1<<20 {
				list[path] = string(source)
			}
			return err
		})
		require.NoError(t, err)
	}
	require.Greater(t, len(list), 50)
	return list
}

func tokensOfPlans(t *testing.T) []string {
	t.Helper()
	var list []string
	for _, source := range plans(t) {
		list = append(list, tokensOf(source)...)
	}
	return list
}

func tokensOf(source string) []string {
	return strings.FieldsFunc(source, func(r rune) bool { return strings.ContainsRune(" \t\r\n,:#", r) })
}

// TestDump writes every plan with its colours beside it, for editors that
// cannot be run from here.
func TestDump(t *testing.T) {
	if *dump == "" {
		t.Skip("-dump FOLDER writes them")
	}
	require.NoError(t, os.MkdirAll(*dump, 0o755))
	n := 0
	for _, source := range plans(t) {
		n++
		base := filepath.Join(*dump, fmt.Sprintf("%03d", n))
		require.NoError(t, os.WriteFile(base+".weir", []byte(source), 0o644))
		require.NoError(t, os.WriteFile(base+".golden", []byte(listing(source)), 0o644))
	}
}
