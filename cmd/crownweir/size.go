package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"crownweir/grammar"
	"crownweir/lint"
	"crownweir/lint/fit"
	"crownweir/lint/sheet/closing"
	"crownweir/lint/sheet/finding"
	"crownweir/lint/sheet/schedule"
	"crownweir/lsp/memfs"
)

// sizeCommand finds the sizes of a plan.
type sizeCommand struct {
	Path    string   `arg:"" help:"A plan, or - for stdin."`
	All     bool     `help:"Size anew what is written too: every pipe and trap of new work."`
	Write   bool     `help:"Write the sizes into the plan and the files it includes, all or none."`
	Explain bool     `help:"Tell of each size what the next smaller one would break."`
	Code    string   `placeholder:"BOOK" help:"Size by this code book, whatever the plan says."`
	Amend   []string `placeholder:"FILE" sep:"none" help:"Lay a city's amendment file over the book; may be repeated."`
	reckoning
	naming
	Format string `placeholder:"FORMAT" default:"text" help:"Of --explain: ${scheduleFormats}."`
	destination
}

// sized is one plan solved, and judged with its sizes.
type sized struct {
	input
	*fit.Result
	after checked
}

// Run sizes the plan, writes it, and tells what is left.
func (c *sizeCommand) Run(s *session) error {
	if err := c.validate(); err != nil {
		return err
	}
	reader := reader{session: s, stdinName: c.StdinName, config: s.configs(s.env.library.rules())}
	judge, err := s.judge(judging{Code: c.Code, Amend: c.Amend, reckoning: c.reckoning}, &reader.config)
	if err != nil {
		return err
	}
	in, ok := s.onePlan(&reader, c.Path)
	if !ok {
		return nil
	}
	if c.Write && in.err == nil && in.disk == "" {
		s.complain(in.name, "has no file that --write could change; leave --write out")
		return nil
	}
	got, err := s.size(c, in, judge)
	if err != nil {
		if s.ctx.Err() != nil {
			return err
		}
		s.refused(in.name, err)
		return nil
	}
	if err := c.hand(s, got); err != nil {
		return err
	}
	return c.tell(s, got)
}

func (c *sizeCommand) validate() error {
	switch {
	case c.Write && c.Output != "":
		return misused("--write changes the plan itself; leave --output out")
	case !c.Explain && c.Format != "text":
		return misused("--format is that of --explain; write --explain too")
	}
	return oneOf("--format", c.Format, schedule.Formats()...)
}

// size solves one plan and judges what comes of it, as check would.
func (s *session) size(c *sizeCommand, in input, j judge) (got sized, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fault(r)
		}
	}()
	if in.err != nil {
		return got, in.err
	}
	l, err := in.load()
	if err != nil {
		return got, err
	}
	defer l.close()
	opts, root, _ := j.with(in.settings, l.root)
	// every rule is heeded, those too that the settings leave out of reports: a
	// rule that nobody asks to see is no leave to size against it
	r, err := s.env.library.size(s.ctx, root, in.file, fit.Options{All: c.All, Explain: c.Explain, Book: opts.Book, Amend: opts.Amend, Reckoning: opts.Reckoning})
	if err != nil {
		return got, err
	}
	if r.Unread != "" {
		return got, errors.New(r.Unread)
	}
	over := memfs.Files{}
	for file, text := range r.Texts {
		over[file] = []byte(text)
	}
	with := in
	with.load = func() (loaded, error) {
		return loaded{l.content, memfs.Over(over, l.root), func() {}}, nil
	}
	got = sized{in, r, s.check(with, j, nil)}
	return got, got.after.err
}

// hand gives the plan out: to stdout, to a file, or into the plan itself.
func (c *sizeCommand) hand(s *session, got sized) error {
	if c.Write {
		return got.overwrite(s)
	}
	text, changed := got.Texts[got.file]
	if !changed {
		text = got.Files[got.file].Source
	}
	out := s.document(c.destination)
	if _, err := io.WriteString(out, text); err != nil {
		return err
	}
	return out.finish()
}

// overwrite changes the files that have new sizes, all of them or none.
func (z sized) overwrite(s *session) error {
	var names []string
	var made []staged
	for _, file := range z.Order {
		text, ok := z.Texts[file]
		if !ok {
			continue
		}
		name := filepath.Join(filepath.Dir(z.disk), filepath.FromSlash(file))
		one, err := stage(name, []byte(text))
		if err != nil {
			s.complain(filepath.ToSlash(name), "%v; no file was changed", err)
			for _, m := range made {
				m.drop()
			}
			return nil
		}
		names, made = append(names, z.prefix+file), append(made, one)
	}
	for i, m := range made {
		defer m.drop()
		if err := m.commit(); err != nil {
			s.complain(names[i], "%v", err)
			continue
		}
		if !s.options.Quiet {
			fmt.Fprintln(s.stdout, names[i])
		}
	}
	return nil
}

// tell says what came of it: what is left, what sizes do not mend, and the
// closing lines or the explanation.
func (c *sizeCommand) tell(s *session, got sized) error {
	entries := got.remaining()
	for _, l := range got.Left {
		if l.Was == "?" {
			entries = append(entries, finding.Entry{Finding: got.open(l)})
		}
	}
	if !c.Write {
		entries = append(entries, got.unwritten()...)
	}
	if len(entries) > 0 {
		s.raise(statusFindings)
	}
	got.inOrder(entries)
	detail := finding.Full
	if s.options.Quiet {
		detail = finding.FirstLine
	}
	problems, _ := finding.New("text", s.stderr, finding.Options{Detail: detail})
	if err := problems.Plan(finding.Plan{Path: got.name, Entries: entries, Sources: got.after.plan.Sources}); err != nil {
		return err
	}
	aside := s.stderr
	if c.Write || c.Output != "" && c.Output != "-" {
		aside = s.stdout
	}
	if c.Explain {
		return schedule.Write(aside, c.Format, got.sheet())
	}
	lines := append([]string{got.summary(c.All)}, got.closing()...)
	_, err := fmt.Fprintln(aside, strings.Join(lines, "\n"))
	return err
}

func (z sized) closing() []string {
	r := z.after.report
	return closing.Lines(closing.Sum(r.Verdicts), r.Unknowns, []lint.BookUse{r.Book})
}

// remaining are the breaches of the code that the sizes do not mend.
func (z sized) remaining() []finding.Entry {
	var out []finding.Entry
	for _, e := range z.after.plan.Entries {
		if e.Counts() && e.Severity == lint.Correction {
			out = append(out, e)
		}
	}
	return out
}

// open is a `?` that stays, as a finding of the plan with its sizes.
func (z sized) open(l fit.Left) lint.Finding {
	f := lint.Finding{Rule: "unsized-run", Severity: lint.Caution, Message: l.What + " is left open: " + l.Why, Remedy: l.Remedy, Place: z.place(l.File, l.Span)}
	if l.Finding != nil {
		f.Section, f.Note = l.Finding.Section, l.Finding.Note
	}
	return f
}

// unwritten tells of included files whose sizes go nowhere when the plan alone
// is handed out.
func (z sized) unwritten() []finding.Entry {
	var out []finding.Entry
	for _, file := range z.Order {
		if _, changed := z.Texts[file]; !changed || file == z.file {
			continue
		}
		n, first := 0, fit.Size{}
		for _, size := range z.Sizes {
			if size.File == file && size.Text != size.Was {
				if n++; n == 1 {
					first = size
				}
			}
		}
		out = append(out, finding.Entry{Finding: lint.Finding{Rule: "unsized-run", Severity: lint.Caution, Place: z.place(file, first.Span),
			Message: fmt.Sprintf("%d %s of this included file %s not written: the plan alone is handed out", n, plural(n, "size", "sizes"), plural(n, "is", "are")),
			Remedy:  "use --write, which changes the files it includes too"}})
	}
	return out
}

// place is where a span of the plan as it was read stands in the plan with its
// sizes.
func (z sized) place(file string, span grammar.Span) lint.Place {
	shift := 0
	for _, size := range z.Sizes {
		if size.File == file && size.Span.Start < span.Start {
			shift += len(size.Text) - len(size.Was)
		}
	}
	text, changed := z.Texts[file]
	if !changed {
		text, shift = z.Files[file].Source, 0
	}
	m := grammar.NewMapper(text)
	p := lint.Place{File: z.prefix + file}
	p.Start.Line, p.Start.Column = m.Position(span.Start + shift)
	p.End.Line, p.End.Column = m.Position(span.End + shift)
	return p
}

// inOrder sorts by file and place.
func (z sized) inOrder(entries []finding.Entry) {
	rank := map[string]int{}
	for i, file := range z.Order {
		rank[z.prefix+file] = i
	}
	slices.SortStableFunc(entries, func(a, b finding.Entry) int {
		switch {
		case a.File != b.File:
			return rank[a.File] - rank[b.File]
		case a.Start.Line != b.Start.Line:
			return a.Start.Line - b.Start.Line
		}
		return a.Start.Column - b.Start.Column
	})
}
