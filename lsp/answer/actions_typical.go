package answer

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"crownweir/grammar"
	"crownweir/lint"
)

// typical turns lines that are written several times over, but for their
// names, into a typical and its copies. It is offered only where the plan that
// comes of it was judged and every verdict is the same.
func (a *actor) typical() {
	if a.Recheck == nil || a.Report == nil || a.Report.Unread != "" || a.file.path != a.Path {
		return
	}
	list := a.selected()
	for copies := len(list); copies >= 2; copies-- {
		if len(list)%copies != 0 || len(list)/copies < 2 || copies > mostCopies {
			continue
		}
		t := repeats{actor: a}
		if !t.groups(list, copies) || !t.plan() {
			continue
		}
		edits := t.edits()
		after := a.Recheck(a.apply(edits))
		if !sameVerdicts(a.Report, after) {
			continue
		}
		a.offer(Action{Title: fmt.Sprintf("make typical %s of these lines, placed %d times", t.name, copies), Kind: "refactor.extract", Edits: edits})
		return
	}
}

// mostCopies bounds what is tried for one selection.
const mostCopies = 60

// selected lists the statements that lie wholly in the span, outside typicals.
func (a *actor) selected() []placed {
	var out []placed
	for _, s := range a.file.within(a.span) {
		if s.typical == nil && a.span.Start <= s.Pos().Start && s.Pos().End <= a.span.End {
			out = append(out, s)
		}
	}
	return out
}

// repeats is a selection read as so many groups of lines that are alike.
type repeats struct {
	*actor
	list  [][]placed
	names [][]string // of each group, in the order in which the first meets them
	rooms []string   // of each group; "" where its fixtures name none
	name  string     // of the typical
	as    []string   // names of the copies
	inner []string   // names inside the typical
	meets [][]string // names that several groups share, or the plan beside them
}

// groups reads the selection as groups that differ in their names alone.
func (t *repeats) groups(list []placed, copies int) bool {
	size := len(list) / copies
	for i := range copies {
		t.list = append(t.list, list[i*size:(i+1)*size])
	}
	n := t.written()
	shapes := make([][]string, copies)
	for i, group := range t.list {
		var names []string
		room, several := "", false
		for _, s := range group {
			switch s.Keyword() {
			case "fixture", "fitting", "terminal", "drain", "vent", "cold", "hot", "indirect", "discharge":
			default:
				return false
			}
			if strings.Contains(t.file.text(s.Pos()), "#") {
				return false
			}
			barred := false
			at := map[int]string{}
			n.parts(s, func(pt part) {
				switch {
				case pt.role == roleRange:
					barred = true
				case pt.role != roleName:
				case pt.sym.space == points && pt.path == pt.text:
					k := slices.Index(names, pt.text)
					if k < 0 {
						names, k = append(names, pt.text), len(names)
					}
					at[pt.span.Start] = "\x00" + strconv.Itoa(k)
				case pt.sym.space == rooms:
					if room != "" && room != pt.text {
						several = true
					}
					room = pt.text
					at[pt.span.Start] = "\x01"
				case pt.sym.space == tags:
					barred = true // a copy's tag is its own: one pipe would be two
				default:
				}
			})
			if barred || several {
				return false
			}
			for _, tok := range lex(t.file.source, s.Pos().Start, s.Pos().End) {
				if mark, ok := at[tok.start]; ok {
					shapes[i] = append(shapes[i], mark)
				} else {
					shapes[i] = append(shapes[i], tok.text)
				}
			}
			shapes[i] = append(shapes[i], "\n")
		}
		t.names, t.rooms = append(t.names, names), append(t.rooms, room)
		if i > 0 && !slices.Equal(shapes[i], shapes[0]) {
			return false
		}
	}
	return true
}

// plan chooses the names, and finds what meets outside the copies.
func (t *repeats) plan() bool {
	n := t.written()
	free := func(stem string, sp space, taken []string) string {
		for i := 1; ; i++ {
			name := stem + strconv.Itoa(i)
			if _, used := n.first(symbol{sp, "", name}); !used && !slices.Contains(taken, name) {
				return name
			}
		}
	}
	t.name = free("unit", typicals, nil)
	for range t.list {
		t.as = append(t.as, free(strings.ToUpper(t.name[:1]), points, t.as))
	}
	t.inner = t.names[0]
	for at := range t.inner {
		outside := map[string]bool{}
		groups := map[string]int{}
		for g := range t.names {
			name := t.names[g][at]
			groups[name]++
			if t.outside(name) {
				outside[name] = true
			}
		}
		for g := range t.names {
			name := t.names[g][at]
			if groups[name] == 0 {
				continue // told already
			}
			var meet []string
			if outside[name] || t.declaredOutside(name) {
				meet = append(meet, name)
			}
			for h := range t.names {
				if t.names[h][at] == name {
					meet = append(meet, t.as[h]+"."+t.inner[at])
				}
			}
			if len(meet) > 1 {
				t.meets = append(t.meets, meet)
			}
			groups[name] = 0
		}
	}
	return t.onePlace()
}

// onePlace: a name stands at one place of the groups alone, or what it joins
// would be lost.
func (t *repeats) onePlace() bool {
	at := map[string]int{}
	for _, names := range t.names {
		for i, name := range names {
			if was, seen := at[name]; seen && was != i {
				return false
			}
			at[name] = i
		}
	}
	return true
}

// outside tells whether a name is written in lines that are not selected.
func (t *repeats) outside(name string) bool {
	for _, m := range t.written().mentions[symbol{points, "", name}] {
		if !t.holds(m) {
			return true
		}
	}
	return false
}

func (t *repeats) declaredOutside(name string) bool {
	m, ok := t.written().declaration(symbol{points, "", name})
	return ok && !t.holds(m)
}

func (t *repeats) holds(m mention) bool {
	first, last := t.list[0][0], t.list[len(t.list)-1]
	return m.loc.File == t.file.path && first.Pos().Start <= m.loc.Span.Start && m.loc.Span.End <= last[len(last)-1].Pos().End
}

// edits write the typical in place of the first group, the copies in place of
// the others.
func (t *repeats) edits() []Edit {
	f := t.file
	eol := f.eol()
	var b strings.Builder
	fmt.Fprintf(&b, "typical %s%s", t.name, eol)
	for _, s := range t.list[0] {
		b.WriteString(t.body(s) + eol)
	}
	b.WriteString("end" + eol)
	for g, as := range t.as {
		fmt.Fprintf(&b, "place %s as %s", t.name, as)
		if t.rooms[g] != "" {
			fmt.Fprintf(&b, " in %s", t.rooms[g])
		}
		b.WriteString(eol)
	}
	for _, meet := range t.meets {
		fmt.Fprintf(&b, "meet %s%s", strings.Join(meet, " "), eol)
	}
	last := t.list[len(t.list)-1]
	span := grammar.Span{Start: t.list[0][0].Pos().Start, End: last[len(last)-1].Pos().End}
	return []Edit{{f.loc(span), strings.TrimSuffix(b.String(), eol)}}
}

// body is a line of the first group as the typical has it: without the room,
// which its copies take.
func (t *repeats) body(s placed) string {
	var cuts []Edit
	t.written().parts(s, func(pt part) {
		if pt.role == roleAttr && pt.attr != nil && pt.attr.Key == "in" {
			span := pt.attr.Span
			if span.Start > 0 && t.file.source[span.Start-1] == ' ' {
				span.Start--
			}
			cuts = append(cuts, Edit{At: t.file.loc(span)})
		}
	})
	source := t.file.source[:s.Pos().End]
	return applied(source, cuts)[s.Pos().Start:]
}

// sameVerdicts: every rule but those of drafting, which count lines, judged as
// often and with the same answers; and no fault of drafting came or went.
func sameVerdicts(before, after *lint.Report) bool {
	if after == nil || after.Unread != "" || after.Case == nil {
		return false
	}
	for name, r := range catalogue() {
		x, y := before.Verdicts[name], after.Verdicts[name]
		if r.Family == "Drafting" {
			x.Complies, y.Complies = 0, 0
		}
		if x != y {
			return false
		}
	}
	return len(before.Findings) == len(after.Findings) && before.Unknowns == after.Unknowns
}
