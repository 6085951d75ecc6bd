package sizing

import (
	"math"
	"strconv"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

const psi = 6894.757293168 // pascals

// TableWay is how the table method reads one source: the pressure block, the
// column of developed length, the meter's row.
type TableWay struct {
	Source    *system.Point
	Static    float64 // psi at the source, behind a regulator its share of the set pressure
	Height    float64 // feet from the source up to the highest outlet
	Adjusted  float64 // psi after the height
	Highest   *Outlet
	Length    float64 // feet of developed length to the farthest outlet
	Farthest  *Outlet
	Column    string
	Meter     quantity.Size
	Regulated bool
	// Missing names what the plan does not tell, or is "".
	Missing string
	// Low is true where the pressure lies below the table's least block.
	Low bool
}

// TableWay reads the table method for a source; ok is false where the book
// has no such table.
func (s *Supply) TableWay(source *system.Point) (TableWay, bool) {
	w := TableWay{Source: source}
	t := s.Book.Table("supply-units")
	if t == nil {
		return w, false
	}
	p, ok := qty(source, "pressure")
	if !ok {
		w.Missing = "static pressure of " + source.Name
		return w, true
	}
	w.Static = p.SI / psi
	w.Meter, _ = s.SizeOfMeter(source)
	z := source.Node.Pos[system.ColdNet][2]
	if r, set := s.regulator(source); r != nil {
		share := s.Book.Number("regulated-share")
		w.Regulated, w.Static = true, set/psi
		if share.OK {
			w.Static *= share.Value
		}
	}
	for i := range s.Outlets {
		o := &s.Outlets[i]
		if s.source[o.Pipe.From.ID] != source {
			continue
		}
		if !o.Whole {
			w.Missing = "length of the way to " + o.Point.Name
		}
		if w.Farthest == nil || o.Length > w.Farthest.Length {
			w.Farthest = o
		}
		top := s.OutletHeight(o)
		if top.Known() && (w.Highest == nil || top.V > s.OutletHeight(w.Highest).V) {
			w.Highest = o
		}
	}
	if w.Farthest == nil {
		w.Missing = "outlets on " + source.Name
		return w, true
	}
	w.Length = w.Farthest.Length / 0.3048
	if !z.Known() || w.Highest == nil {
		w.Missing = "height of " + source.Name
		return w, true
	}
	w.Height = (s.OutletHeight(w.Highest).V - z.V) / 0.3048
	per := s.Book.Number("table-psi-per-foot")
	w.Adjusted = w.Static - w.Height*per.Value
	w.Column = lengthColumn(t, w.Length)
	w.Low = true
	for _, row := range t.Rows {
		if w.Adjusted >= row.Labels["psi-least"]-eps {
			w.Low = false
		}
	}
	return w, true
}

// OutletHeight is where an outlet's water leaves: a shower's head, else the
// stub-out.
func (s *Supply) OutletHeight(o *Outlet) system.Num {
	p := o.Point
	if q, ok := qty(p, "head"); ok {
		return system.Num{V: p.Floor() + q.SI, Origin: system.Written}
	}
	if p.Fixture.Head.OK {
		return system.Num{V: p.Floor() + p.Fixture.Head.Metres, Origin: system.Usual}
	}
	return o.Z
}

// regulator is the first pressure regulator from a source on, with its set
// pressure in pascals.
func (s *Supply) regulator(source *system.Point) (*system.Pipe, float64) {
	for _, n := range s.order {
		p := s.parent[n.ID]
		if p == nil || s.source[n.ID] != source {
			continue
		}
		for i := range p.Parts {
			if !p.Parts[i].IsDevice("regulator") {
				continue
			}
			if a, ok := grammar.FindAttr(p.Parts[i].Item.Attrs, "pressure"); ok {
				if q, ok := a.Qty(); ok {
					return p, q.SI
				}
			}
		}
	}
	return nil, 0
}

// lengthColumn is the column whose length is equal to or longer than feet.
func lengthColumn(t *codebook.Table, feet float64) string {
	best, name := math.Inf(1), ""
	for _, c := range t.Columns {
		v, err := strconv.ParseFloat(c, 64)
		if err == nil && v >= feet-eps && v < best {
			best, name = v, c
		}
	}
	return name
}

// Allowed is the load a supply pipe of a size may carry by the table: the row
// of its size with the largest printed meter not above the plan's.
func (s *Supply) Allowed(w TableWay, size quantity.Size) (units float64, cell codebook.Cell, ok bool) {
	t := s.Book.Table("supply-units")
	if t == nil || w.Column == "" || w.Missing != "" || w.Low {
		return 0, codebook.Cell{}, false
	}
	best := -1.0
	for _, row := range t.Rows {
		l := row.Labels
		if math.Abs(l["supply"]-float64(size)) > eps || w.Adjusted < l["psi-least"]-eps {
			continue
		}
		if most := l["psi-most"]; most > 0 && w.Adjusted >= most+1 {
			continue
		}
		meter := l["meter"]
		if w.Meter > 0 && meter > float64(w.Meter)+eps || meter < best {
			continue
		}
		if c := row.Cells[w.Column]; c.OK {
			best, units, cell, ok = meter, c.Value, c, true
		}
	}
	return units, cell, ok
}

// SupplySizes lists the sizes of the supply table, rising.
func (s *Supply) SupplySizes() []quantity.Size {
	seen := map[float64]bool{}
	var out []quantity.Size
	for _, row := range s.Book.Table("supply-units").Rows {
		if v := row.Labels["supply"]; v > 0 && !seen[v] {
			seen[v] = true
			out = append(out, quantity.Size(v))
		}
	}
	for i := 1; i < len(out); i++ {
		for j := i; j > 0 && out[j] < out[j-1]; j-- {
			out[j], out[j-1] = out[j-1], out[j]
		}
	}
	return out
}
