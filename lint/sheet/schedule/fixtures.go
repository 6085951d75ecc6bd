package schedule

import (
	"crownweir/grammar/system"
	"crownweir/lint"
	"crownweir/lint/sizing"
)

// fixtures lists the fixtures with their loads, traps and heights.
func fixtures(r *lint.Report) []Table {
	t := Table{Name: "fixtures", Columns: []Column{
		{Name: "tag"}, {Name: "kind"}, {Name: "room"}, {Name: "level"}, {Name: "occupancy"},
		{"units", "units"}, {Name: "row"}, {Name: "section"}, {"trap", "in"}, {"trap required", "in"},
		{"outlet", "in"}, {"rim", "in"}, {Name: "note"}, {Name: "work"},
	}}
	total := 0.0
	for _, f := range r.System.Fixtures() {
		room, level := "", ""
		if f.Room != nil {
			room = f.Room.Name
		}
		if f.Level != nil {
			level = f.Level.Name
		}
		row := []Cell{words(f.Name), words(f.Word), words(room), words(level), words(r.Case.Ledger.Occupancy(f))}
		drained := len(f.Node.DrainOut) > 0
		row = append(row, unitCells(r, f, drained)...)
		if drained {
			total += r.Case.Ledger.Fixture(f).Load.Units
		}
		row = append(row, trapCells(r, f)...)
		outlet := Cell{}
		if drained {
			outlet = above(f.Node.Pos[system.DWV][2], f.Floor())
		}
		note := words(r.Case.Ledger.Fixture(f).Note)
		if !drained {
			note = words("no drain")
		}
		work := Cell{}
		if f.Existing {
			work = words("existing")
		}
		t.add(append(row, outlet, above(f.Rim(), f.Floor()), note, work)...)
	}
	row := make([]Cell, len(t.Columns))
	row[0], row[5], row[12] = words("total"), number(total, sizing.Trim(total)), words("each fixture alone; drains may count sets together")
	t.add(row...)
	t.Notes = []string{"outlets and rims are above the fixture's floor; where none is written the usual heights are taken"}
	return []Table{t}
}

// unitCells are a fixture's units, the row of the table they are from and its
// section.
func unitCells(r *lint.Report, f *system.Point, drained bool) []Cell {
	out := make([]Cell, 3)
	if !drained {
		return out
	}
	s := r.Case.Ledger.Fixture(f)
	if s.Load.Unknown > 0 {
		out[0] = words("not known")
		return out
	}
	out[0] = number(s.Load.Units, sizing.Trim(s.Load.Units))
	if s.Cell.OK {
		out[1] = words(s.Key)
		if s.Column != "" {
			out[1].Text += ", " + s.Column
		}
		out[2] = words(s.Cell.Section)
	}
	return out
}

// trapCells are the trap a fixture has and the one asked of it.
func trapCells(r *lint.Report, f *system.Point) []Cell {
	out := make([]Cell, 2)
	t := r.System.TrapOf(f)
	switch {
	case t == nil && len(f.Node.DrainOut) == 0:
		return out
	case t == nil:
		out[0] = words("none")
	case t.Own:
		out[0] = words("its own")
	case t.Solve:
		out[0] = words("?")
	default:
		out[0] = sized(t.Size)
	}
	if ask, ok := r.Case.AskedTrap(f); ok {
		out[1] = sized(ask.Size)
		if ask.Maker {
			out[1].Text += " by its maker"
		}
	}
	return out
}
