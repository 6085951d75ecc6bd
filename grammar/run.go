package grammar

import (
	"strings"

	"crownweir/grammar/quantity"
)

// run reads a run of pipe or a chain of them.
func (r *reader) run() (*Run, bool) {
	key := r.next()
	run := &Run{Base: Base{Key: key.word()}}
	var ok bool
	if run.From, ok = r.ref(key.text, "the name it begins at"); !ok {
		return nil, false
	}
	if !r.runTo(run) {
		return nil, false
	}
	colon := r.runHead(run)
	if colon || !r.done() {
		r.items(run, colon)
	}
	run.Span = r.from(key.start)
	return run, !r.loose
}

// runTo reads `to NAME`; a chain has none.
func (r *reader) runTo(run *Run) bool {
	key, from := run.Key.Text, run.From.String()
	if r.accept("to") {
		if run.From.IsRange() {
			r.unreadable(run.From.Span, "write the range alone, as "+key+" "+from+": ITEM", "`%s` is a chain already and takes no `to`", clip(from))
			return false
		}
		to, ok := r.name("to", "the name `"+key+" "+clip(from)+"` ends at")
		run.To = Ref{First: to, Span: to.Span}
		return ok
	}
	if run.From.IsRange() {
		return true
	}
	t := r.peek()
	if t.kind == tokWord && isName(t.text) && !isReserved(t.text) && words().items[t.text] == itemUnknown {
		r.unreadable(t.span(), "write `to "+t.text+"`", "`%s %s` lacks `to` before `%s`", key, clip(from), clip(t.text))
		r.i++
		run.To = Ref{First: t.word(), Span: t.span()}
		r.loose = true
		return true
	}
	r.unreadable(run.From.Span, "the form is "+StatementForm(key), "`%s %s` does not say where it goes", key, clip(from))
	return false
}

// runHead reads size, material and marks in any order, up to the colon.
func (r *reader) runHead(run *Run) (colon bool) {
	key := run.Key.Text
	for !r.done() {
		t := r.peek()
		switch {
		case t.kind == tokColon:
			r.i++
			return true
		case t.kind == tokComma || t.kind == tokWord && words().items[t.text] != itemUnknown:
			r.unreadable(t.span(), "write a colon before the first item", "the items of `%s` stand after a colon", key)
			if t.kind == tokComma {
				r.i++
			}
			return false
		case t.kind == tokSolve:
			r.i++
			if run.Solve.Text != "" || run.Size.Kind != quantity.None {
				r.twice(t, "a size")
				continue
			}
			run.Solve = t.word()
		case t.kind != tokWord:
			r.i++
			r.unknown(t, "a run takes", words().allWords)
		case t.text == "as":
			r.i++
			if tag, ok := r.name("as", "a tag"); ok {
				if run.Tag.Text != "" {
					r.twice(t, "a tag")
				}
				run.Tag = tag
			} else if r.peek().kind == tokWord {
				r.i++
			}
		case t.text == "existing":
			r.i++
			run.Existing = true
		case t.text == "system":
			r.i++
			r.claim(run)
		case words().isMaterial[t.text]:
			r.i++
			if run.Material.Text != "" {
				r.twice(t, "a material")
				continue
			}
			run.Material = t.word()
		default:
			at := r.i
			if r.runSize(run); r.i == at {
				r.i++
			}
		}
	}
	return false
}

func (r *reader) twice(t *token, what string) {
	r.unreadable(t.span(), "keep one of the two; a change of size is a new point", "`%s` has %s already", r.stmt, what)
}

func (r *reader) claim(run *Run) {
	t := r.peek()
	if r.isChoice(words().claims) {
		run.Claim = r.next().word()
		return
	}
	if t.kind == tokWord && isName(t.text) {
		r.unknown(t, "`system` takes", words().claims)
		r.i++
		return
	}
	r.missing("system", oneOf("one of", words().claims), "write one of these")
}

func (r *reader) runSize(run *Run) {
	t := r.peek()
	if c := t.text[0]; !isDigit(c) && c != '-' && c < 0x80 {
		r.i++
		r.unknown(t, "a run takes a size, as TAG, existing, system, or a material:", words().materials)
		return
	}
	if _, ok := quantity.Parse(t.text); !ok && isName(t.text) {
		r.i++
		r.unknown(t, "a run takes a size or a material:", words().materials)
		return
	}
	q, ok := r.size(r.stmt)
	if !ok {
		return
	}
	if run.Size.Kind != quantity.None || run.Solve.Text != "" {
		r.twice(t, "a size")
		return
	}
	run.Size = q
}

// items reads the items behind the colon, in order.
func (r *reader) items(run *Run, colon bool) {
	commas := 0
	for i := r.i; i < len(r.toks); i++ {
		if r.toks[i].kind == tokComma {
			commas++
		}
	}
	if colon && r.done() {
		r.unreadable(r.toks[r.i-1].span(), "write its items, or take the colon out", "`%s` has a colon and no items", r.stmt)
		return
	}
	items := make([]Item, 0, min(commas+1, 64))
	defer func() {
		if len(items) > 0 {
			run.Items = items
		}
	}()
	due := colon // an item must follow
	for {
		switch t := r.peek(); t.kind {
		case tokComma:
			r.i++
			if due {
				r.unreadable(t.span(), "write the item, or take the comma out", "an item is missing before the comma")
			}
			due = true
			continue
		case tokEnd:
			if due {
				r.unreadable(r.toks[r.i-1].span(), "write the item, or take the comma out", "an item is missing after the comma")
			}
			return
		}
		due = false
		if item, ok := r.item(); ok {
			items = append(items, item)
		}
		if t := r.peek(); t.kind != tokComma && t.kind != tokEnd {
			if t.kind == tokWord && words().items[t.text] != itemUnknown {
				r.report(ruleUnreadable, t.span(), "a comma is missing before `"+t.text+"`", "write a comma", "")
				continue
			}
			r.unknown(t, "an item ends here with a comma; it takes no", nil)
			r.skipItem()
		}
	}
}

func (r *reader) skipItem() {
	for k := r.peek().kind; k != tokComma && k != tokEnd; k = r.peek().kind {
		r.i++
	}
}

// item reads one item. Words it cannot use are reported and passed over.
func (r *reader) item() (Item, bool) {
	t := r.peek()
	class := itemUnknown
	if t.kind == tokWord {
		class = words().items[t.text]
	}
	item := Item{Word: t.word(), Aim: aimless}
	ok := true
	switch class {
	case itemUnknown:
		r.unknownItem(t)
		return item, false
	case itemDevice:
		r.i++
		item.Kind = Device
		r.device(&item)
	case itemTurn:
		r.i++
		item.Kind = Turn
	case itemPicksUp:
		r.i++
		item.Kind = PicksUp
		item.Aim = &Aim{}
		item.Ref, ok = r.ref("picks-up", "the point it passes")
	case itemEnters:
		r.i++
		item.Kind = Enters
		item.Aim = &Aim{}
		item.Side, ok = r.side()
	default:
		r.i++
		item.Kind = Leg
		r.leg(&item, class)
	}
	if !ok {
		r.skipItem()
	}
	item.Span = r.from(t.start)
	return item, ok
}

func (r *reader) unknownItem(t *token) {
	if t.kind == tokWord {
		if v, ok := quantity.Parse(t.text); ok {
			r.unreadable(t.span(), "write the direction before it, as east "+clip(v.Canonical()), "`%s` stands without a direction", clip(t.text))
			r.skipItem()
			return
		}
	}
	if t.kind == tokWord && t.text == "to" {
		r.unreadable(t.span(), "write the direction before it, as down to suit", "`to` stands without a direction")
		r.skipItem()
		return
	}
	if t.kind == tokWord && (t.text == "fall" || t.text == "drop" || attrTables()["leg"].find(t.text) != nil) {
		r.report(ruleUnreadable, t.span(), "`"+t.text+"` is a mark of a leg and no item of its own", "take out the comma before it", "")
		r.skipItem()
		return
	}
	v := words()
	switch near := Nearest(t.text, v.itemsAndFittings); {
	case t.kind != tokWord || near == "":
		r.unknown(t, "an item begins with a direction such as east, up or up-east, with over, picks-up, enters, or with one of", v.devicesAndTurns)
	case near == t.text:
		r.report(ruleWord, t.span(), "`"+near+"` stands at a point, not between the legs of a run", "name the point and write `fitting NAME "+near+"`", "")
	default:
		r.unknown(t, "", v.itemsAndFittings)
	}
	r.skipItem()
}

func (r *reader) side() (Word, bool) {
	sides := []string{"top", "side", "heel"}
	if r.isChoice(sides) {
		return r.next().word(), true
	}
	if t := r.peek(); t.kind == tokWord {
		r.unknown(t, "`enters` takes", sides)
		return Word{}, false
	}
	r.missing("enters", "top, side or heel", "write one of these")
	return Word{}, false
}

// device reads the settings of a device.
func (r *reader) device(item *Item) {
	table := attrTables().deviceTable(item.Word.Text)
	a := attrReader{reader: r, table: table, owner: item.Word.Text}
	for a.peek().kind != tokComma && !r.done() {
		if a.take() || a.takeUnknown() {
			continue
		}
		t := r.peek()
		if t.kind == tokWord && words().items[t.text] != itemUnknown {
			break
		}
		r.strangeSetting(&a, t)
	}
	item.Attrs = a.out
	for i := range table.specs {
		spec := &table.specs[i]
		if _, ok := FindAttr(a.out, spec.Key); spec.Required && !ok && !r.reportedSince(item.Word.Span.Start) {
			r.sizing = spec.operands[0].kind == wantSize
			need := oneOf("one of", spec.Words)
			if spec.Quantity != quantity.None {
				need = r.sample(spec.Quantity)
			}
			r.sizing = false
			r.unreadable(item.Word.Span, "write it after `"+item.Word.Text+"`", "`%s` needs %s", item.Word.Text, need)
		}
	}
}

// reportedSince tells whether a problem lies at or after that offset.
func (r *reader) reportedSince(offset int) bool {
	n := len(r.problems)
	return n > 0 && r.problems[n-1].Span.Start >= offset
}

func (r *reader) strangeSetting(a *attrReader, t *token) {
	if v, ok := quantity.Parse(t.text); ok && t.kind == tokWord {
		r.i++
		for i := range a.table.specs {
			if s := &a.table.specs[i]; s.Positional && s.Quantity != quantity.None {
				r.i--
				r.sizing = s.operands[0].kind == wantSize
				r.qty(a.owner, s.Quantity)
				r.sizing = false
				return
			}
		}
		r.unreadable(t.span(), "take it out", "`%s` takes no %s", a.owner, strings.TrimPrefix(strings.TrimPrefix(v.Kind.String(), "a "), "an "))
		return
	}
	r.i++
	if len(a.table.words) == 0 {
		r.unknown(t, "`"+a.owner+"` ends with a comma here", nil)
	} else {
		r.unknown(t, "`"+a.owner+"` takes", a.table.words)
	}
	r.skipValues()
}
