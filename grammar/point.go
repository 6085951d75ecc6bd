package grammar

import (
	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
)

// attrReader reads the attributes of one statement, leg or device by its
// table.
type attrReader struct {
	*reader
	table *attrTable
	owner string // whose attributes: the word messages name
	out   []Attr
	lost  bool // the word before was not understood
}

// take reads one attribute at the reader's place; false where the token is
// none of the table's. Nothing is consumed then.
func (a *attrReader) take() bool {
	t := a.peek()
	switch t.kind {
	case tokSolve:
		spec := a.table.bare(quantity.Length)
		if spec == nil || spec.operands[0].kind != wantSize {
			return false
		}
		a.i++
		a.add(spec, Attr{Key: spec.Key, Values: []Operand{{Kind: OperandSolve, Text: "?", Span: t.span()}}, Span: t.span()})
		return true
	case tokWord:
	default:
		return false
	}
	if spec := a.table.find(t.text); spec != nil {
		a.i++
		attr := Attr{Key: spec.Key, Word: t.word()}
		ok := true
		if spec.Positional {
			attr.Values = []Operand{{Kind: OperandWord, Text: t.text, Span: t.span()}}
		} else {
			attr.Values, ok = a.operands(t.text, spec.operands)
		}
		attr.Span = a.from(t.start)
		if ok {
			a.add(spec, attr)
		} else {
			a.skipValues()
		}
		a.lost = false
		return true
	}
	if c := t.text[0]; !isDigit(c) && c != '-' && c < 0x80 {
		return false
	}
	v, ok := quantity.Parse(t.text)
	if !ok {
		return false
	}
	spec := a.table.bare(v.Kind)
	if spec == nil {
		return false
	}
	a.i++
	q := Qty{v, t.span()}
	if spec.operands[0].kind == wantSize {
		a.checkSize(a.owner, q)
	}
	a.add(spec, Attr{Key: spec.Key, Values: []Operand{{Kind: OperandQty, Qty: v, Text: t.text, Span: t.span()}}, Span: t.span()})
	return true
}

// takeUnknown reads `unknown` in the place of what stands without a key, as in
// `backflow unknown`.
func (a *attrReader) takeUnknown() bool {
	t := a.peek()
	if t.kind != tokWord || t.text != "unknown" {
		return false
	}
	for i := range a.table.specs {
		if spec := &a.table.specs[i]; spec.Positional {
			a.i++
			a.add(spec, Attr{Key: spec.Key, Values: []Operand{{Kind: OperandUnknown, Text: t.text, Span: t.span()}}, Span: t.span()})
			return true
		}
	}
	return false
}

// add keeps the attribute, or reports that it is written a second time.
func (a *attrReader) add(spec *AttrSpec, attr Attr) {
	if !spec.Repeats {
		for i := range a.out {
			if a.out[i].Key == attr.Key {
				a.unreadable(attr.Span, "keep one of the two", "`%s` of `%s` is written twice", attr.Key, a.owner)
				return
			}
		}
	}
	a.out = append(a.out, attr)
}

// operands reads the values of one keyword.
func (a *attrReader) operands(key string, forms []operandForm) ([]Operand, bool) {
	var out []Operand
	for i := range forms {
		f := &forms[i]
		for n := 0; ; n++ {
			if n > 0 && (!f.many || !a.isChoice(f.words)) {
				break
			}
			v, ok, skip := a.operand(key, f)
			if skip {
				break
			}
			if !ok {
				return nil, false
			}
			if f.kind != wantLiteral {
				if out == nil {
					out = make([]Operand, 0, len(forms))
				}
				out = append(out, v)
			}
			if v.Kind == OperandUnknown {
				return out, true
			}
			if !f.many {
				break
			}
		}
	}
	return out, true
}

func (r *reader) isChoice(list []string) bool {
	t := r.peek()
	return t.kind == tokWord && contains(list, t.text)
}

// operand reads one value; skip is set where an optional one is not there.
func (r *attrReader) operand(key string, f *operandForm) (out Operand, ok, skip bool) {
	t := r.peek()
	if t.kind == tokWord && t.text == "unknown" && f.kind != wantLiteral && !f.optional {
		r.i++
		return Operand{Kind: OperandUnknown, Text: t.text, Span: t.span()}, true, false
	}
	word := Operand{Kind: OperandWord, Text: t.text, Span: t.span()}
	switch f.kind {
	case wantLiteral:
		if !r.accept(f.words[0]) {
			r.missing(key, "`"+f.words[0]+"` between its lengths", "write `"+f.words[0]+"`")
			return word, false, false
		}
		return word, true, false
	case wantChoice:
		if r.isChoice(f.words) {
			r.i++
			return word, true, false
		}
		if t.kind == tokWord && isName(t.text) {
			r.unknown(t, "`"+key+"` takes one of", f.words)
			r.i++
		} else {
			r.missing(key, oneOf("one of", f.words), "write one of these")
		}
		return word, false, false
	case wantWord:
		if t.kind == tokWord && isName(t.text) {
			r.i++
			return word, true, false
		}
		r.missing(key, "a word", "write what it is")
		return word, false, false
	case wantName:
		// A roof called `opening` is less likely than `roof opening 12'`.
		if f.optional && (t.kind != tokWord || !isName(t.text) || isReserved(t.text) || r.table.find(t.text) != nil) {
			return word, false, true
		}
		w, ok := r.name(key, "a name")
		return Operand{Kind: OperandWord, Text: w.Text, Span: w.Span}, ok, false
	case wantSize:
		if t.kind == tokSolve {
			r.i++
			return Operand{Kind: OperandSolve, Text: t.text, Span: t.span()}, true, false
		}
		q, ok := r.size(key)
		return qtyOperand(q), ok, false
	}
	if f.optional {
		if v, ok := quantity.Parse(t.text); t.kind != tokWord || !ok || v.Kind != f.quantity {
			return Operand{}, false, true
		}
	}
	q, ok := r.qty(key, f.quantity)
	return qtyOperand(q), ok, false
}

func qtyOperand(q Qty) Operand {
	return Operand{Kind: OperandQty, Qty: q.Value, Text: q.Text, Span: q.Span}
}

func contains(list []string, word string) bool {
	for _, w := range list {
		if w == word {
			return true
		}
	}
	return false
}

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
