package venting

import (
	"fmt"

	"crownweir/grammar/system"
)

// A walk that has met a way to the air does not go on for ever.
const (
	farEnough = 40 * 0.3048 // metres
	mostNodes = 400
)

// walk follows a trap's waste from the weir downstream until it turns down or
// reaches the outfall, and notes every way to the air.
func (a *Analysis) walk(t *system.Trap) *Arm {
	arm := &Arm{Trap: t, Fixture: t.Fixtures[0], Size: t.Pipe.Size()}
	for _, f := range t.Fixtures {
		arm.Closet = arm.Closet || f.Word == "water-closet" && t.Own
	}
	if t.Pipe.Kind() == system.Indirect {
		arm.Status = Indirect
		return arm
	}
	dist, fall := system.Num{Origin: system.Written}, system.Num{Origin: system.Written}
	level := false
	pipe, start := t.Pipe, t.Part+1
	for nodes := 0; ; nodes++ {
		j := start
		for ; j < len(pipe.Parts); j++ {
			pt := &pipe.Parts[j]
			if pt.IsDevice("trap") {
				a.end(arm, pipe, j, dist, fall, start, "meets a second trap")
				return arm
			}
			if !pt.IsLeg() {
				continue
			}
			if pt.Posture == system.Upright && pt.Down && (!arm.Closet || level) {
				arm.STrapAt = true
				a.end(arm, pipe, j, dist, fall, start, "turns down")
				return arm
			}
			if pt.Posture == system.LevelLeg {
				level = true
				add(&fall, pt.Drop())
			}
			add(&dist, pt.Length)
		}
		if pipe.FirstLeg() == nil && arm.Missing == nil && !(pipe == t.Pipe && t.Own) {
			arm.Missing = &Missing{What: "legs of " + pipe.Run.Name(), Pipe: pipe, Attr: "legs"}
			dist.Origin, fall.Origin = system.Unknown, system.Unknown
		}
		if pipe.Size() > 0 && (arm.Size == 0 || pipe.Size() < arm.Size) && len(arm.Candidates) == 0 {
			arm.Size = pipe.Size()
		}
		arm.Walk = append(arm.Walk, Stretch{pipe, start, len(pipe.Parts)})
		n := pipe.To
		a.ways(arm, n, pipe, dist, fall)
		arm.EndNode, arm.Length, arm.Fall = n, dist, fall
		for _, p := range n.DrainIn {
			if p != pipe {
				arm.Joined = true
			}
		}
		switch {
		case n.Find(system.Outfall) != nil:
			arm.Why = "reaches the outfall " + n.Name()
		case n.Find(system.ExistingDrain) != nil || n.Find(system.ExistingStack) != nil:
			arm.Why = "reaches the existing " + n.Name()
		case n.Find(system.Ejector) != nil:
			arm.Why = "reaches the ejector " + n.Name()
		case n.Find(system.Interceptor) != nil && len(n.DrainOut) == 0:
			arm.Why = "reaches the interceptor " + n.Name()
		case n.Circle:
			arm.Why = "runs in a circle at " + n.Name()
		case len(n.DrainOut) == 0:
			arm.Why = "ends at " + n.Name()
		case len(arm.Candidates) > 0 && dist.Known() && dist.V > farEnough:
			arm.Why = fmt.Sprintf("goes on beyond %s", n.Name())
		case nodes > mostNodes:
			arm.Why = "goes on beyond " + n.Name()
		default:
			pipe, start = n.DrainOut[0], 0
			continue
		}
		return arm
	}
}

func (a *Analysis) end(arm *Arm, pipe *system.Pipe, part int, dist, fall system.Num, start int, why string) {
	arm.Walk = append(arm.Walk, Stretch{pipe, start, part})
	arm.EndPipe, arm.EndPart, arm.EndNode = pipe, part, pipe.From
	arm.Length, arm.Fall = dist, fall
	arm.Why = why + " in " + pipe.Run.Name()
}

func add(sum *system.Num, v system.Num) {
	if !v.Known() {
		sum.Origin = system.Unknown
		return
	}
	sum.V += v.V
}

// ways notes the ways to the air at a node: a dry vent that leaves it, an
// upright drain that arrives from above, a level one from upstream.
func (a *Analysis) ways(arm *Arm, n *system.Node, in *system.Pipe, dist, fall system.Num) {
	if len(arm.Candidates) > 40 {
		return
	}
	note := func(c *Candidate) {
		c.Node, c.Dist, c.Fall = n, dist, fall
		if c.Missing == nil {
			c.Missing = arm.Missing // beyond a pipe whose way is not told
		}
		c.Arm = append([]Stretch(nil), arm.Walk...)
		arm.Candidates = append(arm.Candidates, c)
	}
	for _, p := range n.VentOut {
		switch a.reach[p.To.ID].end {
		case Air:
			if a.loops(p) {
				note(&Candidate{Method: Island, Vent: p, At: n})
				continue
			}
			note(&Candidate{Method: Individual, Vent: p, At: n})
		case Valve:
			note(&Candidate{Method: Admittance, Vent: p, At: n})
		case Drainage:
			note(&Candidate{Method: Island, Vent: p, At: n})
		}
	}
	for _, p := range n.DrainIn {
		if p == in || !p.Kind().Sanitary() || hasTrap(p) {
			continue
		}
		last := p.LastLeg()
		upright := last != nil && last.Posture == system.Upright
		table, method := a.up, HorizontalWet
		if upright {
			method = VerticalWet
			if posture, ok := p.Posture(); ok && posture == system.Upright && len(a.upV[p.From.ID]) > 0 {
				table = a.upV
			}
		}
		for _, o := range table[p.From.ID] {
			c := &Candidate{Method: method, At: o.at, Vent: a.reach[o.at.ID].pipe, In: p}
			c.Section = append(section(table, p.From, o.at), p)
			if last == nil {
				c.Missing = &Missing{What: "legs of " + p.Run.Name(), Pipe: p, Attr: "legs"}
			}
			note(c)
		}
	}
}

// opening is a trap that opens at a node, with the pipe it arrives by.
type opening struct {
	arm *Arm
	via *system.Pipe
}

// open notes where an arm first meets a way to the air.
func (a *Analysis) open(arm *Arm) {
	if len(arm.Candidates) == 0 {
		return
	}
	c := arm.Candidates[0]
	arm.first = c.Node
	a.opens[c.Node.ID] = append(a.opens[c.Node.ID], opening{arm, c.Arm[len(c.Arm)-1].Pipe})
}
