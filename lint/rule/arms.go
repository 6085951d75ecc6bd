package rule

import (
	"cmp"
	"fmt"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/venting"
)

// findArms notes which parts of which pipes are trap arms: from the weir to
// the vent, or as far as the waste runs alone where there is none.
func (c *Case) findArms() {
	c.arms = make([][]venting.Stretch, len(c.Sys.Pipes))
	for _, arm := range c.Vents.Arms {
		for _, s := range c.ArmStretches(arm) {
			c.arms[s.Pipe.ID] = append(c.arms[s.Pipe.ID], s)
		}
	}
	for _, f := range c.Sys.Points {
		if f.Kind == system.Fixture && c.Sys.TrapOf(f) == nil && !f.Fixture.OwnTrap {
			c.bareArm(f)
		}
	}
}

// bareArm takes the drain of a fixture without a trap for its arm, as far as
// its waste runs alone and level: the missing trap is the fault to tell.
func (c *Case) bareArm(f *system.Point) {
	n := f.Node
	for i := 0; i < 20 && len(n.DrainOut) > 0; i++ {
		p := n.DrainOut[0]
		if p.Kind() == system.Indirect {
			return
		}
		end := len(p.Parts)
		for j := range p.Parts {
			if pt := &p.Parts[j]; pt.IsLeg() && pt.Posture == system.Upright && pt.Down {
				end = j
				break
			}
		}
		c.arms[p.ID] = append(c.arms[p.ID], venting.Stretch{Pipe: p, From: 0, To: end})
		if end < len(p.Parts) || c.Vents.Joins(p) || len(p.To.VentOut) > 0 {
			return
		}
		n = p.To
	}
}

// ArmStretches lists the stretches of a trap arm: as far as its vent, and no
// further than where other waste joins it.
func (c *Case) ArmStretches(arm *venting.Arm) []venting.Stretch {
	way := arm.Walk
	if ch := arm.Chosen; ch != nil {
		if ch.Method == venting.Combination {
			return nil // waste and vent from the trap on: all of it is drain
		}
		if len(ch.Arm) > 0 && !ch.Claimed {
			way = ch.Arm
		}
	}
	for i, s := range way {
		if c.Vents.Joins(s.Pipe) || arm.EndPipe == s.Pipe {
			return way[:i+1]
		}
	}
	return way
}

// inArm tells whether a part of a pipe is trap arm, or stands before the weir.
func (c *Case) inArm(p *system.Pipe, part int) bool {
	for _, s := range c.arms[p.ID] {
		if part >= s.From && part < s.To {
			return true
		}
	}
	for j := part + 1; j < len(p.Parts); j++ { // tailpiece or standpipe
		if p.Parts[j].IsDevice("trap") {
			return true
		}
	}
	return p.Parts[part].IsDevice("trap")
}

// armBetween tells of an arm whose size the table leaves out, and which is longer
// than the smaller size beside it may be and not than the larger.
func (c *Case) armBetween(arm *venting.Arm, metres float64, loc system.Loc, basis string, allowed, most codebook.Cell) {
	f, less := arm.Fixture, quantity.FormatLength(allowed.Metres())
	c.say(Judgement{Answer: Undecided, Subject: f.Name, Copy: f.Copy, Loc: loc, Basis: basis, Section: c.use(allowed), Severity: Caution,
		Message: fmt.Sprintf("trap arm of %s is %s developed; the table has nothing for %s, %s for the size below it and %s for the one above",
			f.Name, quantity.FormatLength(metres), quantity.FormatSize(cmp.Or(arm.Trap.Size, arm.Size)), less, quantity.FormatLength(most.Metres())),
		Remedy: fmt.Sprintf("take a vent off within %s of the weir", less)})
}
