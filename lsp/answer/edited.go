package answer

import (
	"maps"
	"slices"
	"sort"
	"strings"

	"crownweir/grammar"
)

// Change is a text that took the place of another, and the stretch in which
// they differ.
type Change struct {
	Source               string
	Start, Before, After int // the stretch ends at Before in the other, at After in this
}

// Edited is the plan with later texts of its files, and with what was worked
// out of those it was checked with. Completion and the forms of statements read
// it around the changes alone; other answers read its files from the beginning.
// What stands elsewhere means what it meant, though the copy that it reaches
// into, or the tag that it names, be there no more.
func (p *Plan) Edited(changes map[string]Change) *Plan {
	q := &Plan{Path: p.Path, Report: p.Report, Sources: maps.Clone(p.Sources), earlier: p, pages: map[string]*file{}}
	for path, change := range changes {
		q.Sources[path] = change.Source
		f := p.file(path)
		if f == nil || f.stale || q.pages == nil || change.Start > change.Before || change.Start > change.After || change.Before > len(f.source) ||
			len(f.source)-change.Before != len(change.Source)-change.After {
			q.pages = nil // it is another text than the one that was checked
			continue
		}
		if change.Before == change.After && change.Source == f.source {
			continue // it was put back
		}
		page := f.edited(change)
		if !page.fencedAlike() {
			q.pages = nil // what stands behind it belongs to another typical now
			continue
		}
		q.pages[path] = page
	}
	return q
}

// page is a file as far as completion reads it; nil where there is none of that
// path.
func (p *Plan) page(path string) *file {
	if p.pages == nil {
		return p.file(path)
	}
	if f := p.pages[path]; f != nil {
		return f
	}
	return p.earlier.file(path)
}

// pageNames are the names as far as completion asks for them.
func (p *Plan) pageNames() *names {
	if p.pages == nil {
		return p.written()
	}
	p.overOnce.Do(func() { p.over = p.earlier.written().edited(p.pages) })
	return p.over
}

// edited is a file of which only the statements around a change are read anew:
// from the one that begins on a line before it to the next that begins, in the
// first column, on a line behind it.
func (f *file) edited(c Change) *file {
	first := func(s placed) bool { at := s.Pos().Start; return at == 0 || f.source[at-1] == '\n' }
	i := firstFrom(f.stmts, f.lineStart(c.Start)) - 1
	for i >= 0 && !first(f.stmts[i]) {
		i--
	}
	j := firstFrom(f.stmts, lineEnd(f.source, c.Before)+1)
	for j < len(f.stmts) && !first(f.stmts[j]) {
		j++
	}
	g := gap{0, len(f.source), len(c.Source) - len(f.source)}
	if i >= 0 {
		g.start = f.stmts[i].Pos().Start
	}
	if j < len(f.stmts) {
		g.end = f.stmts[j].Pos().Start
	}
	inner := newFile(f.path, grammar.Parse(f.path, c.Source[g.start:g.end+g.by]))
	inner.stale = true
	out := &file{path: f.path, source: c.Source, stale: true, stmts: inner.stmts, before: f, gap: g}
	for i := range out.stmts {
		if _, ok := out.stmts[i].Statement.(*grammar.Typical); !ok {
			out.stmts[i].typical = out.typicalAt(out.stmts[i].Pos().Start + g.start)
		}
	}
	out.stmts = slices.DeleteFunc(out.stmts, func(s placed) bool { return s.typical != nil && !standsInTypical(s.Keyword()) })
	return out
}

// fencedAlike tells whether the typicals that begin and end in the gap are those
// that did in the earlier text.
func (f *file) fencedAlike() bool {
	names := func(list []fence, in func(at int) bool) (out []string) {
		for _, e := range list {
			switch {
			case !in(e.at):
			case e.open == nil:
				out = append(out, "")
			default:
				out = append(out, e.open.Name.Text)
			}
		}
		return out
	}
	before := names(f.before.fences(), func(at int) bool { _, ok := f.gap.since(at); return !ok })
	now := names(f.fences(), func(at int) bool { return f.gap.start <= at && at < f.gap.end+f.gap.by })
	return slices.Equal(before, now)
}

// edited are the names with those of files that were edited since: what the
// gaps held is gone, what they hold is new.
func (n *names) edited(pages map[string]*file) *names {
	now, was := newNames(), newNames()
	now.under, now.gaps, now.fresh = n, map[string]gap{}, map[symbol]bool{}
	paths := slices.Sorted(maps.Keys(pages))
	for _, path := range paths {
		f := pages[path]
		now.gaps[path] = f.gap
		for _, s := range f.stmts {
			now.declare(s)
		}
		_, gone, _ := f.before.cut(f.gap)
		for _, s := range gone {
			was.declare(s)
			n.parts(s, func(pt part) {
				if pt.role == roleName {
					now.fresh[pt.sym] = true
				}
			})
		}
	}
	for _, path := range paths {
		for _, s := range pages[path].stmts {
			now.mention(s)
		}
	}
	now.move()
	for _, list := range []*names{now, was} {
		for sym := range list.declared {
			now.fresh[sym] = true
		}
		for sym := range list.mentions {
			now.fresh[sym] = true
		}
		for key, ranges := range list.ranges {
			for _, r := range ranges {
				for _, sym := range r.symbols(key) {
					now.fresh[sym] = true
				}
			}
		}
	}
	return now
}

// move counts the places of gaps from the beginning of their file.
func (n *names) move() {
	by := func(m *mention) {
		at := n.gaps[m.loc.File].start
		m.loc.Span = grammar.Span{Start: m.loc.Span.Start + at, End: m.loc.Span.End + at}
	}
	for sym, m := range n.declared {
		by(&m)
		n.declared[sym] = m
	}
	for _, list := range n.mentions {
		for i := range list {
			by(&list[i])
		}
	}
	for _, ranges := range []map[rangeKey][]rangeOf{n.ranges, n.used} {
		for _, list := range ranges {
			for i := range list {
				by(&list[i].at)
			}
		}
	}
}

// lost tells whether a place of the check stood in what was edited since.
func (n *names) lost(m mention) bool {
	_, ok := n.gaps[m.loc.File].since(m.loc.Span.Start)
	return !ok
}

// news are the names of a space that were written or lost since the check.
func (n *names) news(in scoped) []symbol {
	var out []symbol
	for sym := range n.fresh {
		if sym.space == in.space && sym.scope == in.scope {
			out = append(out, sym)
		}
	}
	slices.SortFunc(out, func(a, b symbol) int { return compareNames(a.name, b.name) })
	return out
}

// checked are the names as the check knew them.
func (n *names) checked() *names {
	if n.under != nil {
		return n.under
	}
	return n
}

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
