package grammar

import "crownweir/grammar/quantity"

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
func (a *attrReader) operand(key string, f *operandForm) (out Operand, ok, skip bool) {
	t := a.peek()
	if t.kind == tokWord && t.text == "unknown" && f.kind != wantLiteral && !f.optional {
		a.i++
		return Operand{Kind: OperandUnknown, Text: t.text, Span: t.span()}, true, false
	}
	word := Operand{Kind: OperandWord, Text: t.text, Span: t.span()}
	switch f.kind {
	case wantLiteral:
		if !a.accept(f.words[0]) {
			a.missing(key, "`"+f.words[0]+"` between its lengths", "write `"+f.words[0]+"`")
			return word, false, false
		}
		return word, true, false
	case wantChoice:
		if a.isChoice(f.words) {
			a.i++
			return word, true, false
		}
		if t.kind == tokWord && isName(t.text) {
			a.unknown(t, "`"+key+"` takes one of", f.words)
			a.i++
		} else {
			a.missing(key, oneOf("one of", f.words), "write one of these")
		}
		return word, false, false
	case wantWord:
		if t.kind == tokWord && isName(t.text) {
			a.i++
			return word, true, false
		}
		a.missing(key, "a word", "write what it is")
		return word, false, false
	case wantName:
		// A roof called `opening` is less likely than `roof opening 12'`.
		if f.optional && (t.kind != tokWord || !isName(t.text) || isReserved(t.text) || a.table.find(t.text) != nil) {
			return word, false, true
		}
		w, ok := a.name(key, "a name")
		return Operand{Kind: OperandWord, Text: w.Text, Span: w.Span}, ok, false
	case wantSize:
		if t.kind == tokSolve {
			a.i++
			return Operand{Kind: OperandSolve, Text: t.text, Span: t.span()}, true, false
		}
		q, ok := a.size(key)
		return qtyOperand(q), ok, false
	}
	if f.optional {
		if v, ok := quantity.Parse(t.text); t.kind != tokWord || !ok || v.Kind != f.quantity {
			return Operand{}, false, true
		}
	}
	q, ok := a.qty(key, f.quantity)
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
