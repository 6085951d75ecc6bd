package rule

import (
	"slices"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
)

// A fix leaves nothing of its finding: where a finding speaks of several parts
// of a pipe, the fix rewrites all that break the rule, or there is none.

// sized is a run with the size it is to have.
type sized struct {
	run  *system.Run
	size quantity.Size
}

// upsize is the fix that writes a larger size on a run.
func upsize(r *system.Run, size string) []Fix {
	loc, ok := writtenSize(r)
	if !ok {
		return nil
	}
	return []Fix{{Title: "make it " + size, Edits: []Edit{{loc, size}}}}
}

// writtenSize is where a run's size stands; ok is false where none does, and of
// existing work and what was found on site, which no edit puts right.
func writtenSize(r *system.Run) (at system.Loc, ok bool) {
	span := r.Stmt.Size.Span
	if _, found := r.FoundAt["size"]; found || r.Existing || span.End <= span.Start {
		return at, false
	}
	return system.Loc{File: r.File, Span: span}, true
}

// resize is the fix that writes a size on each of several runs: the largest,
// where one statement stands for some of them. There is none where one cannot
// be written, or no size would do, which is 0.
func resize(list []sized) []Fix {
	var out []sized
	for _, s := range list {
		if _, ok := writtenSize(s.run); !ok || s.size == 0 {
			return nil
		}
		if i := slices.IndexFunc(out, func(o sized) bool { return o.run.Stmt == s.run.Stmt }); i >= 0 {
			out[i].size = max(out[i].size, s.size)
		} else {
			out = append(out, s)
		}
	}
	if len(out) == 0 {
		return nil
	}
	fix := Fix{Title: "make it " + quantity.FormatSize(out[0].size)}
	for _, s := range out {
		if s.size != out[0].size {
			fix.Title = "enlarge every part that is too small"
		}
		loc, _ := writtenSize(s.run)
		fix.Edits = append(fix.Edits, Edit{loc, quantity.FormatSize(s.size)})
	}
	return []Fix{fix}
}

// resizeAll is the fix that gives all that breaks a rule its least size.
func resizeAll(first breach, rest []breach) []Fix {
	list := []sized{{first.pipe.Run, first.required}}
	for _, b := range rest {
		list = append(list, sized{b.pipe.Run, b.required})
	}
	return resize(list)
}

// carry is the fix that gives all that cannot carry its load a size that does.
func (c *Case) carry(first breach, rest []breach) []Fix {
	var ok bool
	if first.required, ok = c.Ledger.Required(first.load, first.way); !ok {
		return nil
	}
	rest = slices.Clone(rest)
	for i := range rest {
		if rest[i].required, ok = c.Ledger.Required(rest[i].load, rest[i].way); !ok {
			return nil
		}
	}
	return resizeAll(first, rest)
}

// widen is the fix of a line that gets smaller on its way: every part of it as
// large as what flows into it.
func widen(l *system.Line, in func(*system.Node) []*system.Pipe) []Fix {
	need := map[*system.Pipe]quantity.Size{}
	for range l.Pipes {
		grown := false
		for _, p := range l.Pipes {
			most := p.Size()
			for _, q := range in(p.From) {
				most = max(most, q.Size(), need[q])
			}
			if most > need[p] {
				need[p], grown = most, true
			}
		}
		if !grown {
			break
		}
	}
	var list []sized
	for _, p := range l.Pipes {
		if need[p] > p.Size() && p.Size() > 0 {
			list = append(list, sized{p.Run, need[p]})
		}
	}
	return resize(list)
}

// drainsInto are the drains that flow into a point.
func drainsInto(n *system.Node) []*system.Pipe {
	var out []*system.Pipe
	for _, p := range n.DrainIn {
		if p.Kind().Sanitary() {
			out = append(out, p)
		}
	}
	return out
}

// graded is a leg with the fall it is to have, in inches a foot.
type graded struct {
	run  *system.Run
	part *system.Part
	fall float64
}

// relay is the fix that writes a fall on each of several legs, where each of
// them writes one that may be exchanged.
func (c *Case) relay(title string, legs []graded) []Fix {
	fix := Fix{Title: title}
	for _, l := range legs {
		file, span := l.run.File, l.part.Item.Fall.Span
		if span.End <= span.Start || l.part.Fall.Origin != system.Written {
			return nil
		}
		text := fraction(l.fall)
		if src := c.Sys.Files[file].Source; span.Start < len(src) && src[span.Start] == 'f' {
			text = "fall " + text
		}
		edit := Edit{system.Loc{File: file, Span: grammar.Span{Start: span.Start, End: span.End}}, text}
		if !slices.Contains(fix.Edits, edit) { // an item stands for every link of a chain
			fix.Edits = append(fix.Edits, edit)
		}
	}
	return []Fix{fix}
}
