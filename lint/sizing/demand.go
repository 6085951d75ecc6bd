package sizing

import (
	"strconv"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

// Demand is the flow a load asks by the book's curve, in gallons a minute:
// the curve of flushometer valves where any is served, else that of tanks.
// Between printed rows a book that prints a chart is read along it; one that
// prints a table is read at the next higher row.
func (s *Supply) Demand(l SupplyLoad) (gpm float64, cell codebook.Cell, ok bool) {
	name := "demand-tank"
	if l.Closets+l.Urinals > 0 || l.Valves > 0 {
		name = "demand-valve"
	}
	t := s.Book.Table(name)
	if t == nil || l.Units <= 0 {
		return 0, codebook.Cell{}, false
	}
	x0, y0 := 0.0, 0.0
	for i := range t.Rows {
		row := &t.Rows[i]
		x, err := strconv.ParseFloat(row.Key, 64)
		c := row.Cells["gpm"]
		if err != nil || !c.OK {
			continue
		}
		if x >= l.Units-eps {
			if s.Book.Flag("demand-next-row") || x == l.Units {
				return c.Value, c, true
			}
			return y0 + (c.Value-y0)*(l.Units-x0)/(x-x0), c, true
		}
		x0, y0 = x, c.Value
	}
	return y0, codebook.Cell{}, false
}

// Velocity of a flow in gallons a minute through a bore in metres, in metres
// a second.
func Velocity(gallonsPerMinute, bore float64) float64 {
	const pi4 = 0.7853981633974483
	return gallonsPerMinute * gpm / (pi4 * bore * bore)
}

// MostVelocity is the book's limit for a pipe in feet a second.
func (s *Supply) MostVelocity(p *system.Pipe) codebook.Cell {
	col := "cold"
	if p.Kind() == system.Hot || p.Kind() == system.Return {
		col = "hot"
	}
	return s.Book.Table("velocity").ByKind(p.Run.Material, p.Size(), col)
}

// LeastFixtureSupply is the least size of a fixture's own supply.
func (s *Supply) LeastFixtureSupply(f *system.Point) (quantity.Size, codebook.Cell, bool) {
	t := s.Book.Table("fixture-supply")
	key := s.WaterRow(f)
	c := t.At(key, "least")
	if !c.OK {
		c = t.At(f.Word, "least")
	}
	return quantity.Size(c.Value), c, c.OK
}
