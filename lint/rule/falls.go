package rule

import (
	"fmt"
	"math"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
)

func flatDrain(c *Case) {
	for _, l := range c.Sys.Lines {
		if len(l.Pipes) == 0 || !l.Runs[0].Kind.Sanitary() || l.Runs[0].Existing {
			continue
		}
		looked := false
		var first *Judgement
		var flat []graded
		worst := 0.0
		for _, p := range l.Pipes {
			table := c.fallTable(p)
			cell := table.BySize(p.Size(), "fall")
			if !cell.OK {
				continue
			}
			for i := range p.Parts {
				pt := &p.Parts[i]
				if !pt.IsLeg() || pt.Posture != system.LevelLeg || !pt.Fall.Known() || pt.Fall.V < 0 {
					continue
				}
				looked = true
				c.use(cell)
				fall := sizing.InchesPerFoot(pt.Fall.V)
				if fall >= cell.Value-5e-4 {
					continue
				}
				flat = append(flat, graded{p.Run, pt, cell.Value})
				if first != nil {
					if cell.Value-fall > worst+eps {
						worst = cell.Value - fall
						first.Measured.Value = round(fall, 4)
						first.Limit.Value = cell.Value
						first.Message = flatMessage(l.Runs[0].Subject(), p, pt, cell)
					}
					continue
				}
				worst = cell.Value - fall
				r := p.Run
				j := &Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: itemSpan(r, pt.Index, pt.Index),
					Message: flatMessage(r.Subject(), p, pt, cell), Measured: &Measure{round(fall, 4), "in/ft", ""}, Limit: &Measure{cell.Value, "in/ft", "min"},
					Section: c.use(cell), Basis: "plan"}
				if pt.Fall.Origin == system.Found {
					j.Basis, j.Loc = "found", r.FoundAt["fall"]
				}
				drop := quantity.FormatLength(cell.Value / 12 * pt.Length.V)
				j.Remedy = fmt.Sprintf("lay it at %s in/ft", fraction(cell.Value))
				if pt.Length.Known() && pt.Length.V > 0 {
					j.Remedy += fmt.Sprintf(", a drop of %s over this leg", drop)
				}
				if ap := table.BySize(p.Size(), "fall-approved"); ap.OK && fall >= ap.Value-5e-4 {
					j.Note = fmt.Sprintf("%s in/ft is allowed with the authority's approval: record it with a waiver", fraction(ap.Value))
					c.use(ap)
				}
				first = j
			}
		}
		switch {
		case first != nil:
			first.Fixes = c.relay("lay it at "+fraction(flat[0].fall), flat)
			c.say(*first)
		case looked:
			c.complies(l.Subject())
		}
	}
}

func flatMessage(subject string, p *system.Pipe, pt *system.Part, cell codebook.Cell) string {
	return fmt.Sprintf("%s falls %s in/ft%s; %s asks %s", subject, fraction(sizing.InchesPerFoot(pt.Fall.V)), fallFrom(pt.Fall), quantity.FormatSize(p.Size()), fraction(cell.Value))
}

// fallFrom says where a fall comes from that is not simply written.
func fallFrom(fall system.Num) string {
	switch fall.Origin {
	case system.Worked:
		return ", worked out from its two ends,"
	case system.Suit:
		return ", from what closes,"
	case system.Found:
		return " as found"
	case system.Default:
		return " by the plan's default"
	}
	return ""
}

// fraction prints inches a foot as the trade does, where it is a plain one.
func fraction(v float64) string {
	for _, d := range []float64{1, 2, 4, 8, 16} {
		n := math.Round(v * d)
		if n > 0 && math.Abs(v*d-n) < 1e-3 {
			if d == 1 {
				return fmt.Sprintf("%.0f", n)
			}
			return fmt.Sprintf("%.0f/%.0f", n, d)
		}
	}
	return fmt.Sprintf("%.3f", v)
}

func round(v float64, places int) float64 {
	m := math.Pow(10, float64(places))
	return math.Round(v*m) / m
}
