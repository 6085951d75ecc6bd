package main

import (
	"bytes"
	"io"
	"io/fs"

	"crownweir/lint"
	"crownweir/lint/pressure"
	"crownweir/lsp/memfs"
	"crownweir/lsp/settings"
)

// judging is the options of every command that judges plans.
type judging struct {
	Code   string   `placeholder:"BOOK" help:"Judge by this code book, whatever the plan says."`
	Amend  []string `placeholder:"FILE" sep:"none" help:"Lay a city's amendment file over the book; may be repeated."`
	Only   []string `placeholder:"RULE" help:"Judge these rules alone."`
	Skip   []string `placeholder:"RULE" help:"Leave these rules out."`
	FailOn string   `placeholder:"SEVERITY" help:"Exit with 1 at correction (default), caution, advice or never."`
	Today  string   `placeholder:"DATE" help:"The date that waivers end by, as 2026-11-02. Default: today."`
	reckoning
}

// reckoning is how water is worked out.
type reckoning struct {
	Demand   string `placeholder:"WAY" help:"Peak demand of water: hunter (the adopted curve, default) or binomial."`
	Friction string `placeholder:"WAY" help:"Friction in water pipe: hazen-williams (default) or darcy."`
}

func (r reckoning) check() error {
	if r.Demand != "" {
		if err := oneOf("--demand", r.Demand, pressure.Hunter, pressure.Binomial); err != nil {
			return err
		}
	}
	if r.Friction != "" {
		return oneOf("--friction", r.Friction, pressure.HazenWilliams, pressure.Darcy)
	}
	return nil
}

// naming is the option of every command that takes - for stdin.
type naming struct {
	StdinName string `placeholder:"PATH" help:"What to call the plan on stdin; its folder is where includes are looked up."`
}

// destination is the option of every command that hands over a document.
type destination struct {
	Output string `short:"o" placeholder:"FILE" help:"Write to this file instead of stdout."`
}

// judge is judging made ready: names checked and files read.
type judge struct {
	judging
	options lint.Options
	amend   []settings.Amendment
}

func (s *session) judge(j judging, config *configs) (judge, error) {
	made := judge{judging: j}
	if j.Code != "" {
		if err := oneOf("--code", j.Code, config.books...); err != nil {
			return made, err
		}
	}
	for _, rule := range append(append([]string{}, j.Only...), j.Skip...) {
		if err := config.isRule(rule); err != nil {
			return made, err
		}
	}
	if err := j.check(); err != nil {
		return made, err
	}
	if j.FailOn != "" {
		if err := oneOf("--fail-on", j.FailOn, settings.FailOn()...); err != nil {
			return made, err
		}
	}
	for _, file := range j.Amend {
		a, err := settings.ReadAmendment(file, file)
		if err != nil {
			return made, misused("--amend %s: %v", file, err)
		}
		made.amend = append(made.amend, a)
	}
	today := s.env.now()
	if j.Today != "" {
		day, err := parseDay(j.Today)
		if err != nil {
			return made, err
		}
		today = day
	}
	made.options = lint.Options{Book: j.Code, Only: j.Only, Skip: j.Skip, Today: today, Reckoning: pressure.Options{Demand: j.Demand, Friction: j.Friction}}
	return made, nil
}

// with is the options for a plan under a project's settings, and the root it
// is judged in with the amendments laid over. What the command line says goes
// before the settings; amendments of both count, the command line's last.
func (j judge) with(s *settings.Settings, root fs.FS) (lint.Options, fs.FS, map[string]string) {
	opts := j.options
	amend := j.amend
	if s != nil {
		if opts.Book == "" {
			opts.Book = s.Code
		}
		if opts.Only == nil {
			opts.Only = s.Only
		}
		opts.Skip = append(append([]string{}, s.Skip...), opts.Skip...)
		opts.Severities = map[string]string{}
		for rule, severity := range s.Severity {
			opts.Severities[rule] = severity
		}
		amend = append(append([]settings.Amendment{}, s.Amendments...), j.amend...)
	}
	if len(amend) == 0 {
		return opts, root, nil
	}
	over, paths, names := settings.Lay(amend)
	opts.Amend = append(opts.Amend, paths...)
	return opts, memfs.Over(over, root), names
}

// failAt is the severity that makes the exit status 1 for a plan.
func (j judge) failAt(s *settings.Settings) failOn {
	switch {
	case j.FailOn != "":
		return failOn(j.FailOn)
	case s != nil && s.FailOn != "":
		return failOn(s.FailOn)
	}
	return "correction"
}

// reached tells whether a finding of that severity counts.
func (f failOn) reached(s lint.Severity) bool {
	switch f {
	case "never":
		return false
	case "advice":
		return true
	case "caution":
		return s != lint.Advice
	}
	return s == lint.Correction
}

// document is where a command's output goes: stdout as it comes, or a file
// that is written whole at the end.
type document struct {
	io.Writer
	file string
	held *bytes.Buffer
}

func (s *session) document(d destination) *document {
	if d.Output == "" || d.Output == "-" {
		return &document{Writer: s.stdout}
	}
	held := &bytes.Buffer{}
	return &document{held, d.Output, held}
}

// finish writes the file, where the output goes to one.
func (d *document) finish() error {
	if d.held == nil {
		return nil
	}
	if err := writeWhole(d.file, d.held.Bytes()); err != nil {
		return misused("--output %s: %v", d.file, err)
	}
	return nil
}
