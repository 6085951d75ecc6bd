package answer

import (
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
)

// role is what a word of a statement is.
type role uint8

const (
	roleKeyword   role = iota // a statement's first word
	roleName                  // a name that may be renamed
	roleKind                  // of a fixture, an object, an interceptor
	roleFitting               // at a point
	roleMaterial              //
	roleDevice                // in a run
	roleTurn                  // between legs
	roleDirection             // of a leg
	roleAttr                  // the word of an attribute, a setting or a mark
	roleChoice                // a word of a closed list
	roleSize                  // a nominal pipe or trap size
	roleSolve                 // `?`
	roleQuantity              //
	roleUnknown               // `unknown`
	roleText                  // between quotation marks
	roleRule
	roleDate  //
	roleBook  // a code book
	roleRange // a range as a whole; its two names are parts too
)

// part is one word of a statement, or one step of a name that reaches into a
// copy.
type part struct {
	role role
	span grammar.Span
	text string // canonical
	qty  quantity.Value
	item *grammar.Item // of a run, nil outside
	attr *grammar.Attr // it belongs to, or nil

	// of names
	sym  symbol
	decl bool
	base string // the typical within which path counts, "" for the plan
	path string // the name as it is reached from there
}

// walker gives the parts of one statement.
type walker struct {
	*names
	scope string // names count from here
	base  string // typical of the statement, and
	lead  string // what stands before a path there
	item  *grammar.Item
	emit  func(part)
}

// parts gives the parts of a statement in no particular order. The words
// between them, such as `to`, are none.
func (n *names) parts(s placed, emit func(part)) {
	w := walker{names: n, scope: s.scope(), base: s.scope(), emit: emit}
	w.statement(s.Statement)
}

func (w *walker) give(r role, word grammar.Word) {
	if word.Span.End > word.Span.Start {
		w.emit(part{role: r, span: word.Span, text: word.Text, item: w.item})
	}
}

func (w *walker) qty(q grammar.Qty) {
	if q.Kind != quantity.None && q.Span.End > q.Span.Start {
		w.emit(part{role: roleQuantity, span: q.Span, text: q.Text, qty: q.Value, item: w.item})
	}
}

// name gives a name of a space other than points.
func (w *walker) name(sp space, scope string, word grammar.Word, decl bool) {
	if word.Span.End <= word.Span.Start || word.Text == "" {
		return
	}
	w.emit(part{role: roleName, span: word.Span, text: word.Text, item: w.item, decl: decl,
		sym: symbol{sp, scope, word.Text}, base: scope, path: word.Text})
}

// point gives a point's name step by step: `B2.out` is the copy B2 and the
// point out of its typical.
func (w *walker) point(word grammar.Word, decl bool) {
	if word.Text == "" || word.Span.End-word.Span.Start != len(word.Text) || w.scope == unknownScope {
		return
	}
	if strings.IndexByte(word.Text, '.') < 0 {
		w.emit(part{role: roleName, span: word.Span, text: word.Text, item: w.item, decl: decl,
			sym: symbol{points, w.scope, word.Text}, base: w.base, path: w.lead + word.Text})
		return
	}
	scope, at := w.scope, 0
	steps := strings.Split(word.Text, ".")
	for i, step := range steps {
		last := i == len(steps)-1
		sym := symbol{points, scope, step}
		if step != "" && (scope != unknownScope) {
			span := grammar.Span{Start: word.Span.Start + at, End: word.Span.Start + at + len(step)}
			w.emit(part{role: roleName, span: span, text: step, item: w.item, decl: decl && last, sym: sym,
				base: w.base, path: w.lead + word.Text[:at+len(step)]})
		}
		at += len(step) + 1
		if !last {
			if scope = w.typicalOf(sym); scope == "" {
				scope = unknownScope
			}
		}
	}
}

// unknownScope is the inside of a copy that nothing places.
const unknownScope = "\x00"

func (w *walker) ref(r grammar.Ref, decl bool) {
	w.point(r.First, decl)
	w.point(r.Last, decl)
	if !r.IsRange() || decl {
		return
	}
	// the step in which the two names differ: `F3.ba..F12.ba` are copies
	scope := w.scope
	first, last := strings.Split(r.First.Text, "."), strings.Split(r.Last.Text, ".")
	for i := range min(len(first), len(last)) {
		if first[i] != last[i] {
			w.emit(part{role: roleRange, span: r.Span, text: last[i], sym: symbol{points, scope, first[i]}})
			return
		}
		if scope = w.typicalOf(symbol{points, scope, first[i]}); scope == "" {
			return
		}
	}
}

func (w *walker) height(h grammar.Height) {
	w.qty(h.Value)
	if h.Of.Text == "" {
		return
	}
	if _, ok := w.declaration(symbol{levels, "", h.Of.Text}); ok {
		w.name(levels, "", h.Of, false)
		return
	}
	w.point(h.Of, false)
}

func (w *walker) at(a grammar.At) {
	w.height(a.Height)
}

// attrs gives the words of attributes; in `trap 1-1/2"` the size is the
// setting itself.
func (w *walker) attrs(list []grammar.Attr) {
	for i := range list {
		a := &list[i]
		// what stands without its key is its own first value
		bare := len(a.Values) > 0 && a.Values[0].Span == a.Word.Span
		if !bare && a.Word.Span.End > a.Word.Span.Start {
			w.emit(part{role: roleAttr, span: a.Word.Span, text: a.Key, item: w.item, attr: a})
		}
		for j := range a.Values {
			w.operand(a, &a.Values[j])
		}
	}
}

func (w *walker) operand(a *grammar.Attr, o *grammar.Operand) {
	pt := part{span: o.Span, text: o.Text, item: w.item, attr: a}
	if o.Span.End <= o.Span.Start {
		return
	}
	switch o.Kind {
	case grammar.OperandQty:
		pt.role, pt.qty = roleQuantity, o.Qty
		if a.Key == "size" || a.Key == "trap" || a.Key == "tail" {
			pt.role = roleSize
		}
	case grammar.OperandSolve:
		pt.role = roleSolve
	case grammar.OperandUnknown:
		pt.role = roleUnknown
	case grammar.OperandString:
		pt.role = roleText
	case grammar.OperandWord:
		word := grammar.Word{Text: o.Text, Span: o.Span}
		switch a.Key {
		case "in":
			sym := w.room(w.scope, o.Text)
			w.name(rooms, sym.scope, word, false)
			return
		case "trench":
			w.name(trenches, "", word, false)
			return
		case "roof":
			w.name(roofs, "", word, false)
			return
		}
		pt.role = roleChoice
	default:
		return
	}
	w.emit(pt)
}

func (w *walker) statement(s grammar.Statement) {
	if s == nil {
		return
	}
	start := s.Pos().Start
	w.give(roleKeyword, grammar.Word{Text: s.Keyword(), Span: grammar.Span{Start: start, End: start + len(s.Keyword())}})
	switch st := s.(type) {
	case *grammar.Point:
		w.pointStatement(st)
	case *grammar.Run:
		w.run(st)
	case *grammar.Meet:
		for _, r := range st.Names {
			w.ref(r, false)
		}
	case *grammar.Place:
		w.place(st)
	case *grammar.Except:
		w.except(st)
	case *grammar.Typical:
		w.name(typicals, "", st.Name, true)
		w.give(roleKeyword, st.End)
	case *grammar.Found, *grammar.Waive, *grammar.Inspection, *grammar.Test, *grammar.Note:
		w.record(st)
	default:
		w.header(st)
	}
}

func (w *walker) pointStatement(st *grammar.Point) {
	kind := roleKind
	switch st.Keyword() {
	case "fitting":
		kind = roleFitting
	case "existing", "outfall", "terminal":
		kind = roleChoice
	}
	w.point(st.Name, true)
	inAttrs := false // a terminal's kind is an attribute too
	for i := range st.Attrs {
		inAttrs = inAttrs || st.Attrs[i].Word.Span == st.Kind.Span
	}
	if !inAttrs {
		w.give(kind, st.Kind)
	}
	w.at(st.At)
	w.attrs(st.Attrs)
}

func (w *walker) run(st *grammar.Run) {
	w.ref(st.From, false)
	w.ref(st.To, false)
	if st.Size.Kind != quantity.None && st.Size.Span.End > st.Size.Span.Start {
		w.emit(part{role: roleSize, span: st.Size.Span, text: st.Size.Text, qty: st.Size.Value})
	}
	w.give(roleSolve, st.Solve)
	w.give(roleMaterial, st.Material)
	w.name(tags, w.scope, st.Tag, true)
	w.give(roleChoice, st.Claim)
	for i := range st.Items {
		w.runItem(&st.Items[i])
	}
}

func (w *walker) runItem(it *grammar.Item) {
	w.item = it
	defer func() { w.item = nil }()
	switch it.Kind {
	case grammar.Leg:
		w.give(roleDirection, it.Word)
		w.qty(it.Length)
		w.height(it.Height)
		w.point(it.Point, false)
		w.qty(it.Fall)
		w.qty(it.Drop)
	case grammar.Device:
		w.give(roleDevice, it.Word)
	case grammar.Turn:
		w.give(roleTurn, it.Word)
	case grammar.PicksUp:
		w.give(roleAttr, it.Word)
		w.ref(it.Ref, false)
	case grammar.Enters:
		w.give(roleAttr, it.Word)
		w.give(roleChoice, it.Side)
	}
	w.attrs(it.Attrs)
}

func (w *walker) place(st *grammar.Place) {
	w.name(typicals, "", st.Typical, false)
	w.ref(st.As, true)
	if st.In.Text != "" {
		w.name(rooms, w.room(w.scope, st.In.Text).scope, st.In, false)
	}
	w.name(levels, "", st.On.First, false)
	w.name(levels, "", st.On.Last, false)
	w.at(st.At)
	w.give(roleDirection, st.Every)
	w.qty(st.EveryLen)
	w.give(roleDirection, st.Facing)
}

// except gives the copies, and what is replaced in them: those names are the
// typical's.
func (w *walker) except(st *grammar.Except) {
	w.ref(st.Copies, false)
	inner := *w
	inner.lead = w.lead + st.Copies.First.Text + "."
	inner.scope = w.scope
	for _, step := range strings.Split(st.Copies.First.Text, ".") {
		t := w.typicalOf(symbol{points, inner.scope, step})
		if t == "" {
			t = unknownScope
		}
		inner.scope = t
	}
	if st.No {
		inner.give(roleKeyword, st.What)
		inner.ref(st.Name, false)
		inner.ref(st.NameTo, false)
		return
	}
	inner.statement(st.With)
}

// partAt is the part of a statement that an offset stands in, else the one
// whose end it stands on. ok is false where it stands between parts.
func (n *names) partAt(s placed, offset int) (found part, ok bool) {
	n.parts(s, func(pt part) {
		if !within(pt.span, offset) || pt.role == roleRange {
			return
		}
		if !ok || offset < pt.span.End {
			found, ok = pt, true
		}
	})
	return found, ok
}
