package system

import (
	"fmt"

	"crownweir/grammar"
)

// exceptKey names what an exception matches: keyword and full name or ends.
type exceptKey struct{ keyword, from, to string }

type except struct {
	inst
	with  grammar.Statement // nil: taken away
	copy  *Copy             // whose prefix names in `with` take
	scope *Copy             // the copy whose typical writes it; nil for the plan
	used  bool
	name  string
}

// exceptAt notes the exceptions an except statement makes.
func (b *builder) exceptAt(in inst, st *grammar.Except, c *Copy) {
	names, ok := st.Copies.Names()
	if !ok {
		b.problem(Problem{Rule: "unreadable-line", Loc: Loc{in.file.Path, st.Copies.Span}, Subject: st.Copies.String(), Copy: c,
			Message: fmt.Sprintf("%s is no range of copies", st.Copies.String()), Remedy: "name one copy, or a range such as F3..F5"})
		return
	}
	for _, n := range names {
		cp := &Copy{Name: c.Prefix() + n}
		ex := &except{inst: in, copy: cp, scope: c, name: n}
		var key exceptKey
		if st.No {
			key = exceptKey{normal(st.What.Text), cp.Prefix() + st.Name.First.Text, ""}
			if st.NameTo.First.Text != "" {
				key.to = cp.Prefix() + st.NameTo.First.Text
			}
		} else {
			ex.with = st.With
			key = keyOf(st.With, cp.Prefix())
		}
		if old, twice := b.excepts[key]; twice {
			if old.scope != c {
				continue // what stands further out has the last word
			}
			b.problem(Problem{Rule: "duplicate-name", Loc: Loc{in.file.Path, st.Pos()}, Subject: n, Copy: c,
				Message: fmt.Sprintf("two exceptions replace the same %s of %s", key.keyword, n), Remedy: "keep one of them"})
			continue
		}
		b.excepts[key] = ex
		b.exOrder = append(b.exOrder, ex)
	}
}

// normal folds the keywords under which an exception may name a point.
func normal(keyword string) string {
	switch keyword {
	case "fixture", "terminal", "heater", "manifold", "ejector", "interceptor", "fitting", "object":
		return "point"
	}
	return keyword
}

func keyOf(st grammar.Statement, prefix string) exceptKey {
	switch st := st.(type) {
	case *grammar.Run:
		k := exceptKey{normal(st.Keyword()), prefix + st.From.First.Text, ""}
		if st.To.First.Text != "" {
			k.to = prefix + st.To.First.Text
		}
		return k
	case *grammar.Point:
		return exceptKey{normal(st.Keyword()), prefix + st.Name.Text, ""}
	case *grammar.Meet:
		if len(st.Names) > 0 {
			return exceptKey{"meet", prefix + st.Names[0].First.Text, ""}
		}
	case *grammar.Place:
		return exceptKey{"place", prefix + st.As.First.Text, ""}
	}
	return exceptKey{}
}

func (b *builder) exceptOf(st grammar.Statement, prefix string) *except {
	if len(b.excepts) == 0 {
		return nil
	}
	if m, ok := st.(*grammar.Meet); ok { // by any of its names
		for _, n := range m.Names {
			if ex := b.excepted("meet", prefix+n.First.Text, ""); ex != nil {
				return ex
			}
		}
		return nil
	}
	k := keyOf(st, prefix)
	if k.keyword == "" {
		return nil
	}
	return b.excepted(k.keyword, k.from, k.to)
}

func (b *builder) excepted(keyword, from, to string) *except {
	ex := b.excepts[exceptKey{keyword, from, to}]
	if ex != nil {
		if full, ok := b.copyOf[ex.copy.Name]; ok {
			ex.copy = full
		}
		ex.used = true
	}
	return ex
}

func (b *builder) unusedExcepts() {
	for _, ex := range b.exOrder {
		if ex.used {
			continue
		}
		st := ex.stmt.(*grammar.Except)
		if _, ok := b.copyOf[ex.copy.Name]; !ok {
			w := st.Copies.First
			w.Text = ex.name
			b.unknownName("copy", w, ex.file.Path, nil, namesOf(b.copyOf))
			continue
		}
		b.problem(Problem{Rule: "unknown-name", Loc: Loc{ex.file.Path, st.Pos()}, Subject: ex.name,
			Message: fmt.Sprintf("exception matches nothing in %s", ex.name),
			Remedy:  "name the run by the ends it has in the typical, or the point by its name there"})
	}
}
