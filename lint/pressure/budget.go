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
		l := l
		done, risen := 0.0, 0.0
		spend := func(along, to float64) {
			b.Friction += l.Friction * (along - done)
			b.Length += l.Length * (along - done)
			b.Fittings += l.Fittings * (along - done)
			b.Height += (to - risen) * a.per
			b.Rise += to - risen
			at -= l.Friction*(along-done) + (to-risen)*a.per
			done, risen = along, to
		}
		for _, d := range l.Devices {
			spend(d.along, d.risen)
			if d.set > 0 {
				held := Range{math.Inf(1), math.Inf(1)}
				a.regulate(&d, &held)
				b.Regulator, b.Held, b.Free = l.Pipe, held.Most, at
				if held.Most < at {
					at = held.Most
					b.Height, b.Rise, b.Devices, b.Friction, b.Length, b.Fittings = 0, 0, nil, 0, 0, 0
				}
				continue
			}
			b.Devices = append(b.Devices, d)
			at -= d.Loss.Least
		}
		spend(1, l.Rise)
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
