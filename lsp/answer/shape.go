package answer

import (
	"slices"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/system"
)

// A Fold is lines that can be folded away, counted from 0; the last included.
type Fold struct {
	First, Last int
	Kind        string // "comment", "imports" or ""
}

// Folds lists what can be folded: typicals, statements and comments of several
// lines, includes that follow each other, and blocks under a comment of their
// own, as far as the next blank line.
func Folds(p *Plan, path string) []Fold {
	f := p.file(path)
	if f == nil {
		return nil
	}
	m := f.lines()
	line := func(offset int) int { l, _ := m.Position(offset); return l - 1 }
	var out []Fold
	add := func(first, last int, kind string) {
		if last > first {
			out = append(out, Fold{first, last, kind})
		}
	}
	includes := -1
	for i, s := range f.stmts {
		add(line(s.Pos().Start), line(s.Pos().End), "")
		_, inc := s.Statement.(*grammar.Include)
		switch {
		case inc && includes < 0:
			includes = i
		case !inc && includes >= 0:
			add(line(f.stmts[includes].Pos().Start), line(f.stmts[i-1].Pos().End), "imports")
			includes = -1
		}
	}
	if includes >= 0 {
		add(line(f.stmts[includes].Pos().Start), line(f.stmts[len(f.stmts)-1].Pos().End), "imports")
	}
	out = append(out, f.blocks()...)
	slices.SortStableFunc(out, func(a, b Fold) int {
		if a.First != b.First {
			return a.First - b.First
		}
		return b.Last - a.Last
	})
	return slices.CompactFunc(out, func(a, b Fold) bool { return a.First == b.First && a.Last == b.Last })
}

// blocks folds comments of several lines, and what stands under a comment that
// follows a blank line.
func (f *file) blocks() []Fold {
	m := f.lines()
	var out []Fold
	remark := func(i int) bool { return strings.HasPrefix(strings.TrimSpace(m.LineText(i+1)), "#") }
	blank := func(i int) bool { return strings.TrimSpace(m.LineText(i+1)) == "" }
	for i, n := 0, m.Lines(); i < n; i++ {
		if !remark(i) || i > 0 && !blank(i-1) {
			continue
		}
		last := i
		for last+1 < n && remark(last+1) {
			last++
		}
		end := last
		for end+1 < n && !blank(end+1) {
			end++
		}
		if last > i {
			out = append(out, Fold{i, last, "comment"})
		}
		if end > last {
			out = append(out, Fold{i, end, ""})
		}
		i = last
	}
	return out
}

// Selection lists the spans around a place, each within the next: the word,
// the attribute or item it belongs to, the items of the run, the statement, the
// typical, the file.
func Selection(p *Plan, path string, offset int) []system.Loc {
	f := p.file(path)
	if f == nil {
		return nil
	}
	offset = f.clamp(offset)
	var spans []grammar.Span
	if w, ok := f.wordAt(offset); ok {
		spans = append(spans, w.span())
	}
	if s, ok := f.at(offset); ok {
		if pt, ok := p.look().partAt(s, offset); ok {
			spans = append(spans, pt.span)
			if pt.attr != nil {
				spans = append(spans, pt.attr.Span)
			}
		}
		st := s.Statement
		if ex, ok := st.(*grammar.Except); ok && ex.With != nil && within(ex.With.Pos(), offset) {
			spans = append(spans, ex.With.Pos())
			st = ex.With
		}
		if r, ok := st.(*grammar.Run); ok {
			for _, it := range r.Items {
				if within(it.Span, offset) {
					spans = append(spans, it.Span)
				}
			}
			if n := len(r.Items); n > 0 && offset >= r.Items[0].Span.Start {
				spans = append(spans, grammar.Span{Start: r.Items[0].Span.Start, End: r.Items[n-1].Span.End})
			}
		}
		spans = append(spans, s.Pos())
		if s.typical != nil {
			spans = append(spans, s.typical.Span)
		}
	}
	spans = append(spans, grammar.Span{Start: 0, End: len(f.source)})
	slices.SortStableFunc(spans, func(a, b grammar.Span) int { return (a.End - a.Start) - (b.End - b.Start) })
	var out []system.Loc
	last := grammar.Span{Start: offset, End: offset}
	for _, s := range spans {
		if s.Start <= last.Start && s.End >= last.End && s.End-s.Start > last.End-last.Start {
			out = append(out, f.loc(s))
			last = s
		}
	}
	return out
}

// Signature is the form of the statement at a place, with the part of it that
// is being written.
type Signature struct {
	Form  string
	About string
	// Parts are spans of Form in bytes; Active is one of them, -1 for none.
	Parts  [][2]int
	Active int
}

// SignatureAt tells the form of the statement that a place stands in, whole or
// half written. ok is false where none begins before it.
func SignatureAt(p *Plan, path string, offset int) (sig Signature, ok bool) {
	f := p.page(path)
	if f == nil {
		return sig, false
	}
	offset = f.clamp(offset)
	line, in := f.lineBefore(offset)
	if !in || len(line.tokens) == 0 {
		return sig, false
	}
	toks := line.tokens
	keyword := toks[0].text
	if keyword == "except" && len(toks) > 2 && grammar.StatementForm(toks[2].text) != "" {
		toks, keyword = toks[2:], toks[2].text
	}
	form := grammar.StatementForm(keyword)
	if form == "" || offset <= toks[0].end && toks[0].end == len(f.source) {
		return sig, false
	}
	sig = Signature{Form: form, About: meaningOf(keyword), Active: -1}
	sig.Parts = formParts(form)
	sig.Active = activePart(form, sig.Parts, keyword, toks, offset)
	return sig, true
}

// formParts cuts a form into its words and bracketed parts.
func formParts(form string) [][2]int {
	var out [][2]int
	depth, start := 0, -1
	quoted := false
	for i := 0; i <= len(form); i++ {
		if i == len(form) || form[i] == ' ' && depth == 0 && !quoted {
			if start >= 0 {
				out = append(out, [2]int{start, i})
			}
			start = -1
			continue
		}
		switch form[i] {
		case '[':
			depth++
		case ']':
			depth--
		case '"':
			quoted = !quoted
		}
		if start < 0 {
			start = i
		}
	}
	return out
}

// activePart is the part of a form that stands at an offset: what follows a
// word that the form names, else the part by its number.
func activePart(form string, parts [][2]int, keyword string, toks []token, offset int) int {
	before := 0 // tokens wholly before the offset
	colon := false
	for _, t := range toks {
		if t.end < offset || t.end == offset && t.kind != tokWord && t.kind != tokText {
			before++
			colon = colon || t.kind == tokColon
		}
	}
	if before == 0 {
		return 0
	}
	if colon && isRun(keyword) {
		return len(parts) - 1
	}
	text := func(i int) string { return strings.Trim(form[parts[i][0]:parts[i][1]], "[]") }
	last := toks[min(before, len(toks))-1].text
	for i := range parts { // the word before the offset opens a part
		word, _, more := strings.Cut(text(i), " ")
		switch {
		case word != last:
		case more && strings.HasPrefix(form[parts[i][0]:], "["):
			return i
		case i+1 < len(parts):
			return i + 1
		}
	}
	if !isRun(keyword) {
		return min(before, len(parts)-1)
	}
	if before < 4 {
		return before // FROM to TO
	}
	return min(4, len(parts)-1)
}
