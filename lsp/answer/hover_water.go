package answer

import (
	"fmt"
	"math"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/pressure"
	"crownweir/lint/sizing"
)

// water tells the load of a supply pipe, the flow it comes to and how fast it
// runs, the pressure that it takes and what the table allows.
func (h *hover) water(r *system.Run) {
	h.limits = true
	s := h.c.Water()
	p := r.Pipes[0]
	load := s.Of(p)
	h.out.para("carries %s for %s", supplyWords(load), plural(load.Fixtures, "fixture", "fixtures"))
	h.flow(r)
	if src := s.SourceOf(p.From); src != nil {
		h.taken(r)
		h.tableWay(s, src, p, load)
	} else {
		h.out.item("no source feeds it")
	}
	if r.Kind != system.Service {
		h.ownSupply(s, p)
	}
}

// flow tells the flow at peak of a run's first pipe, and its velocity.
func (h *hover) flow(r *system.Run) {
	l := h.c.Pressure().Of(r.Pipes[0])
	if l == nil || l.Flow.How == pressure.NoFlow {
		return
	}
	say := fmt.Sprintf("flow %s gpm, by the %s%s", gpm(l.Flow.Q), l.Flow.How, cite(l.Flow.Cell))
	if l.Flow.How == pressure.ByOutlet {
		say = fmt.Sprintf("flow %s gpm, the outlet's own%s", gpm(l.Flow.Q), cite(l.Flow.Cell))
	}
	most := h.c.Water().MostVelocity(r.Pipes[0])
	switch {
	case l.Bore == 0:
		say += "; its velocity waits for size and material"
	case most.OK && l.Velocity/foot > most.Value+1e-6:
		say += fmt.Sprintf("; **%s ft/s, over %s**%s", number(l.Velocity/foot, 1), number(most.Value, 1), cite(most))
	case most.OK:
		say += fmt.Sprintf("; %s ft/s of %s%s", number(l.Velocity/foot, 1), number(most.Value, 1), cite(most))
	default:
		say += fmt.Sprintf("; %s ft/s", number(l.Velocity/foot, 1))
	}
	h.out.item("%s", say)
}

func gpm(q float64) string { return number(quantity.Value{SI: q}.GPM(), 1) }

func psi(pascals float64) string { return number(quantity.Value{SI: pascals}.PSI(), 1) }

// between prints a pressure that is known between two bounds.
func between(r pressure.Range) string {
	least, most := psi(r.Least), psi(r.Most)
	switch {
	case math.IsInf(r.Most, 0):
		return "a pressure that is not known"
	case math.IsInf(r.Least, 0):
		return "at most " + most + " psi"
	case least == most:
		return least + " psi"
	}
	return least + " to " + most + " psi"
}

// taken tells what a run takes from the pressure and what is left behind it.
func (h *hover) taken(r *system.Run) {
	a := h.c.Pressure()
	friction, rise := 0.0, 0.0
	var last *pressure.Pipe
	for _, p := range r.Pipes {
		if last = a.Of(p); last == nil {
			return
		}
		if last.Missing.Missing() {
			h.out.item("pressure left is not known: the %s", notWritten(last.Missing.What))
			return
		}
		friction += last.Friction
		rise += last.Rise
		for _, d := range last.Devices {
			assumed := ""
			if d.Assumed {
				assumed = ", a usual figure"
			}
			h.out.item("%s takes %s%s", d.Name, between(d.Loss), assumed)
		}
	}
	if last == nil || last.Flow.How == pressure.NoFlow {
		return
	}
	say := fmt.Sprintf("friction %s psi, climbs %s", psi(friction), length(rise))
	if rise < -1e-9 {
		say = fmt.Sprintf("friction %s psi, drops %s", psi(friction), length(-rise))
	}
	if math.IsInf(last.Leave.Most, 0) {
		say += "; pressure left at its end is not known"
	} else {
		say += "; pressure left at its end " + between(last.Leave)
	}
	h.out.item("%s", say)
	h.left(a.OutletOf(r.Pipes[len(r.Pipes)-1]))
}

// left tells the pressure left at an outlet against what it needs.
func (h *hover) left(o *pressure.Outlet) {
	if o == nil {
		return
	}
	switch {
	case o.Short(): // proved, whatever is missing
		h.out.item("**too little**: %s has %s and needs %s psi%s", o.Point.Name, between(o.Left), psi(o.Need), cite(o.Cell))
	case o.Missing.Missing():
		h.out.item("pressure at %s is not known: the %s", o.Point.Name, notWritten(o.Missing.What))
	case !o.NeedKnown:
		h.out.item("%s has %s; what it needs is not known", o.Point.Name, between(o.Left))
	case !o.Enough():
		h.out.item("not decided: %s has %s and needs %s psi%s", o.Point.Name, between(o.Left), psi(o.Need), cite(o.Cell))
	default:
		h.out.item("%s has %s and needs %s psi%s", o.Point.Name, between(o.Left), psi(o.Need), cite(o.Cell))
	}
}

func (h *hover) tableWay(s *sizing.Supply, src *system.Point, p *system.Pipe, load sizing.SupplyLoad) {
	w, ok := s.TableWay(src)
	switch {
	case !ok || !s.TableGoverns():
		return
	case w.Missing != "":
		h.out.item("the table waits for the %s", w.Missing)
		return
	case w.Low:
		h.out.item("%s psi are below the table's least, %s", number(w.Adjusted, 1), number(w.Least, 0))
		return
	case w.Long:
		h.out.item("%s ft of way are beyond the table's last column", number(w.Length, 0))
		return
	}
	column := fmt.Sprintf("%s psi and %s ft", number(w.Adjusted, 0), number(w.Length, 0))
	if w.Meter > 0 {
		column += ", meter " + sized(w.Meter)
	}
	if p.Size() > 0 {
		if may, cell, ok := s.Allowed(w, p.Size()); ok {
			say := fmt.Sprintf("%s may carry %s at %s%s", sized(p.Size()), units(may), column, cite(cell))
			switch {
			case load.Units > may+1e-6:
				say += fmt.Sprintf("; **%s too many**", sizing.Trim(load.Units-may))
			case load.Unknown > 0:
				say += "; not decided while units are not known"
			default:
				say += fmt.Sprintf("; %s to spare", sizing.Trim(may-load.Units))
			}
			h.out.item("%s", say)
		} else {
			h.out.item("the table has no %s at %s", sized(p.Size()), column)
		}
	}
	for _, size := range s.SupplySizes() {
		may, cell, ok := s.Allowed(w, size)
		if size > p.Size() && ok {
			h.out.item("next size up, %s: %s%s", sized(size), units(may), cite(cell))
			return
		}
	}
}

// ownSupply tells the least size where a pipe serves one fixture alone.
func (h *hover) ownSupply(s *sizing.Supply, p *system.Pipe) {
	for _, q := range p.Run.Pipes[len(p.Run.Pipes)-1].To.Points {
		if q.Kind != system.Fixture {
			continue
		}
		if size, cell, ok := s.LeastFixtureSupply(q); ok {
			h.out.item("least supply of a %s: %s%s", q.Fixture.Title, sized(size), cite(cell))
		}
	}
}
