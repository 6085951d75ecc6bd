package schedule

import (
	"fmt"
	"math"
	"strconv"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint"
	"crownweir/lint/hydraulics"
	"crownweir/lint/pressure"
	"crownweir/lint/rule"
	"crownweir/lint/sizing"
)

// water tells for every supply run what it carries at peak, how fast, and what
// it takes from the pressure.
func water(r *lint.Report) []Table {
	t := Table{Name: "water", Columns: append(runColumns(),
		Column{Name: "kind"}, Column{"length", "ft"}, Column{"fittings", "ft"}, Column{"bore", "in"},
		Column{"load", "units"}, Column{"table allows", "units"}, Column{"flow", "gpm"}, Column{Name: "flow by"},
		Column{"velocity", "ft/s"}, Column{"most", "ft/s"}, Column{"friction", "psi/100 ft"}, Column{"loss", "psi"}, Column{Name: "work"})}
	a, w := r.Case.Pressure(), r.Case.Water()
	fallback := ""
	for _, p := range r.System.Pipes {
		if !p.Kind().Water() {
			continue
		}
		l, load := a.Of(p), w.Of(p)
		row := append(runCells(p.Run), words(p.Kind().String()))
		length, whole := p.Length()
		row = append(row, feet(length, whole), feetOf(l.Fittings), inchesOf(l.Bore))
		units := number(load.Units, sizing.Trim(load.Units))
		switch {
		case p.Kind() == system.Return:
			units = Cell{}
		case load.Unknown > 0:
			units = words(units.Text + " or more")
		}
		row = append(row, units)
		allowed := Cell{}
		if way, ok := w.ByTable(w.SourceOf(p.From)); ok && p.Size() > 0 {
			if u, _, ok := w.Allowed(way, p.Size()); ok {
				allowed = number(u, sizing.Trim(u))
			}
		}
		row = append(row, allowed)
		if l.Flow.Q <= 0 {
			t.add(append(row, Cell{}, Cell{}, Cell{}, Cell{}, Cell{}, Cell{}, existing(p.Run))...)
			continue
		}
		row = append(row, gpm(l.Flow.Q), words(flowBy(l.Flow)))
		if l.Flow.Fallback != "" {
			fallback = l.Flow.Fallback
		}
		if l.Bore > 0 {
			row = append(row, number(l.Velocity/metresPerFoot, fixed(l.Velocity/metresPerFoot, 1)))
		} else {
			row = append(row, Cell{})
		}
		if most := w.MostVelocity(p); most.OK {
			row = append(row, number(most.Value, sizing.Trim(most.Value)))
		} else {
			row = append(row, Cell{})
		}
		if g := l.Gradient(); g > 0 {
			per := psiOf(g * 100 * metresPerFoot)
			row = append(row, number(per, fixed(per, 2)), psi(l.Friction))
		} else {
			row = append(row, Cell{}, Cell{})
		}
		t.add(append(row, existing(p.Run))...)
	}
	t.Notes = reckonedBy(a)
	if w.TableGoverns() {
		t.Notes = append(t.Notes, "the supply table governs; flows, velocities and losses stand beside it")
	}
	if fallback != "" {
		t.Notes = append(t.Notes, fmt.Sprintf("%s is not in the table of chances: where it is served the curve stands", fallback))
	}
	for i := range a.Grids {
		g := &a.Grids[i]
		note := fmt.Sprintf("%s of %d pipes: a peak of %s gpm shared out, solved in %d turns", g.Title(), len(g.Pipes), gpm(g.Peak).Text, g.Iterations)
		if g.Trouble != "" {
			note = g.Title() + " was not solved: " + g.Trouble
		}
		t.Notes = append(t.Notes, note)
	}
	return []Table{t}
}

// flowBy says how a flow came about.
func flowBy(f pressure.Flow) string {
	switch f.How {
	case pressure.ByPeak:
		return string(f.Regime)
	case pressure.ByCurve:
		if f.Cell.OK {
			return f.Cell.Section
		}
	}
	return string(f.How)
}

func reckonedBy(a *pressure.Analysis) []string {
	demand := "demand by the adopted curve; a pipe to one fixture carries what that fixture draws"
	if a.Options.Demand == pressure.Binomial {
		demand = "demand by the binomial peak of the fixtures downstream (Peak Water Demand Study, 2017, from memory): a second opinion beside the adopted curve"
	}
	friction := "friction by Hazen-Williams"
	if a.Options.Friction == pressure.Darcy {
		friction = "friction by Darcy and Weisbach at the water's temperature"
	}
	return []string{demand, friction + " in the real bores, with turns, tees and valves as lengths of pipe"}
}

// pressures tells what is left at every outlet, and where it goes on the way
// to the one with the least to spare.
func pressures(r *lint.Report) []Table {
	a := r.Case.Pressure()
	all := Table{Name: "outlets", Columns: []Column{{Name: "outlet"}, {Name: "side"}, {Name: "source"}, {"at rest", "psi"}, {"left", "psi"}, {"left at most", "psi"},
		{"needs", "psi"}, {"spare", "psi"}, {Name: "section"}, {Name: "waits for"}}}
	for i := range a.Outlets {
		o := &a.Outlets[i]
		row := []Cell{words(o.Point.Name), words(supplySide(o)), words(o.Source.Name), bounded(o.Static)}
		row = append(row, bounded(o.Left.Least))
		if o.Left.Most-o.Left.Least > 1 {
			row = append(row, bounded(o.Left.Most))
		} else {
			row = append(row, Cell{})
		}
		if o.NeedKnown {
			row = append(row, psi(o.Need))
		} else {
			row = append(row, words("not known"))
		}
		if o.NeedKnown && !o.Missing.Missing() {
			row = append(row, psi(o.Spare()))
		} else {
			row = append(row, Cell{})
		}
		row = append(row, words(o.Cell.Section), words(o.Missing.What))
		all.add(row...)
	}
	all.Notes = append(reckonedBy(a), `"left" takes the most that devices without a written loss usually take, "left at most" the least`)
	out := []Table{all}
	for _, src := range a.Supply.Sources {
		if o := a.Critical(src); o != nil {
			out = append(out, way(a, o))
		}
	}
	return out
}

// way lists the whole way to an outlet, pipe by pipe and device by device.
func way(a *pressure.Analysis, o *pressure.Outlet) Table {
	t := Table{Name: fmt.Sprintf("way to %s, %s", o.Point.Name, supplySide(o)), Columns: []Column{{Name: "part"}, {Name: "size"}, {"flow", "gpm"}, {"length", "ft"}, {"fittings", "ft"},
		{"velocity", "ft/s"}, {"takes", "psi"}, {"left", "psi"}}}
	steps := a.Steps(o)
	if len(steps) == 0 {
		return t
	}
	t.add(words(o.Source.Name), Cell{}, Cell{}, Cell{}, Cell{}, Cell{}, Cell{}, psi(steps[0].Left+steps[0].Takes))
	for _, s := range steps {
		row := make([]Cell, len(t.Columns))
		row[6], row[7] = psi(s.Takes), psi(s.Left)
		l := s.Pipe
		if l == nil {
			row[0] = words("height to where " + o.Point.Name + " gives water")
			t.add(row...)
			continue
		}
		r := l.Pipe.Run
		row[2] = gpm(l.Flow.Q)
		switch {
		case s.Device != nil:
			name := s.Device.Name + " in " + r.Subject()
			if s.Device.Assumed {
				name += ", usual loss"
			}
			row[0] = words(name)
		case s.Height:
			row[0], row[1] = words("height of "+r.Subject()), words(quantity.FormatLength(l.Rise))
		default:
			row[0], row[1], row[3], row[4] = words(r.Subject()), sized(r.Size), feetOf(l.Length), feetOf(l.Fittings)
			if l.Bore > 0 {
				row[5] = number(l.Velocity/metresPerFoot, fixed(l.Velocity/metresPerFoot, 1))
			}
		}
		t.add(row...)
	}
	t.add(words(o.Point.Name+" needs"), Cell{}, Cell{}, Cell{}, Cell{}, Cell{}, psi(o.Need), psi(o.Spare()))
	t.Notes = []string{"the outlet of " + o.Source.Name + " with the least to spare; the last row's \"left\" is its spare"}
	return t
}

func supplySide(o *pressure.Outlet) string {
	if o.Hot {
		return "hot"
	}
	return "cold"
}

// hotWaits tells how long hot water takes to every outlet.
func hotWaits(r *lint.Report) []Table {
	t := Table{Name: "hot-wait", Columns: []Column{{Name: "outlet"}, {Name: "from"}, {"length", "ft"}, {"volume", "oz"}, {"gallons", "gal"}, {"flow", "gpm"}, {"wait", "s"},
		{"most", "oz"}, {"most length", "ft"}, {Name: "section"}, {Name: "waits for"}}}
	waits := r.Case.Water().HotWaits()
	far := r.Case.Book.Number("hot-length-most")
	for i := range waits {
		w := &waits[i]
		from := words("")
		if w.From != nil {
			from = words(w.From.Name())
			if w.Loop {
				from = words("loop at " + w.From.Name())
			}
		}
		row := []Cell{words(w.Outlet.Point.Name), from}
		if w.Missing != nil {
			t.add(append(row, Cell{}, Cell{}, Cell{}, Cell{}, Cell{}, Cell{}, Cell{}, Cell{}, words(w.What))...)
			continue
		}
		row = append(row, feetOf(w.Length), number(w.Volume/sizing.FluidOunce, fixed(w.Volume/sizing.FluidOunce, 0)), number(w.Gallons(), fixed(w.Gallons(), 2)))
		if s := w.Seconds(); s > 0 {
			row = append(row, gpm(w.Flow), number(s, fixed(s, 0)))
		} else {
			row = append(row, Cell{}, Cell{})
		}
		most, cells := r.Case.MostHeld(w), []string{}
		mostCell, farCell := Cell{}, Cell{}
		if most.OK && !rule.Unattended(w.Outlet.Point) {
			mostCell = number(most.Value, sizing.Trim(most.Value))
			cells = append(cells, sectionOr(most.Section, "good practice"))
		}
		if far.OK {
			farCell = number(far.Value, sizing.Trim(far.Value))
			cells = append(cells, far.Section)
		}
		section := ""
		for i, c := range cells {
			if i > 0 {
				section += "; "
			}
			section += c
		}
		t.add(append(row, mostCell, farCell, words(section), Cell{})...)
	}
	t.Notes = []string{"the wait is what stands in the pipe over the flow of the outlet; what the pipe soaks up comes on top"}
	return []Table{t}
}

func sectionOr(section, other string) string {
	if section == "" {
		return other
	}
	return section
}

func psiOf(pascals float64) float64 { return pascals / hydraulics.PoundsPerSquareInch }

func psi(pascals float64) Cell {
	v := psiOf(pascals)
	return number(v, fixed(v, 1))
}

// bounded is a pressure that may not be known at one end.
func bounded(pascals float64) Cell {
	if math.IsInf(pascals, 0) {
		return words("not known")
	}
	return psi(pascals)
}

func gpm(q float64) Cell {
	v := q / hydraulics.GallonsPerMinute
	return number(v, fixed(v, 1))
}

func feetOf(metres float64) Cell {
	if metres == 0 {
		return Cell{}
	}
	return number(metres/metresPerFoot, fixed(metres/metresPerFoot, 1))
}

func inchesOf(metres float64) Cell {
	if metres == 0 {
		return Cell{}
	}
	return number(metres/metresPerInch, fixed(metres/metresPerInch, 3))
}

// fixed writes a number to so many places, without a sign on nothing.
func fixed(v float64, places int) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	if n, err := strconv.ParseFloat(s, 64); err == nil && n == 0 {
		return strconv.FormatFloat(0, 'f', places, 64)
	}
	return s
}
