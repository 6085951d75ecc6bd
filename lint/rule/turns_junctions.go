package rule

import (
	"fmt"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

// junctions judges the fittings written at points, for every drain that
// enters one and does not go straight through.
func (c *Case) junctions() {
	for _, pt := range c.Sys.Points {
		if f, ok := c.junctionAt(pt); ok {
			c.judgeJunction(f)
		}
	}
}

// junction is a written fitting in which drains meet or turn.
type junction struct {
	point *system.Point
	in    []*system.Pipe
	out   *system.Pipe
}

// junctionAt is the fitting a point writes, where it is the only one in its
// place, new work, and a drain passes it.
func (c *Case) junctionAt(pt *system.Point) (junction, bool) {
	j := junction{point: pt}
	if pt.Kind != system.Fitting || !c.Book.Table("turns").Has(pt.Word) || pt.Existing || pt.Node == nil {
		return j, false
	}
	for _, q := range pt.Node.Points {
		if q != pt && q.Kind == system.Fitting && c.Book.Table("turns").Has(q.Word) {
			return j, false // two fittings in one place: which drain enters which is not told
		}
	}
	for _, p := range pt.Node.DrainOut {
		if p.Kind().Sanitary() && j.out == nil {
			j.out = p
		}
	}
	fresh := false
	for _, p := range pt.Node.DrainIn {
		if p.Kind().Sanitary() {
			j.in = append(j.in, p)
			fresh = fresh || !p.Run.Existing
		}
	}
	return j, j.out != nil && len(j.in) > 0 && (fresh || !j.out.Run.Existing)
}

// loc is where the fitting is written, or found.
func (j junction) loc() (system.Loc, string) {
	if loc, ok := j.point.FoundAt["fitting"]; ok {
		return loc, "found"
	}
	if d := j.point.Decl; d != nil && d.Kind.Span.End > d.Kind.Span.Start {
		return system.Loc{File: j.point.File, Span: d.Kind.Span}, "plan"
	}
	return j.point.Loc, "plan"
}

// rewrite is the fix that writes another fitting at the point.
func (j junction) rewrite(word string) []Fix {
	d := j.point.Decl
	if _, found := j.point.FoundAt["fitting"]; found || d == nil || d.Kind.Span.End <= d.Kind.Span.Start {
		return nil
	}
	return []Fix{{Title: "make it a " + word, Edits: []Edit{{system.Loc{File: j.point.File, Span: d.Kind.Span}, word}}}}
}

// entersBy is the side that a run writes for its entry: top, side, heel or "".
func entersBy(p *system.Pipe) string {
	for i := len(p.Parts) - 1; i >= 0; i-- {
		switch it := p.Parts[i].Item; {
		case it.Kind == grammar.Enters:
			return it.Side.Text
		case p.Parts[i].IsLeg():
			return ""
		}
	}
	return ""
}

// turning tells how a drain changes direction in the fitting. known is false
// where the plan does not tell; change is "" where it goes straight through.
func (j junction) turning(p *system.Pipe) (change string, known bool) {
	out, in, side := departs(j.out), arrives(p), entersBy(p)
	if out == nil || in == nil && side == "" {
		return "", false
	}
	posture := system.LevelLeg
	switch side {
	case "top":
		posture = system.Upright
	case "side":
	case "heel":
		return "", true // an inlet behind the turn: none of these fittings has one
	default:
		if in.straight(out) {
			return "", true
		}
		if posture = in.posture; posture == system.LevelLeg && out.posture == system.LevelLeg && !(in.told() && out.told()) {
			return "", true // a level way that is not told may go straight through
		}
	}
	change = changeOf(posture, out.posture)
	if _, back := j.point.Attr("on-back"); back && change == levelToUpright {
		change = levelToLevel // its barrel lies level
	}
	return change, true
}

func (c *Case) judgeJunction(f junction) {
	word, name := f.point.Word, f.point.Name
	if word == "double-sanitary-tee" && c.doubleFault(f) != nil {
		return // wrong-double-fitting speaks of it
	}
	var j *Judgement
	var bad []string // changes that must be possible
	looked := false
	for _, p := range f.in {
		change, known := f.turning(p)
		if !known {
			if c.anyTurn(word) {
				looked = true
				continue
			}
			r := p.Run
			if departs(f.out) == nil {
				r = f.out.Run
			}
			c.undecided(name, f.point.Copy, endsLoc(r), "legs of "+r.Name(), "write its legs, as `east 6'`")
			return
		}
		looked = true
		if change == "" {
			continue
		}
		v := c.turnAllowed(word, change, p)
		if v.noRow || v.unsized {
			continue
		}
		section := c.use(append([]codebook.Cell{v.cell}, v.cells...)...)
		bad = append(bad, change)
		if v.ok {
			continue
		}
		msg := fmt.Sprintf("%s %s takes %s %s; %s", word, name, p.Run.Subject(), changeWords(change), v.why)
		if j != nil {
			j.Related = append(j.Related, Related{endsLoc(p.Run), p.Run.Subject() + " turns there too"})
			continue
		}
		loc, basis := f.loc()
		j = &Judgement{Answer: Breaks, Subject: name, Copy: f.point.Copy, Loc: loc, Basis: basis, Section: section, Message: msg,
			Related: []Related{{endsLoc(p.Run), p.Run.Subject() + " enters here"}}, Measured: v.measured, Limit: v.limit}
	}
	if j == nil {
		if looked {
			c.complies(name)
		}
		return
	}
	j.Remedy = "use a fitting that leads the flow round the turn"
	if better := c.betterJunction(word, bad, f.out); better != "" {
		j.Remedy = "use a " + better
		j.Fixes = f.rewrite(better)
	}
	c.say(*j)
}

// anyTurn: the book accepts the fitting for every change of direction.
func (c *Case) anyTurn(word string) bool {
	for _, change := range []string{levelToUpright, uprightToLevel, levelToLevel} {
		if say, _ := c.Book.Table("turns").Word(word, change); say != "yes" {
			return false
		}
	}
	return true
}

// betterJunction is the first junction that the book accepts for all changes.
func (c *Case) betterJunction(word string, changes []string, out *system.Pipe) string {
	words := []string{"sanitary-tee", "combination", "wye"}
	if strings.HasPrefix(word, "double") {
		words = []string{"double-fixture-fitting", "double-wye"}
	}
next:
	for _, w := range words {
		for _, change := range changes {
			if !c.turnAllowed(w, change, out).ok {
				continue next
			}
		}
		return w
	}
	return ""
}
