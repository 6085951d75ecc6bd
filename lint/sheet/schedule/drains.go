package schedule

import (
	"fmt"
	"math"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint"
	"crownweir/lint/codebook"
	"crownweir/lint/rule"
	"crownweir/lint/sizing"
)

// lie is the stretches of one run that lie alike.
type lie struct {
	rule.DrainStretch          // the one with the least to spare speaks for load and limit
	spare             float64  // units; +Inf where nothing limits it
	sum               struct { // over all of them
		length float64
		whole  bool
		fall   system.Num
	}
}

// drains tells for every run of waste, and for each way it lies, what it
// carries and what it may carry.
func drains(r *lint.Report) []Table {
	t := Table{Name: "drains", Columns: append(runColumns(),
		Column{Name: "posture"}, Column{"length", "ft"}, Column{"fall", "in/ft"}, Column{Name: "fall from"},
		Column{"load", "units"}, Column{Name: "closets"}, Column{"limit", "units"}, Column{Name: "most closets"}, Column{"spare", "units"},
		Column{"required", "in"}, Column{Name: "section"}, Column{Name: "work"})}
	byRun := map[*system.Run][]*lie{}
	for _, s := range r.Case.DrainStretches() {
		gather(byRun, s)
	}
	unknown := false
	for _, run := range r.System.Runs {
		for _, l := range byRun[run] {
			row := runCells(run)
			row = append(row, words(l.Lies), feet(l.sum.length, l.sum.whole), grade(l.sum.fall), words(origin(l.sum.fall)))
			load := number(l.Load.Units, sizing.Trim(l.Load.Units))
			if l.Load.Unknown > 0 {
				load, unknown = words(load.Text+" or more"), true
			}
			row = append(row, load, count(l.Load.Closets))
			row = append(row, limits(l)...)
			t.add(append(row, existing(run))...)
		}
	}
	t.Notes = []string{
		"a run that lies in several ways has a row for each; where its load grows on the way, the pipe with the least to spare speaks",
		"required is the least size by the tables and by the sinks it serves; trap arms are held to their traps, which the fixtures schedule lists",
	}
	if unknown {
		t.Notes = append(t.Notes, `"or more": a load upstream is not known`)
	}
	return []Table{t}
}

// limits are the cells from limit to section.
func limits(l *lie) []Cell {
	out := make([]Cell, 5)
	section := l.Asks
	if l.Capacity.OK {
		out[0] = number(l.Capacity.Units, sizing.Trim(l.Capacity.Units))
		out[2] = number(l.spare, trimSigned(l.spare))
		section = l.Capacity.Cell
	}
	if l.Capacity.Closets >= 0 && l.Capacity.ClosetCell.OK && l.Load.Closets > 0 {
		out[1] = count(l.Capacity.Closets)
	}
	out[3] = sized(l.Required)
	if l.Required == 0 && l.Capacity.OK {
		out[3] = words("no one size")
	}
	out[4] = words(sections(section, l.Capacity.Factor, l.Asks))
	return out
}

func gather(byRun map[*system.Run][]*lie, s rule.DrainStretch) {
	spare := math.Inf(1)
	if s.Capacity.OK {
		spare = s.Capacity.Units - s.Load.Units
	}
	run := s.Pipe.Run
	for _, l := range byRun[run] {
		if l.Lies != s.Lies {
			continue
		}
		l.sum.length += s.Length
		l.sum.whole = l.sum.whole && s.Whole
		if s.Fall.Known() && (!l.sum.fall.Known() || s.Fall.V < l.sum.fall.V) {
			l.sum.fall = s.Fall
		}
		if spare < l.spare || spare == l.spare && s.Load.Units > l.Load.Units {
			l.DrainStretch, l.spare = s, spare
		}
		return
	}
	l := &lie{DrainStretch: s, spare: spare}
	l.sum.length, l.sum.whole, l.sum.fall = s.Length, s.Whole, s.Fall
	byRun[run] = append(byRun[run], l)
}

// grade is a fall in inches a foot.
func grade(fall system.Num) Cell {
	if !fall.Known() {
		return Cell{}
	}
	perFoot := sizing.InchesPerFoot(fall.V)
	text := quantity.FormatGrade(fall.V)
	return number(perFoot, text[:len(text)-len(" in/ft")])
}

func trimSigned(v float64) string {
	if v < 0 {
		return "-" + sizing.Trim(-v)
	}
	return sizing.Trim(v)
}

// sections names each section once.
func sections(cells ...codebook.Cell) string {
	out, seen := "", map[string]bool{"": true}
	for _, c := range cells {
		if !c.OK || seen[c.Section] {
			continue
		}
		seen[c.Section] = true
		if out != "" {
			out += "; "
		}
		out += c.Section
	}
	return out
}

// names lists points, the first ones by name.
func names(points []*system.Point, most int) string {
	out := ""
	for i, p := range points {
		if i == most {
			return out + fmt.Sprintf(" and %d more", len(points)-most)
		}
		if i > 0 {
			out += ", "
		}
		out += p.Name
	}
	return out
}
