package answer

import (
	"fmt"
	"math"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
)

// material writes out the material that the plan's default gives a run.
func (a *actor) material(s placed, r *grammar.Run) {
	runs := a.facts.runsOf(s)
	if len(runs) == 0 || r.Material.Text != "" || runs[0].MatOf != system.Default {
		return
	}
	end := max(r.Ends().End, r.Size.Span.End, r.Solve.Span.End)
	a.offer(Action{Title: "write the material out: " + runs[0].Material, Kind: "refactor.rewrite",
		Edits: []Edit{{s.file.loc(grammar.Span{Start: end, End: end}), " " + runs[0].Material}}})
}

// fall writes out the fall of the level leg at the place, which nobody wrote.
func (a *actor) fall(s placed, r *grammar.Run) {
	runs := a.facts.runsOf(s)
	if len(runs) == 0 || !runs[0].Kind.Sanitary() {
		return
	}
	for i := range r.Items {
		it := &r.Items[i]
		if it.Kind != grammar.Leg || !within(it.Span, a.span.Start) || it.Fall.Kind != quantity.None || it.Drop.Kind != quantity.None || it.FallToSuit {
			continue
		}
		fall, ok := sameFall(runs, it)
		if !ok || a.Recheck == nil {
			return
		}
		// a written fall no longer yields to other legs, so the plan may change
		edits := []Edit{{s.file.loc(grammar.Span{Start: legEnd(it), End: legEnd(it)}), " fall " + writtenGrade(fall.V)}}
		if sameVerdicts(a.Report, a.Recheck(a.apply(edits))) {
			a.offer(Action{Title: fmt.Sprintf("write the fall out: %s, %s", quantity.FormatGrade(fall.V), from(fall)), Kind: "refactor.rewrite", Edits: edits})
		}
		return
	}
}

// sameFall is the assumed fall of a leg in all its copies.
func sameFall(runs []*system.Run, it *grammar.Item) (fall system.Num, ok bool) {
	for _, r := range runs {
		for _, p := range r.Pipes {
			for i := range p.Parts {
				pt := &p.Parts[i]
				if pt.Item.Span != it.Span {
					continue
				}
				switch {
				case pt.Posture != system.LevelLeg, !pt.Fall.Known(), pt.Fall.Origin == system.Written, pt.Fall.Origin == system.Found,
					pt.Fall.V < 0, ok && math.Abs(pt.Fall.V-fall.V) > 1e-9:
					return fall, false
				}
				fall, ok = pt.Fall, true
			}
		}
	}
	return fall, ok
}

// legEnd is where a leg's length ends, before its marks.
func legEnd(it *grammar.Item) int {
	end := it.Word.Span.End
	for _, s := range []grammar.Span{it.Length.Span, it.Point.Span, it.Height.Span} {
		end = max(end, s.End)
	}
	if it.By == grammar.ToSuit { // `to suit` keeps no span of its own
		end = it.Span.End
		for i := range it.Attrs {
			end = min(end, it.Attrs[i].Span.Start)
		}
	}
	return end
}

// writtenGrade is a fall as the notation reads it: inches a foot where it is
// so many sixteenths, else percent.
func writtenGrade(ratio float64) string {
	s := gradeText(ratio)
	if v, ok := quantity.Parse(s); ok && v.Kind == quantity.Grade && math.Abs(v.SI-ratio) < 1e-9 {
		return s
	}
	return number(ratio*100, 4) + "%"
}

// heights writes out the heights of a fixture that nobody wrote, as they were
// taken.
func (a *actor) heights(s placed, st *grammar.Point) {
	list := a.facts.pointsOf(s)
	if s.Keyword() != "fixture" || len(list) == 0 || list[0].Kind != system.Fixture {
		return
	}
	q := list[0]
	var text []string
	for _, key := range []string{"rim", "outlet", "supply", "head"} {
		if _, have := grammar.FindAttr(st.Attrs, key); have || !sensible(key, q.Fixture) {
			continue
		}
		if v, ok := heightOf(key, list); ok {
			text = append(text, key+" "+length(v))
		}
	}
	if len(text) == 0 {
		return
	}
	end := st.Pos().End
	a.offer(Action{Title: "write its heights out: " + strings.Join(text, ", "), Kind: "refactor.rewrite",
		Edits: []Edit{{s.file.loc(grammar.Span{Start: end, End: end}), " " + strings.Join(text, " ")}}})
}

// heightOf is a height over the floor, the same in every copy. ok is false
// where it is not known, or written or found after all.
func heightOf(key string, list []*system.Point) (metres float64, ok bool) {
	for i, q := range list {
		v, known := takenHeight(key, q)
		if !known || i > 0 && math.Abs(v-metres) > 1e-6 {
			return 0, false
		}
		metres, ok = v, true
	}
	return metres, ok
}

func takenHeight(key string, q *system.Point) (float64, bool) {
	if _, found := q.FoundAt[key]; found {
		return 0, false
	}
	at := func(net system.Net, in bool) (float64, bool) {
		z := q.Node.Pos[net][2]
		return z.V - q.Floor(), in && z.Known() && q.Level != nil
	}
	switch key {
	case "rim":
		z := q.Rim()
		return z.V - q.Floor(), z.Known()
	case "outlet":
		return at(system.DWV, len(q.Node.DrainOut) > 0)
	case "supply":
		if onWater(q, system.Cold) {
			return at(system.ColdNet, true)
		}
		return at(system.HotNet, onWater(q, system.Hot))
	case "head":
		return q.Fixture.Head.Metres, q.Fixture.Head.OK
	}
	return 0, false
}
