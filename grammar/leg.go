package grammar

import (
	"strings"

	"crownweir/grammar/quantity"
)

// leg reads length and marks of a leg; its direction has been read.
func (r *reader) leg(item *Item, class itemClass) {
	item.By = ByLength
	r.legLength(item, class)
	a := attrReader{reader: r, table: attrTables()["leg"], owner: item.Word.Text}
	for !r.done() && r.peek().kind != tokComma {
		t := r.peek()
		switch {
		case r.is("fall"):
			r.i++
			r.fall(item, &a, t)
		case r.is("drop"):
			r.i++
			r.drop(item, &a, t)
		case a.take():
		case t.kind == tokWord && words().items[t.text] != itemUnknown:
			item.Attrs = a.out
			return
		default:
			r.strangeMark(item, t)
		}
	}
	item.Attrs = a.out
}

func (r *reader) strangeMark(item *Item, t *token) {
	r.i++
	if t.kind == tokColon {
		r.unreadable(t.span(), "write a comma, or take it out", "a second colon cannot stand here")
		return
	}
	if v, ok := quantity.Parse(t.text); ok && t.kind == tokWord {
		r.unreadable(t.span(), "write the word it belongs to", "`%s` belongs to no word of the leg; %s is told by a word before it", clip(t.text), v.Kind)
		return
	}
	r.unknown(t, "a leg takes fall, drop,", attrTables()["leg"].words)
	r.skipValues()
}

// legLength reads what gives a leg its length. Where nothing readable does,
// that is reported and the leg is left to what closes it.
func (r *reader) legLength(item *Item, class itemClass) {
	word := item.Word.Text
	t := r.peek()
	switch {
	case r.accept("to"):
		r.target(item, class)
		return
	case r.is("across"):
		r.i++
		if class != itemSlant {
			r.unreadable(t.span(), "take `across` out", "`across` follows a slanting direction such as up-east; `%s` is none", word)
		}
		item.Across = class == itemSlant
		if q, ok := r.qty("across", quantity.Length); ok {
			item.Length = q
			return
		}
	default:
		q, ok := r.qty(word, quantity.Length)
		if ok {
			item.Length = q
			return
		}
	}
	item.By, item.Across = ToSuit, false
}

// target reads what stands behind `up to`.
func (r *reader) target(item *Item, class itemClass) {
	word := item.Word.Text + " to"
	t := r.peek()
	rises := class == itemPlumb || class == itemSlant
	item.By = ToSuit
	switch {
	case r.accept("suit"):
	case class == itemOver:
		r.unreadable(t.span(), "write `over to suit`, or a length", "`over` goes to no height and no point; it takes a length or `to suit`")
		if t.kind != tokComma && t.kind != tokEnd {
			r.i++
		}
	case r.is("roof"):
		r.i++
		if !strings.HasPrefix(word, "up") {
			r.unreadable(t.span(), "write `up to roof`", "`%s roof` does not lead there", word)
			return
		}
		item.By = ToRoof
	case t.kind == tokWord && (isDigit(t.text[0]) || t.text[0] == '-' || t.text[0] >= 0x80):
		h, ok := r.height(word)
		if ok && !rises {
			r.unreadable(h.Span, "write a length, or the point it goes to", "`%s %s` names a height; a level leg reaches none", word, clip(h.Value.Canonical()))
			return
		}
		if ok {
			item.By, item.Aim = ToHeight, &Aim{Height: h}
		}
	default:
		p, ok := r.name(word, "a height, a point, `roof` or `suit`")
		if ok {
			item.By, item.Aim = ToPoint, &Aim{Point: p}
		}
	}
}

func (r *reader) fall(item *Item, a *attrReader, key *token) {
	if item.Fall.Kind != quantity.None || item.FallToSuit {
		r.unreadable(key.span(), "keep one of the two", "the leg has two falls")
	}
	if r.accept("unknown") {
		a.out = append(a.out, unknownAttr(key, &r.toks[r.i-1]))
		return
	}
	if r.is("to") && r.ahead(1).text == "suit" {
		r.i += 2
		item.FallToSuit = true
		return
	}
	if q, ok := r.qty("fall", quantity.Grade); ok {
		item.Fall = q
	}
}

func (r *reader) drop(item *Item, a *attrReader, key *token) {
	if item.Drop.Kind != quantity.None {
		r.unreadable(key.span(), "keep one of the two", "the leg has two drops")
	}
	if r.accept("unknown") {
		a.out = append(a.out, unknownAttr(key, &r.toks[r.i-1]))
		return
	}
	if q, ok := r.qty("drop", quantity.Length); ok {
		item.Drop = q
	}
}

func unknownAttr(key, value *token) Attr {
	return Attr{
		Key: key.text, Word: key.word(), Span: Span{key.start, value.end},
		Values: []Operand{{Kind: OperandUnknown, Text: value.text, Span: value.span()}},
	}
}
