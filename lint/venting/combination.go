package venting

import (
	"fmt"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/sizing"
)

// otherWays adds the methods that a run declares, or that only some books
// know: combination waste and vent, waste stack vent, single stack.
func (a *Analysis) otherWays(arm *Arm) {
	if len(arm.Walk) == 0 {
		return
	}
	end := func() *Candidate {
		return &Candidate{Node: arm.Walk[0].Pipe.To, Dist: arm.Length, Fall: arm.Fall, Arm: arm.Walk[:1]}
	}
	if a.claims(arm, "combination") || a.looksCombined(arm) {
		c := end()
		c.Method, c.Claimed, c.claim = Combination, true, a.claims(arm, "combination")
		if !a.Book.Flag("combination") {
			c.Never = fmt.Sprintf("a combination waste and vent, which %s does not know", a.Book.Title)
		}
		arm.Candidates = append(arm.Candidates, c)
	}
	if a.claims(arm, "single-stack") {
		c := end()
		c.Method, c.Claimed, c.claim = SingleStack, true, true
		if !a.Book.Flag("single-stack") {
			c.Never = fmt.Sprintf("a single stack, which %s does not know", a.Book.Title)
		}
		arm.Candidates = append(arm.Candidates, c)
	}
	claimed := a.claims(arm, "waste-stack")
	if claimed && !a.Book.Flag("waste-stack") {
		c := end()
		c.Method, c.Claimed, c.Never = WasteStack, true, fmt.Sprintf("a waste stack vent, which %s does not know", a.Book.Title)
		arm.Candidates = append(arm.Candidates, c)
		return
	}
	if !a.Book.Flag("waste-stack") {
		return
	}
	for _, c := range arm.Candidates {
		if c.Method == VerticalWet && len(c.Section) > 0 {
			w := *c
			w.Method, w.Claimed = WasteStack, claimed
			arm.Candidates = append(arm.Candidates, &w)
			return
		}
	}
}

// looksCombined: a kind that may use one, whose trap or arm is enlarged by the
// book's steps and which has no vent within its arm.
func (a *Analysis) looksCombined(arm *Arm) bool {
	if word, _ := a.Book.Table("combination-kinds").Word(arm.Fixture.Word, "allowed"); word != "yes" || !a.Book.Flag("combination") {
		return false
	}
	for _, c := range arm.Candidates {
		if near(arm, c, a) && c.Method != HorizontalWet {
			return false
		}
	}
	steps := a.Book.Number("combination-steps")
	// a book that sizes it by a table leaves nothing to know one by: it is claimed
	return steps.OK && a.stepsAbove(arm.Trap.Pipe.Size(), a.RequiredDrain(arm.Fixture)) >= int(steps.Value)
}

// stepsAbove counts steps on the ladder of nominal sizes.
func (a *Analysis) stepsAbove(size, normal quantity.Size) int {
	t := a.Book.Table("size-ladder")
	x, y := t.BySize(size, "step"), t.BySize(normal, "step")
	if !x.OK || !y.OK {
		return 0
	}
	return int(x.Value - y.Value)
}

// enlarged is the nominal size that many steps above another on the ladder.
func (a *Analysis) enlarged(normal quantity.Size, steps int) quantity.Size {
	for _, s := range a.Book.Table("size-ladder").Sizes() {
		if a.stepsAbove(s, normal) >= steps {
			return s
		}
	}
	return normal
}

// combination judges a combination waste and vent.
func (a *Analysis) combination(arm *Arm, c *Candidate) {
	if c.Never != "" {
		return
	}
	f := arm.Fixture
	if word, cell := a.Book.Table("combination-kinds").Word(f.Word, "allowed"); word != "yes" {
		c.Fails = append(c.Fails, Fail{Rule: "unapproved-combination", Cell: cell, Pipe: arm.Trap.Pipe, Fixture: f,
			Message: fmt.Sprintf("%s %s may not use a combination waste and vent", f.Fixture.Title, f.Name), Remedy: fmt.Sprintf("vent %s by itself", f.Name)})
	} else if a.Book.Flag("combination-approval") {
		c.Fails = append(c.Fails, Fail{Rule: "unapproved-combination", Cell: a.Book.FlagCell("combination-approval"), Pipe: arm.Trap.Pipe, Fixture: f,
			Message: fmt.Sprintf("%s relies on a combination waste and vent, which needs an approval", f.Name),
			Remedy:  fmt.Sprintf("record it: waive unapproved-combination on %s because \"…\" approved \"…\"; or vent it by itself", f.Name)})
	}
	if steps := a.Book.Number("combination-steps"); steps.OK {
		first := -1
		for _, s := range arm.Walk {
			size, normal := s.Pipe.Size(), a.RequiredDrain(f)
			small := size > 0 && a.stepsAbove(size, normal) < int(steps.Value)
			need := a.enlarged(normal, int(steps.Value))
			switch {
			case small && first >= 0:
				c.Fails[first].Further = append(c.Fails[first].Further, Small{s.Pipe, need})
			case small:
				first = len(c.Fails)
				c.Fails = append(c.Fails, Fail{Rule: "overloaded-combination", Measured: float64(size), Limit: float64(need), Unit: "in", Kind: "min", Cell: steps, Pipe: s.Pipe,
					Message: fmt.Sprintf("combination %s of %s is %s; %.0f sizes above the normal %s are %s", s.Pipe.Run.Subject(), f.Name, quantity.FormatSize(size), steps.Value, quantity.FormatSize(normal), quantity.FormatSize(need)),
					Remedy:  fmt.Sprintf("make trap and waste %s", quantity.FormatSize(need))})
			}
			if s.Pipe.To.Find(system.Outfall) != nil || a.airAt(s.Pipe.To) {
				break
			}
		}
	}
	if t := a.Book.Table("combination"); t != nil {
		for _, s := range arm.Walk {
			load := a.Ledger.Of(s.Pipe)
			cell := t.BySize(s.Pipe.Size(), "branch")
			if b := t.BySize(s.Pipe.Size(), "building-drain"); b.OK && s.Pipe.Kind() == system.Sewer {
				cell = b
			}
			if cell.OK && load.Units > cell.Value+eps {
				c.Fails = append(c.Fails, Fail{Rule: "overloaded-combination", Measured: load.Units, Limit: cell.Value, Unit: "units", Kind: "max", Cell: cell, Pipe: s.Pipe,
					Message: fmt.Sprintf("combination %s carries %s units; %s allows %s", s.Pipe.Run.Subject(), trim(load.Units), quantity.FormatSize(s.Pipe.Size()), trim(cell.Value)),
					Remedy:  "enlarge it, or vent some fixtures by themselves"})
				break
			}
			if a.airAt(s.Pipe.To) {
				break
			}
		}
	}
	if branch := a.Book.Number("combination-branch"); branch.OK {
		if l, whole := a.branchLength(arm); whole && l > branch.Metres()+eps {
			c.Fails = append(c.Fails, Fail{Rule: "long-combination-branch", Measured: l / 0.3048, Limit: branch.Value, Unit: "ft", Kind: "max", Cell: branch, Pipe: arm.Trap.Pipe,
				Message: fmt.Sprintf("combination branch of %s is %s long without a vent of its own", f.Name, quantity.FormatLength(l)),
				Remedy:  fmt.Sprintf("vent branches over %s separately", quantity.FormatLength(branch.Metres()))})
		}
	}
	for _, o := range arm.Candidates {
		if o != c && o.Vent != nil && a.reach[o.Vent.To.ID].end == Air { // a vent anywhere on the system will do
			c.Vent, c.At = o.Vent, o.At
			return
		}
	}
	c.Never = "a combination waste and vent without any vent on it"
}

// branchLength is the length of a trap's branch without a vent on it, to where
// other waste joins or the building sewer begins, in metres; zero where it is
// vented, and not whole where a length is not written.
func (a *Analysis) branchLength(arm *Arm) (metres float64, whole bool) {
	whole = true
	for _, s := range arm.Walk {
		if s.Pipe.Kind() == system.Sewer {
			break
		}
		l, ok := s.Pipe.Length()
		metres, whole = metres+l, whole && ok
		if a.airAt(s.Pipe.To) {
			return 0, true
		}
		if a.Joins(s.Pipe) {
			break
		}
	}
	return metres, whole
}

// wasteStack judges a waste stack vent: one upright stack of full size to the
// air, without closets or urinals, within its table.
func (a *Analysis) wasteStack(arm *Arm, c *Candidate) {
	c.Never = ""
	if c.Vent == nil || len(c.Section) == 0 {
		return
	}
	t := a.Book.Table("waste-stack")
	in := c.Section[len(c.Section)-1]
	size := in.Size()
	refuse := func(why string) { c.Never = why }
	base, load := a.stackBase(c.Node)
	all := append(a.Upstream(in, 200), arm.Trap.Fixtures...)
	if base != nil {
		all = a.Upstream(base, 200)
	}
	for _, f := range all {
		if f.Word == "water-closet" || f.Word == "urinal" {
			refuse(fmt.Sprintf("%s discharges into the stack, so it is no waste stack vent", f.Name))
			return
		}
	}
	for _, p := range c.Section {
		if posture, ok := p.Posture(); !ok || posture != system.Upright || p.Size() != size {
			refuse("the stack is not upright and of one size up to its vent")
			return
		}
	}
	if c.Vent.Size() != size {
		refuse(fmt.Sprintf("the stack's vent %s is not of its full size %s", c.Vent.Run.Subject(), quantity.FormatSize(size)))
		return
	}
	whole := t.BySize(size, "stack")
	if !whole.OK || load.Units > whole.Value+eps {
		refuse(fmt.Sprintf("the stack carries %s units, more than a waste stack vent of %s may", trim(load.Units), quantity.FormatSize(size)))
		return
	}
	interval := t.BySize(size, "branch-interval")
	own := a.Ledger.At(c.Node).Units - a.Ledger.Of(in).Units
	if interval.OK && !interval.Unlimited && own > interval.Value+eps {
		refuse(fmt.Sprintf("%s units enter the waste stack in one interval; %s may take %s", trim(own), quantity.FormatSize(size), trim(interval.Value)))
	}
}

// stackBase follows a stack from a node down to its lowest upright pipe, nil
// where none leaves the node, and tells what the stack carries there.
func (a *Analysis) stackBase(n *system.Node) (*system.Pipe, sizing.Load) {
	var base *system.Pipe
	load := a.Ledger.At(n)
	for i := 0; i < 300 && len(n.DrainOut) > 0; i++ {
		p := n.DrainOut[0]
		if first := p.FirstLeg(); first == nil || first.Posture != system.Upright {
			break
		}
		base, load, n = p, a.Ledger.Of(p), p.To
	}
	return base, load
}

// singleStack judges a declared single stack: its load by height, the arms.
func (a *Analysis) singleStack(arm *Arm, c *Candidate) {
	if c.Never != "" {
		return
	}
	limit := a.Book.Number("single-stack-arm")
	if arm.Closet {
		limit = a.Book.Number("single-stack-closet-arm")
		if f := c.Node.Find(system.Fitting); f != nil && f.Word == "sanitary-tee" {
			limit = a.Book.Number("single-stack-closet-arm-tee")
		}
	}
	dist := system.Num{Origin: system.Written}
	for _, s := range c.Arm {
		for i := s.From; i < s.To; i++ {
			if s.Pipe.Parts[i].IsLeg() {
				add(&dist, s.Pipe.Parts[i].Length)
			}
		}
	}
	c.Dist = dist
	if limit.OK && dist.Known() && dist.V > limit.Metres()+eps {
		c.Never = fmt.Sprintf("%s is %s from the single stack at %s; it may be %s", arm.Fixture.Name, quantity.FormatLength(dist.V), c.Node.Name(), quantity.FormatLength(limit.Metres()))
		return
	}
	below, height := c.Node, 0.0
	load := a.Ledger.At(below)
	size := quantity.Size(0)
	for i := 0; i < 300 && len(below.DrainOut) > 0; i++ {
		p := below.DrainOut[0]
		first := p.FirstLeg()
		if first == nil || first.Posture != system.Upright {
			break
		}
		if l, ok := p.Length(); ok {
			height += l
		}
		load, size, below = a.Ledger.Of(p), p.Size(), p.To
	}
	if size == 0 {
		c.Missing = &Missing{What: "legs of " + arm.Trap.Pipe.Run.Name(), Pipe: arm.Trap.Pipe, Attr: "legs"}
		return
	}
	col := "low"
	switch {
	case height > a.Book.Number("single-stack-middle").Metres()+eps:
		col = "high"
	case height >= a.Book.Number("single-stack-low").Metres()-eps:
		col = "middle"
	}
	cell := a.Book.Table("single-stack").BySize(size, col)
	if !cell.OK || load.Units > cell.Value+eps {
		c.Never = fmt.Sprintf("the single stack carries %s units, more than %s of its height may", trim(load.Units), quantity.FormatSize(size))
	}
	c.Vent, c.At = nil, below
}
