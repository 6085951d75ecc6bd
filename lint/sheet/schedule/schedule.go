// Package schedule lays out what a check worked out as tables: drains, vents,
// water, pressure, hot waits, cleanouts, fixtures, verdicts, and how two code books differ on a plan.
//
// It refuses to work out anything itself: every load, length and limit in it is
// the one that the rules judged by.
package schedule

import (
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint"
	"crownweir/lint/sheet/closing"
)

// kind is a schedule by its name.
type kind struct {
	name string
	make func(*lint.Report) []Table
}

func kinds() []kind {
	return []kind{
		{"drains", drains},
		{"vents", vents},
		{"water", water},
		{"pressure", pressures},
		{"hot-wait", hotWaits},
		{"cleanouts", cleanouts},
		{"fixtures", fixtures},
		{"verdicts", verdicts},
	}
}

// Kinds names the schedules there are.
func Kinds() []string {
	var names []string
	for _, k := range kinds() {
		names = append(names, k.name)
	}
	return names
}

// Make lays out a schedule of a plan that was judged. plan is what to call the
// plan. ok is false for a kind that is not in Kinds, and for a report whose plan
// was not judged.
func Make(kind string, plan string, r *lint.Report) (s Sheet, ok bool) {
	for _, k := range kinds() {
		if k.name != kind || r.Case == nil {
			continue
		}
		return Sheet{
			Kind: kind, Plan: plan, Title: r.System.Header.Title, Tables: k.make(r), Books: []lint.BookUse{r.Book},
			Closing: closing.Lines(closing.Sum(r.Verdicts), r.Unknowns, []lint.BookUse{r.Book}),
		}, true
	}
	return s, false
}

// runColumns name a run in every schedule of runs.
func runColumns() []Column {
	return []Column{{Name: "tag"}, {Name: "from"}, {Name: "to"}, {Name: "size", Unit: "in"}, {Name: "material"}}
}

func runCells(r *system.Run) []Cell {
	size := sized(r.Size)
	switch {
	case r.Solve:
		size = words("?")
	case r.SizeOf == system.Found:
		size.Text += " found"
	}
	return []Cell{words(r.Tag), words(r.From), words(r.To), size, words(r.Material)}
}

// sized is a nominal size; blank where there is none.
func sized(s quantity.Size) Cell {
	if s == 0 {
		return Cell{}
	}
	return number(float64(s), quantity.FormatSize(s))
}

// feet is a length in metres, told in feet; a sum that lacks a length says so.
func feet(metres float64, whole bool) Cell {
	if !whole {
		if metres == 0 {
			return words("not written")
		}
		return words(quantity.FormatLength(metres) + " or more")
	}
	return number(metres/metresPerFoot, quantity.FormatLength(metres))
}

// inches is a length in metres, told in inches.
func inches(metres float64) Cell {
	return number(metres/metresPerInch, quantity.FormatLength(metres))
}

const (
	metresPerFoot = 0.3048
	metresPerInch = 0.0254
)

// origin says where a number comes from that nobody wrote there.
func origin(n system.Num) string {
	switch n.Origin {
	case system.Found:
		return "found"
	case system.Usual:
		return "usual"
	case system.Default:
		return "default"
	case system.Least:
		return "assumed, the code's least"
	case system.Worked:
		return "worked out"
	case system.Suit, system.Target:
		return "to suit"
	}
	return ""
}

// existing marks work that stays.
func existing(r *system.Run) Cell {
	if r.Existing {
		return words("existing")
	}
	return Cell{}
}
