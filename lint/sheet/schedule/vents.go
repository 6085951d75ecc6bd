package schedule

import (
	"fmt"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint"
	"crownweir/lint/rule"
	"crownweir/lint/sizing"
)

// vents tells for every vent run what it serves, what this asks, how far it is
// to the open air and where it first turns; then the area through the roof.
func vents(r *lint.Report) []Table {
	t := Table{Name: "vents", Columns: append(runColumns(),
		Column{"serves", "units"}, Column{Name: "closets"}, Column{Name: "traps"}, Column{"needed", "in"}, Column{Name: "asked by"},
		Column{"longest way", "ft"}, Column{"way limit", "ft"}, Column{"level", "ft"}, Column{"level limit", "ft"},
		Column{"first turn", "in"}, Column{"turn limit", "in"}, Column{Name: "section"}, Column{Name: "work"})}
	sizes := map[*system.Run]rule.VentSize{}
	for _, v := range r.Case.VentSizes() {
		old, seen := sizes[v.Pipe.Run]
		if !seen || v.Need > old.Need || v.Need == old.Need && v.Load.Units > old.Load.Units {
			sizes[v.Pipe.Run] = v
		}
	}
	ways := map[*system.Run]rule.VentWay{}
	for _, w := range r.Case.VentWays() {
		if old, seen := ways[w.First.Run]; !seen || w.Length > old.Length {
			ways[w.First.Run] = w
		}
	}
	turns := map[*system.Run]rule.VentTurn{}
	for _, v := range r.Case.VentTurns() {
		if _, seen := turns[v.Pipe.Run]; !seen {
			turns[v.Pipe.Run] = v
		}
	}
	for _, run := range r.System.Runs {
		size, ok := sizes[run]
		if !ok {
			continue
		}
		row := runCells(run)
		row = append(row, number(size.Load.Units, sizing.Trim(size.Load.Units)), count(size.Load.Closets), count(size.Load.Traps), sized(size.Need), words(size.Why))
		way, hasWay := ways[run]
		row = append(row, wayCells(way, hasWay)...)
		turn, hasTurn := turns[run]
		row = append(row, turnCells(turn, hasTurn)...)
		row = append(row, words(sections(size.Cell, way.Limit, way.Share, turn.Cell)), existing(run))
		t.add(row...)
	}
	t.Notes = []string{
		"a longest way stands at the run where it begins to be of its size: all its pipe of that size or smaller, to the open air",
		"a first turn is above the floor of the fixture with the highest rim that the vent protects; `none` is upright to the open air",
	}
	return append([]Table{t}, terminals(r)...)
}

func wayCells(w rule.VentWay, ok bool) []Cell {
	out := make([]Cell, 4)
	if !ok {
		return out
	}
	out[0], out[2] = feet(w.Length, w.Whole), feet(w.Level, true)
	if w.Limit.OK {
		out[1] = feet(w.Limit.Metres(), true)
	}
	if w.Limit.OK && w.Share.OK {
		out[3] = feet(w.MostLevel(), true)
	}
	return out
}

func turnCells(v rule.VentTurn, ok bool) []Cell {
	out := make([]Cell, 2)
	switch {
	case !ok:
	case v.Free:
		out[0] = words("none")
	case v.Island:
		out[0] = words("island")
	case v.RimOf == nil:
		out[0] = words("no rim known")
	default:
		floor := v.RimOf.Floor()
		out[0] = words("not known")
		if v.Height.Known() {
			out[0] = inches(v.Height.V - floor)
		}
		if v.Cell.OK {
			out[1] = inches(v.Need - floor)
		}
	}
	return out
}

// terminals adds up the vent area through the roof, outfall by outfall.
func terminals(r *lint.Report) []Table {
	var out []Table
	for _, a := range r.Case.VentAreas() {
		t := Table{Name: "vent area at " + a.Outfall.Name, Columns: []Column{{Name: "terminal"}, {"size", "in"}, {"area", "sq in"}, {Name: "section"}}}
		for _, part := range a.Parts {
			area := Cell{}
			if part.Size > 0 {
				area = squareInches(part.Area())
			}
			t.add(words(part.Name()), sized(part.Size), area)
		}
		total := squareInches(a.Area)
		if a.Unsized != nil || a.Hidden {
			total = words(total.Text + " or more")
		}
		t.add(words("total"), Cell{}, total)
		switch {
		case !a.Share.OK:
			t.Notes = append(t.Notes, r.Book.Title+" asks no vent area through the roof")
		case a.Sewer == 0:
			t.Notes = append(t.Notes, "nothing that asks a sewer drains to "+a.Outfall.Name)
		default:
			t.add(words("required sewer"), sized(a.Sewer), squareInches(a.Want), words(a.Share.Section))
			t.add(words("spare"), Cell{}, squareInches(a.Area-a.Want))
			t.Notes = append(t.Notes, fmt.Sprintf("the sewer that the table asks for %s at %s, not the one drawn", a.Load.Describe(), a.Outfall.Name))
		}
		if a.Hidden {
			t.Notes = append(t.Notes, "terminals of existing work are not written; `existing vents 3\"` lists them")
		}
		if a.Unsized != nil {
			t.Notes = append(t.Notes, "the size of "+a.Unsized.Run.Subject()+" is not written")
		}
		out = append(out, t)
	}
	return out
}

func squareInches(v float64) Cell {
	c := number(v, fmt.Sprintf("%.2f", v))
	if c.Text == "-0.00" {
		c.Text = "0.00"
	}
	return c
}

// above is a height over a floor in metres, told in inches with where it is from.
func above(n system.Num, floor float64) Cell {
	if !n.Known() {
		return Cell{}
	}
	c := inches(n.V - floor)
	if from := origin(n); from != "" {
		c.Text = quantity.FormatLength(n.V-floor) + " " + from
	}
	return c
}
