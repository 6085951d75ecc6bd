package answer

import (
	"slices"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lint"
	"crownweir/lint/rule"
)

// Hover is what to say of the word at a place, as markdown, with the span it
// speaks of. ok is false where there is nothing to say. What is found at the
// place is told whatever the word is.
func Hover(p *Plan, path string, offset int) (markdown string, at system.Loc, ok bool) {
	f := p.file(path)
	if f == nil {
		return "", system.Loc{}, false
	}
	offset = f.clamp(offset)
	h := hover{Plan: p, names: p.look()}
	var unlock func()
	h.facts, h.c, unlock = p.lock()
	defer unlock()
	var span grammar.Span
	if s, found := f.at(offset); found {
		if pt, in := h.names.partAt(s, offset); in {
			h.part(s, pt)
			span = pt.span
		} else if w, in := f.wordAt(offset); in {
			h.word(s, w.text)
			span = w.span()
		}
	}
	h.rest(f, offset, &span)
	out := h.out.String()
	if out == "" {
		return "", system.Loc{}, false
	}
	if h.limits || len(h.told) > 0 {
		out += "\n\n" + p.closing()
	}
	return out, f.loc(span), true
}

// hover gathers what is said of one word.
type hover struct {
	*Plan
	names  *names
	facts  *facts
	c      *rule.Case
	out    text
	told   []*lint.Finding
	limits bool // it speaks of limits of a code
}

// tell adds findings that were not told yet.
func (h *hover) tell(list []*lint.Finding) {
	for _, f := range list {
		if !slices.Contains(h.told, f) {
			h.told = append(h.told, f)
			h.out.findings([]*lint.Finding{f})
		}
	}
}

// rest tells what is found at the place itself.
func (h *hover) rest(f *file, offset int, span *grammar.Span) {
	if f.stale {
		return
	}
	for _, fd := range h.findings(h.facts, f.loc(grammar.Span{Start: offset, End: offset})) {
		at := findingSpan(fd)
		if at.Start > offset || offset >= at.End && at.End > at.Start {
			continue
		}
		if span.End == span.Start {
			*span = at
		}
		h.tell([]*lint.Finding{fd})
	}
}

func (h *hover) part(s placed, pt part) {
	s = s.own()
	switch pt.role {
	case roleKeyword:
		h.keyword(pt.text)
	case roleRule:
		h.out.para("%s", h.pageOf(pt.text))
	case roleKind:
		h.kind(s, pt)
	case roleSize, roleSolve:
		h.size(s, pt)
	case roleQuantity:
		h.quantity(s, pt)
	case roleName:
		h.name(pt)
	case roleDevice:
		if pt.text == "trap" {
			h.trap(s, pt)
			return
		}
		h.item(s, pt)
	case roleTurn, roleDirection:
		h.item(s, pt)
	case roleFitting, roleAttr, roleChoice, roleUnknown:
		h.wordOf(s, pt)
	case roleMaterial:
		h.material(s, pt.text)
	case roleBook:
		h.codeBook()
	}
}

// keyword tells a statement's form and what it is for.
func (h *hover) keyword(word string) {
	form := grammar.StatementForm(word)
	if form == "" {
		return
	}
	h.out.para("```weir\n%s\n```", form)
	if say := meaningOf(word); say != "" {
		h.out.para("%s", say)
	}
	if list := grammar.AttrSpecs(word); len(list) > 0 && !isRun(word) {
		var forms []string
		for _, a := range list {
			forms = append(forms, "`"+a.Form+"`")
		}
		h.out.para("takes %s", listed(forms, 40))
	}
}

// codeBook tells under which book the plan is judged.
func (h *hover) codeBook() {
	if h.c == nil {
		return
	}
	b := h.Report.Book
	h.out.para("**%s**, edition %d", b.Title, b.Edition)
	if len(b.Amendments) > 0 {
		h.out.line("amended by %s", listed(b.Amendments, 6))
	} else {
		h.out.line("no amendments")
	}
	h.out.line("%s used on this plan, %d of them from memory", plural(b.LimitsUsed, "limit", "limits"), b.FromMemory)
	h.limits = true
}
