package answer

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
)

// tokenKind tells the few shapes of a word in broken text as well as whole.
type tokenKind uint8

const (
	tokWord tokenKind = iota
	tokText           // a text, whether or not it is closed
	tokComma
	tokColon
	tokComment
)

// token is one word of a line as it is written.
type token struct {
	kind       tokenKind
	text       string
	start, end int
}

func (t token) span() grammar.Span { return grammar.Span{Start: t.start, End: t.end} }

// lex cuts a span of a text into words. The grammar reads whole statements;
// this reads what is only half written.
func lex(source string, from, to int) []token { return lexInto(nil, source, from, to) }

// lexInto appends the words to a list.
func lexInto(out []token, source string, from, to int) []token {
	from, to = max(from, 0), min(to, len(source))
	for i := from; i < to; {
		if n := blank(source, i); n > 0 {
			i += n
			continue
		}
		t := token{start: i}
		switch source[i] {
		case '#':
			t.kind, i = tokComment, lineEnd(source, i)
		case ',':
			t.kind = tokComma
			i++
		case ':':
			t.kind = tokColon
			i++
		case '"':
			t.kind, i = tokText, textEnd(source, i)
		default:
			i = wordEnd(source, i)
			if len(out) > 0 && out[len(out)-1].text == "at" {
				i = tupleEnd(source, t.start, i)
			}
		}
		i = min(i, to)
		t.end, t.text = i, source[t.start:i]
		out = append(out, t)
	}
	return out
}

// blank is the width of a blank or line end at i, 0 where there is none.
func blank(source string, i int) int {
	switch c := source[i]; {
	case c == ' ' || c == '\t' || c == '\n' || c == '\r':
		return 1
	case c < utf8.RuneSelf:
		return 0
	}
	r, n := utf8.DecodeRuneInString(source[i:])
	if r != utf8.RuneError && (unicode.IsSpace(r) || r == '\uFEFF') {
		return n
	}
	return 0
}

func lineEnd(source string, i int) int {
	end := len(source)
	if n := strings.IndexByte(source[i:], '\n'); n >= 0 {
		end = i + n
	}
	for end > i && source[end-1] == '\r' {
		end--
	}
	return end
}

func textEnd(source string, i int) int {
	for j := i + 1; j < len(source); j++ {
		switch source[j] {
		case '\\':
			if j+1 < len(source) && source[j+1] == '"' {
				j++
			}
		case '\n':
			return lineEnd(source, i)
		case '"':
			return j + 1
		}
	}
	return lineEnd(source, i)
}

func wordEnd(source string, i int) int {
	for i < len(source) {
		switch c := source[i]; {
		case c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == ',' || c == ':' || c == '#':
			return i
		case c < utf8.RuneSelf:
			i++
			continue
		}
		if blank(source, i) > 0 {
			return i
		}
		_, n := utf8.DecodeRuneInString(source[i:])
		i += n
	}
	return i
}

// tupleEnd is the end of a pair or triple such as `10',4'` that begins at
// start, else the end of its first word.
func tupleEnd(source string, start, end int) int {
	all := end
	for all < len(source) && source[all] == ',' {
		next := wordEnd(source, all+1)
		if next == all+1 {
			break
		}
		all = next
	}
	for _, part := range strings.Split(source[start:all], ",") {
		if _, ok := quantity.Parse(part); !ok {
			return end
		}
	}
	return all
}

// wordAt is the word an offset stands in, else the one it stands on the end of.
func (f *file) wordAt(offset int) (token, bool) {
	start := strings.LastIndexByte(f.source[:offset], '\n') + 1
	var found token
	ok := false
	for _, t := range lex(f.source, start, lineEnd(f.source, offset)) {
		if t.kind == tokWord && t.start <= offset && (offset < t.end || offset == t.end && !ok) {
			found, ok = t, true
		}
	}
	return found, ok
}
