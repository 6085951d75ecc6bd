package grammar

import "slices"

// parsed is what one block gave.
type parsed struct {
	statement Statement // nil where too little could be read
	problems  []Problem
	comments  []Word
	whole     bool // a statement with its form
}

// blockReader reads blocks; its buffers serve one file after another block.
type blockReader struct {
	lex lexer
}

// read reads the block's text, which stands at offset base.
func (b *blockReader) read(text string, base int, indented bool) parsed {
	b.lex.lex(text, base)
	r := reader{toks: b.lex.toks}
	var p parsed
	first := b.lex.toks[0]
	p.statement, p.whole = r.statement()
	r.openStrings()
	if indented && p.statement != nil {
		r.report(ruleIndented, first.span(), "`"+first.text+"` begins a statement and is indented", "begin it in the first column", "")
	}
	p.problems, p.comments = r.problems, b.lex.comments
	return p
}

// Parse reads one file. It never fails: what cannot be read is in Problems,
// and everything else in Statements.
func Parse(path, source string) *File {
	var b blockReader
	read := func(bl block) parsed { return b.read(source[bl.start:bl.end], bl.start, bl.indented) }
	return parse(path, source, read)
}

// parse cuts the source into blocks, has each read, and nests what stands in
// typicals.
func parse(path, source string, read func(block) parsed) *File {
	f := &File{Path: path, Source: source}
	if len(source) > mostFileBytes {
		f.Problems = []Problem{{
			Rule: ruleRefused, Span: Span{0, 0},
			Message: "a file of " + count(len(source)) + " bytes is not read; the largest has " + count(mostFileBytes),
			Remedy:  "split it and include the parts",
		}}
		return f
	}
	a := assembler{file: f}
	s := splitter{}
	s = splitter{
		source:   source,
		readForm: func(start, end int) bool { return read(block{start: start, end: end, indented: true}).whole },
		block: func(bl block) {
			p := read(bl)
			f.Comments = append(f.Comments, p.comments...)
			if bl.orphan && p.statement == nil {
				p.problems = []Problem{orphanProblem(source, bl)}
			}
			a.add(p)
			s.stop = len(f.Problems) > mostProblems
		},
		comment: func(w Word) { f.Comments = append(f.Comments, w) },
		refused: func(p Problem) { a.problems(p) },
	}
	s.run()
	a.finish()
	slices.SortStableFunc(f.Problems, func(x, y Problem) int { return x.Span.Start - y.Span.Start })
	if len(f.Problems) > mostProblems {
		at := f.Problems[mostProblems].Span
		f.Problems = append(f.Problems[:mostProblems:mostProblems], Problem{
			Rule: ruleRefused, Span: at,
			Message: "more than " + count(mostProblems) + " problems; nothing is read from here on",
			Remedy:  "see whether this is a plan at all",
		})
	}
	return f
}

func orphanProblem(source string, bl block) Problem {
	from := bl.start + firstInk(source[bl.start:bl.end])
	return Problem{
		Rule: ruleUnreadable, Span: Span{from, from + max(bareEnd(source[from:bl.end], 0), 1)},
		Message: "a line that begins with a blank continues the statement above it, and there is none",
		Remedy:  "begin it in the first column",
	}
}

// assembler nests the statements between `typical` and `end`.
type assembler struct {
	file     *File
	typical  *Typical // the open one
	dwelling bool     // … has a dwelling already
}

func (a *assembler) problems(list ...Problem) {
	a.file.Problems = append(a.file.Problems, list...)
}

func (a *assembler) add(p parsed) {
	a.problems(p.problems...)
	switch s := p.statement.(type) {
	case nil:
	case *endMark:
		a.end(s)
	case *Typical:
		a.unclosed("before typical `" + clip(s.Name.Text) + "`")
		fresh := *s
		fresh.Body, fresh.Closed = nil, false
		a.typical, a.dwelling = &fresh, false
		a.file.Statements = append(a.file.Statements, &fresh)
	default:
		if a.typical == nil {
			a.file.Statements = append(a.file.Statements, s)
			return
		}
		a.inTypical(s)
	}
}

func (a *assembler) inTypical(s Statement) {
	if !mayStandInTypical(s.Keyword()) {
		a.problems(Problem{
			Rule: ruleUnreadable, Span: keySpan(s),
			Message: "`" + s.Keyword() + "` cannot stand in typical `" + clip(a.typical.Name.Text) + "`; it holds fixtures, rooms, points, runs, meet, except, waive, note, place and one dwelling",
			Remedy:  "write it outside the typical",
		})
		return
	}
	if s.Keyword() == "dwelling" {
		if a.dwelling {
			a.problems(Problem{
				Rule: ruleUnreadable, Span: keySpan(s),
				Message: "typical `" + clip(a.typical.Name.Text) + "` has a second dwelling; each copy is one",
				Remedy:  "take one of them out",
			})
			return
		}
		a.dwelling = true
	}
	a.typical.Body = append(a.typical.Body, s)
}

func (a *assembler) end(s *endMark) {
	if a.typical == nil {
		a.problems(Problem{Rule: ruleUnreadable, Span: s.Span, Message: "`end` closes no typical", Remedy: "take it out"})
		return
	}
	a.typical.Closed, a.typical.End = true, s.Key
	a.typical.Span.End = s.Span.End
	a.typical = nil
}

func (a *assembler) finish() { a.unclosed("before the end of the file") }

func (a *assembler) unclosed(where string) {
	t := a.typical
	if t == nil {
		return
	}
	a.problems(Problem{
		Rule: ruleUnreadable, Span: Span{t.Key.Span.Start, t.Name.Span.End},
		Message: "typical `" + clip(t.Name.Text) + "` has no `end` " + where,
		Remedy:  "write `end` after its last statement",
	})
	if n := len(t.Body); n > 0 {
		t.Span.End = t.Body[n-1].Pos().End
	}
	a.typical = nil
}

func mayStandInTypical(keyword string) bool {
	switch keyword {
	case "main", "outfall":
		return false
	case "room", "meet", "except", "waive", "note", "place", "dwelling":
		return true
	}
	return isSystem(keyword) || isPointKeyword(keyword)
}

func keySpan(s Statement) Span {
	start := s.Pos().Start
	return Span{start, start + len(s.Keyword())}
}
