package rule

import (
	"crownweir/grammar/system"
	"crownweir/lint/sizing"
)

// PipeAsk is a size that something asks of a pipe, by a table and not by what
// the pipes around it make of each other. What asks it is one of Stretch, Vent
// and Supply, else By tells it.
type PipeAsk struct {
	Pipe *system.Pipe
	SizeAsk
	Stretch *DrainStretch // whose load asks it
	Vent    *VentSize     // what it serves
	Supply  *SupplyAsk
}

// SupplyAsk is what a supply pipe feeds, and the supply units that the size
// asked may carry.
type SupplyAsk struct {
	Load sizing.SupplyLoad
	May  float64
}

// PipeAsks lists what asks sizes of pipes. Trap arms have the size of their trap,
// which is asked of the pipe that begins at the fixture.
func (c *Case) PipeAsks() []PipeAsk {
	var out []PipeAsk
	stretches := c.DrainStretches()
	for i := range stretches {
		if s := &stretches[i]; s.Lies != "trap arm" && s.Required > 0 {
			out = append(out, PipeAsk{Pipe: s.Pipe, SizeAsk: SizeAsk{Size: s.Required, Cell: s.Asks}, Stretch: s})
		}
	}
	for _, p := range c.Sys.Pipes {
		if !p.Kind().Sanitary() {
			continue
		}
		for _, a := range c.EntryAsks(p.From, p.Run) {
			out = append(out, PipeAsk{Pipe: p, SizeAsk: a})
		}
	}
	vents := c.VentSizes()
	for i := range vents {
		if v := &vents[i]; v.Need > 0 {
			out = append(out, PipeAsk{Pipe: v.Pipe, SizeAsk: SizeAsk{Size: v.Need, Cell: v.Cell}, Vent: v})
		}
	}
	return append(out, c.supplyAsks()...)
}

func (c *Case) supplyAsks() []PipeAsk {
	if !c.Sys.Header.Water {
		return nil
	}
	var out []PipeAsk
	w := c.Water()
	for _, o := range w.Outlets {
		if least, cell, ok := w.LeastFixtureSupply(o.Point); ok && o.Pipe != nil {
			out = append(out, PipeAsk{Pipe: o.Pipe, SizeAsk: SizeAsk{least, article(o.Point.Fixture.Title), cell}})
		}
	}
	for _, src := range w.Sources {
		way, ok := w.ByTable(src)
		if !ok {
			continue
		}
		for _, p := range c.Sys.Pipes {
			if !p.Kind().Water() || w.SourceOf(p.From) != src || !w.Feeds(p) || w.Of(p).Fixtures < 2 {
				continue // what feeds one fixture has the least of its kind
			}
			if size, may, cell, ok := w.TableSize(way, w.Of(p).Units); ok {
				out = append(out, PipeAsk{Pipe: p, SizeAsk: SizeAsk{Size: size, Cell: cell}, Supply: &SupplyAsk{w.Of(p), may}})
			}
		}
	}
	return out
}
