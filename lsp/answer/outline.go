package answer

import (
	"fmt"
	"sort"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/catalog"
	"crownweir/grammar/system"
	"crownweir/lint/rule"
)

// A Symbol is an entry of an outline.
type Symbol struct {
	Name   string
	Detail string
	// Kind is building, level, room, fixture, terminal, source, outfall,
	// equipment, fitting, existing, run, stack, typical, copy or record.
	Kind     string
	At       system.Loc // the whole of it
	Select   system.Loc // its name
	Children []Symbol
}

// Symbols is the outline of a file: levels with their rooms and the fixtures
// in them, then what stands in no room, runs by system, typicals with what they
// hold, and records.
func Symbols(p *Plan, path string) []Symbol {
	f := p.file(path)
	if f == nil {
		return nil
	}
	known, c, unlock := p.lock()
	defer unlock()
	o := outline{plan: p, file: f, facts: known, c: c}
	top := make([]placed, 0, len(f.stmts))
	for _, s := range f.stmts {
		if s.typical == nil {
			top = append(top, s)
		}
	}
	return o.list("", top)
}

type outline struct {
	plan  *Plan
	file  *file
	facts *facts
	c     *rule.Case // nil where nothing was judged
}

// list is the outline of what stands in a typical, or in none.
func (o *outline) list(scope string, stmts []placed) []Symbol {
	var out []Symbol
	level := map[string]int{}       // places in out of levels, by name
	room := map[string][2]int{}     // of rooms: in out, and there among the children
	group := map[string]int{}       // of runs by system
	inside := map[string][]Symbol{} // fixtures of rooms not met yet
	add := func(s Symbol) { out = append(out, s) }
	for _, s := range stmts {
		switch st := s.Statement.(type) {
		case *grammar.Level:
			add(o.symbol(s, st.Name.String(), "level", o.file.text(st.At.Span), st.Name.Span))
			level[st.Name.First.Text] = len(out) - 1
		case *grammar.Room:
			sym := o.symbol(s, st.Name.Text, "room", st.Use.Text, st.Name.Span)
			sym.Children = inside[st.Name.Text]
			if i, ok := level[st.On.Text]; ok {
				out[i].Children = append(out[i].Children, sym)
				room[st.Name.Text] = [2]int{i, len(out[i].Children) - 1}
				continue
			}
			add(sym)
			room[st.Name.Text] = [2]int{len(out) - 1, -1}
		case *grammar.Point:
			sym := o.point(s, st)
			in, ok := grammar.FindAttr(st.Attrs, "in")
			at, met := room[in.Text()]
			switch {
			case !ok:
				add(sym)
			case !met:
				inside[in.Text()] = append(inside[in.Text()], sym)
				if !o.hasRoom(scope, in.Text()) {
					add(sym)
				}
			case at[1] < 0:
				out[at[0]].Children = append(out[at[0]].Children, sym)
			default:
				r := &out[at[0]].Children[at[1]]
				r.Children = append(r.Children, sym)
			}
		case *grammar.Run:
			i, ok := group[s.Keyword()]
			if !ok {
				i = len(out)
				group[s.Keyword()] = i
				add(Symbol{Name: groupName(s.Keyword()), Kind: "run", At: o.file.loc(s.Pos()), Select: o.file.loc(s.Pos())})
			}
			out[i].Children = append(out[i].Children, o.run(s, st))
		default:
			if sym, ok := o.other(s); ok {
				add(sym)
			}
		}
	}
	for i := range out {
		o.cover(&out[i])
	}
	return out
}

// hasRoom tells whether a room is declared in this file, further down.
func (o *outline) hasRoom(scope, name string) bool {
	m, ok := o.plan.look().line(symbol{rooms, scope, name})
	return ok && m.loc.File == o.file.path
}

// cover widens a symbol over its children, as outlines nest.
func (o *outline) cover(s *Symbol) {
	for i := range s.Children {
		o.cover(&s.Children[i])
		s.At.Span.Start = min(s.At.Span.Start, s.Children[i].At.Span.Start)
		s.At.Span.End = max(s.At.Span.End, s.Children[i].At.Span.End)
	}
}

func groupName(system string) string {
	switch system {
	case "service", "cold", "hot", "return":
		return system + " water"
	case "indirect":
		return "indirect wastes"
	case "discharge":
		return "pump discharges"
	}
	return system + "s"
}

func (o *outline) symbol(s placed, name, kind, detail string, sel grammar.Span) Symbol {
	if sel.End <= sel.Start {
		sel = s.Pos()
	}
	return Symbol{Name: name, Kind: kind, Detail: detail, At: o.file.loc(s.Pos()), Select: o.file.loc(sel)}
}

func (o *outline) point(s placed, st *grammar.Point) Symbol {
	kind := pointWord(s.Keyword())
	name := st.Name.Text
	if name == "" {
		name = s.Keyword() + " " + st.Kind.Text
	}
	detail := st.Kind.Text
	if fx, ok := catalog.FixtureKind(st.Kind.Text); ok {
		detail = fx.Title
	}
	if detail == "" {
		detail = s.Keyword()
	}
	return o.symbol(s, name, kind, detail, st.Name.Span)
}

func pointWord(keyword string) string {
	switch keyword {
	case "main":
		return "source"
	case "heater", "manifold", "ejector", "interceptor":
		return "equipment"
	case "object":
		return "record"
	}
	return keyword
}

func (o *outline) run(s placed, st *grammar.Run) Symbol {
	name := st.From.String()
	if st.To.First.Text != "" {
		name += " to " + st.To.String()
	}
	detail := o.file.text(st.Size.Span)
	if st.Solve.Text != "" {
		detail = "?"
	}
	if st.Material.Text != "" {
		detail = strings.TrimSpace(detail + " " + st.Material.Text)
	}
	if st.Tag.Text != "" {
		detail = strings.TrimSpace(detail + " as " + st.Tag.Text)
	}
	kind := "run"
	if o.c != nil && st.Key.Text == "drain" {
		for _, r := range o.facts.runsOf(s) {
			for _, p := range r.Pipes {
				if o.c.Ledger.InStack(p) && o.upright(p) {
					kind = "stack"
				}
			}
		}
	}
	return o.symbol(s, name, kind, detail, st.Ends())
}

// upright: a leg of the pipe stands upright.
func (o *outline) upright(p *system.Pipe) bool {
	for i := range p.Parts {
		if p.Parts[i].IsLeg() && p.Parts[i].Posture == system.Upright {
			return true
		}
	}
	return false
}

func (o *outline) other(s placed) (Symbol, bool) {
	switch st := s.Statement.(type) {
	case *grammar.Plan:
		return o.symbol(s, st.Title.Text, "record", "plan", st.Title.Span), true
	case *grammar.Building:
		return o.symbol(s, st.Name.Text, "building", "", st.Name.Span), true
	case *grammar.Roof:
		return o.symbol(s, strings.TrimSpace("roof "+st.Name.Text), "level", o.file.text(st.At.Span), st.Name.Span), true
	case *grammar.Dwelling:
		return o.symbol(s, strings.TrimSpace("dwelling "+st.Name.Text), "record", "", st.Name.Span), true
	case *grammar.Typical:
		sym := o.symbol(s, st.Name.Text, "typical", "", st.Name.Span)
		if n := len(o.facts.copies[st.Name.Text]); n > 0 {
			sym.Detail = plural(n, "copy", "copies")
		}
		var body []placed
		for _, inner := range st.Body {
			body = append(body, placed{inner, o.file, st})
		}
		sym.Children = o.list(st.Name.Text, body)
		return sym, true
	case *grammar.Place:
		return o.symbol(s, st.As.String(), "copy", "of "+st.Typical.Text, st.As.Span), true
	case *grammar.Inspection:
		return o.symbol(s, "inspection "+st.Stage.Text, "record", st.On.Text, st.Stage.Span), true
	case *grammar.Waive:
		return o.symbol(s, "waive "+st.Rule.Text, "record", system.SubjectText(st.Subject), st.Rule.Span), true
	}
	return Symbol{}, false
}

// WorkspaceSymbols lists the named things of all files whose name holds the
// letters of a query in their order, the best fit first; all where it is "".
func WorkspaceSymbols(p *Plan, query string) []Symbol {
	type scored struct {
		Symbol
		score int
	}
	var list []scored
	n := p.look()
	for _, path := range p.paths() {
		f := p.files[path]
		for _, s := range f.stmts {
			n.parts(s, func(pt part) {
				if !pt.decl || pt.role != roleName {
					return
				}
				if m, ok := n.declaration(pt.sym); ok && pt.sym.space == tags && m.loc != f.loc(pt.span) {
					return // a tag is one, however many runs carry it
				}
				if score, ok := fits(pt.text, query); ok {
					detail := pt.sym.space.String()
					if pt.sym.space == points {
						detail = pointDetail(s)
					}
					if pt.sym.scope != "" {
						detail += " in typical " + pt.sym.scope
					}
					list = append(list, scored{Symbol{Name: pt.text, Detail: detail, Kind: symbolKind(s, pt), At: f.loc(s.Pos()), Select: f.loc(pt.span)}, score})
				}
			})
		}
	}
	sort.SliceStable(list, func(i, j int) bool {
		if list[i].score != list[j].score {
			return list[i].score < list[j].score
		}
		return list[i].Name < list[j].Name
	})
	out := make([]Symbol, 0, len(list))
	for _, s := range list {
		out = append(out, s.Symbol)
	}
	return out
}

func pointDetail(s placed) string {
	switch st := s.Statement.(type) {
	case *grammar.Point:
		if st.Kind.Text != "" {
			return fmt.Sprintf("%s %s", s.Keyword(), st.Kind.Text)
		}
	case *grammar.Place:
		return "copy of " + st.Typical.Text
	}
	return s.Keyword()
}

func symbolKind(s placed, pt part) string {
	switch pt.sym.space {
	case points:
		if _, copy := s.Statement.(*grammar.Place); copy {
			return "copy"
		}
		return pointWord(s.Keyword())
	case tags:
		return "run"
	case roofs:
		return "level"
	case dwellings, trenches:
		return "record"
	}
	return pt.sym.space.String()
}

// fits tells whether the letters of a query stand in a name in their order,
// whatever their case, and how well: a lower score is better.
func fits(name, query string) (score int, ok bool) {
	name, query = strings.ToLower(name), strings.ToLower(query)
	switch i := strings.Index(name, query); {
	case name == query:
		return 0, true
	case i == 0:
		return 1, true
	case i > 0:
		return 2, true
	}
	rest := name
	for _, r := range query {
		i := strings.IndexRune(rest, r)
		if i < 0 {
			return 0, false
		}
		rest = rest[i+1:]
		if i > 0 {
			score++
		}
	}
	return 3 + score, true
}
