package venting

import (
	"math"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
)

// load lays what each dry vent serves along the vents up to the air.
func (a *Analysis) load() {
	for _, arm := range a.Arms {
		c := arm.Chosen
		if c == nil || c.Vent == nil || arm.Status == Unvented || arm.Status == STrap {
			continue
		}
		a.atVent[c.Vent.ID] = append(a.atVent[c.Vent.ID], arm)
	}
	at := make([]VentLoad, len(a.Sys.Nodes))
	for i := range at {
		at[i].Rim = math.Inf(-1)
	}
	for _, n := range a.Sys.VentOrder() {
		for _, p := range n.VentIn {
			at[n.ID].plus(a.ventLoad[p.ID])
		}
		on := a.reach[n.ID].pipe
		for _, p := range n.VentOut {
			l := VentLoad{Rim: math.Inf(-1)}
			for _, arm := range a.atVent[p.ID] {
				l.plus(a.serves(arm))
			}
			if p == on || on == nil && p == n.VentOut[0] {
				l.plus(at[n.ID])
			}
			a.ventLoad[p.ID] = l
		}
	}
}

func (v *VentLoad) plus(o VentLoad) {
	v.Units += o.Units
	v.Closets += o.Closets
	v.Traps += o.Traps
	v.Drain = max(v.Drain, o.Drain)
	if o.Rim > v.Rim {
		v.Rim, v.RimOf = o.Rim, o.RimOf
	}
}

// serves is what one arm asks of its vent.
func (a *Analysis) serves(arm *Arm) VentLoad {
	v := VentLoad{Traps: 1, Rim: math.Inf(-1)}
	for _, f := range arm.Trap.Fixtures {
		s := a.Ledger.Received(f).Load
		v.Units += s.Units
		v.Closets += s.Closets
		v.Drain = max(v.Drain, a.RequiredDrain(f))
		if r := f.Rim(); r.Known() && r.V > v.Rim {
			v.Rim, v.RimOf = r.V, f
		}
	}
	if c := arm.Chosen; c.Method == Circuit && c.trunk != nil {
		v.Drain = max(v.Drain, a.requiredBranch(c.trunk))
	}
	return v
}

// Way is the longest way from a drain connection through a vent's pipes of one
// size and smaller to the open air.
type Way struct {
	Size   quantity.Size
	Length float64      // metres of that size or smaller
	Level  float64      // of it level, on the way that has most
	First  *system.Pipe // first pipe of that size on the longest way
	Whole  bool         // every length on it is known
	Gap    *system.Pipe // a pipe whose length is not known
}

type way struct {
	length, level float64
	first, lfirst *system.Pipe
	gap           *system.Pipe
	ok            bool
}

func longer(x, y way) way {
	switch {
	case !y.ok:
		return x
	case !x.ok:
		return y
	}
	best := x
	if y.length > x.length+eps {
		best = y
	}
	if y.level > best.level {
		best.level, best.lfirst = y.level, y.lfirst
	}
	if x.level > best.level {
		best.level, best.lfirst = x.level, x.lfirst
	}
	if best.gap == nil {
		if best.gap = x.gap; best.gap == nil {
			best.gap = y.gap
		}
	}
	return best
}

// Ways lists, for every end in the air, the longest way of each size that is
// met, leaving out ways that are oversized throughout. oversized tells whether
// a pipe is larger than it need be by the steps that lift the limit.
func (a *Analysis) Ways(oversized func(*system.Pipe) bool) []Way {
	sizes := map[quantity.Size]bool{}
	large := make([]bool, len(a.Sys.Pipes))
	for _, p := range a.Sys.Pipes {
		if p.Kind() == system.Vent && p.Size() > 0 {
			sizes[p.Size()] = true
			large[p.ID] = oversized(p)
		}
	}
	var out []Way
	big, plain := make([]way, len(a.Sys.Nodes)), make([]way, len(a.Sys.Nodes))
	for size := range sizes {
		clear(big)
		clear(plain)
		out = append(out, a.waysOf(size, large, big, plain)...)
	}
	sortWays(out)
	return out
}

// waysOf carries two lengths up the vents: of ways oversized so far, and of
// ways that no longer are. oversized is by pipe, big and plain are by node and
// begin empty.
func (a *Analysis) waysOf(size quantity.Size, oversized []bool, big, plain []way) []Way {
	var out []Way
	for _, n := range a.Sys.VentOrder() {
		if len(n.VentOut) == 0 {
			continue
		}
		starts := len(n.DrainIn)+len(n.DrainOut) > 0
		for _, p := range n.VentOut {
			b, w := big[n.ID], plain[n.ID]
			if starts && len(a.atVent[p.ID]) > 0 {
				b = longer(b, way{ok: true})
			}
			if !b.ok && !w.ok {
				continue
			}
			if !oversized[p.ID] {
				w, b = longer(w, b), way{}
			}
			w, b = extend(w, p, size), extend(b, p, size)
			big[p.To.ID] = longer(big[p.To.ID], b)
			plain[p.To.ID] = longer(plain[p.To.ID], w)
		}
	}
	for _, n := range a.Sys.Nodes {
		w := plain[n.ID]
		if !w.ok || len(n.VentOut) > 0 || w.first == nil {
			continue
		}
		out = append(out, Way{Size: size, Length: w.length, Level: w.level, First: w.first, Whole: w.gap == nil, Gap: w.gap})
	}
	return out
}

func extend(w way, p *system.Pipe, size quantity.Size) way {
	if !w.ok || p.Size() == 0 || float64(p.Size()) > float64(size)+eps {
		return w
	}
	exact := math.Abs(float64(p.Size()-size)) < eps
	whole := len(p.Parts) > 0
	for i := range p.Parts {
		pt := &p.Parts[i]
		if !pt.IsLeg() {
			continue
		}
		if !pt.Length.Known() {
			whole = false
			continue
		}
		w.length += pt.Length.V
		if pt.Posture == system.LevelLeg {
			w.level += pt.Length.V
			if w.lfirst == nil {
				w.lfirst = p
			}
		}
	}
	if exact && w.first == nil {
		w.first = p
	}
	if !whole && w.gap == nil {
		w.gap = p
	}
	return w
}
