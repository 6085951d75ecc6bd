package main

import (
	"fmt"
	"io"
	"os"

	"github.com/charmbracelet/lipgloss"
	"github.com/mattn/go-isatty"
	"github.com/muesli/termenv"

	"crownweir/lint/sheet/finding"
)

func isTerminal(w any) bool {
	f, ok := w.(*os.File)
	return ok && isatty.IsTerminal(f.Fd())
}

// paint is how findings are coloured; nil for not at all.
func (s *session) paint(output string) finding.Paint {
	switch s.options.Color {
	case "never":
		return nil
	case "auto":
		if s.env.getenv("NO_COLOR") != "" || s.env.getenv("TERM") == "dumb" || output != "" || !isTerminal(s.stdout) {
			return nil
		}
	}
	// the sixteen colours follow the terminal's own theme
	renderer := lipgloss.NewRenderer(io.Discard)
	renderer.SetColorProfile(termenv.ANSI)
	style := func(color string) lipgloss.Style {
		return renderer.NewStyle().Foreground(lipgloss.Color(color)).TabWidth(lipgloss.NoTabConversion)
	}
	styles := map[finding.Role]lipgloss.Style{
		finding.RoleCorrection: style("1").Bold(true),
		finding.RoleCaution:    style("3").Bold(true),
		finding.RoleAdvice:     style("6").Bold(true),
		finding.RoleAside:      style("8"),
		finding.RolePlace:      renderer.NewStyle().Bold(true),
		finding.RoleGutter:     style("4"),
		finding.RoleRule:       style("8"),
		finding.RoleRemedy:     style("2"),
	}
	return func(role finding.Role, text string) string { return styles[role].Render(text) }
}

// progress counts plans on stderr.
type progress struct {
	to         io.Writer // nil shows none
	rewrite    bool      // on a terminal one line is written over
	done, all  int
	every      int
	standsHere bool
}

func (s *session) progress(all int, output string) *progress {
	p := &progress{all: all, every: max(all/100, 1), rewrite: isTerminal(s.stderr)}
	switch s.options.Progress {
	case "always":
		p.to = s.stderr
	case "auto":
		// beside findings on the same terminal it would only flicker
		if p.rewrite && all > 1 && (output != "" || !isTerminal(s.stdout)) {
			p.to = s.stderr
		}
	}
	return p
}

func (p *progress) step() {
	p.done++
	if p.to == nil || p.done%p.every != 0 && p.done != p.all {
		return
	}
	if p.rewrite {
		fmt.Fprintf(p.to, "\r%d of %d plans", p.done, p.all)
		p.standsHere = true
		return
	}
	fmt.Fprintf(p.to, "crownweir: %d of %d plans\n", p.done, p.all)
}

// clear takes the line away before something else is written.
func (p *progress) clear() {
	if p.standsHere {
		fmt.Fprint(p.to, "\r\x1b[K")
		p.standsHere = false
	}
}
