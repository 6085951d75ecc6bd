package sizing

import (
	"math"
	"slices"
	"strconv"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/hydraulics"
)

const (
	psi  = hydraulics.PoundsPerSquareInch
	foot = hydraulics.Foot
)

// TableWay is how the table method reads one source: the pressure block, the
// column of developed length, the meter's row.
type TableWay struct {
	Source    *system.Point
	Static    float64 // psi at the source, or what the book takes of a regulator's setting
	Height    float64 // feet from the source up to the highest outlet
	Loss      float64 // psi of written losses, where the book takes them off
	Adjusted  float64 // psi after height and losses
	Highest   *Outlet
	Length    float64 // feet of developed length to the farthest outlet, as the book counts it
	Farthest  *Outlet
	Column    string
	Meter     quantity.Size // 0 where none is drawn
	Regulated bool
	// Missing names what the plan does not tell, or is "".
	Missing string
	// Gaps are the runs without a length on the ways to the outlets.
	Gaps []*system.Run
	// Low is true where the pressure lies below the table's least block, Long
	// where the way is longer than its last column.
	Low, Long bool
	// Least is the table's lowest pressure and Most its longest column.
	Least, Most float64
	// Cells are the limits the reading rests on.
	Cells []codebook.Cell
}

// Readable tells whether the table says something at all for the source.
func (w TableWay) Readable() bool { return w.Missing == "" && !w.Low && !w.Long }

// TableGoverns tells whether the plan's water is sized by the supply table.
func (s *Supply) TableGoverns() bool {
	return s.Sys.Header.Method != "engineered" && s.Book.Table("supply-units") != nil
}

// TableWay is how the table method reads a source; ok is false where the book
// has no such table or the source feeds no outlet.
func (s *Supply) TableWay(source *system.Point) (TableWay, bool) {
	w, ok := s.tables[source]
	return w, ok
}

// ByTable is the same where the table governs the source and can be read.
func (s *Supply) ByTable(source *system.Point) (TableWay, bool) {
	w, ok := s.tables[source]
	return w, ok && s.TableGoverns() && w.Readable()
}

func (s *Supply) readTables() {
	s.tables = map[*system.Point]TableWay{}
	for _, src := range s.Sources {
		if w, ok := s.tableWay(src); ok {
			s.tables[src] = w
		}
	}
}

func (s *Supply) tableWay(source *system.Point) (TableWay, bool) {
	w := TableWay{Source: source}
	t := s.Book.Table("supply-units")
	if t == nil {
		return w, false
	}
	s.reach(&w)
	if w.Farthest == nil {
		return w, false
	}
	p, ok := source.Qty("pressure")
	z := source.Node.Pos[system.ColdNet][2]
	switch {
	case !ok:
		w.Missing = "static pressure of " + source.Name
	case !z.Known():
		w.Missing = "height of " + source.Name
	case w.Missing == "" && len(w.Gaps) > 0:
		w.Missing = "length of " + w.Gaps[0].Name()
	}
	if w.Missing != "" {
		return w, true
	}
	w.Static = p.SI / psi
	w.Meter, _ = s.SizeOfMeter(source)
	s.regulate(&w)
	w.Height = (s.OutletHeight(w.Highest).V - z.V) / foot
	per := s.Book.Number("table-psi-per-foot")
	w.Adjusted = w.Static - w.Height*per.Value
	w.Cells = append(w.Cells, per)
	if cell := s.Book.FlagCell("table-device-loss"); s.Book.Flag("table-device-loss") {
		if w.Loss = s.writtenLoss(source); w.Loss > 0 {
			w.Adjusted -= w.Loss
			w.Cells = append(w.Cells, cell)
		}
	}
	w.Length = w.Farthest.Length / foot
	if share := s.Book.Number("table-length-share"); share.OK {
		w.Length *= share.Value
		w.Cells = append(w.Cells, share)
	}
	w.Column, w.Most = lengthColumn(t, w.Length)
	w.Long = w.Column == ""
	w.Least = math.Inf(1)
	for i := range t.Rows {
		w.Least = math.Min(w.Least, t.Rows[i].Labels["psi-least"])
	}
	w.Low = w.Adjusted < w.Least-eps
	return w, true
}

// reach finds the farthest and the highest outlet of a source, and what is
// missing to tell them.
func (s *Supply) reach(w *TableWay) {
	seen := map[*system.Run]bool{}
	for i := range s.Outlets {
		o := &s.Outlets[i]
		if s.source[o.Pipe.From.ID] != w.Source {
			continue
		}
		if !o.Whole {
			for _, p := range s.Way(o.Pipe) {
				if _, whole := p.Length(); !whole && !seen[p.Run] {
					seen[p.Run] = true
					w.Gaps = append(w.Gaps, p.Run)
				}
			}
		}
		if w.Farthest == nil || o.Length > w.Farthest.Length {
			w.Farthest = o
		}
		top := s.OutletHeight(o)
		if !top.Known() && w.Missing == "" {
			w.Missing = "height of " + o.Point.Name
		}
		if top.Known() && (w.Highest == nil || top.V > s.OutletHeight(w.Highest).V) {
			w.Highest = o
		}
	}
}

// regulate takes the book's share of the setting of a regulator on the way to
// the highest outlet, where that is less than the source gives.
func (s *Supply) regulate(w *TableWay) {
	share := s.Book.Number("regulated-share")
	for _, p := range s.Way(w.Highest.Pipe) {
		for i := range p.Parts {
			set, ok := setting(&p.Parts[i], "regulator")
			if !ok {
				continue
			}
			set /= psi
			if share.OK {
				set *= share.Value
			}
			if set < w.Static {
				w.Regulated, w.Static = true, set
				w.Cells = append(w.Cells, share)
			}
		}
	}
}

// setting is the pressure that a device writes, in pascals.
func setting(pt *system.Part, device string) (pascals float64, ok bool) {
	if !pt.IsDevice(device) {
		return 0, false
	}
	a, ok := pt.Setting("pressure")
	if !ok {
		return 0, false
	}
	q, ok := a.Qty()
	return q.SI, ok
}

// writtenLoss is the largest sum of written losses, in psi, on a way from a
// source to an outlet.
func (s *Supply) writtenLoss(source *system.Point) float64 {
	sum := make([]float64, len(s.Sys.Nodes))
	on := func(p *system.Pipe) (v float64) {
		for i := range p.Parts {
			if q, ok := setting(&p.Parts[i], "loss"); ok {
				v += q / psi
			}
		}
		return v
	}
	for _, n := range s.order {
		if p := s.parent[n.ID]; p != nil {
			sum[n.ID] = sum[p.From.ID] + on(p)
		}
	}
	most := 0.0
	for i := range s.Outlets {
		if p := s.Outlets[i].Pipe; s.source[p.From.ID] == source {
			most = math.Max(most, sum[p.From.ID]+on(p))
		}
	}
	return most
}

// OutletHeight is where an outlet's water leaves: a shower's head, else the
// stub-out.
func (s *Supply) OutletHeight(o *Outlet) system.Num {
	p := o.Point
	if q, ok := p.Qty("head"); ok {
		return system.Num{V: p.Floor() + q.SI, Origin: system.Written}
	}
	if p.Fixture.Head.OK {
		return system.Num{V: p.Floor() + p.Fixture.Head.Metres, Origin: system.Usual}
	}
	return o.Z
}

// lengthColumn is the column whose length is equal to or longer than feet, ""
// beyond the last, and the last column's length.
func lengthColumn(t *codebook.Table, feet float64) (name string, last float64) {
	best := math.Inf(1)
	for _, c := range t.Columns {
		v, err := strconv.ParseFloat(c, 64)
		if err != nil {
			continue
		}
		last = math.Max(last, v)
		if v >= feet-eps && v < best {
			best, name = v, c
		}
	}
	return name, last
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
			continue // blocks are printed in whole psi: what lies between two reads the lower
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

// TableSize is the smallest size of the table that carries so many units, and
// what it may carry.
func (s *Supply) TableSize(w TableWay, units float64) (size quantity.Size, may float64, cell codebook.Cell, ok bool) {
	for _, size := range s.SupplySizes() {
		if may, cell, ok := s.Allowed(w, size); ok && may >= units-eps {
			return size, may, cell, true
		}
	}
	return 0, 0, codebook.Cell{}, false
}

// SupplySizes lists the sizes of the supply table, rising.
func (s *Supply) SupplySizes() []quantity.Size {
	seen := map[float64]bool{}
	var out []quantity.Size
	t := s.Book.Table("supply-units")
	if t == nil {
		return nil
	}
	for _, row := range t.Rows {
		if v := row.Labels["supply"]; v > 0 && !seen[v] {
			seen[v] = true
			out = append(out, quantity.Size(v))
		}
	}
	slices.Sort(out)
	return out
}
