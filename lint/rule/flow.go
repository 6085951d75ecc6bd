package rule

import (
	"fmt"
	"math"

	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/hydraulics"
	"crownweir/lint/sizing"
)

func flowRules() []Rule {
	return []Rule{
		{Name: "sluggish-drain", Family: "Drainage", Severity: Advice, Title: "Drain that runs too slowly to clean itself",
			Why: "Water that creeps leaves behind what it carries. Grease and paper settle, layer by layer, in a drain whose fall the code may well accept.",
			Computed: "The design flow is the pipe half full at its fall: Manning's velocity there, with the real bore and the roughness of its material, is compared with the velocity at which a drain cleans itself. " +
				"Half full and wholly full run alike, and a drain that gathers less is cleaned by the surges of its fixtures. A pipe whose material is not written is taken as smooth, at its nominal size. " +
				"Trap arms are left out; a fall below the code's least is left to flat-drain.",
			Needs: []string{"size", "fall", "material"}, Judge: sluggishDrain},
	}
}

// HalfFull is how a level leg runs half full at its fall.
type HalfFull struct {
	Velocity float64 // metres a second
	Bore     float64 // metres
	Rough    hydraulics.Roughness
	Nominal  bool // the bore is the nominal size, since no other is known
}

// HalfFull is how a pipe of the drains runs half full at a fall in metres a
// metre. ok is false where its size or fall is not known.
func (c *Case) HalfFull(p *system.Pipe, fall system.Num) (h HalfFull, ok bool) {
	if p.Size() == 0 || !fall.Known() || fall.V <= 0 {
		return h, false
	}
	if h.Bore, _, ok = catalog.Bore(p.Run.Material, p.Size()); !ok {
		h.Bore, h.Nominal = float64(p.Size())*hydraulics.Inch, true
	}
	if h.Rough, ok = hydraulics.RoughnessOf(p.Run.Material); !ok {
		h.Rough = hydraulics.Smoothest()
	}
	h.Velocity = hydraulics.Manning(hydraulics.AtDepth(h.Bore, 0.5), fall.V, h.Rough.N)
	return h, true
}

// slowLeg is a leg that runs too slowly.
type slowLeg struct {
	pipe *system.Pipe
	part *system.Part
	run  HalfFull
}

func sluggishDrain(c *Case) {
	limit := c.Book.Number("scouring-velocity")
	if !limit.OK {
		return
	}
	least := limit.Value * hydraulics.Foot
	for _, l := range c.Sys.Lines {
		if len(l.Pipes) == 0 || !l.Runs[0].Kind.Sanitary() || l.Runs[0].Existing {
			continue
		}
		var slow []slowLeg
		looked := false
		for _, p := range l.Pipes {
			if load := c.Ledger.Of(p); load.Fixtures == 0 && load.Units == 0 {
				continue
			}
			code := c.fallTable(p).BySize(p.Size(), "fall")
			for i := range p.Parts {
				pt := &p.Parts[i]
				if !pt.IsLeg() || pt.Posture != system.LevelLeg || c.inArm(p, i) {
					continue
				}
				h, ok := c.HalfFull(p, pt.Fall)
				if !ok || code.OK && sizing.InchesPerFoot(pt.Fall.V) < code.Value-5e-4 {
					continue
				}
				looked = true
				c.use(limit)
				if h.Velocity < least-eps {
					slow = append(slow, slowLeg{p, pt, h})
				}
			}
		}
		switch {
		case len(slow) > 0:
			c.say(c.sluggish(slow, limit.Value))
		case looked:
			c.complies(l.Subject())
		}
	}
}

// sluggish words the finding of one line: at its first slow leg, with the
// slowest value.
func (c *Case) sluggish(slow []slowLeg, limit float64) Judgement {
	first, worst := slow[0], slow[0]
	for _, s := range slow {
		if s.run.Velocity < worst.run.Velocity-eps {
			worst = s
		}
	}
	r, material := first.pipe.Run, worst.pipe.Run.Material
	if material != "" {
		material = " " + material
	}
	fall := sizing.InchesPerFoot(worst.part.Fall.V)
	feet := worst.run.Velocity / hydraulics.Foot
	j := Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: itemSpan(r, first.part.Index, first.part.Index),
		Message: fmt.Sprintf("%s falls %s in/ft%s and runs at %.2f ft/s half full in %s%s; %.4g ft/s keeps it clean",
			r.Subject(), fraction(fall), fallFrom(worst.part.Fall), feet, quantity.FormatSize(worst.pipe.Size()), material, limit),
		Measured: &Measure{round(feet, 2), "ft/s", ""}, Limit: &Measure{limit, "ft/s", "min"},
		Note: fmt.Sprintf("by Manning, bore %.3f in, n %.3f", worst.run.Bore/hydraulics.Inch, worst.run.Rough.N)}
	if worst.run.Nominal {
		j.Note += "; no bore is known for that material and size, the nominal one stands in"
	}
	if first.part.Fall.Origin == system.Found {
		if at, ok := r.FoundAt["fall"]; ok {
			j.Basis, j.Loc = "found", at
		}
	}
	half := hydraulics.AtDepth(worst.run.Bore, 0.5)
	want := sizing.InchesPerFoot(hydraulics.ManningSlope(half, limit*hydraulics.Foot, worst.run.Rough.N))
	want = math.Ceil(want*16-1e-6) / 16
	j.Remedy = fmt.Sprintf("lay it at %s in/ft or steeper", fraction(want))
	var legs []graded
	for _, s := range slow {
		legs = append(legs, graded{s.pipe.Run, s.part, want})
	}
	j.Fixes = c.relay("lay it at "+fraction(want), legs)
	return j
}
