package grammar

import (
	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
)

// point reads the statements that make a named point. ok is false where too
// little stands there to be one.
func (r *reader) point() (*Point, bool) {
	key := r.next()
	p := &Point{Base: Base{Key: key.word()}}
	table := attrTables()[key.text]
	if table == nil {
		table = attrTables()["bare device"]
	}
	if key.text == "existing" && !r.existingKind(p) {
		return nil, false
	}
	if p.Kind.Text != "vents" {
		var ok bool
		if p.Name, ok = r.name(key.text, "a name"); !ok {
			return nil, false
		}
	}
	whole := r.pointKind(p, table)
	a := attrReader{reader: r, table: table, owner: key.text}
	for !r.done() {
		if !r.pointAttr(p, &a) {
			r.strange(&a, p)
		}
	}
	p.Attrs = a.out
	liftKind(p)
	if p.Kind.Text == "" && whole {
		whole = r.needKind(p)
	}
	p.Span = r.from(key.start)
	return p, whole
}

// existingKind reads the word between `existing` and the name.
func (r *reader) existingKind(p *Point) bool {
	kinds := []string{"drain", "stack", "supply", "vent", "vents"}
	t := r.peek()
	if !r.isChoice(kinds) {
		if t.kind == tokWord {
			r.unreadable(t.span(), "write one of these", "`existing` takes %s; `%s` is none", oneOf("one of", kinds), clip(t.text))
		} else {
			r.missing("existing", oneOf("one of", kinds), "write one of these")
		}
		return false
	}
	p.Kind = r.next().word()
	return true
}

// pointKind reads the kind that follows the name, where the statement has one
// there. False where a word stands in its place that is no kind.
func (r *reader) pointKind(p *Point, table *attrTable) bool {
	t := r.peek()
	isWord := t.kind == tokWord && isName(t.text) && !isReserved(t.text)
	switch p.Key.Text {
	case "object":
		if isWord {
			p.Kind = r.next().word()
		}
		return true
	case "fixture":
		if !isWord {
			return true
		}
		if r.fixtureKind(p) {
			return true
		}
		if table.find(t.text) == nil {
			r.i++
			list := words().fixtures
			if near := Nearest(t.text, list); near != "" {
				r.unknown(t, "", list)
			} else {
				r.report(ruleWord, t.span(), "unknown word `"+clip(t.text)+"`; "+oneOf("kinds of fixture are", list), "write one of these kinds", "")
			}
			return false
		}
	case "interceptor", "fitting":
		if isWord && table.find(t.text) == nil && t.text != "invert" {
			spec := table.specs[len(table.specs)-1]
			r.unknown(t, "kinds of "+p.Key.Text+" are", spec.Words)
			r.i++
			return false
		}
	}
	return true
}

func (r *reader) fixtureKind(p *Point) bool {
	t := r.peek()
	kind, ok := words().fixtureKind[t.text]
	if !ok || t.kind != tokWord {
		return false
	}
	r.i++
	p.Kind = Word{kind, t.span()}
	return true
}

// pointAttr reads one attribute, a position or a kind that stands later.
func (r *reader) pointAttr(p *Point, a *attrReader) bool {
	t := r.peek()
	if t.kind == tokWord && (t.text == "at" || t.text == "invert") {
		key := *r.next()
		at, ok := r.at(key)
		if ok && p.At.Span != (Span{}) {
			r.unreadable(at.Span, "keep one of the two", "`%s` has two positions", p.Name.Text)
		} else if ok {
			p.At = at
		}
		return true
	}
	if a.take() {
		return true
	}
	return p.Key.Text == "fixture" && p.Kind.Text == "" && r.fixtureKind(p)
}

// strange reports a token that no attribute begins with, and passes over it
// and what seem its values.
func (r *reader) strange(a *attrReader, p *Point) {
	t := r.next()
	list := append([]string{"at"}, a.table.words...)
	if p.Key.Text == "fitting" {
		list = append(list, "invert")
	}
	if v, ok := quantity.Parse(t.text); ok && t.kind == tokWord {
		for i := range a.table.specs {
			if s := &a.table.specs[i]; s.Positional && s.Quantity != quantity.None && v.Kind == quantity.Number {
				r.i--
				r.qty(a.owner, s.Quantity)
				return
			}
		}
		r.unreadable(t.span(), "write the word it belongs to", "`%s` belongs to no word of `%s`; %s is told by a word before it", clip(t.text), a.owner, v.Kind)
		return
	}
	// Of several words in a row that mean nothing here the first is told.
	if !a.lost || Nearest(t.text, list) != "" {
		r.unknown(t, "`"+a.owner+"` takes", list)
	}
	a.lost = true
	r.skipValues()
}

// skipValues passes over quantities behind a word that was not understood, so
// that one slip is one problem.
func (r *reader) skipValues() {
	for r.peek().kind == tokWord {
		if _, ok := quantity.Parse(r.peek().text); !ok {
			return
		}
		r.i++
	}
}

// liftKind moves a kind that is read as an attribute to its place.
func liftKind(p *Point) {
	for i := range p.Attrs {
		switch a := &p.Attrs[i]; {
		case a.Key == "kind":
			p.Kind = a.Word
			if p.Attrs = append(p.Attrs[:i], p.Attrs[i+1:]...); len(p.Attrs) == 0 {
				p.Attrs = nil
			}
			return
		case p.Key.Text == "terminal" && (a.Key == "roof" || a.Key == "admittance"):
			if p.Kind.Text == "" {
				p.Kind = a.Word
			}
		}
	}
}

// needKind reports a point whose kind is missing.
func (r *reader) needKind(p *Point) bool {
	span := p.Name.Span
	switch p.Key.Text {
	case "fixture":
		r.unreadable(span, "write its kind after the name", "fixture `%s` has no kind; the form is %s", p.Name.Text, StatementForm("fixture"))
	case "terminal":
		r.unreadable(span, "write `roof` or `admittance`", "terminal `%s` is neither `roof` nor `admittance`", p.Name.Text)
	case "interceptor":
		r.unreadable(span, "write one of these", "interceptor `%s` does not say what it holds back: %s", p.Name.Text, oneOf("one of", catalog.Interceptors()))
	case "object":
		r.unreadable(span, "write what it is", "object `%s` has no kind, such as recessed-light", p.Name.Text)
	default:
		return true
	}
	return false
}
