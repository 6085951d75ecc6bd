package pressure

import (
	"math"

	"crownweir/grammar/system"
	"crownweir/lint/sizing"
)

// outlets lists what is left at every outlet: at the end of its pipe, less the
// height from the stub-out to where the water leaves.
func (a *Analysis) outlets() {
	rest := a.atRest()
	for i := range a.Supply.Outlets {
		so := &a.Supply.Outlets[i]
		o := Outlet{Outlet: *so, Source: a.Supply.SourceOf(so.Pipe.From)}
		end := a.along(so.Pipe)
		o.Left, o.Missing = end.p, end.missing
		o.Static = rest(so)
		switch head, ok := a.head(so); {
		case ok:
			o.Left = o.Left.plus(-head)
		case !o.Missing.Missing():
			o.Missing = Fact{What: "height of " + so.Point.Name, Write: "write it, as `supply 20\"`", Point: so.Point}
		}
		o.Need, o.Cell, o.NeedKnown = a.Supply.OutletPressure(so.Point)
		if o.Missing.Missing() {
			o.Left.Least = math.Inf(-1)
		}
		a.outlet[so.Pipe] = len(a.Outlets)
		a.Outlets = append(a.Outlets, o)
	}
}

// head is the pressure that it takes to rise from the end of an outlet's pipe,
// as it was reckoned, to where the water leaves.
func (a *Analysis) head(o *sizing.Outlet) (pascals float64, ok bool) {
	net := system.ColdNet
	if o.Hot {
		net = system.HotNet
	}
	end := o.Z
	if !end.Known() {
		if end = height(o.Pipe.From, o.Pipe.Kind(), net); !end.Known() {
			return 0, false
		}
		end.V += rise(o.Pipe)
	}
	top := a.Supply.OutletHeight(o)
	if !top.Known() {
		return 0, end.Known()
	}
	return (top.V - end.V) * a.per, true
}

// OutletOf is the outlet at a pipe's end; nil where none is.
func (a *Analysis) OutletOf(p *system.Pipe) *Outlet {
	if i, ok := a.outlet[p]; ok {
		return &a.Outlets[i]
	}
	return nil
}

// atRest gives the pressure at an outlet without flow: the source's, less
// height, and no more than what the last regulator holds.
func (a *Analysis) atRest() func(o *sizing.Outlet) float64 {
	type rest struct {
		p  float64
		ok bool
	}
	at := make([]rest, len(a.nodes))
	for _, src := range a.Supply.Sources {
		if q, ok := src.Qty("pressure"); ok {
			at[src.Node.ID] = rest{q.SI, true}
		}
	}
	along := func(p *system.Pipe) rest {
		r := at[p.From.ID]
		a.pipes[p.ID].pass(func(_, rise float64) { r.p -= rise * a.per }, func(d *Device) {
			if d.set > 0 {
				r.p = math.Min(r.p, d.set)
			}
		})
		return r
	}
	for _, n := range a.Supply.Order() {
		if p := a.Supply.Parent(n); p != nil {
			at[n.ID] = along(p)
		}
	}
	return func(o *sizing.Outlet) float64 {
		r := along(o.Pipe)
		if !r.ok {
			return math.Inf(1)
		}
		p := r.p
		if head, ok := a.head(o); ok {
			p -= head
		}
		return p
	}
}
