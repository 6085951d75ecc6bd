package sizing

import (
	"math"
	"strings"

	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

// outletRow is the row of the table of outlets that a fixture takes.
func (s *Supply) outletRow(p *system.Point) string {
	t := s.Book.Table("outlet")
	key := s.WaterRow(p)
	if i := strings.Index(key, " over "); i >= 0 {
		key = key[:i]
	}
	if !t.Has(key) {
		key = p.Word
	}
	if a, written := p.Attr("control"); t.Has(key+" plain") && !written && !a.Unknown() {
		key += " plain"
	}
	if s.Occupancy(p) != "private" && t.Has(key+" public") {
		key += " public"
	}
	return key
}

// OutletFlow is what a fixture draws while it runs, in cubic metres a second:
// as written on it, else the book's. ok is false where neither tells.
func (s *Supply) OutletFlow(p *system.Point) (flow float64, cell codebook.Cell, ok bool) {
	if q, written := p.Qty("flow"); written && q.SI > 0 {
		return q.SI, codebook.Cell{}, true
	}
	cell = s.Book.Table("outlet").At(s.outletRow(p), "flow")
	return cell.Value * gpm, cell, cell.OK
}

// OutletPressure is the flowing pressure that a fixture needs, in pascals: the
// book's for its kind, and no less than what the book leaves at any outlet. ok
// is false where neither is told.
func (s *Supply) OutletPressure(p *system.Point) (pascals float64, cell codebook.Cell, ok bool) {
	cell = s.Book.Table("outlet").At(s.outletRow(p), "pressure")
	if least := s.Book.Number("residual-least"); least.OK && !(cell.OK && cell.Value > least.Value) {
		cell = least
	}
	return cell.Value * psi, cell, cell.OK
}

// continuous is a fixture's written flow, in gallons a minute, where the table
// of units does not know it: it runs beside the rest.
func (s *Supply) continuous(p *system.Point) float64 {
	if _, written := p.Attr("water-units"); written {
		return 0
	}
	q, ok := p.Qty("flow")
	if !ok {
		return 0
	}
	return math.Max(q.SI/gpm, 0)
}
