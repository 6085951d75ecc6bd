package pressure

import (
	"fmt"
	"math"

	"crownweir/grammar"
	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/hydraulics"
)

// walk carries the pressure from the sources down the ways to every node.
func (a *Analysis) walk() {
	for _, src := range a.Supply.Sources {
		a.nodes[src.Node.ID] = a.source(src)
	}
	a.solveGrids(nil)
	for _, n := range a.Supply.Order() {
		if p := a.Supply.Parent(n); p != nil && a.pipes[p.ID].Grid == 0 {
			a.nodes[n.ID] = a.along(p)
		}
		a.solveGrids(n)
	}
}

// source is the pressure at a source under the flow it gives: its static
// pressure, along the curve of a flow test where one is written.
func (a *Analysis) source(src *system.Point) state {
	q, ok := src.Qty("pressure")
	if !ok {
		return state{missing: Fact{What: "static pressure of " + src.Name, Write: "write it on the point, as `62psi`", Point: src, Asked: asked(src, "pressure")}, known: true,
			p: Range{math.Inf(-1), math.Inf(1)}}
	}
	p := q.SI
	flow, tested := src.Qty("flow")
	residual, left := src.Qty("residual")
	if tested && left && flow.SI > 0 && residual.SI < p {
		given := 0.0
		for _, w := range src.Node.WaterOut {
			given += a.pipes[w.ID].Flow.Q
		}
		p -= (p - residual.SI) * math.Pow(given/flow.SI, testPower)
	}
	return state{known: true, p: Range{p, p}}
}

// testPower is the power of the flow by which the pressure of a tested main
// falls: that of Hazen and Williams's friction.
const testPower = 1.85

// along takes the pressure at a pipe's start to its end.
func (a *Analysis) along(p *system.Pipe) state {
	from := a.nodes[p.From.ID]
	if !from.known {
		return state{}
	}
	l := &a.pipes[p.ID]
	a.measure(l)
	l.Enter = from.p
	out := state{known: true, missing: from.missing, p: from.p}
	if !out.missing.Missing() {
		out.missing = l.Missing
	}
	if h := p.From.Find(system.Heater); h != nil && p.Kind() == system.Hot && l.Flow.Q > 0 {
		a.heater(l, h)
	}
	take := func(d Range) { out.p.Least, out.p.Most = out.p.Least-d.Most, out.p.Most-d.Least }
	l.pass(func(share, rise float64) {
		out.p = out.p.plus(-l.Friction*share - rise*a.per)
	}, func(d *Device) {
		if d.set == 0 {
			take(d.Loss)
			return
		}
		was := out.p
		a.regulate(d, &out.p)
		d.Loss = Range{math.Max(was.Least-out.p.Least, 0), math.Max(was.Most-out.p.Most, 0)}
	})
	l.Leave = out.p
	return out
}

// pass goes through a pipe from its start to its end: over the pipe between
// its devices, as a share of its length and metres climbed, and each device.
func (l *Pipe) pass(pipe func(share, rise float64), device func(d *Device)) {
	done, risen := 0.0, 0.0
	for i := range l.Devices {
		d := &l.Devices[i]
		pipe(d.along-done, d.risen-risen)
		done, risen = d.along, d.risen
		device(d)
	}
	pipe(1-done, l.Rise-risen)
}

// regulate holds a pressure down to a regulator's setting less its fall-off.
func (a *Analysis) regulate(d *Device, p *Range) {
	least, most := d.set, d.set
	if share := a.Book.Number("regulated-share"); share.OK {
		least, most = least*share.Value, most*share.Value
		d.Source = share.Section
	} else if f, ok := hydraulics.UsualLoss("regulator fall-off"); ok {
		least, most = math.Max(least-f.High, 0), math.Max(most-f.Low, 0)
		d.Source, d.Assumed = f.Source, true
	}
	p.Least, p.Most = math.Min(p.Least, least), math.Min(p.Most, most)
}

// measure works out a pipe's bore, lengths, friction and devices.
func (a *Analysis) measure(l *Pipe) {
	p := l.Pipe
	r := p.Run
	lack := func(f Fact) {
		if !l.Missing.Missing() {
			l.Missing = f
		}
	}
	length, whole := p.Length()
	l.Length = length
	if !whole {
		lack(Fact{What: "length of " + r.Name(), Write: "write the length of each leg", Run: r})
	}
	net := system.ColdNet
	if p.Kind() == system.Hot {
		net = system.HotNet
	}
	z0, z1 := height(p.From, p.Kind(), net), p.To.Pos[net][2]
	switch {
	case z0.Known() && z1.Known():
		l.Rise = z1.V - z0.V
	default:
		l.Rise = rise(p)
		if !whole {
			lack(Fact{What: "height of " + p.To.Name(), Write: "write it, as `at 20\"`", Run: r})
		}
	}
	switch {
	case l.Flow.Q <= 0:
		return
	case r.Material == "":
		lack(Fact{What: "material of " + r.Subject(), Write: "write `default water copper-l`, or the material of the run", Run: r})
	case p.Size() == 0:
		lack(Fact{What: "size of " + r.Subject(), Write: "write its nominal size", Run: r, Solve: r.Solve})
	default:
		bore, _, ok := catalog.Bore(r.Material, p.Size())
		if !ok {
			lack(Fact{What: fmt.Sprintf("bore of %s %s", quantity.FormatSize(p.Size()), r.Material), Write: "take a size that is made of it", Run: r})
			break
		}
		l.Bore = bore
		l.Velocity = hydraulics.Velocity(l.Flow.Q, bore)
	}
	a.devices(l, lack)
	if l.Bore > 0 {
		l.Fittings = a.fittings(p, l.Bore)
		l.Friction = a.friction(l)
	}
}

// height of a pipe's start: a hot pipe may leave a point that cold reached.
func height(n *system.Node, kind system.Kind, net system.Net) system.Num {
	if z := n.Pos[net][2]; z.Known() {
		return z
	}
	if kind == system.Hot {
		return n.Pos[system.ColdNet][2]
	}
	return system.Num{}
}

// rise is what a pipe's written legs climb.
func rise(p *system.Pipe) (up float64) {
	for i := range p.Parts {
		if d := p.Parts[i].Drop(); p.Parts[i].IsLeg() && p.Parts[i].Posture == system.Upright && d.Known() {
			up -= d.V
		}
	}
	return up
}

// friction of a pipe's length and fittings, pascals.
func (a *Analysis) friction(l *Pipe) float64 {
	lost, long := 0.0, l.Length+l.Fittings
	if a.Options.Friction == Darcy {
		water := hydraulics.WaterAt(a.temperature(l.Pipe))
		if wall, ok := hydraulics.WallOf(l.Pipe.Run.Material); ok {
			lost = hydraulics.DarcyWeisbachLoss(l.Flow.Q, wall.Rough, l.Bore, long, water.Viscosity)
		}
	} else if c, ok := hydraulics.CoefficientOf(l.Pipe.Run.Material, l.Pipe.Run.Existing); ok {
		lost = hydraulics.HazenWilliamsLoss(l.Flow.Q, c.C, l.Bore, long)
	}
	return hydraulics.WaterAt(coldAt).Pressure(lost)
}

// devices lists what a pipe's devices take at its flow. A `loss` written next
// after a device is that device's own.
func (a *Analysis) devices(l *Pipe, lack func(Fact)) {
	l.Devices = nil
	r := l.Pipe.Run
	pending := -1 // a device whose loss is a usual figure so far
	along, risen := 0.0, 0.0
	add := func(d Device) {
		d.risen = risen
		if l.Length > 0 {
			d.along = along / l.Length
		}
		l.Devices = append(l.Devices, d)
	}
	if _, added := r.FoundAt["with regulator"]; added {
		lack(Fact{What: "setting of the regulator found in " + r.Subject(), Write: "write it in the run, as `regulator 60psi`", Run: r})
	}
	for i := range l.Pipe.Parts {
		pt := &l.Pipe.Parts[i]
		if pt.IsLeg() {
			pending = -1
			if pt.Length.Known() {
				along += pt.Length.V
			}
			if d := pt.Drop(); d.Known() && pt.Posture == system.Upright {
				risen -= d.V
			}
			continue
		}
		if pt.Item.Kind != grammar.Device {
			continue
		}
		word := pt.Item.Word.Text
		if _, gone := r.FoundAt["without "+word]; gone {
			pending = -1
			continue
		}
		if word == "loss" {
			a, _ := pt.Setting("pressure")
			q, ok := a.Qty()
			if !ok {
				lack(Fact{What: "loss in " + r.Subject(), Write: "write the pressure, as `loss 3psi`", Run: r, Asked: a.Unknown()})
				continue
			}
			if pending >= 0 {
				d := &l.Devices[pending]
				d.Loss, d.Assumed, d.Source, d.square, pending = Range{q.SI, q.SI}, false, "as written", 0, -1
				continue
			}
			add(Device{Name: "loss", Loss: Range{q.SI, q.SI}, Source: "as written"})
			continue
		}
		pending = -1
		switch word {
		case "meter":
			next := i+1 < len(l.Pipe.Parts) && l.Pipe.Parts[i+1].IsDevice("loss")
			if d, ok := a.meter(l, pt, next, lack); ok {
				add(d)
				pending = len(l.Devices) - 1
			}
		case "regulator":
			a, _ := pt.Setting("pressure")
			q, ok := a.Qty()
			if !ok {
				lack(Fact{What: "setting of the regulator in " + r.Subject(), Write: "write it, as `regulator 60psi`", Run: r, Asked: a.Unknown()})
				continue
			}
			add(Device{Name: fmt.Sprintf("regulator %.0f psi", q.SI/psi), set: math.Max(q.SI, 1), Source: "as written"})
		default:
			name, usual := usualName(word, pt.DeviceKind())
			if usual == "" {
				continue
			}
			if f, ok := hydraulics.UsualLoss(usual); ok {
				add(Device{Name: name, Loss: Range{f.Low, f.High}, Source: f.Source, Assumed: true})
				pending = len(l.Devices) - 1
			}
		}
	}
}

// usualName is how a device is called, and by what name its usual loss is
// kept; "" for one that takes next to nothing.
func usualName(word, kind string) (name, usual string) {
	switch word {
	case "backflow":
		name = "backflow " + kind
		switch kind {
		case "reduced-pressure":
			return name, "reduced-pressure assembly"
		case "double-check":
			return name, "double check"
		}
		return name, "pressure vacuum breaker"
	case "vacuum-breaker":
		return "vacuum breaker", "pressure vacuum breaker"
	case "softener":
		return word, "softener"
	case "filter":
		return word, "whole-house filter"
	}
	return word, ""
}

// meter is what a meter takes; written is true where its loss follows it. ok is
// false where the plan does not tell.
func (a *Analysis) meter(l *Pipe, pt *system.Part, written bool, lack func(Fact)) (d Device, ok bool) {
	r := l.Pipe.Run
	at, _ := pt.Setting("size")
	size, sized := at.Size()
	m, made := hydraulics.DiscMeter(float64(size))
	switch {
	case written:
		return Device{Name: "meter " + quantity.FormatSize(size)}, true
	case !sized:
		lack(Fact{What: "size of the meter in " + r.Subject(), Write: "write it, as `meter 3/4\"`", Run: r, Asked: at.Unknown(), Solve: at.Solve()})
		return d, false
	case !made:
		lack(Fact{What: fmt.Sprintf("loss of a %s meter", quantity.FormatSize(size)), Write: "write it after the meter, as `loss 4psi`", Run: r})
		return d, false
	}
	d = Device{Name: "meter " + quantity.FormatSize(size), Source: "AWWA standard pressure loss of disc meters"}
	loss, printed := m.Printed(l.Flow.Q)
	if !printed {
		loss, d.Over = m.Loss(l.Flow.Q), true
	}
	d.Loss, d.square = Range{loss, loss}, m.Square()
	return d, true
}

// heater adds what a heater takes from its hot water: next to nothing with
// storage; a heater without it takes what makers' sheets usually say.
func (a *Analysis) heater(l *Pipe, h *system.Point) {
	if q, ok := h.Qty("storage"); ok && q.SI > 0 {
		return
	}
	f, ok := hydraulics.UsualLoss("instantaneous heater")
	if !ok {
		return
	}
	d := Device{Name: "heater " + h.Name, Loss: Range{f.Low, f.High}, Source: f.Source, Assumed: true}
	if asked(h, "storage") {
		d.Loss.Least = 0
	}
	l.Devices = append([]Device{d}, l.Devices...)
}

const psi = hydraulics.PoundsPerSquareInch

func asked(p *system.Point, key string) bool {
	a, _ := p.Attr(key)
	return a.Unknown()
}
