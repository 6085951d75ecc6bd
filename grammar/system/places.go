package system

import (
	"fmt"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
)

// places reads buildings, levels, roofs and dwellings of the plan itself.
func (b *builder) places() {
	buildings, roofs := map[string]Loc{}, map[string]Loc{}
	for _, in := range b.top {
		if st, ok := in.stmt.(*grammar.Building); ok {
			if old, dup := buildings[st.Name.Text]; dup {
				b.duplicate(st.Name, in.file.Path, st.Name.Text, old, nil)
				continue
			}
			buildings[st.Name.Text] = Loc{in.file.Path, st.Name.Span}
			b.Buildings = append(b.Buildings, st.Name.Text)
		}
	}
	of := func(w grammar.Word, file string) {
		if _, ok := buildings[w.Text]; !ok && w.Text != "" {
			b.unknownName("building", w, file, nil, namesOf(buildings))
		}
	}
	for _, in := range b.top {
		switch st := in.stmt.(type) {
		case *grammar.Level:
			names, ok := st.Name.Names()
			if !ok {
				b.problem(Problem{Rule: "unreadable-line", Loc: Loc{in.file.Path, st.Name.Span}, Subject: st.Name.String(),
					Message: fmt.Sprintf("%s is no range of levels", st.Name.String()), Remedy: "write a range such as l3..l12"})
				continue
			}
			of(st.Building, in.file.Path)
			for i, n := range names {
				if old, dup := b.levelOf[n]; dup {
					b.duplicate(st.Name.First, in.file.Path, n, old.Loc, nil)
					continue
				}
				l := &Level{Name: n, Building: st.Building.Text, Loc: Loc{in.file.Path, st.Name.Span},
					Elevation: st.At.Value.SI + float64(i)*st.Every.SI}
				b.levelOf[n] = l
				b.Levels = append(b.Levels, l)
			}
			if len(names) > 1 && st.Every.SI == 0 && st.Every.Kind != quantity.None {
				b.problem(Problem{Rule: "unreadable-line", Loc: Loc{in.file.Path, st.Pos()}, Subject: st.Name.String(),
					Message: fmt.Sprintf("levels %s all stand at one height", st.Name.String()), Remedy: "add `every 10'` after the height"})
			}
		case *grammar.Roof:
			of(st.Building, in.file.Path)
			key, w := st.Name.Text, st.Name
			if key == "" { // one without a name for each building
				key, w = "roof\x00"+st.Building.Text, grammar.Word{Text: "roof", Span: st.Pos()}
			}
			if old, dup := roofs[key]; dup {
				b.duplicate(w, in.file.Path, w.Text, old, nil)
				continue
			}
			roofs[key] = Loc{in.file.Path, w.Span}
			b.Roofs = append(b.Roofs, &Roof{Name: st.Name.Text, Elevation: st.At.Value.SI, Building: st.Building.Text, Loc: Loc{in.file.Path, st.Pos()}})
		}
	}
}
