package system

import (
	"fmt"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/catalog"
)

// room finds a room by the name written in copy c: its own, then those around it.
func (b *builder) room(name string, c *Copy) *Room {
	for ; c != nil; c = c.Parent {
		if r, ok := b.roomOf[c.Prefix()+name]; ok {
			return r
		}
	}
	return b.roomOf[name]
}

func (b *builder) roomNames(c *Copy) func() []string {
	return func() []string {
		var out []string
		for _, k := range keys(b.roomOf) {
			if i := strings.LastIndex(k, "."); i < 0 || strings.HasPrefix(k, c.Prefix()) {
				out = append(out, strings.TrimPrefix(k, c.Prefix()))
			}
		}
		return out
	}
}

// header reads what the plan says of itself; a second line of a kind that
// stands once is reported.
func (b *builder) header() {
	h := &b.Header
	seen := map[string]Loc{}
	once := func(key string, loc Loc) bool {
		if old, ok := seen[key]; ok {
			b.problem(Problem{Rule: "duplicate-name", Loc: loc, Subject: key,
				Message: fmt.Sprintf("`%s` is written twice", key), Remedy: "keep one of the two lines",
				Related: []RelatedLoc{{old, "the other stands here"}}})
			return false
		}
		seen[key] = loc
		return true
	}
	for _, in := range b.top {
		loc := Loc{in.file.Path, in.stmt.Pos()}
		switch st := in.stmt.(type) {
		case *grammar.Plan:
			if once("plan", loc) {
				h.Title, h.PlanLoc = st.Title.Text, loc
			}
		case *grammar.Code:
			if once("code", loc) {
				h.Book, h.BookLoc = st.Book.Text, Loc{in.file.Path, st.Book.Span}
				for _, a := range st.Amended {
					h.Amended = append(h.Amended, a.Text)
					h.AmendedLoc = append(h.AmendedLoc, Loc{in.file.Path, a.Span})
				}
			}
		case *grammar.Occupancy:
			if once("occupancy", loc) {
				h.Occupancy, h.OccWritten = st.Use.Text, true
			}
		case *grammar.Scope:
			if once("scope", loc) {
				h.ScopeWritten = true
				for _, w := range st.Systems {
					switch w.Text {
					case "drainage":
						h.Drainage = true
					case "vents":
						h.Vents = true
					case "water":
						h.Water = true
					}
				}
			}
		case *grammar.Default:
			if !once("default "+st.What.Text, loc) {
				continue
			}
			switch st.What.Text {
			case "drain":
				h.DrainMaterial = st.Material.Text
			case "vent":
				h.VentMaterial = st.Material.Text
			case "water":
				h.WaterMaterial = st.Material.Text
			case "fall":
				h.Fall = Num{st.Fall.SI, Default}
			case "stop":
				h.Stop = true
			}
		case *grammar.Method:
			if once("method", loc) {
				h.Method = st.Name.Text
			}
		case *grammar.Climate:
			if once("climate", loc) {
				h.Winter = Num{st.Winter.SI, Written}
			}
		}
	}
}

// rooms makes the rooms of a plan or of a copy, before anything that may stand
// in one of them is placed.
func (b *builder) rooms(list []inst, c *Copy) {
	for _, in := range list {
		st, ok := in.stmt.(*grammar.Room)
		if !ok {
			continue
		}
		full := c.Prefix() + st.Name.Text
		if old, dup := b.roomOf[full]; dup {
			b.duplicate(st.Name, in.file.Path, full, old.Loc, c)
			continue
		}
		r := &Room{Name: full, Use: st.Use.Text, Dwelling: st.Dwelling.Text, Access: st.Access.Text, Loc: Loc{in.file.Path, st.Name.Span}}
		if st.Ceiling.Kind != 0 {
			r.Ceiling = Num{st.Ceiling.SI, Written}
		}
		if st.On.Text != "" && c == nil {
			l, ok := b.levelOf[st.On.Text]
			if !ok {
				b.unknownName("level", st.On, in.file.Path, c, namesOf(b.levelOf))
			}
			r.Level = l
		}
		if r.Level == nil {
			r.Level = b.levelAt(c)
		}
		if r.Dwelling == "" && c != nil {
			r.Dwelling = b.copyDwelling(c)
		}
		b.roomOf[full] = r
		b.Rooms = append(b.Rooms, r)
	}
}

// declare makes dwellings and every point that a line of its own makes.
func (b *builder) declare() {
	for _, in := range b.insts {
		switch st := in.stmt.(type) {
		case *grammar.Dwelling:
			d := &Dwelling{Name: st.Name.Text, Loc: Loc{in.file.Path, st.Pos()}}
			if in.copy != nil {
				d.Name = in.copy.Name
			}
			for _, a := range st.Attrs {
				if q, ok := a.Qty(); ok {
					switch a.Key {
					case "baths":
						d.Baths = Num{q.SI, Written}
					case "bedrooms":
						d.Bedrooms = Num{q.SI, Written}
					}
				}
			}
			b.Dwellings = append(b.Dwellings, d)
		}
	}
	for _, in := range b.insts {
		if st, ok := in.stmt.(*grammar.Point); ok {
			b.declarePoint(in, st)
		}
	}
}

// copyDwelling names the dwelling a copy is: the outermost copy whose typical
// writes a dwelling, else none.
func (b *builder) copyDwelling(c *Copy) string {
	for ; c != nil; c = c.Parent {
		if t, ok := b.typicals[c.Typical]; ok {
			for _, st := range t.stmt.Body {
				if _, ok := st.(*grammar.Dwelling); ok {
					return c.Name
				}
			}
		}
	}
	return ""
}

var pointKinds = map[string]PointKind{
	"fixture": Fixture, "fitting": Fitting, "main": Main, "outfall": Outfall, "terminal": Terminal, "heater": Heater,
	"manifold": Manifold, "ejector": Ejector, "interceptor": Interceptor, "object": Object,
}

var existingKinds = map[string]PointKind{
	"drain": ExistingDrain, "stack": ExistingStack, "supply": ExistingSupply, "vent": ExistingVent,
}

func (b *builder) declarePoint(in inst, st *grammar.Point) {
	kind, ok := pointKinds[st.Keyword()]
	if st.Keyword() == "existing" {
		if st.Kind.Text == "vents" {
			for _, a := range st.Attrs {
				if sz, ok := a.Size(); ok && a.Key == "size" {
					b.ExistingVents = append(b.ExistingVents, sz)
				}
			}
			return
		}
		kind, ok = existingKinds[st.Kind.Text]
	}
	if !ok {
		return
	}
	full := in.copy.Prefix() + st.Name.Text
	if old, dup := b.byName[full]; dup {
		b.duplicate(st.Name, in.file.Path, full, old.Loc, in.copy)
		return
	}
	if c, dup := b.copyOf[full]; dup {
		b.duplicate(st.Name, in.file.Path, full, c.Loc, in.copy)
		return
	}
	p := b.addPoint(full, st.Name, in, kind)
	p.Decl, p.Word, p.Attrs = st, st.Kind.Text, st.Attrs
	if kind == Fixture {
		if p.Fixture, _ = catalog.FixtureKind(st.Kind.Text); p.Fixture.Title == "" {
			p.Fixture.Title = "fixture"
		}
		_, p.Existing = p.Attr("existing")
	}
	if a, ok := p.Attr("in"); ok && a.Text() != "" {
		w := grammar.Word{Text: a.Text(), Span: a.Span}
		if len(a.Values) > 0 {
			w.Span = a.Values[0].Span
		}
		if p.Room = b.room(a.Text(), in.copy); p.Room == nil {
			b.unknownName("room", w, in.file.Path, in.copy, b.roomNames(in.copy))
		}
	} else if kind == Fixture && in.copy != nil {
		p.Room = in.copy.Room
	}
	switch {
	case p.Room != nil && p.Room.Level != nil:
		p.Level = p.Room.Level
	case kind == Fixture || in.copy != nil:
		p.Level = b.levelAt(in.copy)
	}
}

// addPoint makes a point and its node.
func (b *builder) addPoint(full string, w grammar.Word, in inst, kind PointKind) *Point {
	n := b.node()
	p := b.slab.point()
	*p = Point{ID: len(b.Points), Name: full, Local: w.Text, Kind: kind, Loc: Loc{in.file.Path, w.Span}, File: in.file.Path, Copy: in.copy, Node: n}
	b.byName[full] = p
	b.Points = append(b.Points, p)
	n.Points = b.Points[p.ID : p.ID+1 : p.ID+1]
	return p
}

// point resolves a name written in copy c; a name no line makes becomes a
// junction, but a name that reaches into a copy must exist there.
func (b *builder) point(w grammar.Word, in inst) *Point {
	full := in.copy.Prefix() + w.Text
	if p, ok := b.byName[full]; ok {
		return p
	}
	if c, ok := b.copyOf[full]; ok {
		b.problem(Problem{Rule: "unknown-name", Loc: Loc{in.file.Path, w.Span}, Subject: w.Text, Copy: in.copy,
			Message: fmt.Sprintf("%s is a placed typical, not a point", w.Text), Remedy: fmt.Sprintf("name a point in it, as %s.NAME", w.Text),
			Related: []RelatedLoc{{c.Loc, "placed here"}}})
		return nil
	}
	if i := strings.LastIndex(w.Text, "."); i >= 0 {
		if _, ok := b.copyOf[in.copy.Prefix()+w.Text[:i]]; !ok {
			cw := grammar.Word{Text: w.Text[:i], Span: grammar.Span{Start: w.Span.Start, End: w.Span.Start + i}}
			b.unknownName("placed typical", cw, in.file.Path, in.copy, namesOf(b.copyOf))
			return nil
		}
		head := w.Text[:i+1]
		inside := b.pointNames(&Copy{Name: in.copy.Prefix() + w.Text[:i]})
		b.unknownName("point", w, in.file.Path, in.copy, func() []string {
			have := inside()
			for j := range have {
				have[j] = head + have[j]
			}
			return have
		})
		return nil
	}
	return b.addPoint(full, w, in, Junction)
}
