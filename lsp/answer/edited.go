package answer

import (
	"sort"
	"strings"

	"crownweir/grammar"
)

// gap is a stretch of an earlier text, of whole statements, in whose place
// another stands; what follows it moved by so many bytes.
type gap struct{ start, end, by int }

// since is where an offset of the earlier text went; ok is false in the gap.
func (g gap) since(offset int) (to int, ok bool) {
	switch {
	case offset < g.start:
		return offset, true
	case offset >= g.end:
		return offset + g.by, true
	}
	return 0, false
}

// firstFrom is the first statement that begins at an offset or behind it.
func firstFrom(stmts []placed, offset int) int {
	return sort.Search(len(stmts), func(i int) bool { return stmts[i].Pos().Start >= offset })
}

// cut parts the statements before a gap, in it and behind it.
func (f *file) cut(g gap) (head, gone, tail []placed) {
	i, j := firstFrom(f.stmts, g.start), firstFrom(f.stmts, g.end)
	return f.stmts[:i], f.stmts[i:j], f.stmts[j:]
}

// fencesMoved are the fences of the earlier text with those of the gap.
func (f *file) fencesMoved() []fence {
	var head, tail []fence
	for _, e := range f.before.fences() {
		switch to, ok := f.gap.since(e.at); {
		case ok && e.at < f.gap.start:
			head = append(head, e)
		case ok:
			tail = append(tail, fence{to, e.open})
		}
	}
	typicals := map[int]*grammar.Typical{}
	for _, s := range f.stmts {
		if t, ok := s.Statement.(*grammar.Typical); ok {
			typicals[t.Span.Start+f.gap.start] = t
		}
	}
	to := f.gap.end + f.gap.by
	for at := f.gap.start; at < to; at = lineEnd(f.source, at) + 1 {
		first := at + len(f.source[at:to]) - len(strings.TrimLeft(f.source[at:to], " \t"))
		if t := typicals[first]; t != nil {
			head = append(head, fence{first, t})
		} else if first < to && f.source[first:wordEnd(f.source, first)] == "end" {
			head = append(head, fence{first + len("end"), nil})
		}
	}
	return append(head, tail...)
}
