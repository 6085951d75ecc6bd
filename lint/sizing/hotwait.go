package sizing

import (
	"math"

	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

// HotWait is the water that stands cooled between a heater, or a loop that is
// kept hot, and an outlet.
type HotWait struct {
	Outlet *Outlet
	// From is the heater or the point of a loop; Loop tells which.
	From *system.Node
	Loop bool
	// Pipes are the pipes from there to the outlet, in the order of flow.
	Pipes  []*system.Pipe
	Length float64 // metres, developed
	Volume float64 // cubic metres
	// Flow is cubic metres a second, and Cell where it is from; 0 where neither
	// plan nor book tells.
	Flow float64
	Cell codebook.Cell
	// Missing is the run whose length, size or material is not told, and What
	// of it; nil where nothing is.
	Missing *system.Run
	What    string
}

// Seconds until hot water arrives: the volume over the flow; 0 without a flow.
// Mixing and the heat that the pipe takes are left out: the true wait is longer.
func (w *HotWait) Seconds() float64 {
	if w.Flow <= 0 {
		return 0
	}
	return w.Volume / w.Flow
}

// FluidOunce is an ounce of US measure, in cubic metres.
const FluidOunce = 2.95735295625e-5

// Gallons of the volume.
func (w *HotWait) Gallons() float64 { return quantity.Value{SI: w.Volume}.Gallons() }

// HotWaits lists the wait at every outlet that hot pipe serves, in the order of
// the outlets.
func (s *Supply) HotWaits() []HotWait {
	kept := s.circulating()
	var out []HotWait
	for i := range s.Outlets {
		o := &s.Outlets[i]
		if !o.Hot {
			continue
		}
		w := HotWait{Outlet: o}
		for p := o.Pipe; p != nil; p = s.parent[p.From.ID] {
			if p.Kind() != system.Hot {
				break
			}
			w.Pipes = append(w.Pipes, p)
			w.From = p.From
			if w.Loop = kept[p.From.ID]; w.Loop || p.From.Find(system.Heater) != nil {
				break
			}
		}
		for i, j := 0, len(w.Pipes)-1; i < j; i, j = i+1, j-1 {
			w.Pipes[i], w.Pipes[j] = w.Pipes[j], w.Pipes[i]
		}
		for _, p := range w.Pipes {
			w.add(p)
		}
		w.Flow, w.Cell = s.waitFlow(o.Point)
		out = append(out, w)
	}
	return out
}

func (w *HotWait) add(p *system.Pipe) {
	length, whole := p.Length()
	bore, _, made := catalog.Bore(p.Run.Material, p.Size())
	w.Length += length
	w.Volume += length * math.Pi / 4 * bore * bore
	if w.Missing != nil {
		return
	}
	switch {
	case !whole:
		w.Missing, w.What = p.Run, "length of "+p.Run.Name()
	case p.Size() == 0:
		w.Missing, w.What = p.Run, "size of "+p.Run.Subject()
	case p.Run.Material == "":
		w.Missing, w.What = p.Run, "material of "+p.Run.Subject()
	case !made:
		w.Missing, w.What = p.Run, "bore of "+quantity.FormatSize(p.Size())+" "+p.Run.Material
	}
}

// circulating marks the nodes past which hot water is kept moving: on a way
// from a heater to the start of a return.
func (s *Supply) circulating() []bool {
	kept := make([]bool, len(s.Sys.Nodes))
	for _, p := range s.Sys.Pipes {
		if p.Kind() != system.Return || kept[p.From.ID] {
			continue
		}
		kept[p.From.ID] = true
		for up := s.parent[p.From.ID]; up != nil && up.Kind() == system.Hot && !kept[up.From.ID]; up = s.parent[up.From.ID] {
			kept[up.From.ID] = true
		}
	}
	return kept
}

// waitFlow is the flow a hot wait is reckoned with: as written on the fixture,
// the most its faucet may give, else what an outlet of its kind draws.
func (s *Supply) waitFlow(p *system.Point) (float64, codebook.Cell) {
	if q, ok := p.Qty("flow"); ok && q.SI > 0 {
		return q.SI, codebook.Cell{}
	}
	t := s.Book.Table("fixture-flow")
	row := p.Word
	if s.Occupancy(p) != "private" && t.Has(row+" public") {
		row += " public"
	}
	if c := t.At(row, "flow"); c.OK {
		return c.Value * gpm, c
	}
	flow, cell, _ := s.OutletFlow(p)
	return flow, cell
}
