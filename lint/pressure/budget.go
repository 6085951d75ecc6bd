package pressure

import (
	"math"

	"crownweir/grammar/system"
	"crownweir/lint/hydraulics"
	"crownweir/lint/sizing"
)

// Budget is where the pressure goes on the way to an outlet, in pascals, with
// the least that devices may take; its parts add up to the most that is left.
type Budget struct {
	Source float64 // static pressure, or what a flow test leaves
	// Regulator is the last on the way, Held what it lets through at most and
	// Free what would reach it; nil where none is.
	Regulator  *system.Pipe
	Held, Free float64
	// Height, Devices and Friction count what is taken after the regulator
	// where it holds, else on the whole way.
	Height, Rise     float64 // pascals, metres; below zero downhill
	Devices          []Device
	Friction         float64
	Length, Fittings float64 // metres
	Worst            *Pipe   // that takes the most friction
	way              []*Pipe
}

// Budget adds up the way to an outlet. In a grid it follows the shortest way,
// and what the solution takes on it counts as friction.
func (a *Analysis) Budget(o *Outlet) Budget {
	var b Budget
	b.way = a.Way(o)
	if len(b.way) == 0 {
		return b
	}
	b.Source = a.nodes[b.way[0].Pipe.From.ID].p.Most
	at := b.Source
	for _, l := range b.way {
		l.pass(func(share, rise float64) {
			b.Friction += l.Friction * share
			b.Length += l.Length * share
			b.Fittings += l.Fittings * share
			b.Height += rise * a.per
			b.Rise += rise
			at -= l.Friction*share + rise*a.per
		}, func(d *Device) {
			if d.set == 0 {
				b.Devices = append(b.Devices, *d)
				at -= d.Loss.Least
				return
			}
			held := Range{math.Inf(1), math.Inf(1)}
			a.regulate(d, &held)
			b.Regulator, b.Held, b.Free = l.Pipe, held.Most, at
			if held.Most < at {
				at = held.Most
				b.Height, b.Rise, b.Devices, b.Friction, b.Length, b.Fittings = 0, 0, nil, 0, 0, 0
			}
		})
		if b.Worst == nil || l.Friction > b.Worst.Friction {
			b.Worst = l
		}
	}
	if head, ok := a.head(&o.Outlet); ok {
		b.Height += head
		b.Rise += head / a.per
		at -= head
	}
	b.Friction += at - o.Left.Most // a grid's own way
	return b
}

// Fast lists the pipes of the way whose water runs faster than the book lets it.
func (b *Budget) Fast(s *sizing.Supply) []*Pipe {
	var out []*Pipe
	for _, l := range b.way {
		if most := s.MostVelocity(l.Pipe); most.OK && l.Velocity > most.Value*hydraulics.Foot*(1+1e-6) {
			out = append(out, l)
		}
	}
	return out
}

// Step is one part of the way to an outlet and what it takes, at worst.
type Step struct {
	Pipe   *Pipe   // nil for the last, from the stub-out to where the water leaves
	Device *Device // a device of the pipe, or nil
	Height bool    // what the pipe's height takes, else its length and fittings
	Takes  float64 // pascals; below zero where it gives
	Left   float64 // pascals after it
}

// Steps lists the parts of the way to an outlet, in the order of flow: of each
// pipe the devices, its friction, its height. In a grid friction is what the
// solution takes between the pipe's ends.
func (a *Analysis) Steps(o *Outlet) []Step {
	var out []Step
	left := 0.0
	add := func(s Step) {
		left -= s.Takes
		s.Left = left
		out = append(out, s)
	}
	way := a.Way(o)
	if len(way) > 0 {
		left = way[0].Enter.Least
	}
	for _, l := range way {
		height, devices := l.Rise*a.per, 0.0
		for i := range l.Devices {
			d := &l.Devices[i]
			devices += d.Loss.Most
			add(Step{Pipe: l, Device: d, Takes: d.Loss.Most})
		}
		add(Step{Pipe: l, Takes: l.Enter.Least - l.Leave.Least - devices - height})
		if height != 0 {
			add(Step{Pipe: l, Height: true, Takes: height})
		}
	}
	if rest := left - o.Left.Least; math.Abs(rest) > slack {
		add(Step{Height: true, Takes: rest})
	}
	return out
}

// Gradient is the friction of a pipe over its length and fittings, in pascals a
// metre; 0 where it has none.
func (l *Pipe) Gradient() float64 {
	if long := l.Length + l.Fittings; long > 0 {
		return l.Friction / long
	}
	return 0
}
