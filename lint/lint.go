// Package lint judges a plumbing system against a code book. Check is a pure
// function of the files, the book and the options: no clock, no globals, no
// file access but through the fs.FS it is given.
//
// It refuses to know how a finding is shown: it hands out places, numbers,
// sections and words, and the floors above draw them.
package lint

import (
	"context"
	"fmt"
	"io/fs"
	"sort"
	"strings"
	"time"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/pressure"
	"crownweir/lint/rule"
)

// Options steer one check.
type Options struct {
	Book  string    // overrides the plan's `code`; "" takes the plan's, else DefaultBook
	Amend []string  // amendment files (paths in FS) laid over the book
	Only  []string  // judge only these rules
	Skip  []string  // leave these rules out
	Today time.Time // for waivers that end; the zero time lets none expire
	// Reckoning is how water demand and friction are worked out; its zero value
	// takes the adopted curve and Hazen-Williams.
	Reckoning pressure.Options
	// Severities overrides the severity of rules (from project settings);
	// "off" leaves one out.
	Severities map[string]string
	// Parse reads one file; nil takes grammar.Parse.
	Parse func(path, source string) *grammar.File
	// Blank has a plan judged that has nothing in it, as one with no parts.
	Blank bool
	// Load finds a code book; nil takes the embedded ones.
	Load func(name string) (*codebook.Book, error)
}

// DefaultBook judges a plan that names no code.
const DefaultBook = "upc-2021"

// Count is how often a rule was judged, by answer.
type Count struct {
	Complies  int `json:"complies"`
	Breaks    int `json:"breaks"`
	Undecided int `json:"undecided"`
}

// BookUse tells under which book a plan was judged.
type BookUse struct {
	Name       string   `json:"name"`
	Title      string   `json:"title"`
	Edition    int      `json:"edition"`
	Amendments []string `json:"amendments"`
	// LimitsUsed and FromMemory count the distinct cells compared with.
	LimitsUsed int `json:"limits_used"`
	FromMemory int `json:"from_memory"`
}

// Report is what Check hands out for one plan.
type Report struct {
	Path     string
	Files    map[string]*grammar.File // the plan and what it includes, by path
	Book     BookUse
	Findings []Finding // in order of file, place, rule
	Verdicts map[string]Count
	// Unknowns counts facts the plan calls `unknown`.
	Unknowns int
	// Unread is why the plan could not be read at all (missing, a folder, too
	// large, not UTF-8), or "".
	Unread string
	// System is the plan as a system of pipes; nil where it was not read.
	System *system.System
	// Case holds what the rules judged by: loads, vents and limits. Sheets read
	// it, so that nothing is worked out twice; nil where nothing was judged.
	Case *rule.Case

	// noted are judgements that no rule of the case made; so many of them come
	// before the case's.
	noted  []Judgement
	before int
	book   *codebook.Book
}

// Check reads the plan at path in fsys, with what it includes, and judges it.
func Check(ctx context.Context, fsys fs.FS, path string, opts Options) *Report {
	r := &Report{Path: path, Files: map[string]*grammar.File{}, Verdicts: map[string]Count{}}
	src, err := system.ReadFile(fsys, path)
	if err != nil {
		r.Unread = err.Error()
		return r
	}
	if !opts.Blank && IsBlank(src) {
		r.Unread = Empty
		return r
	}
	parse := opts.Parse
	if parse == nil {
		parse = grammar.Parse
	}
	first := parse(path, src)
	book, problems := chooseBook(fsys, first, opts)
	r.Book = BookUse{Name: book.Name, Title: book.Title, Edition: book.Edition, Amendments: book.Amended}
	sys := system.BuildSource(fsys, path, src, system.Options{
		Parse: func(p, s string) *grammar.File {
			if p == path {
				return first
			}
			return parse(p, s)
		},
		LeastFall: func(kind system.Kind, size quantity.Size) (float64, bool) { return leastFall(book, kind, size) },
	})
	r.Files, r.System = sys.Files, sys
	if ctx.Err() != nil {
		return r
	}
	r.book = book
	e := &engine{Report: r, sys: sys, opts: opts, rules: map[string]*rule.Rule{}}
	e.judge(ctx, problems)
	return r
}

// Empty is why a blank plan is not judged.
const Empty = "is empty; write a plan, or start from `crownweir new`"

// IsBlank tells a text in which nothing is written.
func IsBlank(source string) bool {
	return strings.TrimSpace(strings.TrimPrefix(source, "\ufeff")) == ""
}

// Unread are the findings of a file that could not be read in full: those of
// Check that need no more than its text. Waivers answer none of them here.
func Unread(f *grammar.File, opts Options) []Finding {
	r := &Report{Path: f.Path, Verdicts: map[string]Count{}}
	sys := &system.System{Files: map[string]*grammar.File{f.Path: f}, Order: []string{f.Path}}
	e := &engine{Report: r, sys: sys, opts: opts, rules: map[string]*rule.Rule{}}
	e.choose()
	for _, p := range system.Unread(f) {
		e.problem(p)
	}
	e.gather()
	e.identify()
	e.order()
	return r.Findings
}

// chooseBook finds the book the options or the plan name, with amendments laid
// over it; what cannot be had is told and the default stands in.
func chooseBook(fsys fs.FS, f *grammar.File, opts Options) (*codebook.Book, []system.Problem) {
	load := opts.Load
	if load == nil {
		load = codebook.Load
	}
	name, loc := DefaultBook, system.Loc{File: f.Path}
	amend := append([]string(nil), opts.Amend...)
	amendLoc := map[string]system.Loc{}
	for _, st := range f.Statements {
		if c, ok := st.(*grammar.Code); ok {
			name, loc.Span = c.Book.Text, c.Book.Span
			var own []string
			for _, a := range c.Amended {
				own = append(own, a.Text)
				amendLoc[a.Text] = system.Loc{File: f.Path, Span: a.Span}
			}
			amend = append(own, amend...)
			break
		}
	}
	if opts.Book != "" {
		name = opts.Book
	}
	var problems []system.Problem
	book, err := load(name)
	if err != nil {
		names := codebook.Names()
		p := system.Problem{Rule: "unknown-name", Loc: loc, Subject: name,
			Message: fmt.Sprintf("no code book is named %s; %s judges in its place", name, DefaultBook),
			Remedy:  "write one of: " + strings.Join(names, ", "), Suggest: grammar.Nearest(name, names)}
		problems = append(problems, p)
		if book, err = load(DefaultBook); err != nil {
			panic(err) // the embedded default is tested to load
		}
	}
	for _, a := range amend {
		at, written := amendLoc[a]
		if !written {
			at = system.Loc{File: f.Path}
		}
		data, err := readAmendment(fsys, f.Path, a)
		if err != nil {
			problems = append(problems, system.Problem{Rule: "refused-input", Loc: at, Subject: a,
				Message: fmt.Sprintf("amendment %q %v", a, err), Remedy: "correct the path, or put the file beside the plan"})
			continue
		}
		next, bad := book.Amend(a, []byte(data))
		for _, b := range bad {
			problems = append(problems, system.Problem{Rule: "refused-input", Loc: at, Subject: a,
				Message: fmt.Sprintf("amendment %s, line %d column %d: %s", a, b.Line, b.Column, b.Message), Remedy: "correct the amendment file"})
		}
		book = next
	}
	return book, problems
}

func readAmendment(fsys fs.FS, plan, name string) (string, error) {
	full := name
	if i := strings.LastIndex(plan, "/"); i >= 0 && !fsHas(fsys, name) {
		full = plan[:i+1] + name
	}
	if !fs.ValidPath(full) {
		return "", fmt.Errorf("leaves the plan's folder tree")
	}
	if fsys == nil {
		return "", fmt.Errorf("cannot be read: the plan stands in no folder")
	}
	return system.ReadFile(fsys, full)
}

func fsHas(fsys fs.FS, name string) bool {
	if fsys == nil || !fs.ValidPath(name) {
		return false
	}
	_, err := fs.Stat(fsys, name)
	return err == nil
}

func leastFall(book *codebook.Book, kind system.Kind, size quantity.Size) (float64, bool) {
	t := book.Table("least-fall")
	if kind == system.Sewer {
		if s := book.Table("sewer-least-fall"); s != nil {
			t = s
		}
	}
	c := t.BySize(size, "fall")
	return c.Value / 12, c.OK
}

// RuleInfo is a rule as the catalogue shows it.
type RuleInfo struct {
	Name     string
	Family   string // Drafting, Drainage, Traps, Vents, Cleanouts, ...
	Title    string
	Severity Severity
	Why      string
	Computed string            // how it is computed
	Needs    []string          // what the plan must write
	Sections map[string]string // by code book name
	Bad      string            // a small plan that breaks it
	Good     string            // the same, put right
	Retired  string            // name of the rule that follows, where this one is retired
}

// Rules lists the catalogue, family by family.
func Rules() []RuleInfo {
	var out []RuleInfo
	for _, r := range rule.All() {
		info := RuleInfo{Name: r.Name, Family: r.Family, Title: r.Title, Severity: r.Severity, Why: r.Why, Computed: r.Computed,
			Needs: r.Needs, Sections: map[string]string{}, Bad: r.Example("bad"), Good: r.Example("good")}
		for _, name := range codebook.Names() {
			if b, err := codebook.Load(name); err == nil {
				if s, ok := b.Section(r.Name); ok && s != "" {
					info.Sections[name] = s
				}
			}
		}
		out = append(out, info)
	}
	return out
}

func sortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}
