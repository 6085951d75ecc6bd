package rule

import (
	"fmt"
	"slices"
	"strings"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/pressure"
	"crownweir/lint/sizing"
)

func supply() []Rule {
	return []Rule{
		{Name: "small-supply", Family: "Supply", Severity: Correction, Title: "Supply pipe too small for its load",
			Why:      "A supply that is too small starves the fixtures at its end; a shower runs hot or cold when a closet fills.",
			Computed: "The supply units downstream are compared with the code's table for the pressure left after the height of the highest outlet, the developed length to the farthest, the meter and the pipe's size. What feeds one fixture alone is left to the least of its kind, and a service is compared with the least service too.",
			Needs:    []string{"static pressure", "meter", "legs", "size"}, Judge: smallSupply},
		{Name: "small-fixture-supply", Family: "Supply", Severity: Correction, Title: "Fixture's own supply too small",
			Why:      "Each kind needs its flow at the stub-out, whatever the rest of the system gives.",
			Computed: "The last pipe before each fixture is compared with the least for its kind; a short connector passes where the pipe before it does, a line from a manifold by the code's own conditions.",
			Needs:    []string{"size"}, Judge: smallFixtureSupply},
		{Name: "high-pressure", Family: "Supply", Severity: Correction, Title: "Static pressure too high",
			Why:      "High pressure bursts hoses, wears valves and hammers pipes.",
			Computed: "The static pressure at the lowest outlet behind no regulator, or at the source where no outlet is drawn, is compared with the limit; so is the setting of a regulator.",
			Needs:    []string{"static pressure"}, Judge: highPressure},
		{Name: "fast-water", Family: "Supply", Severity: Correction, Title: "Water too fast for the pipe",
			Why:      "Fast water erodes copper, hammers and is heard in every room; in hot pipes the more.",
			Computed: "The demand of the load by the adopted curve is driven through the real bore and compared with the material's limit, cold and hot; judged where `method engineered` governs, since the table stands for it otherwise.",
			Needs:    []string{"size", "material"}, Judge: fastWater},
	}
}

// Water is the supply side of the ledger, worked out when first asked for.
func (c *Case) Water() *sizing.Supply {
	return c.water()
}

// Pressure is the flow in every supply pipe and what is left at the outlets,
// worked out when first asked for.
func (c *Case) Pressure() *pressure.Analysis {
	return c.pressure()
}

// waterFault is a supply pipe that breaks a rule, and by how much.
type waterFault struct {
	over float64
	j    Judgement
	run  *system.Run
}

// supplyLines judges every line of supply pipes once: new pipes alone, the
// worst speaking for the others.
func (c *Case) supplyLines(judge func(p *system.Pipe) (over float64, j *Judgement, looked bool)) {
	for _, l := range c.Sys.Lines {
		if len(l.Pipes) == 0 || !l.Runs[0].Kind.Water() {
			continue
		}
		var faults []waterFault
		var open *Judgement
		any := false
		for _, p := range l.Pipes {
			if p.Run.Existing {
				continue
			}
			over, j, looked := judge(p)
			any = any || looked
			switch n := len(faults); {
			case j == nil:
			case j.Answer == Undecided:
				if open == nil {
					open = j
				}
			case n > 0 && faults[n-1].run == p.Run: // a run cut where it passes a point
				if over > faults[n-1].over+eps {
					faults[n-1] = waterFault{over, *j, p.Run}
				}
			default:
				faults = append(faults, waterFault{over, *j, p.Run})
			}
		}
		switch {
		case len(faults) > 0:
			c.say(worstFault(faults))
		case open != nil:
			c.say(*open)
		case any:
			c.complies(l.Subject())
		}
	}
}

// worstFault is one judgement of several runs of a line: at the first, with
// the worst value, and a fix for all.
func worstFault(faults []waterFault) Judgement {
	worst := 0
	for i := range faults {
		if faults[i].over > faults[worst].over+eps {
			worst = i
		}
	}
	first := faults[0].j
	j := faults[worst].j
	j.Subject, j.Copy, j.Loc, j.Basis = first.Subject, first.Copy, first.Loc, first.Basis
	if len(faults) == 1 {
		return j
	}
	fix := Fix{Title: "enlarge every part that is too small"}
	for _, f := range faults {
		if f.run != faults[0].run && len(j.Related) < 6 {
			j.Related = append(j.Related, Related{f.j.Loc, f.j.Message})
		}
		if len(f.j.Fixes) == 0 {
			fix.Edits = nil
			break
		}
		fix.Edits = append(fix.Edits, f.j.Fixes[0].Edits...)
	}
	j.Fixes = nil
	if len(fix.Edits) > 0 {
		j.Fixes = []Fix{fix}
	}
	return j
}

// enlarge is the fix that writes a size on a run of water.
func enlarge(r *system.Run, size quantity.Size) []Fix { return upsize(r, quantity.FormatSize(size)) }

func sizeMissing(r *system.Run) *Judgement {
	return &Judgement{Answer: Undecided, Subject: r.Subject(), Copy: r.Copy, Loc: endsLoc(r), Missing: "size of " + r.Subject(), Write: "write its nominal size"}
}

func smallSupply(c *Case) {
	if !c.Sys.Header.Water {
		return
	}
	ways := map[*system.Point]*sizing.TableWay{}
	if c.Water().TableGoverns() {
		ways = c.tableWays()
	}
	least := c.Book.Number("supply-least")
	w := c.Water()
	own := c.ownSupplies()
	circle := map[string]bool{}
	c.supplyLines(func(p *system.Pipe) (float64, *Judgement, bool) {
		r, size := p.Run, float64(p.Size())
		way := ways[w.SourceOf(p.From)]
		service := p.Kind() == system.Service && least.OK
		load := w.Of(p)
		read := way != nil && !own[p] && p.Kind() != system.Return && w.Feeds(p) && (load.Fixtures > 0 || load.Units > 0)
		if size == 0 {
			if r.Solve || !read && !service {
				return 0, nil, false
			}
			return 0, sizeMissing(r), true
		}
		if read {
			switch j, over := c.byTable(p, way, least); {
			case j == nil:
			case j.Fact == "circle" && circle[j.Subject]:
				return 0, nil, false // told once for the source
			default:
				circle[j.Subject] = circle[j.Subject] || j.Fact == "circle"
				return over, j, true
			}
		}
		if !service {
			return 0, nil, read
		}
		section := c.use(least)
		if size >= least.Value-eps {
			return 0, nil, true
		}
		need := quantity.Size(least.Value)
		return least.Value - size, &Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Basis: basisOf(r, "size"), Section: section,
			Message:  fmt.Sprintf("service %s is %s; %s is the least", r.Subject(), quantity.FormatSize(p.Size()), quantity.FormatSize(need)),
			Measured: &Measure{size, "in", ""}, Limit: &Measure{least.Value, "in", "min"},
			Remedy: "make it " + quantity.FormatSize(need), Fixes: enlarge(r, need)}, true
	})
}

// ownSupplies are the pipes that feed one fixture alone, from the last branch
// on: the least of its kind is asked of them, not the table.
func (c *Case) ownSupplies() map[*system.Pipe]bool {
	own := map[*system.Pipe]bool{}
	for _, o := range c.Water().Outlets {
		if _, _, ok := c.Water().LeastFixtureSupply(o.Point); !ok {
			continue
		}
		for _, p := range alone(o.Pipe) {
			own[p] = p.Kind() != system.Service
		}
	}
	return own
}

// tableWays reads the supply table for every source that feeds new work. One
// that cannot be read is told, once for the source.
func (c *Case) tableWays() map[*system.Point]*sizing.TableWay {
	w := c.Water()
	fresh := map[*system.Point]bool{}
	for _, o := range w.Outlets {
		for _, p := range w.Way(o.Pipe) {
			if !p.Run.Existing {
				fresh[w.SourceOf(o.Pipe.From)] = true
				break
			}
		}
	}
	ways := map[*system.Point]*sizing.TableWay{}
	for _, src := range w.Sources {
		way, ok := w.TableWay(src)
		if !ok || !fresh[src] {
			continue
		}
		j := Judgement{Answer: Undecided, Subject: src.Name, Copy: src.Copy, Loc: src.Loc, Severity: Caution, Remedy: "write `method engineered` and submit a calculation"}
		section := c.use(way.Cells...)
		switch {
		case way.Missing != "":
			c.missingWay(&way)
		case way.Low:
			j.Section, j.Measured, j.Limit = section, &Measure{round(way.Adjusted, 2), "psi", ""}, &Measure{way.Least, "psi", "min"}
			j.Message = fmt.Sprintf("%s leave %s psi; the supply table begins at %s", wayText(&way), sizing.Trim(way.Adjusted), sizing.Trim(way.Least))
			c.say(j)
		case way.Long:
			j.Measured, j.Limit = &Measure{round(way.Length, 1), "ft", ""}, &Measure{way.Most, "ft", "max"}
			j.Message = fmt.Sprintf("farthest outlet %s of %s lies %.0f ft away; the supply table ends at %.0f", way.Farthest.Point.Name, src.Name, way.Length, way.Most)
			c.say(j)
		default:
			ways[src] = &way
		}
	}
	return ways
}

// missingWay tells what is missing to read the table for a source.
func (c *Case) missingWay(w *sizing.TableWay) {
	src := w.Source
	j := Judgement{Answer: Undecided, Subject: src.Name, Copy: src.Copy, Loc: src.Loc, Missing: w.Missing}
	switch {
	case strings.HasPrefix(w.Missing, "static"):
		j.Write = "write it on the point, as `62psi`"
	case strings.HasPrefix(w.Missing, "length"):
		r := w.Gaps[0]
		j.Copy, j.Loc, j.Write = r.Copy, endsLoc(r), "write the length of each leg"
		for _, more := range w.Gaps[1:] {
			if len(j.Related) < 6 {
				j.Related = append(j.Related, Related{endsLoc(more), "length of " + more.Name() + " neither"})
			}
		}
	default:
		j.Write = "write it, as `at 20\"`"
	}
	c.say(j)
}

// byTable judges a pipe by the supply table: nil where it complies.
func (c *Case) byTable(p *system.Pipe, way *sizing.TableWay, least codebook.Cell) (*Judgement, float64) {
	w, r := c.Water(), p.Run
	load := w.Of(p)
	size := quantity.FormatSize(p.Size())
	allowed, cell, ok := w.Allowed(*way, p.Size())
	j := &Judgement{Answer: Undecided, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Severity: Caution}
	if !ok {
		if allowed, cell, ok = c.nextBelow(way, p.Size()); !ok || load.Units > allowed+eps {
			j.Message, j.Remedy = fmt.Sprintf("the supply table has no %s", size), "write `method engineered` and submit a calculation"
			if way.Meter > 0 {
				j.Message += fmt.Sprintf(" on a %s meter", quantity.FormatSize(way.Meter))
			}
			j.Message += ", the size of " + r.Subject()
			return j, 0
		}
	}
	section := c.use(cell)
	if load.Units <= allowed+eps {
		if load.Unknown > 0 {
			return c.unitsMissing(p), 0
		}
		return nil, 0
	}
	if w.Looped {
		src := way.Source
		j.Subject, j.Copy, j.Loc, j.Fact = src.Name, src.Copy, src.Loc, "circle"
		j.Message = fmt.Sprintf("supply pipes from %s close a circle, which the supply table does not size", src.Name)
		j.Remedy = "write `method engineered` and submit a calculation"
		return j, 0
	}
	j.Answer, j.Severity, j.Section, j.Basis = Breaks, "", section, basisOf(r, "size")
	j.Message = fmt.Sprintf("%s %s carries %s supply units in %s; %s psi and %.0f ft allow %s", p.Kind(), r.Subject(), sizing.Trim(load.Units), size,
		sizing.Trim(way.Adjusted), way.Length, sizing.Trim(allowed))
	j.Measured, j.Limit = &Measure{round(load.Units, 2), "units", ""}, &Measure{allowed, "units", "max"}
	j.Note = tableNote(way)
	j.Remedy = "submit a calculation with `method engineered`"
	if way.Meter > 0 {
		j.Remedy = "take a larger meter and supply; no size carries it on this one"
	}
	for _, s := range w.SupplySizes() {
		if s <= p.Size() || p.Kind() == system.Service && float64(s) < least.Value-eps {
			continue
		}
		if more, _, ok := w.Allowed(*way, s); ok && more >= load.Units-eps {
			j.Remedy = fmt.Sprintf("make it %s, which carries %s in the same column", quantity.FormatSize(s), sizing.Trim(more))
			j.Fixes = enlarge(r, s)
			break
		}
	}
	return j, load.Units - allowed
}

// unitsMissing is the judgement of a pipe that serves a fixture whose units
// nobody tells; it speaks of the fixture.
func (c *Case) unitsMissing(p *system.Pipe) *Judgement {
	r := p.Run
	for _, o := range c.Water().Outlets {
		f := o.Point
		if _, _, _, _, ok := c.Water().FixtureWater(f); ok || !slices.Contains(c.Water().Way(o.Pipe), p) {
			continue
		}
		a, _ := f.Attr("water-units")
		return &Judgement{Answer: Undecided, Subject: r.Subject(), Copy: f.Copy, Loc: f.Loc, Asked: a.Unknown(), Missing: "supply units of " + f.Name, Write: "write `water-units N` on it"}
	}
	return nil
}

// nextBelow is what the next smaller size in the table may carry: a size that
// the table does not have carries no less.
func (c *Case) nextBelow(way *sizing.TableWay, size quantity.Size) (units float64, cell codebook.Cell, ok bool) {
	for _, s := range c.Water().SupplySizes() {
		if s > size {
			break
		}
		if u, of, in := c.Water().Allowed(*way, s); in {
			units, cell, ok = u, of, true
		}
	}
	return units, cell, ok
}

// wayText is the pressure a source gives and the height it must climb.
func wayText(w *sizing.TableWay) string {
	s := sizing.Trim(w.Static) + " psi"
	if w.Regulated {
		s += " taken behind the regulator"
	} else {
		s += " at " + w.Source.Name
	}
	if w.Height < 0 {
		s += fmt.Sprintf(" and %.1f ft down to %s", -w.Height, w.Highest.Point.Name)
	} else {
		s += fmt.Sprintf(" less %.1f ft of height to %s", w.Height, w.Highest.Point.Name)
	}
	if w.Loss > 0 {
		s += fmt.Sprintf(" and %s psi of losses", sizing.Trim(w.Loss))
	}
	return s
}

func tableNote(w *sizing.TableWay) string {
	s := wayText(w)
	if w.Meter > 0 {
		s += fmt.Sprintf("; meter %s", quantity.FormatSize(w.Meter))
	}
	return s + fmt.Sprintf("; %s ft column, farthest %s", w.Column, w.Farthest.Point.Name)
}
