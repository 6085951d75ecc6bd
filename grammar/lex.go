package grammar

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"crownweir/grammar/quantity"
)

// tokenKind tells the few shapes a token has. A quantity is a word here: only
// its place tells whether `45` is a number or `2x8` a stud.
type tokenKind uint8

const (
	tokEnd tokenKind = iota // after the last token
	tokWord
	tokString
	tokOpenString // a string whose closing mark is missing
	tokTuple      // `10',4'`
	tokColon
	tokComma
	tokSolve // `?`
)

// token is one token; text is unquoted for a string.
type token struct {
	kind       tokenKind
	text       string
	start, end int
}

func (t *token) span() Span { return Span{t.start, t.end} }
func (t *token) word() Word { return Word{Text: t.text, Span: t.span()} }

// lexer turns the physical lines of one statement into tokens and comments.
// It is total: every byte belongs to a token, to a comment or to a blank.
type lexer struct {
	toks     []token
	comments []Word
}

// lex reads text, which stands at offset base of its file.
func (l *lexer) lex(text string, base int) {
	l.toks, l.comments = l.toks[:0], nil
	i := 0
	for i < len(text) {
		c := text[i]
		switch {
		case c == ' ' || c == '\t' || c == '\n' || c == '\r':
			i++
		case c == '#':
			end := endOfLine(text, i)
			l.comments = append(l.comments, Word{text[i:end], Span{base + i, base + end}})
			i = end
		case c == ',':
			l.add(tokComma, text[i:i+1], base+i)
			i++
		case c == ':':
			l.add(tokColon, text[i:i+1], base+i)
			i++
		case c == '"':
			i = l.str(text, i, base)
		case c >= utf8.RuneSelf && blankAt(text, i) > 0:
			i += blankAt(text, i)
		default:
			i = l.bare(text, i, base)
		}
	}
	end := base + len(text)
	if n := len(l.toks); n > 0 {
		end = l.toks[n-1].end
	}
	l.toks = append(l.toks, token{kind: tokEnd, start: end, end: end})
}

func (l *lexer) add(kind tokenKind, text string, start int) {
	l.toks = append(l.toks, token{kind, text, start, start + len(text)})
}

// str reads a string that starts at i and gives the offset behind it.
func (l *lexer) str(text string, i, base int) int {
	escaped := false
	for j := i + 1; j < len(text); j++ {
		switch text[j] {
		case '\\':
			if j+1 < len(text) && text[j+1] == '"' {
				escaped = true
				j++
			}
		case '\n':
			return l.openString(text, i, base)
		case '"':
			inner := text[i+1 : j]
			if escaped {
				inner = strings.ReplaceAll(inner, `\"`, `"`)
			}
			l.toks = append(l.toks, token{tokString, inner, base + i, base + j + 1})
			return j + 1
		}
	}
	return l.openString(text, i, base)
}

func (l *lexer) openString(text string, i, base int) int {
	end := endOfLine(text, i)
	l.add(tokOpenString, text[i:end], base+i)
	return end
}

// bare reads a word, a quantity, a range, a tuple or `?`.
func (l *lexer) bare(text string, i, base int) int {
	end := bareEnd(text, i)
	if n := len(l.toks); n > 0 && l.toks[n-1].text == "at" && end < len(text) && text[end] == ',' {
		tupleEnd := end
		for tupleEnd < len(text) && text[tupleEnd] == ',' {
			next := bareEnd(text, tupleEnd+1)
			if next == tupleEnd+1 {
				break
			}
			tupleEnd = next
		}
		if tupleEnd > end && isTuple(text[i:tupleEnd]) {
			l.add(tokTuple, text[i:tupleEnd], base+i)
			return tupleEnd
		}
	}
	kind := tokWord
	if text[i:end] == "?" {
		kind = tokSolve
	}
	l.add(kind, text[i:end], base+i)
	return end
}

// bareEnd is the end of the unquoted token at i.
func bareEnd(text string, i int) int {
	for i < len(text) {
		c := text[i]
		if c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == ',' || c == ':' || c == '#' {
			return i
		}
		if c < utf8.RuneSelf {
			i++
			continue
		}
		if blankAt(text, i) > 0 {
			return i
		}
		_, n := utf8.DecodeRuneInString(text[i:])
		i += n
	}
	return i
}

// blankAt is the width of a blank beyond ASCII (a no-break space pasted from
// a letter) at i, or 0.
func blankAt(text string, i int) int {
	r, n := utf8.DecodeRuneInString(text[i:])
	if r != utf8.RuneError && (unicode.IsSpace(r) || r == '\uFEFF') {
		return n
	}
	return 0
}

func isTuple(text string) bool {
	for _, part := range strings.Split(text, ",") {
		if _, ok := quantity.Parse(part); !ok {
			return false
		}
	}
	return true
}

// endOfLine is the offset of the line's end at or after i, without a carriage
// return before it.
func endOfLine(text string, i int) int {
	end := len(text)
	if n := strings.IndexByte(text[i:], '\n'); n >= 0 {
		end = i + n
	}
	for end > i && text[end-1] == '\r' {
		end--
	}
	return end
}

// isName tells whether text is a name: a letter, then letters, digits, `_`,
// `-`, and `.` before a letter.
func isName(text string) bool {
	first := true
	for i := 0; i < len(text); {
		c := text[i]
		n := 1
		letter := c|0x20 >= 'a' && c|0x20 <= 'z'
		switch {
		case letter:
		case c >= '0' && c <= '9' || c == '_' || c == '-':
			if first {
				return false
			}
		case c == '.':
			if first || i+1 == len(text) {
				return false
			}
			first = true
			i++
			continue
		case c >= utf8.RuneSelf:
			r, size := utf8.DecodeRuneInString(text[i:])
			if !unicode.IsLetter(r) {
				return false
			}
			n = size
		default:
			return false
		}
		first = false
		i += n
	}
	return !first
}

// isReserved tells the words that can stand where a name stands and so are
// never names.
func isReserved(text string) bool {
	switch text {
	case "to", "at", "in", "on", "of", "as", "above", "below", "roof", "rise", "suit", "every", "no":
		return true
	}
	return false
}
