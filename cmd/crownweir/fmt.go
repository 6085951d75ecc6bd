package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/pmezard/go-difflib/difflib"

	"crownweir/grammar"
)

// fmtCommand lays plans out canonically.
type fmtCommand struct {
	Paths []string `arg:"" optional:"" name:"path" help:"Plans, folders, globs, or - from stdin to stdout. Default: the current folder."`
	Check bool     `help:"Write nothing; name the files that are laid out otherwise and exit with 1."`
	Diff  bool     `help:"Write nothing; show what would change."`
	naming
}

// laidOut is one input laid out.
type laidOut struct {
	input
	before, after string
	err           error
}

// Run lays the plans out.
func (c *fmtCommand) Run(s *session) error {
	inputs := reader{session: s, stdinName: c.StdinName, config: s.configs(s.env.library.rules())}
	return inOrder(s.ctx, s.options.Jobs, inputs.inputs(c.Paths), s.layOut, func(got laidOut) error {
		if got.err != nil {
			if !errors.Is(got.err, errReported) {
				s.refused(got.name, got.err)
			}
			s.raise(statusMisused)
			return nil
		}
		return c.hand(s, got)
	})
}

// hand shows or writes one plan that was laid out.
func (c *fmtCommand) hand(s *session, got laidOut) error {
	changed := got.before != got.after
	if changed && c.Check {
		s.raise(statusFindings)
	}
	if c.Diff {
		_, err := io.WriteString(s.stdout, unified(got.name, got.before, got.after))
		return err
	}
	var err error
	switch {
	case c.Check && changed:
		_, err = fmt.Fprintln(s.stdout, got.name)
	case c.Check:
	case got.disk == "":
		_, err = io.WriteString(s.stdout, got.after)
	case changed:
		if failed := writeWhole(got.disk, []byte(got.after)); failed != nil {
			s.complain(got.name, "%v", failed)
			return nil
		}
		if !s.options.Quiet {
			_, err = fmt.Fprintln(s.stdout, got.name)
		}
	}
	return err
}

func (s *session) layOut(in input) (got laidOut) {
	got = laidOut{input: in, err: in.err}
	if in.err != nil {
		return got
	}
	defer func() {
		if r := recover(); r != nil {
			got.err = fault(r)
		}
	}()
	if in.packed {
		got.err = errors.New("is in an archive; unpack it to lay it out")
		return got
	}
	l, err := in.load()
	if err != nil {
		got.err = err
		return got
	}
	defer l.close()
	got.before = string(l.content)
	file := s.env.library.parse(in.file, got.before)
	after, problems := s.env.library.format(file)
	if len(problems) > 0 {
		got.err = unreadable(in.name, got.before, problems[0])
		return got
	}
	got.after = after
	return got
}

// unreadable says why a plan is left as it is: its first problem, with place.
func unreadable(name, source string, p grammar.Problem) error {
	line, column := grammar.NewMapper(source).Position(p.Span.Start)
	text := "left as it is: " + p.Message
	if p.Remedy != "" {
		text += "; " + p.Remedy
	}
	return placedError{fmt.Sprintf("%s:%d:%d", name, line, column), text}
}

// unified is the difference of two texts, as patch reads it.
func unified(name, before, after string) string {
	if before == after {
		return ""
	}
	// writing into a strings.Builder does not fail
	text, _ := difflib.GetUnifiedDiffString(difflib.UnifiedDiff{
		A: splitLines(before), B: splitLines(after),
		FromFile: name, ToFile: name, Context: 3,
	})
	return text
}

func splitLines(text string) []string {
	lines := strings.SplitAfter(text, "\n")
	last := len(lines) - 1
	if lines[last] == "" {
		return lines[:last]
	}
	lines[last] += "\n\\ No newline at end of file\n"
	return lines
}
