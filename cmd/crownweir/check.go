package main

import (
	"errors"
	"fmt"
	"path"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"github.com/sourcegraph/conc/panics"

	"crownweir/lint"
	"crownweir/lint/sheet/finding"
)

// checkCommand judges plans.
type checkCommand struct {
	Paths    []string `arg:"" optional:"" name:"path" help:"Plans, folders, globs, archives, or - for stdin. Default: the current folder."`
	Baseline string   `placeholder:"FILE" help:"Findings that are known, as check --format json wrote them: shown, not counted."`
	judging
	naming
	Format string `placeholder:"FORMAT" default:"text" help:"${findingFormats}."`
	destination
}

// checked is one input judged.
type checked struct {
	input
	report *lint.Report
	plan   finding.Plan
	err    error
}

// Run judges the plans and writes their findings.
func (c *checkCommand) Run(s *session) error {
	if err := oneOf("--format", c.Format, finding.Formats()...); err != nil {
		return err
	}
	rules := s.env.library.rules()
	inputs := reader{session: s, stdinName: c.StdinName, config: s.configs(rules)}
	judge, err := s.judge(c.judging, &inputs.config)
	if err != nil {
		return err
	}
	known, err := readBaseline(c.Baseline)
	if err != nil {
		return err
	}
	out := s.document(c.destination)
	detail := finding.Full
	if s.options.Quiet {
		detail = finding.FirstLine
	}
	writer, _ := finding.New(c.Format, out, finding.Options{Detail: detail, Paint: s.paint(c.Output), Rules: rules})
	plans := inputs.inputs(c.Paths)
	progress := s.progress(len(plans), c.Output)
	var totals finding.Totals
	err = inOrder(s.ctx, s.options.Jobs, plans,
		func(in input) checked { return s.check(in, judge, known) },
		func(got checked) error {
			progress.step()
			if got.err != nil {
				if !errors.Is(got.err, errReported) {
					progress.clear()
					s.refused(got.name, got.err)
				}
				s.raise(statusMisused)
				return nil
			}
			totals.Add(got.report, got.plan.Entries)
			fail := judge.failAt(got.settings)
			for _, e := range got.plan.Entries {
				if e.Counts() && fail.reached(e.Severity) {
					s.raise(statusFindings)
				}
			}
			return writer.Plan(got.plan)
		})
	progress.clear()
	if err != nil {
		return err
	}
	if err := writer.Close(totals); err != nil {
		return err
	}
	return out.finish()
}

// refused says why an input was not read.
func (s *session) refused(name string, err error) {
	var placed placedError
	if errors.As(err, &placed) {
		s.complain(placed.place, "%s", placed.text)
		return
	}
	s.complain(name, "%v", err)
}

func (s *session) configs(rules []lint.RuleInfo) configs {
	c := configs{books: s.env.library.books()}
	for _, r := range rules {
		c.rules = append(c.rules, r.Name)
	}
	return c
}

// check judges one plan. A fault of the program's own is told like an input
// that could not be read, so that the other plans are still judged.
func (s *session) check(in input, j judge, known baseline) (got checked) {
	got = checked{input: in, err: in.err}
	if in.err != nil {
		return got
	}
	defer func() {
		if r := recover(); r != nil {
			got.err = fault(r)
		}
	}()
	l, err := in.load()
	if err != nil {
		got.err = err
		return got
	}
	defer l.close()
	opts, root, amendments := j.with(in.settings, l.root)
	report := s.env.library.check(s.ctx, root, in.file, opts)
	if report.Unread != "" {
		got.err = errors.New(report.Unread)
		return got
	}
	name := func(file string) string {
		if shown, ok := amendments[file]; ok {
			return shown
		}
		return in.prefix + file
	}
	got.report = report
	for i, a := range report.Book.Amendments {
		if shown, ok := amendments[a]; ok {
			report.Book.Amendments[i] = shown
		}
	}
	got.plan = finding.Plan{Path: in.name, Sources: map[string]string{}}
	for file, read := range report.Files {
		got.plan.Sources[name(file)] = read.Source
	}
	for _, f := range report.Findings {
		f = renamed(f, name)
		got.plan.Entries = append(got.plan.Entries, finding.Entry{Finding: f, Known: f.Waived == nil && known.has(f)})
	}
	return got
}

// renamed is a finding with its files named as the reader knows them.
func renamed(f lint.Finding, name func(string) string) lint.Finding {
	f.File = name(f.File)
	f.Related = slices.Clone(f.Related)
	for i := range f.Related {
		f.Related[i].File = name(f.Related[i].File)
	}
	f.Fixes = slices.Clone(f.Fixes)
	for i := range f.Fixes {
		edits := slices.Clone(f.Fixes[i].Edits)
		for j := range edits {
			edits[j].File = name(edits[j].File)
		}
		f.Fixes[i].Edits = edits
	}
	return f
}

// fault is a panic as an error, with the place it came from. It is called
// while the panic is being recovered from.
func fault(recovered any) error {
	stack := debug.Stack()
	if r, ok := recovered.(*panics.Recovered); ok { // of a rule that ran beside others
		recovered, stack = r.Value, r.Stack
	}
	return fmt.Errorf("could not be read for a fault of the program: %v at %s; report it with the plan", recovered, origin(stack))
}

// origin is the first place of the product's own code in a stack, below the
// frames that carried the fault.
func origin(stack []byte) string {
	_, after, _ := strings.Cut(string(stack), "panic(")
	for _, line := range strings.Split(after, "\n") {
		line = strings.TrimSpace(line)
		if file, _, ok := strings.Cut(line, " +0x"); ok && strings.Contains(file, ".go:") && !strings.Contains(file, "runtime/") {
			return path.Base(path.Dir(file)) + "/" + path.Base(file)
		}
	}
	return "an unknown place"
}

func parseDay(text string) (time.Time, error) {
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return day, misused("--today is %q; write it as 2026-11-02", text)
	}
	return day, nil
}
