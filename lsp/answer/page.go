package answer

import (
	"iter"
	"slices"

	"crownweir/grammar"
)

// What completion reads of a file: looked up once, and of a file that was
// edited since its plan was checked only around what was edited.

// fence is where a typical begins or where it has ended.
type fence struct {
	at   int
	open *grammar.Typical // nil at an end
}

// fences lists where the typicals of a file begin and end.
func (f *file) fences() []fence {
	f.fenceOnce.Do(func() {
		if f.before != nil {
			f.fenced = f.fencesMoved()
			return
		}
		for _, s := range f.parsed.Statements {
			if t, ok := s.(*grammar.Typical); ok {
				f.fenced = append(f.fenced, fence{t.Span.Start, t})
				if t.Closed {
					f.fenced = append(f.fenced, fence{t.Span.End, nil})
				}
			}
		}
	})
	return f.fenced
}

// typicalAt is the typical that a line before an offset stands in, or nil.
func (f *file) typicalAt(offset int) (in *grammar.Typical) {
	for _, e := range f.fences() {
		if e.at >= offset {
			break
		}
		in = e.open
	}
	return in
}

// all gives the statements in their order, and where each begins in the text
// as it is.
func (f *file) all() iter.Seq2[int, placed] {
	return func(yield func(int, placed) bool) {
		for _, run := range f.stretches() {
			for _, s := range run.stmts {
				if !yield(s.Pos().Start+run.by, s) {
					return
				}
			}
		}
	}
}

// above gives the statements that begin before an offset, the last first.
func (f *file) above(offset int) iter.Seq[placed] {
	return func(yield func(placed) bool) {
		for _, run := range slices.Backward(f.stretches()) {
			for _, s := range slices.Backward(run.stmts[:firstFrom(run.stmts, offset-run.by)]) {
				if !yield(s) {
					return
				}
			}
		}
	}
}

// stretch is statements that stand by bytes further on than they say.
type stretch struct {
	stmts []placed
	by    int
}

func (f *file) stretches() []stretch {
	if f.before == nil {
		return []stretch{{f.stmts, 0}}
	}
	head, _, tail := f.before.cut(f.gap)
	return []stretch{{head, 0}, {f.stmts, f.gap.start}, {tail, f.gap.by}}
}

// empty: no statement stands in the file.
func (f *file) empty() bool {
	for range f.all() {
		return false
	}
	return true
}

// headers lists where the header lines of a keyword begin.
func (f *file) headers(word string) []int {
	f.headerOnce.Do(func() {
		f.header = map[string][]int{}
		for at, s := range f.local() {
			switch key := s.Keyword(); key {
			case "plan", "code", "occupancy", "scope", "method", "climate":
				f.header[key] = append(f.header[key], at)
			}
		}
	})
	if f.before == nil {
		return f.header[word]
	}
	list := slices.Clone(f.header[word])
	for _, at := range f.before.headers(word) {
		if to, ok := f.gap.since(at); ok {
			list = append(list, to)
		}
	}
	return list
}

// local gives the statements that are the file's own, not those of an earlier
// text.
func (f *file) local() iter.Seq2[int, placed] {
	return func(yield func(int, placed) bool) {
		for _, s := range f.stmts {
			if !yield(s.Pos().Start+f.gap.start, s) {
				return
			}
		}
	}
}

// legLength is a length of legs, and how many are of it.
type legLength struct {
	text  string
	count int
}

// legs counts the lengths of legs, in the order in which they are first met.
func (f *file) legs() []legLength {
	f.legOnce.Do(func() { f.leg = countLegs(nil, f.stmts, 1) })
	if f.before == nil {
		return slices.Clone(f.leg)
	}
	list := f.before.legs()
	_, gone, _ := f.before.cut(f.gap)
	list = countLegs(countLegs(list, gone, -1), f.stmts, 1)
	return slices.DeleteFunc(list, func(l legLength) bool { return l.count <= 0 })
}

func countLegs(list []legLength, stmts []placed, by int) []legLength {
	at := map[string]int{}
	for i, l := range list {
		at[l.text] = i
	}
	for _, s := range stmts {
		r, ok := s.Statement.(*grammar.Run)
		if !ok {
			continue
		}
		for i := range r.Items {
			t := r.Items[i].Length.Text
			if t == "" || r.Items[i].Kind != grammar.Leg {
				continue
			}
			j, met := at[t]
			if !met {
				j = len(list)
				at[t] = j
				list = append(list, legLength{text: t})
			}
			list[j].count += by
		}
	}
	return list
}
