package sizing

import (
	"strconv"
	"strings"

	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

// WaterRow is the row of the supply-unit table that a fixture takes.
func (s *Supply) WaterRow(p *system.Point) string {
	t := s.Book.Table("water-units")
	key := p.Word
	a, _ := p.Attr("flush")
	switch {
	case p.Word == "water-closet" && a.Text() == "valve" && t.Has("water-closet flushometer"):
		key = "water-closet flushometer"
	case p.Word == "urinal" && a.Text() == "tank" && t.Has("urinal tank"):
		key = "urinal tank"
	}
	if q, ok := a.Qty(); ok && t != nil {
		key = overRow(t, key, q.Gallons())
	}
	return key
}

// overRow is the row "KEY over N" with the largest N that a flush in gallons
// is over; KEY where the table has none.
func overRow(t *codebook.Table, key string, flush float64) string {
	best, most := key, 0.0
	for i := range t.Rows {
		rest, ok := strings.CutPrefix(t.Rows[i].Key, key+" over ")
		if !ok {
			continue
		}
		if n, err := strconv.ParseFloat(rest, 64); err == nil && flush > n+1e-6 && n >= most {
			best, most = t.Rows[i].Key, n
		}
	}
	return best
}

// FixtureWater is a fixture's supply units: whole, cold side and hot side,
// with the cell of the whole. The sides hold where both serve the fixture.
func (s *Supply) FixtureWater(p *system.Point) (whole, cold, hot float64, cell codebook.Cell, ok bool) {
	share := 1.0
	if side := s.Book.Number("hot-cold-share"); side.OK {
		share = side.Value
	}
	if a, written := p.Attr("water-units"); written {
		q, ok := a.Qty()
		return q.SI, q.SI * share, q.SI * share, codebook.Cell{}, ok
	}
	if s.withSink(p) != nil {
		return 0, 0, 0, s.Book.FlagCell("dishwasher-with-sink"), true
	}
	t := s.Book.Table("water-units")
	row := s.WaterRow(p)
	for _, col := range columns[s.Occupancy(p)] {
		c := t.At(row, col)
		if !c.OK {
			continue
		}
		cold, hot = c.Value*share, c.Value*share
		if cc := t.At(row, col+"-cold"); cc.OK {
			cold = cc.Value
		}
		if hc := t.At(row, col+"-hot"); hc.OK {
			hot = hc.Value
		}
		return c.Value, cold, hot, c, true
	}
	return 0, 0, 0, codebook.Cell{}, false
}

// withSink is the kitchen sink whose row covers a dishwasher, where the book
// counts the two as one; nil where the dishwasher counts by itself.
func (s *Supply) withSink(p *system.Point) *system.Point {
	if p.Word != "dishwasher" || !s.Book.Flag("dishwasher-with-sink") {
		return nil
	}
	for _, d := range p.Node.DrainOut {
		if d.Kind() != system.Indirect {
			continue
		}
		for _, q := range d.To.Points {
			if q.Kind == system.Fixture && q.Word == "kitchen-sink" {
				return q
			}
		}
	}
	return s.beside[p]
}

// pairSinks gives every dishwasher whose drain is not drawn, as on a plan of
// the water alone, a kitchen sink of its room: the first the first, and so on.
func (s *Supply) pairSinks() {
	type place struct {
		room *system.Room
		copy *system.Copy
	}
	at := func(p *system.Point) place {
		if p.Room != nil {
			return place{room: p.Room}
		}
		return place{copy: p.Copy}
	}
	sinks := map[place][]*system.Point{}
	for _, p := range s.Sys.Points {
		if p.Kind == system.Fixture && p.Word == "kitchen-sink" {
			sinks[at(p)] = append(sinks[at(p)], p)
		}
	}
	s.beside = map[*system.Point]*system.Point{}
	for _, p := range s.Sys.Points {
		if p.Kind != system.Fixture || p.Word != "dishwasher" || len(p.Node.DrainOut) > 0 {
			continue
		}
		if free := sinks[at(p)]; len(free) > 0 {
			s.beside[p], sinks[at(p)] = free[0], free[1:]
		}
	}
}
