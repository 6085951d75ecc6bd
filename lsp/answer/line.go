package answer

import (
	"strings"

	"crownweir/grammar"
)

// line is a statement as it stands in the text around a place, whole or broken:
// its words, and those of them that stand before the place.
type line struct {
	file    *file
	start   int // of its first word
	tokens  []token
	typical *grammar.Typical // it stands in, or nil
}

// lineBefore finds the physical lines of the statement that an offset stands
// in: back to the line that it begins on, and on over the lines that continue
// it. ok is false inside a comment.
func (f *file) lineBefore(offset int) (line, bool) {
	start := f.lineStart(offset)
	for start > 0 && f.continues(start) {
		start = f.inkAbove(start)
	}
	end := lineEnd(f.source, offset)
	for next := f.inkBelow(end); next > 0 && f.continues(next); next = f.inkBelow(end) {
		end = lineEnd(f.source, next)
	}
	l := line{file: f, start: start}
	for _, t := range lex(f.source, start, end) {
		if t.kind != tokComment {
			l.tokens = append(l.tokens, t)
		} else if t.start < offset && offset <= t.end {
			return l, false
		}
	}
	l.typical = f.typicalAt(offset)
	return l, true
}

func (f *file) lineStart(offset int) int { return strings.LastIndexByte(f.source[:offset], '\n') + 1 }

// inkAbove is the start of the nearest line above that is neither blank nor a
// remark; 0 where there is none.
func (f *file) inkAbove(start int) int {
	for start > 0 {
		start = f.lineStart(start - 1)
		if f.ink(start) {
			break
		}
	}
	return start
}

// inkBelow is the start of the nearest line below that is neither blank nor a
// remark; 0 where there is none.
func (f *file) inkBelow(end int) int {
	for {
		n := strings.IndexByte(f.source[end:], '\n')
		if n < 0 || end+n+1 >= len(f.source) {
			return 0
		}
		start := end + n + 1
		if f.ink(start) {
			return start
		}
		end = lineEnd(f.source, start)
	}
}

func (f *file) ink(start int) bool {
	text := strings.TrimLeft(f.source[start:lineEnd(f.source, start)], " \t")
	return text != "" && text[0] != '#'
}

// continues tells whether a physical line belongs to the statement above it.
func (f *file) continues(start int) bool {
	text := f.source[start:lineEnd(f.source, start)]
	trimmed := strings.TrimLeft(text, " \t")
	if trimmed == text {
		return false
	}
	above := ""
	if start > 0 {
		up := f.inkAbove(start)
		above = strings.TrimRight(f.source[up:lineEnd(f.source, up)], " \t")
	}
	if strings.HasSuffix(above, ",") || strings.HasSuffix(above, ":") {
		return true
	}
	// an indented line that begins with a keyword is a statement of its own
	return trimmed != "" && trimmed[0] != '#' && grammar.StatementForm(trimmed[:wordEnd(trimmed, 0)]) == ""
}
