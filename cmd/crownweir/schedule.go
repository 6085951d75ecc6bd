package main

import (
	"crownweir/lint"
	"crownweir/lint/sheet/schedule"
)

// scheduleCommand writes a table of what a check worked out.
type scheduleCommand struct {
	Path string `arg:"" help:"A plan, or - for stdin."`
	Kind string `arg:"" help:"${scheduleKinds}."`
	adopting
	naming
	Format string `placeholder:"FORMAT" default:"text" help:"${scheduleFormats}."`
	destination
}

// adopting is the options of commands that judge a plan for its numbers and
// not for its findings.
type adopting struct {
	Code  string   `placeholder:"BOOK" help:"Judge by this code book, whatever the plan says."`
	Amend []string `placeholder:"FILE" sep:"none" help:"Lay a city's amendment file over the book; may be repeated."`
	Only  []string `placeholder:"RULE" help:"Judge these rules alone."`
	Skip  []string `placeholder:"RULE" help:"Leave these rules out."`
	reckoning
}

func (a adopting) judging() judging {
	return judging{Code: a.Code, Amend: a.Amend, Only: a.Only, Skip: a.Skip, reckoning: a.reckoning}
}

// Run judges the plan and writes the schedule.
func (c *scheduleCommand) Run(s *session) error {
	if err := oneOf("schedule", c.Kind, schedule.Kinds()...); err != nil {
		return err
	}
	if err := oneOf("--format", c.Format, schedule.Formats()...); err != nil {
		return err
	}
	reader := reader{session: s, stdinName: c.StdinName, config: s.configs(s.env.library.rules())}
	judge, err := s.judge(c.judging(), &reader.config)
	if err != nil {
		return err
	}
	in, ok := s.onePlan(&reader, c.Path)
	if !ok {
		return nil
	}
	report, ok := s.report(in, judge)
	if !ok {
		return nil
	}
	sheet, ok := schedule.Make(c.Kind, in.name, report)
	if !ok {
		s.complain(in.name, "was not judged to its end")
		return nil
	}
	out := s.document(c.destination)
	if err := schedule.Write(out, c.Format, sheet); err != nil {
		return err
	}
	return out.finish()
}

// onePlan is the input of a command that takes one plan. Where there is none,
// or there are several, it is told and ok is false.
func (s *session) onePlan(r *reader, path string) (in input, ok bool) {
	inputs := r.inputs([]string{path})
	if len(inputs) > 1 {
		s.complain(path, "holds %d plans; name one of them", len(inputs))
		return in, false
	}
	if len(inputs) == 0 {
		s.complain(path, "holds no plan; name a %s file", extension)
		return in, false
	}
	return inputs[0], true
}

// report judges one input; what keeps it from being read is told.
func (s *session) report(in input, j judge) (r *lint.Report, ok bool) {
	got := s.check(in, j, nil)
	if got.err != nil {
		s.refused(got.name, got.err)
		return nil, false
	}
	return got.report, true
}
