package grammar

import (
	"fmt"
	"strings"

	"crownweir/grammar/quantity"
)

var kindSamples = [...]string{
	quantity.None: "", quantity.Length: `16"`, quantity.Grade: "1/4", quantity.Pressure: "62psi", quantity.Flow: "1.8gpm",
	quantity.Volume: "50gal", quantity.Temperature: "120F", quantity.Duration: "15min", quantity.Number: "3",
}

func (r *reader) sample(kind quantity.Kind) string {
	if r.sizing {
		return `a pipe size such as 2"`
	}
	return kind.String() + " such as " + kindSamples[kind]
}

// qty reads a quantity of that kind. A quantity of another kind is reported
// and passed over.
func (r *reader) qty(after string, kind quantity.Kind) (Qty, bool) {
	t := r.peek()
	if t.kind != tokWord || t.text == "" {
		r.missing(after, r.sample(kind), "write "+kind.String())
		return Qty{}, false
	}
	v, ok := quantity.Parse(t.text)
	if !ok {
		if c := t.text[0]; !isDigit(c) && c != '-' {
			r.missing(after, r.sample(kind), "write "+kind.String())
			return Qty{}, false
		}
		r.badQuantity(t, kind)
		return Qty{}, false
	}
	if v.Kind == quantity.Number && kind != quantity.Number {
		if joined, ok := r.joined(t, kind); ok {
			return joined, true
		}
	}
	if v.Kind != kind {
		r.wrongUnit(after, t, v, kind)
		r.i++
		return Qty{}, false
	}
	r.i++
	return Qty{v, t.span()}, true
}

// joined catches `62 psi`: a number and its unit with a blank between.
func (r *reader) joined(t *token, kind quantity.Kind) (Qty, bool) {
	u := r.ahead(1)
	if u.kind != tokWord {
		return Qty{}, false
	}
	v, ok := quantity.Parse(t.text + u.text)
	if !ok || v.Kind != kind {
		return Qty{}, false
	}
	span := Span{t.start, u.end}
	r.report(ruleUnreadable, span, fmt.Sprintf("`%s %s` is written with a blank", t.text, u.text), "write `"+v.Text+"`", v.Text)
	r.i += 2
	return Qty{v, span}, true
}

func (r *reader) badQuantity(t *token, kind quantity.Kind) {
	r.i++
	for _, suffix := range []string{`"`, "'"} {
		if v, ok := quantity.Parse(t.text + suffix); ok && v.Kind == kind {
			r.report(ruleUnreadable, t.span(), fmt.Sprintf("`%s` lacks its mark; %s is wanted", clip(t.text), r.sample(kind)), "write `"+v.Text+"`", v.Text)
			return
		}
	}
	r.unreadable(t.span(), "write "+r.sample(kind), "`%s` is no quantity; %s is wanted", clip(t.text), r.sample(kind))
}

func (r *reader) wrongUnit(after string, t *token, v quantity.Value, kind quantity.Kind) {
	suggest := ""
	text := v.Canonical()
	switch {
	case kind == quantity.Grade && v.Kind == quantity.Length && strings.HasSuffix(text, `"`):
		suggest = strings.TrimSuffix(text, `"`)
	case kind == quantity.Length && (v.Kind == quantity.Grade || v.Kind == quantity.Number && r.sizing):
		suggest = text + `"`
	case kind == quantity.Pressure && v.Kind == quantity.Number:
		suggest = text + "psi"
	case kind == quantity.Temperature && v.Kind == quantity.Number:
		suggest = text + "F"
	}
	if s, ok := quantity.Parse(suggest); !ok || s.Kind != kind {
		suggest = ""
	}
	remedy := "write " + r.sample(kind)
	if suggest != "" {
		remedy = "write `" + suggest + "`"
	} else if kind == quantity.Length && v.Kind == quantity.Number {
		remedy = "write `" + text + "'` or `" + text + "\"`"
	}
	r.report(ruleUnit, t.span(), fmt.Sprintf("`%s` takes %s; `%s` is %s", after, r.sample(kind), clip(text), v.Kind), remedy, suggest)
}

// size reads a nominal pipe size. One of no printed size is reported and kept.
func (r *reader) size(after string) (Qty, bool) {
	r.sizing = true
	q, ok := r.qty(after, quantity.Length)
	r.sizing = false
	if ok {
		r.checkSize(after, q)
	}
	return q, ok
}

func (r *reader) checkSize(after string, q Qty) {
	if _, ok := q.Size(); ok {
		return
	}
	below, above := "", ""
	for _, s := range quantity.Sizes() {
		if s.Inches() <= q.Inches() {
			below = s.String()
		} else if above == "" {
			above = s.String()
		}
	}
	near := below + " and " + above
	if below == "" || above == "" {
		near = below + above
	}
	r.report(ruleUnit, q.Span, fmt.Sprintf("`%s` takes a nominal pipe size; %s is none, the nearest are %s", after, clip(q.Canonical()), near), "write a nominal size", "")
}

// height reads a height: a length, and `above` or `below` a level or a point.
func (r *reader) height(after string) (Height, bool) {
	start := r.peek().start
	q, ok := r.qty(after, quantity.Length)
	if !ok {
		return Height{}, false
	}
	h := Height{Value: q}
	if r.is("above") || r.is("below") {
		if next := r.ahead(1); next.kind == tokWord && isName(next.text) {
			h.Rel = r.next().text
			h.Of, _ = r.name(h.Rel, "a level or a point")
			if q.SI < 0 {
				r.unreadable(q.Span, "write it without the minus", "%s with a minus says `%s` twice", q.Canonical(), h.Rel)
			}
			if h.Rel == "below" {
				h.Value.Value = q.Negated()
			}
		}
	}
	h.Span = r.from(start)
	return h, true
}

// at reads what follows `at` or `invert`; the word itself has been read.
func (r *reader) at(key token) (At, bool) {
	a := At{Invert: key.text == "invert"}
	t := r.peek()
	if t.kind == tokTuple && !a.Invert {
		r.i++
		var ok bool
		a.Tuple, ok = r.tuple(t)
		a.Span = r.from(key.start)
		return a, ok
	}
	h, ok := r.height(key.text)
	if ok && r.peek().kind == tokComma && !a.Invert {
		r.looseTuple(t)
		return At{}, false
	}
	a.Height, a.Span = h, r.from(key.start)
	return a, ok
}

// looseTuple reports `10', 4'`: a pair with a blank inside.
func (r *reader) looseTuple(first *token) {
	text := first.text
	for r.peek().kind == tokComma {
		r.i++
		t := r.peek()
		if _, ok := quantity.Parse(t.text); !ok || t.kind != tokWord {
			break
		}
		text += "," + t.text
		r.i++
	}
	r.report(ruleUnreadable, r.from(first.start), "the parts of a position are written with a blank", "write `"+text+"`", text)
}

func (r *reader) tuple(t *token) ([]quantity.Value, bool) {
	parts := strings.Split(t.text, ",")
	if len(parts) > 3 {
		r.unreadable(t.span(), "write x,y or x,y,z", "`%s` has %d parts; a position has two or three", clip(t.text), len(parts))
		return nil, false
	}
	out := make([]quantity.Value, 0, len(parts))
	for _, part := range parts {
		v, _ := quantity.Parse(part)
		if v.Kind != quantity.Length {
			r.report(ruleUnit, t.span(), fmt.Sprintf("a position is made of lengths such as 10',4'; `%s` is %s", clip(part), v.Kind), "write lengths", "")
			return nil, false
		}
		out = append(out, v)
	}
	return out, true
}
