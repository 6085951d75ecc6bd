package answer

import (
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lint/sheet/rulepage"
)

// Hover is what to say of the word at a place, as markdown, with the span it
// speaks of. ok is false where there is nothing to say.
func Hover(p *Plan, path string, offset int) (markdown string, at system.Loc, ok bool) {
	f := p.file(path)
	if f == nil {
		return "", system.Loc{}, false
	}
	s, found := f.at(offset)
	if !found {
		return "", system.Loc{}, false
	}
	text, span := p.hover(f, s, offset)
	if text == "" {
		return "", system.Loc{}, false
	}
	return text, f.loc(span), true
}

func (p *Plan) hover(f *fileIndex, s placed, offset int) (string, grammar.Span) {
	if w, ok := s.Statement.(*grammar.Waive); ok && within(w.Rule.Span, offset) {
		return p.hoverRule(w.Rule.Text), w.Rule.Span
	}
	key := keySpan(s)
	if within(key, offset) {
		return hoverKeyword(s.Keyword()), key
	}
	return "", grammar.Span{}
}

// keySpan is a statement's first word.
func keySpan(s placed) grammar.Span {
	start := s.Pos().Start
	return grammar.Span{Start: start, End: start + len(s.Keyword())}
}

func (p *Plan) hoverRule(name string) string {
	r, ok := p.look().rules[name]
	if !ok {
		return ""
	}
	return strings.TrimSpace(rulepage.Markdown(r))
}

func hoverKeyword(word string) string {
	form := grammar.StatementForm(word)
	if form == "" {
		return ""
	}
	return "```weir\n" + form + "\n```"
}
