package venting

import (
	"cmp"
	"fmt"
	"math"
	"sort"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

const (
	inch = 0.0254
	eps  = 1e-6
)

// judge names each candidate's method, weighs it by its own conditions, and
// chooses: the nearest that holds; else the nearest whose fate is open; else
// the nearest that reaches the air, with what it breaks.
func (a *Analysis) judge(arm *Arm) {
	if arm.Status == Indirect {
		return
	}
	a.circuitWays(arm)
	a.otherWays(arm)
	a.claimed(arm)
	for _, c := range arm.Candidates {
		a.weigh(arm, c)
	}
	switch {
	case a.choose(arm, Vented, (*Candidate).Holds):
	case a.choose(arm, Undecided, func(c *Candidate) bool { return len(c.Fails) == 0 && c.Never == "" }):
		arm.Doubt, arm.Missing = arm.Chosen.Unsure, arm.Chosen.Missing
	case a.choose(arm, Broken, func(c *Candidate) bool { return c.Never == "" }):
	case arm.Missing != nil:
		arm.Status = Undecided
	case len(arm.Candidates) == 0 && arm.STrapAt && !arm.Joined:
		arm.Status = STrap
	default:
		arm.Status = Unvented
	}
}

// choose takes the nearest candidate that fits; of several at one place, the
// one that breaks least, then the one with the larger vent.
func (a *Analysis) choose(arm *Arm, status Status, fits func(*Candidate) bool) bool {
	var best *Candidate
	for _, c := range arm.Candidates {
		if !fits(c) {
			continue
		}
		if best == nil {
			best = c
			continue
		}
		if status == Broken {
			if meant(c, best) {
				best = c
				continue
			}
			if meant(best, c) {
				continue
			}
		}
		if c.Node != best.Node && !(status == Broken && len(c.Fails) < len(best.Fails) && wetOnly(best) && near(arm, c, a)) {
			continue
		}
		switch {
		case len(c.Fails) != len(best.Fails):
			if len(c.Fails) < len(best.Fails) {
				best = c
			}
		case c.Vent != nil && best.Vent != nil && c.Method == best.Method && float64(c.Vent.Size()) > float64(best.Vent.Size())+eps:
			best = c
		}
	}
	if best == nil {
		return false
	}
	arm.Status, arm.Chosen = status, best
	return true
}

// meant: of two broken candidates the plan says which it means. A declared
// method is meant; a branch with a circuit's vent is no wet vent that foreign
// fixtures use.
func meant(c, over *Candidate) bool {
	if c.claim != over.claim {
		return c.claim
	}
	if c.Method != Circuit || over.Method != HorizontalWet && over.Method != VerticalWet {
		return false
	}
	for _, f := range over.Fails {
		if f.Rule == "foreign-wet-vent" {
			return true
		}
	}
	return false
}

// wetOnly: what is broken are conditions of a wet or circuit vent alone.
func wetOnly(c *Candidate) bool {
	for _, f := range c.Fails {
		if f.Rule == "long-trap-arm" {
			return false
		}
	}
	return len(c.Section) > 0
}

// near: the candidate lies within the arm that the code allows.
func near(arm *Arm, c *Candidate, a *Analysis) bool {
	_, most := a.ArmLimits(arm)
	return !most.OK || c.Dist.Known() && c.Dist.V <= most.Metres()+eps
}

// ArmLimit is the longest arm that the code is known to allow a trap, in metres;
// ok is false where it sets none (a closet under a code that leaves closets
// free).
func (a *Analysis) ArmLimit(arm *Arm) (metres float64, cell codebook.Cell, ok bool) {
	allowed, _ := a.ArmLimits(arm)
	return allowed.Metres(), allowed, allowed.OK
}

// ArmLimits are the length up to which the code allows an arm, and the one
// beyond which it does not. They are two only where its table prints other sizes
// and not the arm's: what the next smaller may be it may, what the next larger
// may not it may not.
func (a *Analysis) ArmLimits(arm *Arm) (allowed, most codebook.Cell) {
	if arm.Closet {
		c := a.Book.Number("closet-arm")
		return c, c
	}
	size := cmp.Or(arm.Trap.Size, arm.Size)
	table := a.Book.Table("trap-arm")
	if c := table.BySize(size, "max"); c.OK || size == 0 {
		return c, c
	}
	for _, s := range table.Sizes() {
		if most = table.BySize(s, "max"); s > size {
			break
		}
		allowed, most = most, codebook.Cell{}
	}
	if !allowed.OK || !most.OK { // smaller or larger than all of them
		return codebook.Cell{}, codebook.Cell{}
	}
	return allowed, most
}

// weigh judges a candidate by the conditions of its method.
func (a *Analysis) weigh(arm *Arm, c *Candidate) {
	a.armLength(arm, c)
	switch c.Method {
	case Individual:
		a.dry(arm, c)
	case VerticalWet:
		a.vertical(arm, c)
	case HorizontalWet:
		a.horizontal(arm, c)
	case Admittance:
		a.admittance(arm, c)
	case Circuit:
		a.circuit(arm, c)
	case Combination:
		a.combination(arm, c)
	case WasteStack:
		a.wasteStack(arm, c)
	case SingleStack:
		a.singleStack(arm, c)
	case Island:
		a.island(arm, c)
	}
	if c.Method == VerticalWet || c.Method == HorizontalWet || c.Method == Common && len(c.Section) > 0 {
		a.barred(arm, c)
	}
	a.untold(c)
}

// untold: a condition for which the book has no rule would break in silence.
// The way is then none that the code accepts, and the trap's story names it.
func (a *Analysis) untold(c *Candidate) {
	for _, f := range c.Fails {
		if _, ok := a.Book.Section(f.Rule); !ok && c.Never == "" {
			c.Never = f.Message
		}
	}
}

func (a *Analysis) armLength(arm *Arm, c *Candidate) {
	if c.Method == Combination || c.Method == SingleStack {
		return // their arms have limits of their own
	}
	_, most := a.ArmLimits(arm)
	if !most.OK || !c.Dist.Known() || c.Dist.V <= most.Metres()+eps {
		return
	}
	c.Fails = append(c.Fails, Fail{Rule: "long-trap-arm", Measured: c.Dist.V / inch, Limit: most.Metres() / inch, Unit: "in", Kind: "max", Cell: most})
}

// dry tells an individual vent from a common one.
func (a *Analysis) dry(arm *Arm, c *Candidate) {
	via := c.Arm[len(c.Arm)-1].Pipe
	others, merged := 0, 0
	for _, o := range a.opens[c.Node.ID] {
		switch {
		case o.arm == arm:
		case o.via == via:
			merged++
		default:
			others++
		}
	}
	if at := a.joinedBefore(c); at != nil {
		most := a.Book.Number("common-vent-fixtures")
		if a.Book.Flag("common-vent-downstream") && others == 0 && merged > 0 && float64(merged+1) <= most.Value+eps {
			c.Method = Common // two fixtures on the level, their vent at the meeting or after it
			return
		}
		c.Never = fmt.Sprintf("other waste joins the arm at %s before the vent at %s", at.Name(), c.Node.Name())
		return
	}
	if others == 0 {
		return
	}
	c.Method = Common
	if most := a.Book.Number("common-vent-fixtures"); most.OK && float64(others+1) > most.Value+eps {
		c.Never = fmt.Sprintf("%d traps open at %s; a common vent serves %.0f", others+1, c.Node.Name(), most.Value)
	}
}

// joinedBefore is the first point between the weir and the candidate's point
// at which other waste joins the arm; nil where it runs alone.
func (a *Analysis) joinedBefore(c *Candidate) *system.Node {
	for _, s := range c.Arm[:len(c.Arm)-1] {
		if a.Joins(s.Pipe) {
			return s.Pipe.To
		}
	}
	return nil
}

// Joins tells whether other waste joins at the end of a pipe.
func (a *Analysis) Joins(p *system.Pipe) bool {
	for _, q := range p.To.DrainIn {
		if q != p && q.Kind() != system.Indirect && a.Ledger.Of(q).Fixtures > 0 {
			return true
		}
	}
	return false
}

// opensAt: the fixture's arm meets its first way to the air at that node.
func (a *Analysis) opensAt(f *system.Point, n *system.Node) bool {
	arm := a.ArmOf(a.Sys.TrapOf(f))
	return arm != nil && arm.first == n
}

// sharing counts the traps that open at the candidate's node.
func (a *Analysis) sharing(arm *Arm, c *Candidate) int {
	n := 0
	for _, o := range a.opens[c.Node.ID] {
		n += len(o.arm.Trap.Fixtures)
	}
	if n == 0 {
		n = len(arm.Trap.Fixtures)
	}
	return n
}

// Upstream lists fixtures that discharge through a pipe, at most `most`+1.
func (a *Analysis) Upstream(p *system.Pipe, most int) []*system.Point {
	var out []*system.Point
	seen := map[*system.Node]bool{}
	var visit func(n *system.Node)
	visit = func(n *system.Node) {
		if seen[n] || len(out) > most {
			return
		}
		seen[n] = true
		for _, q := range n.Points {
			if q.Kind == system.Fixture {
				out = append(out, q)
			}
		}
		for _, q := range n.DrainIn {
			visit(q.From)
		}
	}
	visit(p.From)
	sort.SliceStable(out, func(i, j int) bool { return out[i].Name < out[j].Name })
	return out
}

// RequiredDrain is the least trap and arm the book asks of a fixture; what is
// drawn where the book does not say.
func (a *Analysis) RequiredDrain(f *system.Point) quantity.Size {
	if c := a.Book.Table("fixture-units").At(a.Ledger.Row(f), "trap"); c.OK {
		return quantity.Size(c.Value)
	}
	if t := a.Sys.TrapOf(f); t != nil {
		return t.Size
	}
	return 0
}

func trim(v float64) string {
	if math.Abs(v-math.Round(v)) < 0.05 {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.1f", v)
}
