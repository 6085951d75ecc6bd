package lsp

import (
	"slices"
	"sort"
	"strings"
	"unicode/utf8"

	"go.lsp.dev/protocol"

	"crownweir/grammar"
)

// encoding is how a client counts characters in a line (LSP 3.17,
// PositionEncodingKind).
type encoding string

const (
	utf8Units  encoding = "utf-8"
	utf16Units encoding = "utf-16"
	utf32Units encoding = "utf-32"
)

// negotiate takes the first encoding of the client's list that is known;
// without a list it is UTF-16.
func negotiate(offered []string) encoding {
	for _, name := range offered {
		switch e := encoding(name); e {
		case utf8Units, utf16Units, utf32Units:
			return e
		}
	}
	return utf16Units
}

// text is a document's text with its lines. A line ends at "\n", "\r\n" or
// "\r", as the protocol counts them. It is immutable.
type text struct {
	source string
	starts []int // of each line
	mark   *mark
	edits  []replaced // the latest that led to it, the oldest first
}

// mark tells one text from all others, and keeps none of them alive.
type mark struct{ _ byte }

// replaced is a stretch of a text that gave way to one of another length.
type replaced struct {
	of             *mark // the text it was made on
	start, end, by int
}

// keptEdits is how many edits a text remembers.
const keptEdits = 128

func newText(source string) *text {
	return &text{source: source, starts: lineStarts(source, make([]int, 1, 1+strings.Count(source, "\n")), 0), mark: &mark{}}
}

// lineStarts adds to starts where lines begin in source, which stands at
// offset base.
func lineStarts(source string, starts []int, base int) []int {
	if strings.IndexByte(source, '\r') < 0 {
		for i := 0; ; {
			n := strings.IndexByte(source[i:], '\n')
			if n < 0 {
				return starts
			}
			i += n + 1
			starts = append(starts, base+i)
		}
	}
	for i := 0; i < len(source); i++ {
		switch source[i] {
		case '\r':
			if i+1 < len(source) && source[i+1] == '\n' {
				continue
			}
			fallthrough
		case '\n':
			starts = append(starts, base+i+1)
		}
	}
	return starts
}

// replace is the text with a range of bytes replaced; only the lines of the
// range are looked at anew.
func (t *text) replace(start, end int, by string) *text {
	source := t.source[:start] + by + t.source[end:]
	// a line end of two bytes may come apart or together at the seams
	first := sort.SearchInts(t.starts, max(start-1, 0)) // lines that begin before the seam stay
	if first == 0 {
		first = 1
	}
	kept := sort.SearchInts(t.starts, end+2) // lines that begin behind the seam move
	shift := len(by) - (end - start)
	starts := make([]int, first, len(t.starts)+strings.Count(by, "\n")+2)
	copy(starts, t.starts[:first])
	from := starts[first-1]
	to := len(source)
	if kept < len(t.starts) {
		to = t.starts[kept] + shift
	}
	starts = lineStarts(source[from:to], starts, from)
	if kept < len(t.starts) {
		if starts[len(starts)-1] == to { // found again as the end of what was looked at
			starts = starts[:len(starts)-1]
		}
		for _, s := range t.starts[kept:] {
			starts = append(starts, s+shift)
		}
	}
	edits := append(slices.Clone(t.edits[max(0, len(t.edits)+1-keptEdits):]), replaced{t.mark, start, end, len(by)})
	return &text{source, starts, &mark{}, edits}
}

// around are the lines of a stretch, with one before and one after.
func (t *text) around(start, end int) grammar.Span {
	first := max(sort.SearchInts(t.starts, start+1)-2, 0)
	last := min(sort.SearchInts(t.starts, end+1), len(t.starts)-1)
	from, _ := t.line(first)
	_, to := t.line(last)
	return grammar.Span{Start: from, End: to}
}

// line is the bounds of a line without its end.
func (t *text) line(n int) (start, end int) {
	start, end = t.starts[n], len(t.source)
	if n+1 < len(t.starts) {
		end = t.starts[n+1]
	}
	for end > start && (t.source[end-1] == '\n' || t.source[end-1] == '\r') {
		end--
	}
	return start, end
}

// offset is the byte a position stands at. A character behind the line's end
// is its end, a line behind the last is the end of the text, a character
// within another is the one it stands in.
func (t *text) offset(p protocol.Position, enc encoding) int {
	n := int(p.Line)
	if n >= len(t.starts) {
		return len(t.source)
	}
	start, end := t.line(n)
	line, units := t.source[start:end], int(p.Character)
	if enc == utf8Units {
		if units >= len(line) {
			return end
		}
		for units > 0 && !utf8.RuneStart(line[units]) {
			units--
		}
		return start + units
	}
	for i, r := range line {
		if units -= width(r, enc); units < 0 {
			return start + i
		}
	}
	return end
}

// position is where a byte stands; one within a line's end is the line's end.
func (t *text) position(offset int, enc encoding) protocol.Position {
	offset = min(max(offset, 0), len(t.source))
	n := sort.SearchInts(t.starts, offset+1) - 1
	start, end := t.line(n)
	line := t.source[start:min(max(offset, start), end)]
	units := len(line)
	if enc != utf8Units {
		units = 0
		for _, r := range line {
			units += width(r, enc)
		}
	}
	return protocol.Position{Line: uint32(n), Character: uint32(units)}
}

// walk is positions of offsets that mostly follow each other: it counts on from
// the one before.
type walk struct {
	text *text
	enc  encoding
	line int // that the last offset stands in
	at   int // that offset
	unit int // units of its line before it
}

func (w *walk) position(offset int) protocol.Position {
	starts := w.text.starts
	if offset < w.at || offset > len(w.text.source) {
		*w = walk{text: w.text, enc: w.enc}
		if offset < 0 || offset > len(w.text.source) {
			return w.text.position(offset, w.enc)
		}
		w.line = sort.SearchInts(starts, offset+1) - 1
		w.at = starts[w.line]
	}
	if w.line+1 < len(starts) && starts[w.line+1] <= offset {
		for range 8 { // mostly it is one of the next
			if w.line+1 < len(starts) && starts[w.line+1] <= offset {
				w.line++
			}
		}
		if w.line+1 < len(starts) && starts[w.line+1] <= offset {
			w.line = sort.SearchInts(starts, offset+1) - 1
		}
		w.at, w.unit = starts[w.line], 0
	}
	_, end := w.text.line(w.line)
	to := min(offset, end)
	if stretch := w.text.source[w.at:max(to, w.at)]; w.enc == utf8Units {
		w.unit += len(stretch)
	} else {
		for _, r := range stretch {
			w.unit += width(r, w.enc)
		}
	}
	w.at = max(to, w.at)
	return protocol.Position{Line: uint32(w.line), Character: uint32(w.unit)}
}

func width(r rune, enc encoding) int {
	if enc == utf16Units && r >= 0x10000 {
		return 2
	}
	return 1
}

// span is a range of the client's for one of bytes.
func (t *text) span(s grammar.Span, enc encoding) protocol.Range {
	return protocol.Range{Start: t.position(s.Start, enc), End: t.position(s.End, enc)}
}

// bytes is the range of bytes for one of the client's.
func (t *text) bytes(r protocol.Range, enc encoding) grammar.Span {
	start, end := t.offset(r.Start, enc), t.offset(r.End, enc)
	return grammar.Span{Start: min(start, end), End: max(start, end)}
}

// after is the offset behind the character at an offset.
func (t *text) after(offset int) int {
	_, n := utf8.DecodeRuneInString(t.source[offset:])
	return offset + n
}

// before is the offset of the character that ends at an offset.
func (t *text) before(offset int) int {
	_, n := utf8.DecodeLastRuneInString(t.source[:offset])
	return offset - n
}
