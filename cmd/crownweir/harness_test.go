package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"crownweir/grammar"
	"crownweir/lint"
	"crownweir/lint/codebook"
)

var update = flag.Bool("update", false, "write the golden files anew")

// outcome is what one run of the command left behind.
type outcome struct {
	stdout, stderr string
	status         int
}

// command runs the program in process with a library.
func command(t *testing.T, lib library, stdin string, args ...string) outcome {
	t.Helper()
	var stdout, stderr bytes.Buffer
	status := run(t.Context(), args, strings.NewReader(stdin), &stdout, &stderr, environment{
		getenv:  func(string) string { return "" },
		now:     func() time.Time { return time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC) },
		library: lib,
	})
	return outcome{stdout.String(), stderr.String(), status}
}

// crownweir runs the program with the pretended library.
func crownweir(t *testing.T, stdin string, args ...string) outcome {
	t.Helper()
	return command(t, pretended(), stdin, args...)
}

// folder makes a folder with files and makes it the current one.
func folder(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, content := range files {
		file := filepath.Join(dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
		require.NoError(t, os.WriteFile(file, []byte(content), 0o644))
	}
	t.Chdir(dir)
	return dir
}

// golden holds an output to a file under testdata. The file is found from the
// folder that the test began in.
func golden(t *testing.T, start, name, got string) {
	t.Helper()
	file := filepath.Join(start, "testdata", name)
	if *update {
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err, "write it with: go test ./cmd/crownweir -update")
	require.Equal(t, string(want), got, "if this is meant: go test ./cmd/crownweir -update")
}

func here(t *testing.T) string {
	t.Helper()
	dir, err := os.Getwd()
	require.NoError(t, err)
	return dir
}

// pretended is a library that finds what a plan's comments ask for, so that
// the command line is tested apart from the rules.
func pretended() library {
	return library{
		check: pretendCheck,
		rules: func() []lint.RuleInfo { return pretendRules },
		parse: func(path, src string) *grammar.File { return &grammar.File{Path: path, Source: src} },
		format: func(f *grammar.File) (string, []grammar.Problem) {
			if at := strings.Index(f.Source, "garbled"); at >= 0 {
				return "", []grammar.Problem{{
					Rule: "unreadable-line", Message: "garbled is no statement", Remedy: "begin it with a keyword",
					Span: grammar.Span{Start: at, End: at + 7},
				}}
			}
			return strings.ReplaceAll(f.Source, "  ", " "), nil
		},
		books: func() []string { return []string{"ipc-2021", "upc-2021"} },
		book: func(name string) (*codebook.Book, error) {
			return &codebook.Book{Name: name, Title: strings.ToUpper(name), Edition: 2021, Family: name[:3]}, nil
		},
	}
}

var pretendRules = []lint.RuleInfo{
	{Name: "long-trap-arm", Family: "Traps", Title: "Trap arm longer than its size allows", Severity: lint.Correction,
		Why: "A long arm is sucked dry.", Computed: "Developed length from weir to vent.", Needs: []string{"lengths of legs"},
		Sections: map[string]string{"upc-2021": "Table 1002.2", "ipc-2021": "Table 909.1"},
		Bad:      "drain KS to k1 1-1/2\": trap, east 9'\n", Good: "drain KS to k1 1-1/2\": trap, east 2'\n"},
	{Name: "missing-fact", Family: "Drafting", Title: "A fact that a rule waits for", Severity: lint.Caution, Why: "Unknown is not wrong."},
	{Name: "odd-height", Family: "Drafting", Title: "A height far from the usual", Severity: lint.Advice, Why: "It may be a slip."},
	{Name: "overlong-arm", Family: "Traps", Title: "", Severity: lint.Correction, Retired: "long-trap-arm"},
}

// pretendCheck makes a finding of every word FAULT, DOUBT, HINT and WAIVED, and
// a panic of PANIC. It reads what a line `include "FILE"` names.
func pretendCheck(_ context.Context, fsys fs.FS, path string, opts lint.Options) *lint.Report {
	report := &lint.Report{
		Path: path, Files: map[string]*grammar.File{}, Unknowns: 1,
		Book:     lint.BookUse{Name: "upc-2021", Title: "UPC 2021", Edition: 2021, LimitsUsed: 3, FromMemory: 1, Amendments: opts.Amend},
		Verdicts: map[string]lint.Count{"long-trap-arm": {Complies: 2}},
	}
	if opts.Book != "" {
		report.Book.Name = opts.Book
	}
	for _, file := range opts.Amend {
		if _, err := fs.ReadFile(fsys, file); err != nil {
			report.Unread = "amendment " + file + ": " + err.Error()
			return report
		}
	}
	queue := []string{path}
	for len(queue) > 0 {
		file := queue[0]
		queue = queue[1:]
		content, err := fs.ReadFile(fsys, file)
		if err != nil {
			report.Findings = append(report.Findings, lint.Finding{ID: "include", Rule: "missing-fact", Severity: lint.Caution,
				Message: fmt.Sprintf("include %q cannot be read", file), Place: lint.Place{File: path, Start: lint.Position{Line: 1, Column: 1}, End: lint.Position{Line: 1, Column: 2}}})
			continue
		}
		source := string(content)
		report.Files[file] = &grammar.File{Path: file, Source: source}
		mapper := grammar.NewMapper(source)
		for n := 1; n <= mapper.Lines(); n++ {
			line := mapper.LineText(n)
			if name, ok := strings.CutPrefix(line, `include "`); ok {
				queue = append(queue, strings.TrimSuffix(name, `"`))
			}
			pretendLine(report, file, n, line)
		}
	}
	return report
}

func pretendLine(report *lint.Report, file string, n int, line string) {
	words := []struct {
		word     string
		rule     string
		severity lint.Severity
	}{
		{"FAULT", "long-trap-arm", lint.Correction},
		{"DOUBT", "missing-fact", lint.Caution},
		{"HINT", "odd-height", lint.Advice},
		{"WAIVED", "long-trap-arm", lint.Correction},
	}
	for _, w := range words {
		at := strings.Index(line, w.word)
		if at < 0 {
			continue
		}
		column := utf8.RuneCountInString(line[:at]) + 1
		place := lint.Place{File: file, Start: lint.Position{Line: n, Column: column}, End: lint.Position{Line: n, Column: column + len(w.word)}}
		f := lint.Finding{
			ID: fmt.Sprintf("%s%d", strings.ToLower(w.word[:2]), n), Rule: w.rule, Severity: w.severity, Place: place,
			Message: "arm of KS is 6'2\"; 1-1/2\" allows 3'6\"", Subject: "KS to k1", Section: "UPC 2021 Table 1002.2", Basis: "plan",
			Measured: &lint.Measure{Value: 74, Unit: "in"}, Limit: &lint.Measure{Value: 42, Unit: "in", Kind: "max"},
			Remedy: "take a vent off within 3'6\"", Note: "trap arm",
			Related: []lint.Related{{Message: "vent taken off here", Place: place}},
			Fixes:   []lint.Fix{{Title: "make it 2\"", Edits: []lint.Edit{{File: file, Start: place.Start, End: place.End, Text: "2\""}}}},
		}
		if w.word == "WAIVED" {
			f.Waived = &lint.Waiver{Because: "screened parapet", Approved: "ALT-12", Until: "2027-06-30", Line: 9}
		}
		if w.word == "HINT" {
			f.Copies = []string{"A.F1", "A.F2", "A.F3", "A.F4", "A.F5"}
		}
		count := report.Verdicts[w.rule]
		count.Breaks++
		report.Verdicts[w.rule] = count
		report.Findings = append(report.Findings, f)
	}
	if strings.Contains(line, "PANIC") {
		panic("a broken invariant")
	}
}

// bench runs the program with its own library and gives its status.
func bench(b *testing.B, args ...string) int {
	b.Helper()
	var stdout, stderr bytes.Buffer
	return run(b.Context(), args, strings.NewReader(""), &stdout, &stderr, environment{
		getenv: func(string) string { return "" }, now: time.Now, library: theLibrary(),
	})
}
