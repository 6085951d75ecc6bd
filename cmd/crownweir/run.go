package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strings"
	"time"

	"github.com/alecthomas/kong"

	"crownweir/lint/sheet/finding"
	"crownweir/lint/sheet/rulepage"
	"crownweir/lint/sheet/schedule"
	"crownweir/lsp/settings"
)

// Exit statuses.
const (
	statusClean    = 0 // nothing at or above --fail-on
	statusFindings = 1
	statusMisused  = 2 // wrong use, or input that could not be read
)

// environment is what a process has beside its arguments and streams.
type environment struct {
	getenv  func(string) string
	now     func() time.Time
	library library
}

// commandLine is every command and the options all of them take.
type commandLine struct {
	Color    string `placeholder:"WHEN" default:"auto" help:"Colour: auto, always or never. NO_COLOR is heeded."`
	Quiet    bool   `short:"q" help:"Say less: findings without their excerpts, no names of files written."`
	Jobs     int    `placeholder:"N" default:"-1" help:"Plans worked on at a time. Default: one a processor."`
	Progress string `placeholder:"WHEN" default:"auto" help:"Progress on stderr: auto, always or never."`

	Check    checkCommand    `cmd:"" help:"Judge plans against the code."`
	Fmt      fmtCommand      `cmd:"" help:"Lay plans out canonically."`
	Size     sizeCommand     `cmd:"" help:"Find the smallest pipe sizes that satisfy the code."`
	Schedule scheduleCommand `cmd:"" help:"Tables of what a check worked out."`
	Explain  explainCommand  `cmd:"" help:"Explain a rule."`
	Rules    rulesCommand    `cmd:"" help:"List the rules."`
	Codes    codesCommand    `cmd:"" help:"List the code books, or how two differ on a plan."`
	New      newCommand      `cmd:"" help:"Write a starter plan."`
	Lsp      lspCommand      `cmd:"" help:"Serve an editor: the language server on stdin and stdout."`
}

// session is one run of a command.
type session struct {
	ctx            context.Context
	stdin          io.Reader
	stdout, stderr io.Writer
	env            environment
	options        *commandLine
	status         int
}

// raise makes the exit status at least this one.
func (s *session) raise(status int) { s.status = max(s.status, status) }

// complain says on stderr why an input was not used and makes the status 2.
func (s *session) complain(name, format string, args ...any) {
	s.raise(statusMisused)
	text := fmt.Sprintf(format, args...)
	if name != "" {
		text = name + ": " + text
	}
	fmt.Fprintf(s.stderr, "crownweir: %s\n", oneLine(text))
}

// misuse is a wrong use of a command; its text says the remedy too.
type misuse struct{ text string }

func (m misuse) Error() string { return m.text }

func misused(format string, args ...any) error { return misuse{fmt.Sprintf(format, args...)} }

// helped is how the parser of the command line says that it has shown help
// and that nothing is left to do.
type helped struct{ status int }

// run is the whole program: it reads and writes only what it is handed and
// returns the exit status.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer, env environment) (status int) {
	var options commandLine
	s := &session{ctx: ctx, stdin: stdin, stdout: stdout, stderr: stderr, env: env, options: &options}
	defer func() {
		if r := recover(); r != nil {
			status = statusMisused
			if done, ok := r.(helped); ok {
				status = done.status
			} else {
				s.complain("", "%v", fault(r))
			}
		}
	}()
	parser, err := kong.New(&options,
		kong.Name("crownweir"),
		kong.Description("Lints plumbing plans written in the Weir notation.\n\n"+
			"Exit status: 0 nothing at or above --fail-on, 1 findings, 2 wrong use or input that could not be read."),
		kong.Vars{
			"findingFormats":  list(finding.Formats()),
			"pageFormats":     list(rulepage.PageFormats()),
			"listFormats":     list(rulepage.ListFormats()),
			"scheduleKinds":   list(schedule.Kinds()),
			"scheduleFormats": list(schedule.Formats()),
		},
		kong.Writers(stdout, stderr),
		kong.Exit(func(code int) { panic(helped{code}) }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, WrapUpperBound: 100}),
	)
	if err != nil {
		s.complain("", "%v", err)
		return s.status
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	command, err := parser.Parse(args)
	if err != nil {
		s.complain("", "%s; see crownweir --help", strings.TrimSuffix(err.Error(), "?"))
		return s.status
	}
	if err := s.validate(); err != nil {
		s.complain("", "%v", err)
		return s.status
	}
	if err := command.Run(s); err != nil {
		s.fail(err)
	}
	return s.status
}

func (s *session) fail(err error) {
	var wrong misuse
	switch {
	case errors.As(err, &wrong):
		s.complain("", "%s", wrong.text)
	case s.ctx.Err() != nil:
		s.complain("", "interrupted before every plan was read")
	default:
		s.complain("", "%v", err)
	}
}

func (s *session) validate() error {
	if err := oneOf("--color", s.options.Color, "auto", "always", "never"); err != nil {
		return err
	}
	if err := oneOf("--progress", s.options.Progress, "auto", "always", "never"); err != nil {
		return err
	}
	switch n := s.options.Jobs; {
	case n == -1:
		s.options.Jobs = runtime.GOMAXPROCS(0)
	case n < 1 || n > 1024:
		return misused("--jobs is %d; use 1 to 1024", n)
	}
	return nil
}

// oneOf holds an option to a closed list of words.
func oneOf(option, got string, choices ...string) error {
	if err := settings.OneOf(option, got, choices...); err != nil {
		return misuse{err.Error()}
	}
	return nil
}

// list is choices in words: "a, b or c".
func list(choices []string) string { return settings.List(choices) }

// oneLine keeps a message on its line and from steering a terminal.
func oneLine(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r >= 0x7f && r < 0xa0 {
			return '\uFFFD'
		}
		return r
	}, text)
}
