package answer

import (
	"strings"

	"crownweir/grammar/system"
	"crownweir/lint"
)

// subjectOf is what a finding speaks of, as a waive line names it: a run that
// has no tag by its system and ends.
func (p *Plan) subjectOf(f *lint.Finding) string {
	if !strings.Contains(f.Subject, " to ") {
		return f.Subject
	}
	full := f.Subject
	if len(f.Copies) > 0 {
		full = f.Copies[0]
	}
	sys := p.system()
	from, to, _ := strings.Cut(full, " to ")
	if sys == nil {
		return f.Subject
	}
	runs := sys.Between(from, to)
	if len(runs) == 0 {
		return f.Subject
	}
	return runOf(runs, f).Kind.String() + " " + f.Subject
}

// runOf is the run, of those between the same ends, that a finding stands on.
func runOf(runs []*system.Run, f *lint.Finding) *system.Run {
	for _, r := range runs {
		if pos := r.Stmt.Pos(); r.File == f.File && pos.Start <= f.StartByte && f.StartByte <= pos.End {
			return r
		}
	}
	return runs[0]
}
