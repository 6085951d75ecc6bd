package sizing

import (
	"sort"
	"strconv"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/hydraulics"
)

// Demand is the flow a load asks by the book's curve, in gallons a minute:
// the curve of flushometer valves where any is served, else that of tanks.
// Between printed rows a book that prints a chart is read along it; one that
// prints a table is read at the next higher row. What the curve does not know
// runs beside it. ok is false past the curve's end, and without a load.
func (s *Supply) Demand(l SupplyLoad) (gpm float64, cell codebook.Cell, ok bool) {
	name := "demand-tank"
	if l.Closets+l.Urinals > 0 || l.Valves > 0 {
		name = "demand-valve"
	}
	c := s.curve(name)
	if len(c.points) == 0 || l.Units <= 0 {
		return l.Flow, codebook.Cell{}, l.Flow > 0
	}
	var r hydraulics.Reading
	if s.Book.Flag("demand-next-row") {
		r = c.points.NextRow(l.Units - eps)
	} else {
		r = c.points.Between(l.Units)
	}
	at := c.cells[min(sort.Search(len(c.points), func(i int) bool { return c.points[i].Units >= r.High.Units }), len(c.cells)-1)]
	if r.Beyond {
		return 0, at, false
	}
	return r.Flow + l.Flow, at, true
}

// curve is a demand table of the book, read once. Its flows are in gallons a
// minute.
type curve struct {
	points hydraulics.Curve
	cells  []codebook.Cell
}

func (s *Supply) curve(name string) curve {
	return s.curves[name]
}

// readCurves reads the demand tables of the book.
func (s *Supply) readCurves() {
	s.curves = map[string]curve{}
	for _, name := range []string{"demand-tank", "demand-valve"} {
		s.curves[name] = readCurve(s.Book.Table(name))
	}
}

func readCurve(t *codebook.Table) (c curve) {
	if t != nil {
		for i := range t.Rows {
			units, err := strconv.ParseFloat(t.Rows[i].Key, 64)
			cell := t.Rows[i].Cells["gpm"]
			if err != nil || !cell.OK {
				continue
			}
			c.points = append(c.points, hydraulics.Point{Units: units, Flow: cell.Value})
			c.cells = append(c.cells, cell)
		}
	}
	return c
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
