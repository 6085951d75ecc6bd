package answer

import (
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lint"
)

// A Lens is a line of totals over a statement.
type Lens struct {
	At    system.Loc
	Title string
	Kind  string // "totals", "findings", "copies"
}

// Lenses lists the totals of a file: over `plan` its fixtures, load, required
// sewer and findings, over a typical its copies.
func Lenses(p *Plan, path string) []Lens {
	f := p.file(path)
	if f == nil {
		return nil
	}
	known, c, unlock := p.lock()
	defer unlock()
	var out []Lens
	for _, s := range f.stmts {
		switch st := s.Statement.(type) {
		case *grammar.Plan:
			at := f.loc(s.Pos())
			if path != p.Path || p.Report == nil || p.Report.System == nil || f.stale {
				continue
			}
			title := []string{plural(len(p.Report.System.Fixtures()), "fixture", "fixtures")}
			if c != nil {
				areas := c.VentAreas()
				for _, a := range areas {
					say := loadWords(a.Load)
					if len(areas) > 1 {
						say = a.Outfall.Name + " " + say
					}
					if a.Sewer > 0 {
						say += ", asks a sewer of " + sized(a.Sewer)
						if a.Load.Unknown > 0 {
							say += " or more"
						}
					}
					title = append(title, say)
				}
			}
			out = append(out, Lens{at, strings.Join(title, " · "), "totals"}, Lens{at, p.findingsWords(), "findings"})
		case *grammar.Typical:
			n := len(known.copies[st.Name.Text])
			say := plural(n, "copy", "copies")
			if n == 0 {
				say = "placed nowhere"
			}
			out = append(out, Lens{f.loc(grammar.Span{Start: s.Pos().Start, End: st.Name.Span.End}), say, "copies"})
		}
	}
	return out
}

// findingsWords counts what is found and what is undecided. It never says that
// a plan complies.
func (p *Plan) findingsWords() string {
	n := map[lint.Severity]int{}
	waived := 0
	for i := range p.Report.Findings {
		if f := &p.Report.Findings[i]; f.Waived != nil {
			waived++
		} else {
			n[f.Severity]++
		}
	}
	undecided := 0
	for _, v := range p.Report.Verdicts {
		undecided += v.Undecided
	}
	parts := []string{plural(n[lint.Correction], "correction", "corrections"), plural(n[lint.Caution], "caution", "cautions")}
	if n[lint.Advice] > 0 {
		parts = append(parts, plural(n[lint.Advice], "piece of advice", "pieces of advice"))
	}
	if waived > 0 {
		parts = append(parts, plural(waived, "waived", "waived"))
	}
	return strings.Join(append(parts, plural(undecided, "undecided", "undecided")), ", ")
}
