package grammar

import (
	"sort"
	"strings"
	"unicode/utf8"
)

// Mapper turns byte offsets of one source into lines and columns and back. It
// is the only place where positions are counted.
type Mapper struct {
	source string
	starts []int // of each line
}

// NewMapper indexes the lines of source.
func NewMapper(source string) *Mapper {
	m := &Mapper{source: source, starts: make([]int, 1, 1+strings.Count(source, "\n"))}
	for i := 0; i < len(source); {
		n := strings.IndexByte(source[i:], '\n')
		if n < 0 {
			break
		}
		i += n + 1
		m.starts = append(m.starts, i)
	}
	return m
}

// Lines is the number of lines; a source that ends in a line end has an empty
// last one.
func (m *Mapper) Lines() int { return len(m.starts) }

// Position is the line and column of a byte offset, both from 1, the column
// in Unicode code points. An offset outside the source counts as its nearest
// end.
func (m *Mapper) Position(offset int) (line, column int) {
	offset = min(max(offset, 0), len(m.source))
	i := m.lineIndex(offset)
	return i + 1, utf8.RuneCountInString(m.source[m.starts[i]:offset]) + 1
}

// PositionUTF16 is the line and character of a byte offset, both from 0, the
// character in UTF-16 code units.
func (m *Mapper) PositionUTF16(offset int) (line, character int) {
	offset = min(max(offset, 0), len(m.source))
	i := m.lineIndex(offset)
	for _, r := range m.source[m.starts[i]:offset] {
		character += utf16Width(r)
	}
	return i, character
}

// PositionUTF8 is the line and byte of a byte offset, both from 0.
func (m *Mapper) PositionUTF8(offset int) (line, character int) {
	offset = min(max(offset, 0), len(m.source))
	i := m.lineIndex(offset)
	return i, offset - m.starts[i]
}

// Offset is the byte offset of a line and column counted as Position does. A
// column behind the line's end gives its end.
func (m *Mapper) Offset(line, column int) int {
	if line < 1 {
		return 0
	}
	if line > len(m.starts) {
		return len(m.source)
	}
	start := m.starts[line-1]
	for i := range m.LineText(line) {
		if column <= 1 {
			return start + i
		}
		column--
	}
	return start + len(m.LineText(line))
}

// OffsetUTF16 is the byte offset of a line and character counted as
// PositionUTF16 does. A character behind the line's end gives its end.
func (m *Mapper) OffsetUTF16(line, character int) int {
	if line < 0 {
		return 0
	}
	if line >= len(m.starts) {
		return len(m.source)
	}
	start, text := m.starts[line], m.LineText(line+1)
	for i, r := range text {
		if character <= 0 {
			return start + i
		}
		character -= utf16Width(r)
	}
	return start + len(text)
}

// OffsetUTF8 is the byte offset of a line and byte counted as PositionUTF8
// does.
func (m *Mapper) OffsetUTF8(line, character int) int {
	if line < 0 {
		return 0
	}
	if line >= len(m.starts) {
		return len(m.source)
	}
	return m.starts[line] + min(max(character, 0), len(m.LineText(line+1)))
}

// LineText is the text of a line, counted from 1, without its line end; ""
// for a line that is not there.
func (m *Mapper) LineText(line int) string {
	if line < 1 || line > len(m.starts) {
		return ""
	}
	end := len(m.source)
	if line < len(m.starts) {
		end = m.starts[line] - 1
	}
	return strings.TrimSuffix(m.source[m.starts[line-1]:end], "\r")
}

func (m *Mapper) lineIndex(offset int) int {
	return sort.Search(len(m.starts), func(i int) bool { return m.starts[i] > offset }) - 1
}

func utf16Width(r rune) int {
	if r >= 0x10000 {
		return 2
	}
	return 1
}
