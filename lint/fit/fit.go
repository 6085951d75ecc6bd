// Package fit finds the smallest sizes that satisfy the rules: it puts sizes
// in the place of every `?` of a plan, has the plan judged, and looks at what
// is found. A size is raised where a finding asks for it, and lowered again
// wherever nothing new is found without it; so the finding that the next
// smaller size would bring is both the proof and the reason of every size.
//
// It refuses to know what a rule judges. Of a finding it takes its identity,
// the places it names, the edits it proposes and the unit it is measured in;
// of the ledger a first guess, and why a load or a pressure is not known.
package fit

import (
	"context"
	"io/fs"
	"slices"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint"
	"crownweir/lint/codebook"
	"crownweir/lint/pressure"
)

// Options steer one solving.
type Options struct {
	// All sizes anew what is written too: every pipe and trap of new work.
	All bool
	// Explain tries every size alone at the end, so that each is bound by what
	// its reader would find. Without it the ledger's word and a trial together
	// with others that it does not touch are enough, which is much faster.
	Explain bool
	// Book overrides the plan's `code`, Amend lays amendment files (paths in
	// the file system) over it; Load finds a book, nil takes the embedded ones.
	Book  string
	Amend []string
	Load  func(name string) (*codebook.Book, error)
	// Reckoning is how water demand and friction are worked out.
	Reckoning pressure.Options
}

// Size is a size that was solved.
type Size struct {
	File string
	Span grammar.Span // where it stands in the plan as it was read
	What string       // "drain KS to k1", "trap in drain KS to k1"
	For  int          // pipes or traps it stands for: links of a chain, copies
	Was  string       // as it stood: `?`, or the size written before
	Text string       // as it is to be written
	Size quantity.Size
	// Below is the next smaller size it could have had; 0 where none is made.
	Below quantity.Size
	// Bound is what the check would find with Below in its place, or where
	// nothing is to be explained what stands for it; nil where Below is 0.
	Bound *lint.Finding
	// With is what it would find with all sizes of the run one smaller, where
	// pipe and trap have a size each and so bind one another; nil elsewhere.
	With *lint.Finding
}

// Left is a `?` that stays, or with All a written size that is kept.
type Left struct {
	File   string
	Span   grammar.Span
	What   string
	Was    string
	Why    string // what keeps it from being solved
	Remedy string
	// Finding is the one that stays at every size, where that is why.
	Finding *lint.Finding
}

// Result is a plan with its sizes.
type Result struct {
	// Texts are the files with sizes written into them, by path; a file that
	// does not change has none.
	Texts map[string]string
	Sizes []Size // in the order of files and places
	Left  []Left
	// Book tells under which book the plan was judged.
	Book lint.BookUse
	// Report is what the check finds at these sizes.
	Report *lint.Report
	// Checks counts how often the plan was judged.
	Checks int
	// Unread is why the plan could not be read at all, or "".
	Unread string
	// Files are the plan and what it includes, as they were read.
	Files map[string]*grammar.File
	Order []string // of the files
}

// Judge checks a plan with its files read by parse, and always the same texts.
type Judge func(parse func(path, source string) *grammar.File) *lint.Report

// Solve finds the sizes of the plan at path in fsys. The error is the
// context's: the work was broken off.
func Solve(ctx context.Context, fsys fs.FS, path string, opts Options) (*Result, error) {
	checked := lint.Options{Book: opts.Book, Amend: opts.Amend, Load: opts.Load, Reckoning: opts.Reckoning}
	s := newSolver(ctx, func(parse func(path, source string) *grammar.File) *lint.Report {
		checked.Parse = parse
		return lint.Check(ctx, fsys, path, checked)
	})
	return s.solve(opts.All, opts.Explain)
}

// Run finds the sizes of one run and its traps, written or not; it stands at an
// offset of a file. All other sizes stay as they are written, those left open
// too, so that a size may ask another of what it meets.
func Run(ctx context.Context, judge Judge, file string, offset int) (*Result, error) {
	s := newSolver(ctx, judge)
	s.only = &alone{file, offset}
	return s.solve(true, true)
}

// alone is the run that is sized by itself.
type alone struct {
	file   string
	offset int
}

func newSolver(ctx context.Context, judge Judge) *solver {
	return &solver{ctx: ctx, judge: judge, files: map[string]*grammar.File{}, judged: map[*token]bool{}}
}

func (s *solver) solve(all, explain bool) (*Result, error) {
	s.check()
	out := &Result{Texts: map[string]string{}, Unread: s.now.Unread, Book: s.now.Book, Files: s.now.Files}
	if s.err() != nil || out.Unread != "" || s.now.Case == nil {
		return out, s.err()
	}
	out.Order = s.now.System.Order
	s.collect(all)
	s.open()
	s.begin()
	for s.err() == nil {
		s.raise()
		if s.leave(s.unasked()) {
			continue
		}
		s.lower(explain)
		if !s.leave(s.unasked()) && !s.leave(s.stuck()) {
			break
		}
	}
	if err := s.err(); err != nil {
		return out, err
	}
	out.Checks, out.Book, out.Report = s.checks, s.now.Book, s.now
	s.write(out)
	return out, nil
}

// solver is a plan at work. Its statements are its own: a trial writes sizes
// into them, so that every place stays where it is in the text.
type solver struct {
	ctx   context.Context
	judge Judge
	only  *alone // nil where all runs are sized
	files map[string]*grammar.File

	tokens []*token // those to be solved, in the order of files and places
	left   []*token // those that are not
	places map[string][]place
	byRun  map[*grammar.Run][]*token
	spelt  map[string]*spelling // by file

	now    *lint.Report // at the sizes the tokens have
	idle   map[string]string
	spent  map[string]bool // findings that no size mends, by id
	judged map[*token]bool // tokens that a rule is known to judge
	checks int
}

func (s *solver) err() error { return s.ctx.Err() }

// parse reads each file once; the check is handed the same statements again.
func (s *solver) parse(path, source string) *grammar.File {
	f := s.files[path]
	if f == nil {
		f = grammar.Parse(path, source)
		s.files[path] = f
	}
	return f
}

// check judges the plan at the sizes that the tokens have.
func (s *solver) check() *lint.Report {
	s.checks++
	s.now = s.judge(s.parse)
	return s.now
}

// try judges the plan with other sizes and puts the old ones back.
func (s *solver) try(change func()) *lint.Report {
	before, sizes := s.now, s.sizes()
	change()
	tried := s.check()
	s.restore(sizes)
	s.now = before
	return tried
}

// sizes are what the tokens have, to be restored.
func (s *solver) sizes() []quantity.Size {
	out := make([]quantity.Size, len(s.tokens))
	for i, t := range s.tokens {
		out[i] = t.size
	}
	return out
}

func (s *solver) restore(sizes []quantity.Size) {
	for i, t := range s.tokens {
		if t.size != sizes[i] {
			t.set(sizes[i])
		}
	}
}

// open takes every size away, to see what is found whatever the sizes are.
func (s *solver) open() {
	for _, t := range s.tokens {
		t.set(0)
	}
	s.idle, s.spent = map[string]string{}, map[string]bool{}
	for _, f := range breaches(s.check()) {
		s.idle[f.ID] = f.Message
	}
}

// runsOf are the pipes that a statement stands for.
func runsOf(sys *system.System) map[*grammar.Run][]*system.Run {
	out := map[*grammar.Run][]*system.Run{}
	for _, r := range sys.Runs {
		out[r.Stmt] = append(out[r.Stmt], r)
	}
	return out
}

// byPlace orders tokens as the reader meets them.
func byPlace(order []string) func(a, b *token) int {
	rank := map[string]int{}
	for i, f := range order {
		rank[f] = i
	}
	return func(a, b *token) int {
		if a.file != b.file {
			return rank[a.file] - rank[b.file]
		}
		return a.span.Start - b.span.Start
	}
}

func sorted(tokens []*token, order []string) []*token {
	slices.SortStableFunc(tokens, byPlace(order))
	return tokens
}
