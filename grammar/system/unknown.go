package system

import (
	"fmt"
	"sort"
	"strings"

	"crownweir/grammar"
)

func keys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

// maxCompared is how many names misspelt ones are compared with before a plan
// of nothing but slips gets no more suggestions.
const maxCompared = 200_000

// guess lists the names a misspelt one may stand for; looked is false where
// enough have been looked through.
func (b *builder) guess(names func() []string) (have []string, looked bool) {
	if b.compared > maxCompared {
		return nil, false
	}
	have = names()
	b.compared += len(have) + len(b.Points)/16 + 1
	return have, true
}

func namesOf[V any](m map[string]V) func() []string { return func() []string { return keys(m) } }

// pointNames lists the points of copy c by the names they have there.
func (b *builder) pointNames(c *Copy) func() []string {
	return func() []string {
		var out []string
		for _, p := range b.Points {
			if local, ok := strings.CutPrefix(p.Name, c.Prefix()); ok {
				out = append(out, local)
			}
		}
		sort.Strings(out)
		return out
	}
}

// unknownName reports a name that nothing makes, with the nearest that exists.
func (b *builder) unknownName(what string, w grammar.Word, file string, c *Copy, names func() []string) {
	have, looked := b.guess(names)
	p := Problem{Rule: "unknown-name", Loc: Loc{file, w.Span}, Subject: w.Text, Copy: c,
		Message: fmt.Sprintf("no %s is named %s", what, w.Text)}
	near := grammar.Nearest(w.Text, have)
	switch {
	case near != "":
		p.Suggest = near
		p.Message += "; did you mean " + near
		p.Remedy = "write " + near
		if loc, ok := b.whereNamed(what, near, c); ok {
			p.Related = []RelatedLoc{{loc, near + " stands here"}}
		}
	case !looked:
		p.Remedy = fmt.Sprintf("correct the name, or make the %s", what)
	case len(have) == 0:
		p.Remedy = fmt.Sprintf("write the %s first: the plan has none", what)
	case len(have) <= 12:
		p.Remedy = "write one of: " + strings.Join(have, ", ")
	default:
		p.Remedy = fmt.Sprintf("name one of the plan's %d", len(have))
	}
	b.problem(p)
}

func (b *builder) whereNamed(what, name string, c *Copy) (Loc, bool) {
	switch what {
	case "level":
		if l, ok := b.levelOf[name]; ok {
			return l.Loc, true
		}
	case "room":
		if r := b.room(name, c); r != nil {
			return r.Loc, true
		}
	case "typical":
		if t, ok := b.typicals[name]; ok {
			return Loc{t.file.Path, t.stmt.Name.Span}, true
		}
	default:
		if p, ok := b.byName[c.Prefix()+name]; ok {
			return p.Loc, true
		}
		if p, ok := b.byName[name]; ok {
			return p.Loc, true
		}
	}
	return Loc{}, false
}

func (b *builder) duplicate(w grammar.Word, file, full string, old Loc, c *Copy) {
	b.problem(Problem{Rule: "duplicate-name", Loc: Loc{file, w.Span}, Subject: full, Copy: c,
		Message: fmt.Sprintf("%s is named twice", full), Remedy: "rename one of the two",
		Related: []RelatedLoc{{old, "the other stands here"}}})
}

// once is true the first time a place is asked about.
func (b *builder) once(loc Loc) bool {
	if b.noted[loc] {
		return false
	}
	if b.noted == nil {
		b.noted = map[Loc]bool{}
	}
	b.noted[loc] = true
	return true
}

// unknownLevel reports a floor that no line makes, once for each place that
// names it.
func (b *builder) unknownLevel(w grammar.Word, file string, c *Copy) {
	if b.once(Loc{file, w.Span}) {
		b.unknownName("level", w, file, c, namesOf(b.levelOf))
	}
}
