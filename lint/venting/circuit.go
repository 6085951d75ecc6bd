package venting

import (
	"fmt"
	"slices"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
)

// trunk is a level branch with one dry vent, such as a circuit vent serves.
type trunk struct {
	pipes   []*system.Pipe // upstream first
	nodes   []*system.Node // the first upstream of pipes[0], then one after each
	ventAt  int            // index of the node the vent leaves
	vent    *system.Pipe
	entries []entry // upstream first
}

// entry is where an arm without a vent of its own enters a trunk.
type entry struct {
	trunk *trunk
	arm   *Arm
	at    int // index of the node
	dist  system.Num
	fall  system.Num
	walk  []Stretch
}

// before: further upstream, or at one place the first by name.
func (e entry) before(o entry) bool {
	if e.at != o.at {
		return e.at < o.at
	}
	return e.arm.Fixture.Name < o.arm.Fixture.Name
}

// circuits finds level branches off which one dry vent is taken, and the arms
// that enter them.
func (a *Analysis) circuits() {
	a.entered = map[*Arm]entry{}
	if !a.Book.Flag("circuit") {
		return
	}
	byNode := map[*system.Node]*trunk{}
	// upstream first: of two vents on a branch the upper serves what lies between
	for _, n := range a.Sys.DrainOrder() {
		for _, v := range n.VentOut {
			if a.reach[v.To.ID].end != Air || a.loops(v) {
				continue
			}
			if t := a.trunkAt(n, v); t != nil {
				a.trunks = append(a.trunks, t)
				for _, m := range t.nodes {
					if byNode[m] == nil {
						byNode[m] = t
					}
				}
			}
			break
		}
	}
	for _, arm := range a.Arms {
		a.enter(arm, byNode)
	}
	a.shareBranch()
	for _, t := range a.trunks {
		for i := 1; i < len(t.entries); i++ {
			for j := i; j > 0 && t.entries[j].before(t.entries[j-1]); j-- {
				t.entries[j], t.entries[j-1] = t.entries[j-1], t.entries[j]
			}
		}
	}
}

// shareBranch: where a branch goes on with arms beyond a second vent, that vent
// is the circuit vent of the lower part and stands between its first two arms;
// with none beyond it is a relief vent.
func (a *Analysis) shareBranch() {
	for _, upper := range a.trunks {
		var lower *trunk
		for _, t := range a.trunks {
			if t != upper && t.nodes[t.ventAt] == upper.nodes[len(upper.nodes)-1] {
				lower = t
			}
		}
		if lower == nil || !slices.ContainsFunc(lower.entries, func(e entry) bool { return e.at > lower.ventAt }) {
			continue
		}
		last := -1
		for _, e := range upper.entries {
			last = max(last, e.at)
		}
		if last <= upper.ventAt {
			continue
		}
		at := slices.Index(lower.nodes, upper.nodes[last])
		if at < 0 {
			continue
		}
		kept := upper.entries[:0]
		for _, e := range upper.entries {
			if e.at != last {
				kept = append(kept, e)
				continue
			}
			e.trunk, e.at = lower, at
			lower.entries = append(lower.entries, e)
			a.entered[e.arm] = e
		}
		upper.entries = kept
	}
}

// trunkAt follows the level branch through a node: upstream along level drains
// that are no arms, downstream until it turns down or meets another drain.
func (a *Analysis) trunkAt(n *system.Node, v *system.Pipe) *trunk {
	t := &trunk{vent: v}
	var up []*system.Pipe
	at := n
	for len(up) < 200 {
		var next *system.Pipe
		for _, p := range at.DrainIn {
			if posture, ok := p.Posture(); !ok || posture != system.LevelLeg || hasTrap(p) || p.From.Find(system.Fixture) != nil || !p.Kind().Sanitary() {
				continue
			}
			if next == nil || a.Ledger.Of(p).Units > a.Ledger.Of(next).Units ||
				a.Ledger.Of(p).Units == a.Ledger.Of(next).Units && p.Run.Name() < next.Run.Name() {
				next = p
			}
		}
		if next == nil || a.airAt(next.From) {
			break
		}
		up = append(up, next)
		at = next.From
	}
	for i := len(up) - 1; i >= 0; i-- {
		t.pipes = append(t.pipes, up[i])
		t.nodes = append(t.nodes, up[i].From)
	}
	t.nodes = append(t.nodes, n)
	t.ventAt = len(t.nodes) - 1
	at = n
	for len(t.pipes) < 400 && len(at.DrainOut) > 0 && !at.Circle {
		p := at.DrainOut[0]
		first := p.FirstLeg()
		if first == nil || first.Posture != system.LevelLeg || !p.Kind().Sanitary() {
			break
		}
		t.pipes = append(t.pipes, p)
		t.nodes = append(t.nodes, p.To)
		at = p.To
		if posture, ok := p.Posture(); !ok || posture != system.LevelLeg || a.otherDrain(at, p) || a.airAt(at) {
			break
		}
	}
	if len(t.pipes) == 0 {
		return nil
	}
	return t
}

// airAt: a dry vent to the air leaves the node.
func (a *Analysis) airAt(n *system.Node) bool {
	r := a.reach[n.ID]
	return r.pipe != nil && r.end == Air
}

// otherDrain: something other than a trap arm joins at the node.
func (a *Analysis) otherDrain(n *system.Node, in *system.Pipe) bool {
	for _, p := range n.DrainIn {
		if p == in || !p.Kind().Sanitary() {
			continue
		}
		if hasTrap(p) || p.From.Find(system.Fixture) != nil {
			continue
		}
		return true
	}
	return false
}

// enter notes where an arm that has met no vent of its own enters a trunk.
func (a *Analysis) enter(arm *Arm, byNode map[*system.Node]*trunk) {
	if arm.Status == Indirect {
		return
	}
	dist, fall := system.Num{Origin: system.Written}, system.Num{Origin: system.Written}
	for i, s := range arm.Walk {
		if i > 12 {
			return
		}
		for j := s.From; j < s.To; j++ {
			pt := &s.Pipe.Parts[j]
			if !pt.IsLeg() {
				continue
			}
			add(&dist, pt.Length)
			if pt.Posture == system.LevelLeg {
				add(&fall, pt.Drop())
			}
		}
		n := s.Pipe.To
		if t := byNode[n]; t != nil {
			for k, m := range t.nodes {
				if m == n {
					// the last node is where the branch ends; an arm there is beside it
					if k == len(t.nodes)-1 && len(t.nodes) > 1 {
						return
					}
					e := entry{trunk: t, arm: arm, at: k, dist: dist, fall: fall, walk: arm.Walk[:i+1]}
					t.entries = append(t.entries, e)
					a.entered[arm] = e
					return
				}
			}
		}
		if len(n.VentOut) > 0 {
			return
		}
	}
}

// leastOnCircuit is from how many traps a branch is taken for a circuit
// without a claim: fewer have simpler readings.
const leastOnCircuit = 3

// circuitWays adds the circuit vent to the ways of an arm that enters a trunk.
func (a *Analysis) circuitWays(arm *Arm) {
	e, ok := a.entered[arm]
	if !ok {
		return
	}
	claimed := false
	for _, p := range e.trunk.pipes {
		claimed = claimed || p.Run.Claim == "circuit"
	}
	between := len(e.trunk.entries) >= leastOnCircuit && e.trunk.ventAt > e.trunk.entries[0].at
	if !claimed && !between {
		return
	}
	n := e.trunk.nodes[e.at]
	c := &Candidate{Method: Circuit, Node: n, Vent: e.trunk.vent, At: e.trunk.nodes[e.trunk.ventAt], Dist: e.dist, Fall: e.fall, Arm: e.walk, claim: claimed, trunk: e.trunk}
	i := 0
	for i < len(arm.Candidates) && arm.Candidates[i].Dist.V <= e.dist.V+eps {
		i++
	}
	arm.Candidates = append(arm.Candidates[:i], append([]*Candidate{c}, arm.Candidates[i:]...)...)
}

// circuit judges a circuit vent: number, place, size, one size of branch.
func (a *Analysis) circuit(arm *Arm, c *Candidate) {
	t := c.trunk
	if t == nil {
		return
	}
	name := t.pipes[0].Run.Subject()
	on := t.pipes[0]
	if most := a.Book.Number("circuit-fixtures"); most.OK && float64(len(t.entries)) > most.Value+eps {
		c.Fails = append(c.Fails, Fail{Rule: "crowded-circuit-vent", Measured: float64(len(t.entries)), Limit: most.Value, Unit: "count", Kind: "max", Cell: most, Pipe: on,
			Message: fmt.Sprintf("circuit-vented branch %s takes %d fixtures; one circuit serves %.0f", name, len(t.entries), most.Value),
			Remedy:  "divide the branch, each part with a circuit vent of its own"})
	}
	if n := len(t.entries); n >= 2 {
		next := t.entries[1]
		for _, e := range t.entries[1:] {
			if e.at > t.entries[0].at {
				next = e
				break
			}
		}
		first, second := t.entries[0].at, next.at
		if t.ventAt <= first || t.ventAt > second {
			c.Fails = append(c.Fails, Fail{Rule: "misplaced-circuit-vent", Pipe: t.vent,
				Message: fmt.Sprintf("circuit vent %s leaves %s at %s, not between the two most upstream fixtures %s and %s", t.vent.Run.Subject(), name, t.nodes[t.ventAt].Name(), t.entries[0].arm.Fixture.Name, next.arm.Fixture.Name),
				Remedy:  fmt.Sprintf("take it off between %s and %s", t.nodes[first].Name(), t.nodes[second].Name())})
		}
	}
	a.circuitSize(t, c)
	a.evenBranch(t, c)
	a.circuitRelief(t, c, name)
}

// circuitSize: a circuit vent is as large as the book asks of any, and half of
// the branch that its load requires.
func (a *Analysis) circuitSize(t *trunk, c *Candidate) {
	if t.vent.Size() == 0 {
		return
	}
	cell, why := a.Book.Number("circuit-vent-least"), ""
	need := cell.Value
	if half := a.Book.Number("vent-half-of-drain"); half.OK {
		branch := a.requiredBranch(t)
		if want := half.Value * float64(branch); want > need+eps {
			need, cell, why = want, half, fmt.Sprintf(", half of the %s that the load of its branch requires", quantity.FormatSize(branch))
		}
	}
	if !cell.OK || float64(t.vent.Size()) >= need-eps {
		return
	}
	size := quantity.FormatSize(quantity.Size(need))
	c.Fails = append(c.Fails, Fail{Rule: "small-circuit-vent", Measured: float64(t.vent.Size()), Limit: need, Unit: "in", Kind: "min", Cell: cell, Pipe: t.vent,
		Message: fmt.Sprintf("circuit vent %s is %s; it is to be %s%s", t.vent.Run.Subject(), quantity.FormatSize(t.vent.Size()), size, why),
		Remedy:  "make it " + size})
}

// requiredBranch is the least size that carries a trunk's load; 0 where no
// size of the book does.
func (a *Analysis) requiredBranch(t *trunk) quantity.Size {
	p := t.pipes[len(t.pipes)-1]
	leg := p.FirstLeg()
	if leg == nil {
		return 0
	}
	size, _ := a.Ledger.Required(a.Ledger.Of(p), a.Ledger.WayOf(p, leg))
	return size
}

// evenBranch: one size of branch between the entries, and no steep fall.
func (a *Analysis) evenBranch(t *trunk, c *Candidate) {
	if len(t.entries) == 0 {
		return
	}
	last := t.entries[len(t.entries)-1].at
	var size quantity.Size
	steep := a.Book.Number("circuit-fall-most")
	for i := t.entries[0].at; i < len(t.pipes) && i <= last; i++ {
		p := t.pipes[i]
		if p.Size() == 0 {
			c.Missing = &Missing{What: "size of " + p.Run.Name(), Pipe: p, Attr: "size"}
			return
		}
		if size > 0 && p.Size() != size {
			c.Fails = append(c.Fails, Fail{Rule: "uneven-circuit-branch", Measured: float64(p.Size()), Limit: float64(size), Unit: "in", Kind: "min", Pipe: p,
				Message: fmt.Sprintf("circuit-vented branch changes from %s to %s at %s; it is one size throughout", quantity.FormatSize(size), quantity.FormatSize(p.Size()), p.From.Name()),
				Remedy:  "make the branch the larger size from its most upstream fixture on"})
			return
		}
		size = p.Size()
		for j := range p.Parts {
			pt := &p.Parts[j]
			if pt.IsLeg() && pt.Posture == system.LevelLeg && steep.OK && pt.Fall.Known() && pt.Fall.V*12 > steep.Value+1e-4 {
				c.Fails = append(c.Fails, Fail{Rule: "uneven-circuit-branch", Measured: pt.Fall.V * 12, Limit: steep.Value, Unit: "in/ft", Kind: "max", Cell: steep, Pipe: p,
					Message: fmt.Sprintf("circuit-vented branch %s falls %s in/ft; it may fall %s", p.Run.Subject(), trim2(pt.Fall.V*12), trim2(steep.Value)),
					Remedy:  "lay it flatter, and drop the rest where it leaves the branch"})
				return
			}
		}
	}
}

// circuitRelief: four closets or more, with drainage from above on the stack,
// ask for a relief vent downstream of the last entry.
func (a *Analysis) circuitRelief(t *trunk, c *Candidate, name string) {
	least := a.Book.Number("circuit-relief-closets")
	closets := 0
	for _, e := range t.entries {
		closets += a.Ledger.Received(e.arm.Fixture).Load.Closets
	}
	if !least.OK || float64(closets) < least.Value-eps {
		return
	}
	end := t.nodes[len(t.nodes)-1]
	above := false
	for _, p := range end.DrainIn {
		if last := p.LastLeg(); last != nil && last.Posture == system.Upright && p != t.pipes[len(t.pipes)-1] && a.Ledger.Of(p).Fixtures > 0 {
			above = true
		}
	}
	if !above {
		return
	}
	for i := t.entries[len(t.entries)-1].at; i < len(t.nodes); i++ {
		if i != t.ventAt && a.airAt(t.nodes[i]) {
			return
		}
	}
	c.Fails = append(c.Fails, Fail{Rule: "missing-relief-vent", Measured: float64(closets), Limit: least.Value - 1, Unit: "count", Kind: "max", Cell: least, Pipe: t.pipes[len(t.pipes)-1],
		Message: fmt.Sprintf("circuit-vented branch %s takes %d closets below drainage from above and has no relief vent", name, closets),
		Remedy:  "take a relief vent off downstream of the last fixture, before the stack"})
}

func trim2(v float64) string { return fmt.Sprintf("%.3g", v) }
