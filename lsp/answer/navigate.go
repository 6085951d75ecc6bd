package answer

import (
	"path"
	"sort"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/system"
)

// symbolAt is the symbol written at a place, with where it stands there.
func (p *Plan) symbolAt(path string, offset int) (pt part, at system.Loc, ok bool) {
	f := p.file(path)
	if f == nil {
		return part{}, system.Loc{}, false
	}
	s, found := f.at(f.clamp(offset))
	if !found {
		return part{}, system.Loc{}, false
	}
	pt, ok = p.look().partAt(s, f.clamp(offset))
	return pt, f.loc(pt.span), ok && pt.role == roleName
}

// Definition is where the name at a place is made: its own line, or the run
// that first names a point. The file that an include names is its first line.
func Definition(p *Plan, path string, offset int) []system.Loc {
	if at, ok := p.includeAt(path, offset); ok {
		return []system.Loc{at}
	}
	pt, _, ok := p.symbolAt(path, offset)
	if !ok {
		return nil
	}
	if m, ok := p.written().first(pt.sym); ok {
		return []system.Loc{m.loc}
	}
	return nil
}

// includeAt is the beginning of the file that an include at a place names.
func (p *Plan) includeAt(from string, offset int) (system.Loc, bool) {
	f := p.file(from)
	if f == nil {
		return system.Loc{}, false
	}
	s, ok := f.at(f.clamp(offset))
	if !ok {
		return system.Loc{}, false
	}
	inc, ok := s.Statement.(*grammar.Include)
	if !ok || !within(inc.Path.Span, offset) {
		return system.Loc{}, false
	}
	target := besides(from, inc.Path.Text)
	if p.file(target) == nil {
		return system.Loc{}, false
	}
	return system.Loc{File: target}, true
}

// besides is the path of a file named in another.
func besides(from, name string) string {
	return path.Join(path.Dir(from), strings.ReplaceAll(name, `\`, "/"))
}

// References lists every place at which the name at a place is written, in
// the order of the files; with the places that make it where declaration is
// set.
func References(p *Plan, path string, offset int, declaration bool) []system.Loc {
	pt, _, ok := p.symbolAt(path, offset)
	if !ok {
		return nil
	}
	var out []system.Loc
	for _, m := range p.written().mentions[pt.sym] {
		if declaration || !m.decl {
			out = append(out, m.loc)
		}
	}
	return out
}

// A Mark is one place to highlight. Write is set where the name is made.
type Mark struct {
	At    system.Loc
	Write bool
}

// Highlight lists the places in the same file at which the name at a place is
// written.
func Highlight(p *Plan, path string, offset int) []Mark {
	pt, _, ok := p.symbolAt(path, offset)
	if !ok {
		return nil
	}
	var out []Mark
	for _, m := range p.written().mentions[pt.sym] {
		if m.loc.File == path {
			out = append(out, Mark{m.loc, m.decl})
		}
	}
	return out
}

// A Link is a span that leads to a file.
type Link struct {
	At      system.Loc
	Target  string // path of the file, in the plan's folder tree
	Tooltip string
}

// Links lists the files that a file names: includes and amendments.
func Links(p *Plan, path string) []Link {
	f := p.file(path)
	if f == nil {
		return nil
	}
	var out []Link
	add := func(w grammar.Word, tip string) {
		target := besides(path, w.Text)
		if w.Text == "" || target == ".." || strings.HasPrefix(target, "../") || strings.HasPrefix(target, "/") {
			return
		}
		span := w.Span // what stands between the quotation marks
		if span.End-span.Start >= 2 && f.source[span.Start] == '"' {
			span.Start++
			if f.source[span.End-1] == '"' {
				span.End--
			}
		}
		out = append(out, Link{f.loc(span), target, tip})
	}
	for _, s := range f.stmts {
		switch st := s.Statement.(type) {
		case *grammar.Include:
			add(st.Path, "open what is included")
		case *grammar.Code:
			for _, a := range st.Amended {
				add(a, "open the amendments")
			}
		}
	}
	return out
}

// sortLocs orders places by the order of files, then by where they stand.
func (p *Plan) sortLocs(list []system.Loc) {
	rank := map[string]int{}
	for i, path := range p.paths() {
		rank[path] = i
	}
	sort.SliceStable(list, func(i, j int) bool {
		if list[i].File != list[j].File {
			return rank[list[i].File] < rank[list[j].File]
		}
		return list[i].Span.Start < list[j].Span.Start
	})
}
