package grammar

import (
	"strings"
	"unicode/utf8"
)

// The limits beyond which input is refused instead of read.
const (
	mostLineBytes  = 64 << 10
	mostBlockBytes = 256 << 10 // one statement with its continuation lines
	mostFileBytes  = 16 << 20
	mostProblems   = 10_000
)

const byteOrderMark = "\uFEFF"

// block is the physical lines of one statement: from the start of its first
// line to the end of its last, comments and blank lines between included.
type block struct {
	start, end int
	indented   bool // its first line is indented
	orphan     bool // … and there is no statement above it
}

// splitter cuts a source into blocks, whole-line comments and refused lines.
type splitter struct {
	source   string
	readForm func(start, end int) bool // reads a line alone: is it a statement
	block    func(block)
	comment  func(Word)
	refused  func(Problem)

	cur     block
	last    Span // the latest line of cur
	open    bool
	stop    bool   // set by a callback: read no further
	pending []Word // comment lines that may stand inside cur
	lex     lexer
}

func (s *splitter) run() {
	i := 0
	if strings.HasPrefix(s.source, byteOrderMark) {
		i = len(byteOrderMark)
	}
	for i < len(s.source) && !s.stop {
		next := len(s.source)
		if n := strings.IndexByte(s.source[i:], '\n'); n >= 0 {
			next = i + n + 1
		}
		s.line(i, endOfLine(s.source[:next], i))
		i = next
	}
	s.flush()
}

// line takes one physical line without its end.
func (s *splitter) line(start, end int) {
	if end-start > mostLineBytes {
		s.tooLong(start, end)
		return
	}
	text := s.source[start:end]
	first := firstInk(text)
	switch {
	case first == len(text):
		return
	case text[first] == '#':
		w := Word{text[first:], Span{start + first, end}}
		if s.open {
			s.pending = append(s.pending, w)
		} else {
			s.comment(w)
		}
		return
	case text[0] != ' ' && text[0] != '\t':
		s.begin(block{start: start, end: end})
		return
	}
	if !s.open {
		s.begin(block{start: start, end: end, indented: true, orphan: true})
		return
	}
	if isKeywordAt(text[first:]) && !s.expectsMore() && s.readForm(start, s.formEnd(start, end)) {
		s.begin(block{start: start, end: end, indented: true})
		return
	}
	s.cur.end, s.last, s.pending = end, Span{start, end}, s.pending[:0]
}

func (s *splitter) begin(b block) {
	s.flush()
	s.cur, s.open, s.last = b, true, Span{b.start, b.end}
}

func (s *splitter) tooLong(start, end int) {
	s.flush() // what follows belongs to a line that is not there
	s.refuse(start, end, "a line of "+count(end-start)+" bytes is not read; the longest has "+count(mostLineBytes), "break it with continuation lines")
}

// refuse reports input that is not read, at its first character.
func (s *splitter) refuse(start, end int, message, remedy string) {
	from := start + firstInk(s.source[start:min(start+mostLineBytes, end)])
	to := min(from+1, end)
	for to < end && !utf8.RuneStart(s.source[to]) {
		to++
	}
	s.refused(Problem{Rule: ruleRefused, Span: Span{from, to}, Message: message, Remedy: remedy})
}

func (s *splitter) flush() {
	if !s.open {
		return
	}
	s.open = false
	if n := s.cur.end - s.cur.start; n > mostBlockBytes {
		s.refuse(s.cur.start, s.cur.end, "a statement of "+count(n)+" bytes is not read; the longest has "+count(mostBlockBytes), "write it as several statements")
	} else {
		s.block(s.cur)
	}
	for _, w := range s.pending {
		s.comment(w)
	}
	s.pending = s.pending[:0]
}

// expectsMore tells whether the block so far ends with a comma or a colon, so
// that the next line belongs to it whatever it begins with.
func (s *splitter) expectsMore() bool {
	return s.formEnd(s.last.Start, s.last.End) != s.last.End
}

// formEnd is the end of a line, or the place of the comma or colon it ends
// with: what stands before is a form by itself, the rest goes on below.
func (s *splitter) formEnd(start, end int) int {
	s.lex.lex(s.source[start:end], start)
	if n := len(s.lex.toks); n > 1 && (s.lex.toks[n-2].kind == tokComma || s.lex.toks[n-2].kind == tokColon) {
		return s.lex.toks[n-2].start
	}
	return end
}

// firstInk is the offset of the first byte that is no blank.
func firstInk(text string) int {
	for i := 0; i < len(text); {
		c := text[i]
		switch {
		case c == ' ' || c == '\t' || c == '\r' || c == '\n':
			i++
		case c >= utf8.RuneSelf && blankAt(text, i) > 0:
			i += blankAt(text, i)
		default:
			return i
		}
	}
	return len(text)
}

func isKeywordAt(text string) bool {
	_, ok := words().forms[text[:bareEnd(text, 0)]]
	return ok
}

// count prints a number with a comma at the thousands.
func count(n int) string {
	digits := []byte(nil)
	for i := 0; n > 0 || i == 0; i++ {
		if i > 0 && i%3 == 0 {
			digits = append([]byte{','}, digits...)
		}
		digits = append([]byte{byte('0' + n%10)}, digits...)
		n /= 10
	}
	return string(digits)
}
