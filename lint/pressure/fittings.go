package pressure

import (
	"math"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lint/hydraulics"
)

// fittings is the length of pipe, in metres, that a pipe's turns, valves and
// the tee it leaves by stand for.
func (a *Analysis) fittings(p *system.Pipe, bore float64) float64 {
	family, ok := hydraulics.FamilyOf(p.Run.Material)
	if !ok {
		family = hydraulics.Threaded
	}
	sum := 0.0
	add := func(f hydraulics.Fitting, n float64) {
		if e, ok := hydraulics.EquivalentLength(f, family, float64(p.Size()), bore); ok {
			sum += n * e.Length
		}
	}
	if f, ok := a.junction(p); ok {
		add(f, 1)
	}
	var before *system.Part // the leg behind
	written := false        // a turn stands between it and the next
	stop := false
	for i := range p.Parts {
		pt := &p.Parts[i]
		switch {
		case pt.IsLeg():
			if before != nil && !written {
				if f, n := turn(before.Dir, pt.Dir); n > 0 {
					add(f, n)
				}
			}
			before, written = pt, false
		case pt.Item.Kind == grammar.Turn:
			switch pt.Item.Word.Text {
			case "eighth-bend", "sixteenth-bend":
				add(hydraulics.EighthBend, 1)
			case "return-bend":
				add(hydraulics.QuarterBend, 2)
			default:
				add(hydraulics.QuarterBend, 1)
			}
			written = true
		case pt.IsDevice("valve"):
			stop = stop || pt.DeviceKind() == "stop"
			if f, ok := valves[pt.DeviceKind()]; ok {
				add(f, 1)
			}
		}
	}
	if f := p.To.Find(system.Fixture); f != nil && !stop && a.Supply.Sys.AssumesStop(f) {
		add(hydraulics.AngleValve, 1)
	}
	return sum
}

// valves is read only.
var valves = map[string]hydraulics.Fitting{
	"full-port": hydraulics.BallValve, "gate": hydraulics.GateValve, "stop": hydraulics.AngleValve, "check": hydraulics.CheckValve,
}

// turn is the fitting between two legs, and how many of it; 0 where they run
// on in line, or where one's way is not told.
func turn(from, to [3]float64) (hydraulics.Fitting, float64) {
	angle, ok := between(from, to)
	switch {
	case !ok || angle < 20:
		return "", 0
	case angle < 60:
		return hydraulics.EighthBend, 1
	case angle < 120:
		return hydraulics.QuarterBend, 1
	}
	return hydraulics.QuarterBend, 2
}

// between is the angle in degrees by which the flow turns.
func between(from, to [3]float64) (degrees float64, ok bool) {
	dot, a, b := 0.0, 0.0, 0.0
	for i := range from {
		dot += from[i] * to[i]
		a += from[i] * from[i]
		b += to[i] * to[i]
	}
	if a == 0 || b == 0 {
		return 0, false
	}
	return math.Acos(math.Max(-1, math.Min(1, dot/math.Sqrt(a*b)))) * 180 / math.Pi, true
}

// junction is the fitting by which a pipe leaves the point where it begins: a
// tee's run or branch where others leave too, else the bend that its first leg
// makes. A pipe whose way is not told takes the branch.
func (a *Analysis) junction(p *system.Pipe) (hydraulics.Fitting, bool) {
	up := a.Supply.Parent(p.From)
	if up == nil {
		return "", false
	}
	var in, out [3]float64
	if l := up.LastLeg(); l != nil {
		in = l.Dir
	}
	if l := p.FirstLeg(); l != nil {
		out = l.Dir
	}
	angle, told := between(in, out)
	ways := 0
	for _, w := range p.From.WaterOut {
		if w.Kind() != system.Return {
			ways++
		}
	}
	heater := p.From.Find(system.Heater) != nil
	switch {
	case heater:
		return "", false
	case ways+len(p.From.WaterIn) > 2 || p.From.Find(system.Manifold) != nil:
		if told && angle < 20 {
			return hydraulics.TeeRun, true
		}
		return hydraulics.TeeBranch, true
	case !told || angle < 20:
		if up.Size() != p.Size() {
			return hydraulics.Coupling, true
		}
		return "", false
	}
	f, n := turn(in, out)
	return f, n > 0
}
