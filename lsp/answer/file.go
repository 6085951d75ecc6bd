package answer

import (
	"maps"
	"slices"
	"sort"
	"sync"

	"crownweir/grammar"
	"crownweir/grammar/system"
)

// file is one file with its statements in order, those in typicals too.
type file struct {
	path   string
	source string
	parsed *grammar.File
	stmts  []placed
	// stale: the text is not the one that was judged, so that nothing worked
	// out belongs to its places.
	stale bool

	mapOnce sync.Once
	mapper  *grammar.Mapper

	fenceOnce, headerOnce, legOnce sync.Once
	fenced                         []fence
	header                         map[string][]int // where header lines begin
	leg                            []legLength

	// before is the file as it was checked where only the gap in it was read
	// anew: the statements are those of the gap, counted from where it begins.
	before *file
	gap    gap
}

// placed is a statement, the typical it stands in, and the file.
type placed struct {
	grammar.Statement
	file    *file
	typical *grammar.Typical // nil outside typicals
}

// scope is the name of the typical a statement stands in, or "".
func (s placed) scope() string {
	if s.typical == nil {
		return ""
	}
	return s.typical.Name.Text
}

// place is where a statement begins: what tells it from all others.
type place struct {
	file  string
	start int
}

// own is the statement itself, or the one that an exception puts in a copy.
func (s placed) own() placed {
	if ex, ok := s.Statement.(*grammar.Except); ok && ex.With != nil {
		s.Statement = ex.With
	}
	return s
}

func (s placed) place() place { return place{s.file.path, s.Pos().Start} }

func newFile(path string, parsed *grammar.File) *file {
	f := &file{path: path, source: parsed.Source, parsed: parsed, stmts: make([]placed, 0, len(parsed.Statements))}
	for _, s := range parsed.Statements {
		f.stmts = append(f.stmts, placed{s, f, nil})
		if t, ok := s.(*grammar.Typical); ok {
			for _, inner := range t.Body {
				f.stmts = append(f.stmts, placed{inner, f, t})
			}
		}
	}
	return f
}

// at is the innermost statement that an offset stands in or on the end of.
func (f *file) at(offset int) (placed, bool) {
	i := sort.Search(len(f.stmts), func(i int) bool { return f.stmts[i].Pos().Start > offset }) - 1
	if i < 0 {
		return placed{}, false
	}
	s := f.stmts[i]
	switch {
	case offset <= s.Pos().End:
		return s, true
	case s.typical != nil && offset <= s.typical.Span.End: // between two lines of it
		return placed{s.typical, f, nil}, true
	}
	return placed{}, false
}

// lines counts lines and columns; made when first asked for.
func (f *file) lines() *grammar.Mapper {
	f.mapOnce.Do(func() { f.mapper = grammar.NewMapper(f.source) })
	return f.mapper
}

func (f *file) loc(span grammar.Span) system.Loc { return system.Loc{File: f.path, Span: span} }

// clamp keeps an offset within the text.
func (f *file) clamp(offset int) int { return min(max(offset, 0), len(f.source)) }

// text is what stands in a span, "" where it lies outside.
func (f *file) text(span grammar.Span) string {
	if span.Start < 0 || span.End > len(f.source) || span.Start > span.End {
		return ""
	}
	return f.source[span.Start:span.End]
}

// within tells whether an offset stands in a span or on its end.
func within(span grammar.Span, offset int) bool {
	return span.Start <= offset && offset <= span.End && span.End > span.Start
}

// overlap tells whether two spans share a byte, or one is empty and touches.
func overlap(a, b grammar.Span) bool {
	if a.Start == a.End || b.Start == b.End {
		return a.Start <= b.End && b.Start <= a.End
	}
	return a.Start < b.End && b.Start < a.End
}

// others lists the keys that are not seen, sorted.
func others[V any](m map[string]V, seen map[string]bool) []string {
	var out []string
	for _, k := range slices.Sorted(maps.Keys(m)) {
		if !seen[k] {
			out = append(out, k)
		}
	}
	return out
}
