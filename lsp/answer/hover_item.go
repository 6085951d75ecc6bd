package answer

import (
	"slices"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

// item tells of one item of a run: a leg's way and fall, a device's form, and
// where a turn may stand.
func (h *hover) item(s placed, pt part) {
	if pt.item == nil { // of copies: every south, facing east
		h.out.para("**%s**: %s", pt.text, wayOf(pt.text))
		return
	}
	word := pt.item.Word.Text
	switch pt.item.Kind {
	case grammar.Leg:
		h.out.para("**%s**: %s", word, wayOf(word))
		if !strings.HasPrefix(word, "up") && !strings.HasPrefix(word, "down") && !isWater(s.Keyword()) {
			h.out.line("takes `fall`, `drop` and marks")
		}
		if r, ok := s.Statement.(*grammar.Run); ok {
			h.leg(s, r, pt.item)
		}
	case grammar.Device:
		h.out.para("**%s**%s", word, dash(meaningOf(word)))
		if form := deviceForm(word); form != "" {
			h.out.line("`%s`", form)
		}
	case grammar.Turn:
		h.out.para("**%s**: a fitting written between two legs", word)
		h.turns(word)
	}
}

func wayOf(word string) string {
	switch {
	case word == "over":
		return "a level way that is not told; it counts for length and draws straight"
	case word == "up" || word == "down":
		return "plumb " + word
	case slices.Contains(catalog.Directions(), word) && (strings.HasPrefix(word, "up-") || strings.HasPrefix(word, "down-")):
		return "slanting at 45°; `across` before its length gives the level offset"
	}
	return "a level way"
}

// deviceForm is a device with its settings, as the notation writes it.
func deviceForm(word string) string {
	form := word
	for _, a := range grammar.AttrSpecs(word) {
		if a.Required {
			form += " " + a.Form
		} else {
			form += " [" + a.Form + "]"
		}
	}
	if form == word || word == "interceptor" {
		return ""
	}
	return form
}

// turns tells for which change of direction the book takes a fitting.
func (h *hover) turns(word string) {
	if h.c == nil {
		return
	}
	t := h.c.Book.Table("turns")
	if !t.Has(word) {
		return
	}
	h.limits = true
	for _, way := range []struct{ column, words string }{
		{"horizontal-to-vertical", "level to upright"},
		{"vertical-to-horizontal", "upright to level"},
		{"horizontal-to-horizontal", "level to level"},
	} {
		if say, cell := t.Word(word, way.column); say != "" {
			h.out.item("%s: %s%s", way.words, say, cite(cell))
		}
	}
}

// material tells of a pipe material and its bore in the run's size.
func (h *hover) material(s placed, word string) {
	h.out.para("**%s**%s", word, dash(meaningOf(word)))
	r, ok := s.Statement.(*grammar.Run)
	if !ok {
		return
	}
	size, ok := r.Size.Value.Size()
	if !ok {
		return
	}
	if bore, standard, ok := catalog.Bore(word, size); ok {
		h.out.line("bore of %s: %s in, %s mm (%s)", quantity.FormatSize(size), number(bore/inch, 3), number(bore*1000, 1), standard)
	} else {
		h.out.line("no bore is known for %s", quantity.FormatSize(size))
	}
	if h.c != nil && !isWater(r.Keyword()) {
		h.support(word, size)
	}
}

func (h *hover) support(material string, size quantity.Size) {
	t := h.c.Book.Table("support")
	level, upright := t.ByKind(material, size, "horizontal"), t.ByKind(material, size, "vertical")
	say := func(c codebook.Cell, way string) {
		if c.OK && c.Unit == "in" {
			h.limits = true
			h.out.item("supports of %s pipe: at most %s apart%s", way, length(c.Metres()), cite(c))
		}
	}
	say(level, "a level")
	say(upright, "an upright")
}

func isWater(word string) bool {
	for _, k := range []system.Kind{system.Service, system.Cold, system.Hot, system.Return} {
		if k.String() == word {
			return true
		}
	}
	return false
}

// wordOf tells of an attribute, a setting, a mark or a word of a closed list.
func (h *hover) wordOf(s placed, pt part) {
	if pt.role == roleUnknown {
		h.out.para("**unknown**: asked, and not known yet; what waits for it is undecided")
		return
	}
	if pt.role == roleFitting {
		h.out.para("**%s**: a fitting at a point%s", pt.text, "")
		h.turns(pt.text)
		return
	}
	say := meaningOf(pt.text)
	switch {
	case pt.role == roleAttr:
		say = meaningOfAttr(pt.text)
	case pt.attr != nil:
		say = meaningIn(pt.attr.Key, pt.text)
	}
	h.out.para("**%s**%s", pt.text, dash(say))
	if pt.attr != nil {
		h.attrForm(s, pt)
	}
	h.claim(s, pt)
}

func (h *hover) attrForm(s placed, pt part) {
	if form := attrForm(s, pt); form != "" && form != pt.text {
		h.out.line("`%s`", form)
	}
}

// claim tells of a method that a run claims.
func (h *hover) claim(s placed, pt part) {
	r, ok := s.Statement.(*grammar.Run)
	if !ok || r.Claim.Span != pt.span || h.c == nil {
		return
	}
	h.out.line("claims this method of venting for the run and all upstream of it")
}

// word tells of a word between the parts of a statement, such as `to`, and of
// a position.
func (h *hover) word(s placed, word string) {
	if list := strings.Split(word, ","); len(list) > 1 {
		ways := []string{"to the east", "to the north", "upwards"}
		for i, text := range list[:min(len(list), len(ways))] {
			if v, ok := quantity.Parse(text); ok {
				h.out.line("%s %s", convert(v), ways[i])
			}
		}
		return
	}
	if say := meaningOf(word); say != "" && s.Statement != nil {
		h.out.para("**%s**: %s", word, say)
	}
}
