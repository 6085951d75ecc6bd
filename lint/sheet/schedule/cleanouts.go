package schedule

import (
	"crownweir/lint"
)

const servesShown = 4 // fixtures named in a row

// cleanouts tells for the upper end of every level drain whether a cleanout is
// due there, and why.
func cleanouts(r *lint.Report) []Table {
	t := Table{Name: "cleanouts", Columns: append(runColumns(),
		Column{Name: "upper end"}, Column{"length", "ft"}, Column{Name: "serves"}, Column{Name: "cleanout"}, Column{Name: "due"}, Column{Name: "why"},
		Column{Name: "answer"}, Column{Name: "section"})}
	for _, l := range r.Case.CleanoutLines() {
		due, answer := "exempt", string(lint.Complies)
		switch {
		case l.Waits:
			due, answer = "not known", string(lint.Undecided)
		case l.Due && l.Cleaned:
			due = "due"
		case l.Due:
			due, answer = "due", string(lint.Breaks)
		}
		present := "none"
		if l.Cleaned {
			present = "present"
		}
		t.add(append(runCells(l.Pipe.Run),
			words(l.Upper.Name()), feet(l.Length, l.Whole), words(names(r.Case.Vents.Upstream(l.Pipe, 1000), servesShown)),
			words(present), words(due), words(l.Why), words(answer), words(sections(l.Cells...)))...)
	}
	if len(t.Rows) == 0 {
		t.Notes = append(t.Notes, "no level drain of this plan has an upper end at which "+r.Book.Title+" asks a cleanout")
	}
	t.Notes = append(t.Notes, "a line is followed from its upper end, measured from the vent, to where it joins another")
	return []Table{t}
}
