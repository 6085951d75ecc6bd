// Package finding writes findings down, one file a format: text, json, jsonl,
// github, markdown and sarif.
//
// It refuses to know plumbing, rules and where the plans came from: it is
// handed findings with their places, the sources those places lie in, and the
// sums, and it counts nothing that decides an exit status.
package finding

import (
	"io"
	"sort"

	"crownweir/lint"
	"crownweir/lint/sheet/closing"
)

// Version is the version of the json form.
const Version = 1

// Entry is a finding as it is written down. Known marks one that a baseline
// already lists: it is shown and not counted.
type Entry struct {
	lint.Finding
	Known bool `json:"known,omitempty"`
}

// Counts tells whether the entry is counted under its severity.
func (e Entry) Counts() bool { return !e.Known && e.Waived == nil }

// Plan is one judged plan. Places name files as the reader knows them;
// Sources holds the text of those files by the same names.
type Plan struct {
	Path    string
	Entries []Entry
	Sources map[string]string
}

// Summary counts findings. Waived and known ones are under no severity.
type Summary struct {
	Correction int `json:"correction"`
	Caution    int `json:"caution"`
	Advice     int `json:"advice"`
	Waived     int `json:"waived"`
	Known      int `json:"known"`
}

// Totals is what all plans come to.
type Totals struct {
	Files    int
	Summary  Summary
	Verdicts map[string]lint.Count
	Unknowns int
	Books    []lint.BookUse
}

// Add takes one plan's report and its entries into the sums. Of plans under
// one book with the same amendments the largest number of limits is kept, as
// what they have in common cannot be told from counts.
func (t *Totals) Add(report *lint.Report, entries []Entry) {
	t.Files++
	t.Unknowns += report.Unknowns
	if t.Verdicts == nil {
		t.Verdicts = map[string]lint.Count{}
	}
	for rule, count := range report.Verdicts {
		t.Verdicts[rule] = closing.Add(t.Verdicts[rule], count)
	}
	for _, e := range entries {
		t.Summary.add(e)
	}
	t.addBook(report.Book)
}

func (s *Summary) add(e Entry) {
	switch {
	case e.Waived != nil:
		s.Waived++
	case e.Known:
		s.Known++
	case e.Severity == lint.Correction:
		s.Correction++
	case e.Severity == lint.Caution:
		s.Caution++
	default:
		s.Advice++
	}
}

func (t *Totals) addBook(use lint.BookUse) {
	if use.Name == "" {
		return
	}
	for i, b := range t.Books {
		if b.Name == use.Name && equal(b.Amendments, use.Amendments) {
			t.Books[i].LimitsUsed = max(b.LimitsUsed, use.LimitsUsed)
			t.Books[i].FromMemory = max(b.FromMemory, use.FromMemory)
			return
		}
	}
	use.Amendments = filled(use.Amendments)
	t.Books = append(t.Books, use)
	sort.SliceStable(t.Books, func(i, j int) bool { return t.Books[i].Name < t.Books[j].Name })
}

// Judged is how every requirement came out, over all rules.
func (t *Totals) Judged() lint.Count { return closing.Sum(t.Verdicts) }

// Writer writes the findings of plans in the order they are handed over, then
// what they come to. An error is the destination's.
type Writer interface {
	Plan(Plan) error
	Close(Totals) error
}

// Options steer a writer.
type Options struct {
	Detail Detail
	Paint  Paint
	// Rules describes the rules, for formats that carry them.
	Rules []lint.RuleInfo
}

// Detail says how much of a finding the text format shows.
type Detail uint8

const (
	Full      Detail = iota // first line, excerpt, section, remedy, related places
	FirstLine               // the first line alone
)

// Role says what a piece of text is, for colour.
type Role uint8

const (
	RoleCorrection Role = iota
	RoleCaution
	RoleAdvice
	RoleAside // waived and known findings
	RolePlace
	RoleGutter
	RoleRule
	RoleRemedy
)

// Paint colours a piece of text by its role; nil leaves it as it is.
type Paint func(role Role, text string) string

func (p Paint) as(role Role, text string) string {
	if p == nil || text == "" {
		return text
	}
	return p(role, text)
}

// format is one way to write findings.
type format struct {
	name string
	make func(io.Writer, Options) Writer
}

func formats() []format {
	return []format{
		{"text", newText},
		{"json", newJSON},
		{"jsonl", newJSONLines},
		{"sarif", newSARIF},
		{"github", newGitHub},
		{"markdown", newMarkdown},
	}
}

// Formats names the formats there are.
func Formats() []string {
	var names []string
	for _, f := range formats() {
		names = append(names, f.name)
	}
	return names
}

// New makes the writer of a format; ok is false where there is none of that
// name.
func New(name string, w io.Writer, opts Options) (writer Writer, ok bool) {
	for _, f := range formats() {
		if f.name == name {
			return f.make(w, opts), true
		}
	}
	return nil, false
}

func equal(a, b []string) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

func filled[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}
