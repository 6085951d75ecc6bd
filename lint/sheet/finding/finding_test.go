package finding

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lint"
)

func TestExcerpt(t *testing.T) {
	long := strings.Repeat("a", 100) + "FAULT" + strings.Repeat("b", 100)
	for _, c := range []struct {
		name          string
		line          string
		start, end    int
		shown, marker string
	}{
		{"plain", "drain KS to k1", 7, 9, "drain KS to k1", "      ^^"},
		{"tab spread to its stop", "\tab\tc", 4, 5, "    ab  c", "      ^^"},
		{"after a tab", "\tab\tc", 5, 6, "    ab  c", "        ^"},
		{"wide characters take two cells", "水管 KS", 1, 3, "水管 KS", "^^^^"},
		{"after wide characters", "水管 KS", 4, 6, "水管 KS", "     ^^"},
		{"combining marks take none", "cafe\u0301 x", 7, 8, "cafe\u0301 x", "     ^"},
		{"typographic marks take one", "2′6½″ x", 7, 8, "2′6½″ x", "      ^"},
		{"nothing wide is still marked", "abc", 2, 2, "abc", " ^"},
		{"past the end", "abc", 9, 12, "abc", "   ^"},
		{"ends before it starts", "abc", 3, 1, "abc", "  ^"},
		{"what steers a terminal", "a\x1b[2Jb\u202ec", 2, 3, "a\uFFFD[2Jb\uFFFDc", " ^"},
		{"byte order mark", "\uFEFFplan", 2, 6, "plan", "^^^^"},
		{"empty", "", 1, 1, "", "^"},
		{"long, cut on both sides", long, 101, 106, "…" + strings.Repeat("a", 40) + "FAULT" + strings.Repeat("b", 100), strings.Repeat(" ", 41) + "^^^^^"},
	} {
		t.Run(c.name, func(t *testing.T) {
			shown, marker := excerpt(c.line, c.start, c.end)
			assert.Equal(t, c.shown, shown)
			assert.Equal(t, c.marker, marker)
		})
	}
	shown, marker := excerpt(strings.Repeat("x", 1_000_000), 1, 1_000_001)
	assert.Equal(t, excerptWidth+1, len([]rune(shown)), "cut at the end, with a sign of it")
	assert.Equal(t, excerptWidth, len(marker))
}

func FuzzExcerpt(f *testing.F) {
	f.Add("drain\t水 KS\x1b[31m", 3, 9)
	f.Add("", 0, -1)
	f.Fuzz(func(t *testing.T, line string, start, end int) {
		shown, marker := excerpt(line, start, end)
		assert.NotContains(t, shown, "\x1b")
		assert.NotContains(t, shown, "\n")
		assert.Contains(t, marker, "^")
		assert.LessOrEqual(t, len(marker), excerptWidth+4)
	})
}

func entry(file string, line int, severity lint.Severity) Entry {
	return Entry{Finding: lint.Finding{
		ID: "3f9c1a", Rule: "long-trap-arm", Severity: severity,
		Message: `trap arm of KS is 6'2" developed; 1-1/2" allows 3'6"`,
		Place:   lint.Place{File: file, Start: lint.Position{Line: line, Column: 24}, End: lint.Position{Line: line, Column: 42}},
		Section: "UPC 2021 Table 1002.2", Remedy: `take a vent off within 3'6"`, Note: "trap arm",
	}}
}

func written(t *testing.T, format string, opts Options, plans []Plan, totals Totals) string {
	t.Helper()
	var out bytes.Buffer
	w, ok := New(format, &out, opts)
	require.True(t, ok)
	for _, p := range plans {
		require.NoError(t, w.Plan(p))
	}
	require.NoError(t, w.Close(totals))
	return out.String()
}

const source = "plan \"x\"\n\ndrain KS to k1 1-1/2\": trap, east 6'2\"\n"

func TestText(t *testing.T) {
	plan := Plan{Path: "house.weir", Sources: map[string]string{"house.weir": source},
		Entries: []Entry{entry("house.weir", 3, lint.Correction), entry("gone.weir", 3, lint.Caution), entry("house.weir", 99, lint.Advice)}}
	plan.Entries[0].Message += "\nsecond\x1b[31m"
	got := written(t, "text", Options{}, []Plan{plan}, Totals{Files: 1})
	want := `house.weir:3:24: correction: trap arm of KS is 6'2" developed; 1-1/2" allows 3'6"` + "\uFFFDsecond\uFFFD" + `[31m [long-trap-arm]
    3 | drain KS to k1 1-1/2": trap, east 6'2"
      |                        ^^^^^^^^^^^^^^^ trap arm
      = UPC 2021 Table 1002.2
      = would satisfy: take a vent off within 3'6"
gone.weir:3:24: caution: trap arm of KS is 6'2" developed; 1-1/2" allows 3'6" [long-trap-arm]
      = UPC 2021 Table 1002.2
      = would satisfy: take a vent off within 3'6"
house.weir:99:24: advice: trap arm of KS is 6'2" developed; 1-1/2" allows 3'6" [long-trap-arm]
      = UPC 2021 Table 1002.2
      = would satisfy: take a vent off within 3'6"
`
	assert.True(t, strings.HasPrefix(got, want), got)
}

// A finding over several lines is marked to the end of its first.
func TestTextOverLines(t *testing.T) {
	e := entry("house.weir", 1, lint.Correction)
	e.Start.Column, e.End = 6, lint.Position{Line: 3, Column: 2}
	got := written(t, "text", Options{}, []Plan{{Sources: map[string]string{"house.weir": source}, Entries: []Entry{e}}}, Totals{})
	assert.Contains(t, got, "    1 | plan \"x\"\n      |      ^^^ trap arm\n")
}

// Whatever a finding leaves empty, its lists are written as lists.
func TestJSONHasNoNullLists(t *testing.T) {
	for _, format := range []string{"json", "jsonl"} {
		e := Entry{Finding: lint.Finding{Fixes: []lint.Fix{{Title: "x"}}}}
		got := written(t, format, Options{}, []Plan{{Entries: []Entry{e}}}, Totals{})
		for _, key := range []string{"copies", "because", "related", "edits", "books"} {
			assert.Regexp(t, `"`+key+`": ?\[\]`, got)
		}
		assert.Regexp(t, `"verdicts": ?\{\}`, got)
	}
	assert.Regexp(t, `"findings": \[\]`, written(t, "json", Options{}, nil, Totals{}))
}

func TestTotals(t *testing.T) {
	waived, known := entry("a", 1, lint.Correction), entry("a", 1, lint.Correction)
	waived.Waived, known.Known = &lint.Waiver{}, true
	report := &lint.Report{
		Book:     lint.BookUse{Name: "upc-2021", LimitsUsed: 5, FromMemory: 1},
		Verdicts: map[string]lint.Count{"a": {Complies: 3, Breaks: 1}, "b": {Undecided: 2}}, Unknowns: 4,
	}
	var totals Totals
	totals.Add(report, []Entry{entry("a", 1, lint.Correction), entry("a", 1, lint.Caution), entry("a", 1, lint.Advice), waived, known})
	report.Book.LimitsUsed, report.Book.FromMemory = 9, 0
	totals.Add(report, nil)
	report.Book = lint.BookUse{Name: "ipc-2021"}
	totals.Add(report, nil)
	report.Book = lint.BookUse{Name: "upc-2021", Amendments: []string{"city.toml"}}
	totals.Add(report, nil)
	assert.Equal(t, Summary{1, 1, 1, 1, 1}, totals.Summary)
	assert.Equal(t, lint.Count{Complies: 12, Breaks: 4, Undecided: 8}, totals.Judged())
	assert.Equal(t, 16, totals.Unknowns)
	require.Len(t, totals.Books, 3)
	assert.Equal(t, lint.BookUse{Name: "upc-2021", Amendments: []string{}, LimitsUsed: 9, FromMemory: 1}, totals.Books[1])
	var document map[string]any
	require.NoError(t, json.Unmarshal([]byte(written(t, "json", Options{}, nil, totals)), &document))
	assert.Nil(t, document["book"], "several books")
}

func TestGitHubEscapes(t *testing.T) {
	e := entry("a,b:c%.weir", 3, lint.Caution)
	e.Message = "50% off\r\n::error::x"
	got := written(t, "github", Options{}, []Plan{{Entries: []Entry{e}}}, Totals{})
	assert.True(t, strings.HasPrefix(got, "::warning file=a%2Cb%3Ac%25.weir,line=3,endLine=3,col=24,endColumn=42,title=long-trap-arm::50%25 off%0D%0A::error::x%0AUPC"), got)
}

func TestMarkdownEscapes(t *testing.T) {
	e := entry("a|b.weir", 3, lint.Caution)
	e.Message = "<img> | `x` *y*"
	got := written(t, "markdown", Options{}, []Plan{{Path: "a|b.weir", Entries: []Entry{e}}}, Totals{})
	assert.Contains(t, got, "&lt;img&gt; \\| \\`x\\` \\*y\\* `long-trap-arm`")
	assert.Contains(t, got, "| a\\|b.weir:3:24 |")
}

func TestSARIF(t *testing.T) {
	waived, known := entry("/abs/a.weir", 3, lint.Correction), entry("two words.weir", 3, lint.Advice)
	waived.Waived = &lint.Waiver{Because: "screened", Line: 4}
	known.Known = true
	known.Fixes = []lint.Fix{{Title: "no edits"}}
	got := written(t, "sarif", Options{Rules: []lint.RuleInfo{{Name: "other"}, {Name: "long-trap-arm"}}}, []Plan{{Entries: []Entry{waived, known}}}, Totals{})
	var log struct {
		Version string
		Runs    []struct {
			Results []struct {
				RuleIndex     int
				Level         string
				BaselineState string
				Suppressions  []struct{ Kind, Justification string }
				Fixes         []any
				Locations     []struct {
					PhysicalLocation struct {
						ArtifactLocation struct{ URI string }
						Region           struct{ StartLine, StartColumn, EndLine, EndColumn int }
					}
				}
			}
		}
	}
	require.NoError(t, json.Unmarshal([]byte(got), &log))
	assert.Equal(t, "2.1.0", log.Version)
	require.Len(t, log.Runs, 1)
	require.Len(t, log.Runs[0].Results, 2)
	first, second := log.Runs[0].Results[0], log.Runs[0].Results[1]
	assert.Equal(t, "file:///abs/a.weir", first.Locations[0].PhysicalLocation.ArtifactLocation.URI)
	assert.Equal(t, "two%20words.weir", second.Locations[0].PhysicalLocation.ArtifactLocation.URI)
	assert.Equal(t, 24, first.Locations[0].PhysicalLocation.Region.StartColumn)
	assert.Equal(t, 1, first.RuleIndex)
	assert.Equal(t, "error", first.Level)
	assert.Equal(t, `waived on line 4 because "screened"`, first.Suppressions[0].Justification)
	assert.Equal(t, "unchanged", second.BaselineState)
	assert.Equal(t, "note", second.Level)
	assert.Empty(t, second.Fixes, "a fix without an edit is no fix to the format")
}

// Every format closes with the caution.
func TestEveryFormatClosesWithTheCaution(t *testing.T) {
	for _, format := range Formats() {
		for _, detail := range []Detail{Full, FirstLine} {
			assert.Contains(t, written(t, format, Options{Detail: detail}, nil, Totals{}), "not an approval; the authority having jurisdiction decides", format)
		}
	}
	_, ok := New("yaml", nil, Options{})
	assert.False(t, ok)
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left") }

// A destination that takes nothing more is an error, not silence.
func TestWriteErrors(t *testing.T) {
	for _, format := range Formats() {
		w, _ := New(format, full{}, Options{})
		err := w.Plan(Plan{Entries: []Entry{entry("a", 1, lint.Correction)}})
		if err == nil {
			err = w.Close(Totals{})
		}
		assert.ErrorContains(t, err, "no space left", format)
	}
}
