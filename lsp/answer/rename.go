package answer

import (
	"fmt"
	"sort"
	"strings"
	"unicode"
	"unicode/utf8"

	"crownweir/grammar"
	"crownweir/grammar/system"
)

// An Edit replaces a span of a file.
type Edit struct {
	At   system.Loc
	Text string
}

// PrepareRename is the span and the name that a rename at a place would
// change. refusal says why there is nothing to rename, or is "".
func PrepareRename(p *Plan, path string, offset int) (at system.Loc, name, refusal string) {
	f := p.file(path)
	if f == nil {
		return system.Loc{}, "", "this file is no part of the plan"
	}
	pt, at, ok := p.symbolAt(path, offset)
	if !ok {
		w, in := f.wordAt(f.clamp(offset))
		switch {
		case !in:
			return system.Loc{}, "", "no name stands here"
		case grammar.StatementForm(w.text) != "":
			return system.Loc{}, "", fmt.Sprintf("`%s` is a keyword of the notation", w.text)
		}
		return system.Loc{}, "", fmt.Sprintf("`%s` is no name of the plan", clip(w.text))
	}
	if why := p.notRenamed(pt.sym); why != "" {
		return system.Loc{}, "", why
	}
	return at, pt.text, ""
}

// notRenamed says why a symbol keeps its name; "" where it may be renamed.
func (p *Plan) notRenamed(sym symbol) string {
	n := p.written()
	if sym.scope == unknownScope {
		return fmt.Sprintf("`%s` stands in a copy that nothing places", sym.name)
	}
	if r := n.rangeWith(sym); r != nil {
		return fmt.Sprintf("`%s` is one of a range, whose names go together", sym.name)
	}
	if r := n.usedIn(sym); r != nil {
		line, _ := r.at.stmt.file.lines().Position(r.at.loc.Span.Start)
		return fmt.Sprintf("`%s` is one of the range on line %d, whose names go together", sym.name, line)
	}
	for _, m := range n.mentions[sym] {
		if m.stmt.file.stale {
			return "the plan is being read anew"
		}
	}
	if m, ok := n.inRange(sym); ok {
		return fmt.Sprintf("`%s` is the end of a range on line %d, whose names go together", sym.name, m)
	}
	return ""
}

// inRange tells whether a symbol is written as the end of a range, and on
// which line.
func (n *names) inRange(sym symbol) (line int, ok bool) {
	for _, m := range n.mentions[sym] {
		f := m.stmt.file
		start, end := m.loc.Span.Start, m.loc.Span.End
		if end+2 <= len(f.source) && f.source[end:end+2] == ".." {
			ok = true
		}
		if start >= 2 && f.source[start-2:start] == ".." {
			ok = true
		}
		if ok {
			line, _ = f.lines().Position(start)
			return line, true
		}
	}
	return 0, false
}

// Rename gives the edits, over all files, that give the name at a place
// another. refusal says why it cannot be, or is "".
func Rename(p *Plan, path string, offset int, name string) (edits []Edit, refusal string) {
	_, old, why := PrepareRename(p, path, offset)
	if why != "" {
		return nil, why
	}
	pt, _, _ := p.symbolAt(path, offset)
	n := p.written()
	if why := invalidName(name); why != "" {
		return nil, why
	}
	if name == old {
		return []Edit{}, ""
	}
	to := symbol{pt.sym.space, pt.sym.scope, name}
	if m, taken := n.first(to); taken {
		line, _ := m.stmt.file.lines().Position(m.loc.Span.Start)
		return nil, fmt.Sprintf("`%s` is taken: a %s of that name stands in %s, line %d", name, to.space, m.loc.File, line)
	}
	if why := n.captured(pt.sym, to); why != "" {
		return nil, why
	}
	var at []system.Loc
	for _, m := range n.mentions[pt.sym] {
		at = append(at, m.loc)
	}
	p.sortLocs(at)
	for _, l := range at {
		edits = append(edits, Edit{l, name})
	}
	if !p.sameNames(edits, pt.sym, to) {
		return nil, fmt.Sprintf("`%s` would be read as another word where `%s` stands", name, old)
	}
	return edits, ""
}

// sameNames proves a rename: the texts with the edits in them read as before,
// with as many names of each kind.
func (p *Plan) sameNames(edits []Edit, from, to symbol) bool {
	q := &Plan{Sources: p.apply(edits)}
	now, before := q.written(), p.written()
	for path, f := range q.files {
		if old := p.files[path]; len(f.parsed.Problems) != len(old.parsed.Problems) || len(f.stmts) != len(old.stmts) {
			return false
		}
	}
	if len(now.mentions[to]) != len(before.mentions[from]) || len(now.mentions[from]) > 0 {
		return false
	}
	for sym, list := range before.mentions {
		if to.space == typicals && sym.scope == from.name {
			sym.scope = to.name
		}
		if sym != from && len(now.mentions[sym]) != len(list) {
			return false
		}
	}
	return true
}

// apply makes the texts of the plan's files with edits in them.
func (p *Plan) apply(edits []Edit) map[string]string {
	out := map[string]string{}
	for _, path := range p.paths() {
		out[path] = p.files[path].source
	}
	byFile := map[string][]Edit{}
	for _, e := range edits {
		byFile[e.At.File] = append(byFile[e.At.File], e)
	}
	for path, list := range byFile {
		out[path] = applied(out[path], list)
	}
	return out
}

// applied is a text with edits in it. Of edits that overlap the first stands.
func applied(source string, edits []Edit) string {
	list := append([]Edit(nil), edits...)
	sort.SliceStable(list, func(i, j int) bool { return list[i].At.Span.Start < list[j].At.Span.Start })
	var b strings.Builder
	at := 0
	for _, e := range list {
		start, end := e.At.Span.Start, e.At.Span.End
		if start < at || end < start || end > len(source) {
			continue
		}
		b.WriteString(source[at:start])
		b.WriteString(e.Text)
		at = end
	}
	b.WriteString(source[at:])
	return b.String()
}

// captured: places that mean another thing now would mean the renamed one, or
// the other way round. A name may count as a level or a point by what there
// is, and a room of a typical hides the plan's.
func (n *names) captured(from, to symbol) string {
	for _, sp := range []space{points, levels, tags, dwellings, buildings, rooms} {
		if sp == to.space {
			continue
		}
		scopes := []string{to.scope}
		if to.scope != "" {
			scopes = append(scopes, "")
		}
		for _, scope := range scopes {
			if _, taken := n.first(symbol{sp, scope, to.name}); taken && mixes(sp, to.space) {
				return fmt.Sprintf("`%s` is taken: a %s has that name, and lines that name either could not tell them apart", to.name, sp)
			}
		}
	}
	if to.space == rooms {
		for _, scope := range append([]string{""}, others(n.typicals, nil)...) {
			if len(n.mentions[symbol{rooms, scope, to.name}]) > 0 && (scope == "" || to.scope == "") {
				return fmt.Sprintf("`%s` is taken: a room of that name stands in %s", to.name, scopeWords(scope))
			}
		}
	}
	return ""
}

// mixes tells whether lines exist that may name either.
func mixes(a, b space) bool {
	pair := func(x, y space) bool { return a == x && b == y || a == y && b == x }
	return pair(points, levels) || pair(points, tags) || pair(points, dwellings) || pair(points, buildings) || pair(points, rooms)
}

func scopeWords(scope string) string {
	if scope == "" {
		return "the plan"
	}
	return "typical " + scope
}

// invalidName says why a text is no name of the notation; "" where it is one.
func invalidName(name string) string {
	switch name {
	case "":
		return "a name has at least one letter"
	case "to", "at", "in", "on", "of", "as", "above", "below", "roof", "rise", "suit", "every", "no":
		return fmt.Sprintf("`%s` is a word of the notation and never a name", name)
	}
	if r, _ := utf8.DecodeRuneInString(name); !unicode.IsLetter(r) {
		return fmt.Sprintf("`%s` is no name: a name begins with a letter", clip(name))
	}
	for _, r := range name {
		ascii := r < utf8.RuneSelf
		if ascii && (r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '_' || r == '-') || !ascii && unicode.IsLetter(r) && r != utf8.RuneError {
			continue
		}
		return fmt.Sprintf("`%s` is no name: after its first letter it has letters, digits, `_` and `-`", clip(name))
	}
	return ""
}

// clip keeps a long text from filling a message.
func clip(s string) string {
	const most = 40
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	return string([]rune(s)[:most]) + "…"
}
