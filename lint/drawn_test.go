package lint_test

import (
	"context"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"crownweir/lint"
)

var update = flag.Bool("update", false, "rewrite the drawings beside the plans")

// A drawing is a plan's source with what the check finds drawn below its lines,
// as comments of the notation. Its lines begin with one of three marks:
//
//	#|      ^^^^ severity rule on SUBJECT: message
//	#^ and #<    the same, where the span begins in the second or first column,
//	             which the comment's own sign covers
//
// The carets stand under the exact columns. Without these lines a drawing is
// its source, byte for byte.
var drawnMarks = []string{"#|", "#^", "#<"}

func isDrawn(line string) bool {
	for _, mark := range drawnMarks {
		if strings.HasPrefix(line, mark) {
			return true
		}
	}
	return false
}

// undraw takes the drawn lines out again.
func undraw(drawn string) string {
	var b strings.Builder
	for _, line := range strings.SplitAfter(drawn, "\n") {
		if !isDrawn(line) {
			b.WriteString(line)
		}
	}
	return b.String()
}

// draw lays the findings of a plan under its lines. What stands in another
// file, the counts and the work done follow at the end.
func draw(src string, r *lint.Report) string {
	byLine := map[int][]lint.Finding{}
	var elsewhere []string
	for _, f := range r.Findings {
		if f.File != r.Path {
			elsewhere = append(elsewhere, fmt.Sprintf("#| %s:%d:%d %s\n", f.File, f.Start.Line, f.Start.Column, drawnText(f)))
			continue
		}
		byLine[f.Start.Line] = append(byLine[f.Start.Line], f)
	}
	var b strings.Builder
	for i, line := range strings.SplitAfter(src, "\n") {
		b.WriteString(line)
		for _, f := range byLine[i+1] {
			b.WriteString(caretLine(strings.TrimRight(line, "\r\n"), f))
		}
	}
	b.WriteString(strings.Join(elsewhere, ""))
	var sum lint.Count
	for _, c := range r.Verdicts {
		sum.Complies, sum.Breaks, sum.Undecided = sum.Complies+c.Complies, sum.Breaks+c.Breaks, sum.Undecided+c.Undecided
	}
	fmt.Fprintf(&b, "#| judged: %d comply, %d break, %d undecided\n", sum.Complies, sum.Breaks, sum.Undecided)
	fmt.Fprintf(&b, "#| work: %d lines placed, %d points relaxed\n", r.System.Placed, r.System.Relaxed)
	return b.String()
}

// caretLine draws one finding under its line. A span that goes on over the next
// line ends with dots.
func caretLine(line string, f lint.Finding) string {
	width := utf8.RuneCountInString(line)
	from, to, more := f.Start.Column, f.End.Column, ""
	if f.End.Line > f.Start.Line {
		to, more = width+1, "..."
	}
	to = max(to, from+1)
	row := []rune{'#', '|'}
	switch from {
	case 1:
		row[1] = '<'
	case 2:
		row[1] = '^'
	}
	for column := 3; column < to; column++ {
		sign := ' '
		if column >= from {
			sign = '^'
		} else if column <= width && []rune(line)[column-1] == '\t' {
			sign = '\t'
		}
		row = append(row, sign)
	}
	return string(row) + more + " " + drawnText(f) + "\n"
}

func drawnText(f lint.Finding) string {
	s := fmt.Sprintf("%s %s on %s: %s", f.Severity, f.Rule, f.Subject, f.Message)
	if n := len(f.Copies); n > 3 {
		s += fmt.Sprintf(" (in %s and %d more)", strings.Join(f.Copies[:3], ", "), n-3)
	} else if n > 0 {
		s += fmt.Sprintf(" (in %s)", strings.Join(f.Copies, ", "))
	}
	if f.Basis == "found" {
		s += " (as found)"
	}
	if f.Waived != nil {
		s += " (waived)"
	}
	return s
}

// plan is one plan of testdata or one rule's example, and where its drawing stands.
type plan struct {
	name    string // as a failure names it
	fsys    fs.FS  // the folder it stands in
	base    string
	src     string
	drawing string // path from this package
}

// plansUnder lists the plans of a folder and those below it. Drawings stand
// beside their plans; those of rule examples, which the program carries in
// itself, in testdata.
func plansUnder(t *testing.T, dir, drawings string) []plan {
	t.Helper()
	var out []plan
	require.NoError(t, filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(p) != ".weir" {
			return err
		}
		src, err := os.ReadFile(p)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(dir, p)
		if err != nil {
			return err
		}
		out = append(out, plan{name: filepath.ToSlash(rel), fsys: os.DirFS(filepath.Dir(p)), base: filepath.Base(p), src: string(src),
			drawing: filepath.Join(drawings, strings.TrimSuffix(rel, ".weir")+".drawn")})
		return nil
	}))
	require.NotEmpty(t, out, "plans under %s", dir)
	return out
}

const (
	testdata        = "../testdata"
	exampleDir      = "rule/examples"
	exampleDrawings = "../testdata/examples"
)

// drawnPlans are all plans whose findings are drawn.
func drawnPlans(t *testing.T) []plan {
	var out []plan
	for _, dir := range []string{"plans", "mistakes", "scenarios", "published", "questions"} {
		for _, p := range plansUnder(t, filepath.Join(testdata, dir), filepath.Join(testdata, dir)) {
			p.name = dir + "/" + p.name
			out = append(out, p)
		}
	}
	for _, p := range plansUnder(t, exampleDir, exampleDrawings) {
		p.name = "examples/" + p.name
		out = append(out, p)
	}
	return out
}

func checkPlan(p plan) *lint.Report {
	return lint.Check(context.Background(), p.fsys, p.base, lint.Options{Today: today})
}

const redraw = "run `go test ./lint -run TestDrawn -update` and read what changed"

// TestDrawn compares what is found in every plan with its drawing.
func TestDrawn(t *testing.T) {
	wanted := map[string]bool{}
	for _, p := range drawnPlans(t) {
		wanted[p.drawing] = true
		t.Run(p.name, func(t *testing.T) {
			require.True(t, strings.HasSuffix(p.src, "\n"), "a plan ends with a line end")
			require.Equal(t, p.src, undraw(p.src), "no line of a plan begins as a drawn one does")
			r := checkPlan(p)
			require.Empty(t, r.Unread)
			drawn := draw(p.src, r)
			require.Equal(t, p.src, undraw(drawn), "without its drawn lines a drawing is its source")
			if *update {
				require.NoError(t, os.MkdirAll(filepath.Dir(p.drawing), 0o755))
				require.NoError(t, os.WriteFile(p.drawing, []byte(drawn), 0o644))
				return
			}
			want, err := os.ReadFile(p.drawing)
			require.NoError(t, err, redraw)
			require.Equal(t, string(want), drawn, redraw)
		})
	}
	staleDrawings(t, wanted)
}

// staleDrawings reports drawings whose plan is gone, and takes them away on update.
func staleDrawings(t *testing.T, wanted map[string]bool) {
	require.NoError(t, filepath.WalkDir(testdata, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(p) != ".drawn" || wanted[filepath.Clean(p)] {
			return err
		}
		if *update {
			return os.Remove(p)
		}
		t.Errorf("%s has no plan; %s", p, redraw)
		return nil
	}))
}

// TestDrawnIsHarmless checks a drawing as a plan: comments, also between the
// lines of one statement, change no finding.
func TestDrawnIsHarmless(t *testing.T) {
	for _, p := range drawnPlans(t) {
		r := checkPlan(p)
		again := p.with(draw(p.src, r))
		require.Equal(t, facts(r), facts(checkPlan(again)), p.name)
	}
}

// TestCaretLine holds the form of a drawn line, in the first columns too.
func TestCaretLine(t *testing.T) {
	at := func(from, to, line int) lint.Finding {
		f := lint.Finding{Rule: "s-trap", Severity: lint.Correction, Subject: "LV", Message: "m"}
		f.Start, f.End = lint.Position{Line: 1, Column: from}, lint.Position{Line: line, Column: to}
		return f
	}
	const said = " correction s-trap on LV: m\n"
	for _, c := range []struct {
		line string
		f    lint.Finding
		want string
	}{
		{"drain LV to p1", at(7, 9, 1), "#|    ^^" + said},
		{"drain LV to p1", at(1, 6, 1), "#<^^^" + said},
		{"drain LV to p1", at(2, 6, 1), "#^^^^" + said},
		{"drain LV to p1", at(3, 6, 1), "#|^^^" + said},
		{"drain LV to p1", at(1, 1, 1), "#<" + said},
		{"drain LV to p1:", at(13, 4, 2), "#|          ^^^..." + said},
		{"x  \tLV", at(5, 7, 1), "#| \t^^" + said},
		{"# 2½\" LV", at(7, 9, 1), "#|    ^^" + said},
	} {
		require.Equal(t, c.want, caretLine(c.line, c.f), "%q %v", c.line, c.f.Place)
	}
}
