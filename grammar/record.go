package grammar

import (
	"strings"
)

// dwelling reads `dwelling [NAME] baths 2.5 bedrooms 3`.
func (r *reader) dwelling() (*Dwelling, bool) {
	key := r.next()
	d := &Dwelling{Base: Base{Key: key.word()}}
	table := attrTables()["dwelling"]
	if t := r.peek(); t.kind == tokWord && isName(t.text) && table.find(t.text) == nil {
		d.Name, _ = r.name(key.text, "a name")
	}
	a := attrReader{reader: r, table: table, owner: key.text}
	for !r.done() {
		if a.take() {
			continue
		}
		r.unknown(r.next(), "`dwelling` takes", table.words)
		r.skipValues()
	}
	d.Attrs = a.out
	d.Span = r.from(key.start)
	return d, true
}

// found reads what an inspector measured or saw.
func (r *reader) found() (*Found, bool) {
	key := r.next()
	f := &Found{Base: Base{Key: key.word()}}
	var ok bool
	if f.Subject, ok = r.subject(key.text); !ok {
		return nil, false
	}
	a := attrReader{reader: r, table: attrTables()["found"], owner: "found"}
	seen := false
	for !r.done() {
		t := r.peek()
		switch {
		case r.is("with"):
			r.i++
			f.With = r.foundWord(t.text)
		case r.is("without"):
			r.i++
			f.Without = r.foundWord(t.text)
		case r.is("on"):
			r.i++
			f.On = r.dateWord()
			continue
		case r.is("at") || r.is("invert"):
			key := *r.next()
			if at, ok := r.at(key); ok {
				a.add(&AttrSpec{}, atAttr(key, at))
			}
		case a.take():
		default:
			r.next()
			r.unknown(t, "`found` takes at, with, without, on,", append([]string{"at", "with", "without", "on"}, a.table.words...))
			r.skipValues()
		}
		seen = true
	}
	f.Attrs = a.out
	f.Span = r.from(key.start)
	if !seen {
		r.unreadable(f.Subject.Span, "write what was measured, as side 14-1/2\"", "`found` says nothing of `%s`", clip(f.Subject.From.String()))
		return f, false
	}
	return f, true
}

// atAttr puts a position found on site among the attributes.
func atAttr(key token, at At) Attr {
	a := Attr{Key: key.text, Word: key.word(), Span: at.Span}
	if at.Tuple != nil {
		a.Values = []Operand{{Kind: OperandTuple, Tuple: at.Tuple, Span: at.Span}}
		return a
	}
	a.Values = []Operand{qtyOperand(at.Height.Value)}
	if at.Height.Rel != "" {
		a.Values = append(a.Values,
			Operand{Kind: OperandWord, Text: at.Height.Rel, Span: at.Height.Span},
			Operand{Kind: OperandWord, Text: at.Height.Of.Text, Span: at.Height.Of.Span})
	}
	return a
}

func (r *reader) foundWord(after string) Word {
	t := r.peek()
	list := words().foundWith
	if r.isChoice(list) {
		return r.next().word()
	}
	if t.kind == tokWord && isName(t.text) && !isReserved(t.text) {
		r.unknown(r.next(), "`"+after+"` takes", list)
		return Word{}
	}
	r.missing(after, "a fitting or a device", "write what is there, or is not")
	return Word{}
}

func (r *reader) dateWord() Word {
	t := r.peek()
	if t.kind != tokWord {
		r.missing("on", "a date such as 2026-11-02", "write the date")
		return Word{}
	}
	w := r.next().word()
	r.date(&w)
	return w
}

// except reads what a copy has instead of what its typical has.
func (r *reader) except() (*Except, bool) {
	key := r.next()
	e := &Except{Base: Base{Key: key.word()}}
	var ok bool
	if e.Copies, ok = r.ref(key.text, "the copy, or a range of copies"); !ok {
		return nil, false
	}
	t := r.peek()
	if r.accept("no") {
		e.No = true
		ok = r.takenAway(e)
		e.Span = r.from(key.start)
		return e, ok
	}
	if t.kind != tokWord || !mayReplace(t.text) {
		r.missing(key.text+" "+clip(e.Copies.String()), "`no`, or the statement that replaces: a fixture, another point, a run, meet or place", "write `no`, or a whole statement")
		return nil, false
	}
	nested := reader{toks: r.toks[r.i:], stmt: t.text}
	e.With, ok = nested.statement()
	r.problems = append(r.problems, nested.problems...)
	r.i = len(r.toks) - 1
	e.Span = r.from(key.start)
	return e, ok && e.With != nil
}

// takenAway reads what stands behind `no`: a keyword and a name, a run's ends
// or its tag.
func (r *reader) takenAway(e *Except) bool {
	t := r.peek()
	if t.kind != tokWord || !mayReplace(t.text) {
		r.missing("no", "the keyword of what is taken away, such as drain or fixture", "write `no drain A to B`, or `no fixture NAME`")
		return false
	}
	e.What = r.next().word()
	var ok bool
	if e.Name, ok = r.ref(e.What.Text, "a name"); !ok {
		return false
	}
	if r.accept("to") {
		to, ok := r.name("to", "the name the run ends at")
		if !ok {
			return false
		}
		e.NameTo = Ref{First: to, Span: to.Span}
	}
	for !r.done() {
		r.unknown(r.next(), "`no` ends with the name", nil)
		r.skipValues()
	}
	return true
}

func mayReplace(keyword string) bool {
	switch keyword {
	case "main", "outfall":
		return false
	case "meet", "place":
		return true
	}
	return isSystem(keyword) || isPointKeyword(keyword)
}

// statement reads one statement of any kind. The statement is nil where too
// little of it could be read; whole is false where it is reported as less
// than its form.
func (r *reader) statement() (Statement, bool) {
	t := r.peek()
	if t.kind != tokWord {
		r.unreadable(t.span(), "begin the line with a word such as fixture, drain or level", "`%s` begins no statement", clip(t.text))
		return nil, false
	}
	r.stmt = t.text
	switch {
	case isSystem(t.text):
		if s, ok := r.run(); s != nil {
			return s, ok
		}
		return nil, false
	case isPointKeyword(t.text):
		if s, ok := r.point(); s != nil {
			return s, ok
		}
		return nil, false
	}
	switch t.text {
	case "dwelling":
		return r.dwelling()
	case "found":
		if s, ok := r.found(); ok {
			return s, true
		}
		return nil, false
	case "except":
		if s, ok := r.except(); ok {
			return s, true
		}
		return nil, false
	case "end":
		return r.endMark()
	}
	if read, ok := formReaders()[t.text]; ok {
		s, ok := r.form(read)
		if !ok {
			return nil, false
		}
		r.repeated()
		return s, true
	}
	r.unknownKeyword(t)
	return nil, false
}

func (r *reader) unknownKeyword(t *token) {
	if near := Nearest(t.text, words().keywords); near != "" {
		r.report(ruleUnreadable, t.span(), "`"+clip(t.text)+"` begins no statement; did you mean `"+near+"`", "write `"+near+"`", near)
		return
	}
	r.unreadable(t.span(), "begin the line with a keyword, or with # for a remark", "`%s` begins no statement; a line begins with a word such as fixture, drain, vent, cold, level or place", clip(t.text))
}

// endMark closes a typical. It is no statement of the file's own.
type endMark struct{ Base }

func (r *reader) endMark() (Statement, bool) {
	key := r.next()
	for !r.done() {
		r.unknown(r.next(), "`end` stands alone", nil)
		r.skipValues()
	}
	return &endMark{Base{Key: key.word(), Span: key.span()}}, true
}

// repeated reports an option that a form takes once and that is written twice.
func (r *reader) repeated() {
	options := map[string]bool{}
	for _, w := range strings.Fields("in on of at every use ceiling facing opposite-hand because approved until") {
		options[w] = false
	}
	value := true // the word before takes this one as its value
	for i := 1; i < len(r.toks); i++ {
		t := &r.toks[i]
		seen, option := options[t.text]
		if t.kind != tokWord || !option || value {
			value = t.kind == tokWord && t.text == "as"
			continue
		}
		if seen {
			r.unreadable(t.span(), "keep one of the two", "`%s` is written twice", t.text)
		}
		options[t.text] = true
		value = t.text != "opposite-hand"
	}
}
