package fit

import (
	"fmt"
	"sort"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint"
)

// token is one place in the text where a size stands or is asked for. One
// token is one size, however many copies or links of a chain it stands for.
type token struct {
	file string
	span grammar.Span
	was  string        // as the text has it
	had  quantity.Size // what the text has; 0 for `?`
	run  *grammar.Run
	attr *grammar.Attr // the trap's setting; nil where it is the run's own size
	what string

	sizes []quantity.Size // those it may have, rising
	size  quantity.Size   // what it has now; 0 is `?`
	bound *lint.Finding   // what the next smaller size would bring
	with  *lint.Finding   // and what it would with the other sizes of the run

	reason // why it is left, where it is
}

// set writes a size into the statement; 0 writes `?`.
func (t *token) set(size quantity.Size) {
	t.size = size
	if t.attr != nil {
		o := grammar.Operand{Kind: grammar.OperandSolve, Text: "?", Span: t.span}
		if size > 0 {
			o = grammar.Operand{Kind: grammar.OperandQty, Qty: value(size), Text: size.String(), Span: t.span}
		}
		t.attr.Values = []grammar.Operand{o}
		return
	}
	if size == 0 {
		t.run.Size, t.run.Solve = grammar.Qty{}, grammar.Word{Text: "?", Span: t.span}
		return
	}
	t.run.Size, t.run.Solve = grammar.Qty{Value: value(size), Span: t.span}, grammar.Word{}
}

// sizesTrap tells whether a trap of the token's run has its size from it.
func (t *token) sizesTrap(trap *system.Trap) bool {
	if t.attr == nil {
		return !trap.Written && !trap.Solve
	}
	return trap.Part >= 0 && t.span.Start >= trap.Loc.Span.Start && t.span.End <= trap.Loc.Span.End
}

// value is a nominal size as it would be read.
func value(size quantity.Size) quantity.Value {
	v, _ := quantity.Parse(size.String())
	return v
}

// below is the next smaller size it may have; 0 where there is none.
func (t *token) below() quantity.Size {
	var below quantity.Size
	for _, s := range t.sizes {
		if s >= t.size {
			break
		}
		below = s
	}
	return below
}

// above is the next larger size it may have; 0 where there is none.
func (t *token) above() quantity.Size {
	for _, s := range t.sizes {
		if s > t.size {
			return s
		}
	}
	return 0
}

// atLeast is the smallest size it may have that is not below another; the
// largest where all are.
func (t *token) atLeast(size quantity.Size) quantity.Size {
	for _, s := range t.sizes {
		if s >= size {
			return s
		}
	}
	return t.sizes[len(t.sizes)-1]
}

// place is a statement with where it stands.
type place struct {
	span grammar.Span
	stmt grammar.Statement
}

// collect finds the tokens of every file that was read, and what stands where.
func (s *solver) collect(all bool) {
	s.places, s.byRun, s.spelt = map[string][]place{}, map[*grammar.Run][]*token{}, map[string]*spelling{}
	for _, path := range s.now.System.Order {
		f := s.files[path]
		c := collector{solver: s, file: f, all: all}
		c.statements(f.Statements)
		list := s.places[path]
		sort.SliceStable(list, func(i, j int) bool { return list[i].span.Start < list[j].span.Start })
	}
	s.settle()
}

type collector struct {
	*solver
	file *grammar.File
	all  bool
}

func (c *collector) statements(list []grammar.Statement) {
	for _, st := range list {
		switch st := st.(type) {
		case *grammar.Typical:
			c.statements(st.Body)
			continue
		case *grammar.Except:
			if st.With != nil {
				c.statements([]grammar.Statement{st.With})
			}
			continue
		case *grammar.Run:
			c.run(st)
		case *grammar.Point:
			c.point(st)
		}
		c.places[c.file.Path] = append(c.places[c.file.Path], place{st.Pos(), st})
	}
}

func (c *collector) add(t token) {
	t.file, t.was = c.file.Path, c.file.Source[t.span.Start:t.span.End]
	if t.why != "" {
		c.left = append(c.left, &t)
		return
	}
	c.tokens = append(c.tokens, &t)
	c.byRun[t.run] = append(c.byRun[t.run], &t)
}

func runName(r *grammar.Run) string {
	name := r.Key.Text + " " + r.From.String()
	if r.To.First.Text != "" {
		name += " to " + r.To.String()
	}
	return name
}

// run takes a run's own size and those of its traps.
func (c *collector) run(r *grammar.Run) {
	name := runName(r)
	c.spelling(r.Size)
	if c.only != nil && !c.only.is(c.file.Path, r) {
		return
	}
	stays := func(t token) token {
		if r.Existing {
			t.why, t.remedy = "existing work is not sized", "write the size that is there"
		}
		return t
	}
	switch {
	case r.Solve.Text != "":
		c.add(stays(token{span: r.Solve.Span, run: r, what: name}))
	case c.only != nil && r.Size.Span.End <= r.Size.Span.Start:
		end := r.Ends().End
		c.add(stays(token{span: grammar.Span{Start: end, End: end}, run: r, what: name}))
	case c.all && !r.Existing:
		if size, ok := r.Size.Size(); ok {
			c.add(token{span: r.Size.Span, run: r, what: name, had: size, size: size})
		}
	}
	for i := range r.Items {
		it := &r.Items[i]
		if it.Kind != grammar.Device {
			continue
		}
		for j := range it.Attrs {
			a := &it.Attrs[j]
			if a.Key != "size" || len(a.Values) != 1 {
				continue
			}
			t := token{span: a.Values[0].Span, run: r, attr: a, what: it.Word.Text + " in " + name}
			size, written := a.Size()
			switch {
			case it.Word.Text != "trap":
				if a.Solve() {
					t.why, t.remedy = fmt.Sprintf("the size of a %s is not solved", it.Word.Text), "write its size"
					if it.Word.Text == "cleanout" {
						t.remedy += ", or take the `?` out: it then has its pipe's"
					}
					c.add(t)
				}
			case a.Solve():
				c.add(stays(t))
			case c.all && written && !r.Existing:
				t.had, t.size = size, size
				c.add(t)
			}
		}
	}
}

// spelling notes how a file writes its sizes.
func (c *collector) spelling(q grammar.Qty) {
	size, ok := q.Size()
	if !ok {
		return
	}
	sp := c.spelt[c.file.Path]
	if sp == nil {
		sp = &spelling{names: map[quantity.Size]string{}}
		c.spelt[c.file.Path] = sp
	}
	sp.all++
	if strings.HasSuffix(q.Text, "m") {
		sp.metric++
		if sp.names[size] == "" {
			sp.names[size] = q.Text
		}
	}
}

// is tells whether a run is the one that is sized by itself.
func (a *alone) is(file string, r *grammar.Run) bool {
	return a.file == file && r.Pos().Start <= a.offset && a.offset <= r.Pos().End
}

// point reports a `?` that asks for a fact instead of a size.
func (c *collector) point(p *grammar.Point) {
	if c.only != nil {
		return
	}
	for i := range p.Attrs {
		a := &p.Attrs[i]
		for _, v := range a.Values {
			if v.Kind != grammar.OperandSolve {
				continue
			}
			t := token{span: v.Span, what: fmt.Sprintf("%s of %s", a.Key, p.Name.Text)}
			switch a.Key {
			case "trap":
				t.why, t.remedy = "what its maker asks is a fact and no size to solve", "write what the maker asks, or take it out: the code's least stands then"
			default:
				t.why, t.remedy = "what is there is a fact and no size to solve", "write its size, or `unknown`"
			}
			c.add(t)
		}
	}
}

// settle lays down which sizes each token may have, and leaves those that
// nothing in the plan uses or that were found on site.
func (s *solver) settle() {
	tr := newTrade(s.now)
	keep := s.tokens[:0]
	for _, t := range s.tokens {
		runs := tr.runs[t.run]
		switch {
		case len(runs) == 0:
			t.why, t.remedy = "nothing in the plan uses this line", "place its typical, or take the line out"
		case t.attr == nil && allFound(runs):
			t.why, t.remedy = "its size was found on site", "write the size that was found"
		default:
			if t.sizes = tr.sizes(t); len(t.sizes) == 0 {
				t.why, t.remedy = tr.none(t), "write another material, or its size"
			}
		}
		if t.why == "" {
			keep = append(keep, t)
			continue
		}
		if t.had == 0 {
			s.left = append(s.left, t)
		}
		s.byRun[t.run] = without(s.byRun[t.run], t)
	}
	s.tokens = keep
}

func without(list []*token, t *token) []*token {
	var out []*token
	for _, o := range list {
		if o != t {
			out = append(out, o)
		}
	}
	return out
}
