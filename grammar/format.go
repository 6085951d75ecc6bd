package grammar

import (
	"strings"
	"unicode/utf8"

	"crownweir/grammar/quantity"
)

const (
	mostColumns  = 100 // a statement that is wider is broken
	continuation = "  "
)

// Format prints a file in its canonical layout: one statement a line from the
// first column with single blanks, broken at commas where it is wider than
// 100 columns; short forms of fixture kinds in full; keyboard marks for
// typographic ones; runs of blank lines as one. Comments stay with their
// lines. Nothing is reordered, merged or aligned, so that a change of the plan
// stays a change of one line. Lines end as the file's first line does, and a
// byte order mark is dropped.
//
// A file with an unreadable or refused line is not printed: the text is then
// "" and the problems say why.
func Format(f *File) (string, []Problem) {
	var refused []Problem
	for _, p := range f.Problems {
		if p.Rule == ruleUnreadable || p.Rule == ruleRefused {
			refused = append(refused, p)
		}
	}
	if len(refused) > 0 {
		return "", refused
	}
	p := printer{source: f.Source, kinds: map[int]string{}}
	p.findKinds(f.Statements)
	p.run()
	out := p.out.String()
	if n := strings.IndexByte(f.Source, '\n'); n > 0 && f.Source[n-1] == '\r' {
		out = strings.ReplaceAll(out, "\n", "\r\n")
	}
	return out, nil
}

// printer lays a source out anew, token by token.
type printer struct {
	source string
	kinds  map[int]string // full kinds by the offset of their short forms
	out    strings.Builder
	lex    lexer
}

// findKinds notes where a kind is written in its short form.
func (p *printer) findKinds(list []Statement) {
	for _, s := range list {
		switch s := s.(type) {
		case *Point:
			if k := s.Kind; k.Text != "" && k.Span.End-k.Span.Start != len(k.Text) {
				p.kinds[k.Span.Start] = k.Text
			}
		case *Except:
			if s.With != nil {
				p.findKinds([]Statement{s.With})
			}
		case *Typical:
			p.findKinds(s.Body)
		}
	}
}

func (p *printer) run() {
	var b blockReader
	at := 0
	s := splitter{
		source: p.source,
		readForm: func(start, end int) bool {
			return b.read(p.source[start:end], start, true).whole
		},
		block: func(bl block) {
			p.gap(at, bl.start)
			p.statement(bl)
			at = bl.end
		},
		comment: func(w Word) {
			p.gap(at, w.Span.Start)
			p.put(commentText(w))
			at = w.Span.End
		},
		refused: func(Problem) {},
	}
	s.run()
}

// gap keeps a blank line where the writer left one or more.
func (p *printer) gap(from, to int) {
	if p.out.Len() > 0 && strings.Count(p.source[from:to], "\n") > 1 {
		p.out.WriteByte('\n')
	}
}

func (p *printer) put(line string) {
	p.out.WriteString(line)
	p.out.WriteByte('\n')
}

// statement prints one statement with the comments in and behind it. With a
// comment inside, the writer's own lines are kept, each laid out by itself, so
// that every comment stays with its line.
func (p *printer) statement(bl block) {
	p.lex.lex(p.source[bl.start:bl.end], bl.start)
	toks, comments := p.lex.toks[:len(p.lex.toks)-1], p.lex.comments
	if len(toks) == 0 {
		return
	}
	if len(comments) == 0 || comments[0].Span.Start > toks[len(toks)-1].start {
		p.lines(toks, "", comments)
		return
	}
	indent := ""
	for from := bl.start; from <= bl.end; {
		to := bl.end
		if n := strings.IndexByte(p.source[from:bl.end], '\n'); n >= 0 {
			to = from + n
		}
		n, k := 0, 0
		for n < len(toks) && toks[n].start < to {
			n++
		}
		for k < len(comments) && comments[k].Span.Start < to {
			k++
		}
		if n > 0 {
			p.lines(toks[:n], indent, comments[:k])
			indent = continuation
		} else if k > 0 {
			p.put(continuation + commentText(comments[0]))
		}
		toks, comments = toks[n:], comments[k:]
		from = to + 1
	}
}

func commentText(w Word) string { return strings.TrimRight(w.Text, " \t\r") }

// lines prints tokens as one line where they fit, else broken: at commas
// where there are any, at blanks where a part alone is too wide.
func (p *printer) lines(toks []token, indent string, comments []Word) {
	cur := indent
	width := len(cur)
	wasComma := false
	for len(toks) > 0 {
		n := 1
		for n < len(toks) && toks[n-1].kind != tokComma {
			n++
		}
		texts := p.words(toks[:n])
		toks = toks[n:]
		part := utf8.RuneCountInString(strings.Join(texts, " "))
		if width > len(indent) && width+1+part > mostColumns && wasComma {
			p.put(cur)
			cur, width, indent = continuation, len(continuation), continuation
		}
		wasComma = true
		for _, w := range texts {
			wide := utf8.RuneCountInString(w)
			switch {
			case width == len(indent):
				cur, width = cur+w, width+wide
				continue
			case width+1+wide > mostColumns && !isKeywordAt(w):
				p.put(cur)
				cur, indent = continuation+w, continuation
				width = len(continuation) + wide
				continue
			}
			cur, width = cur+" "+w, width+1+wide
		}
	}
	for _, c := range comments {
		cur += " " + commentText(c)
	}
	p.put(cur)
}

// words are the texts of tokens with commas and colons joined to what they
// follow.
func (p *printer) words(toks []token) []string {
	out := make([]string, 0, len(toks))
	for i := range toks {
		t := &toks[i]
		if (t.kind == tokComma || t.kind == tokColon) && len(out) > 0 {
			out[len(out)-1] += t.text
			continue
		}
		out = append(out, p.text(t))
	}
	return out
}

func (p *printer) text(t *token) string {
	text := p.source[t.start:t.end]
	if full, ok := p.kinds[t.start]; ok {
		return full
	}
	switch t.kind {
	case tokWord:
		return canonical(text)
	case tokTuple:
		parts := strings.Split(text, ",")
		for i := range parts {
			parts[i] = canonical(parts[i])
		}
		return strings.Join(parts, ",")
	}
	return text
}

func canonical(text string) string {
	for i := range len(text) {
		if text[i] < utf8.RuneSelf {
			continue
		}
		if v, ok := quantity.Parse(text); ok {
			return v.Canonical()
		}
		break
	}
	return text
}
