package grammar

// shifter makes copies of statements that stand elsewhere. An edit moves every
// statement below it, so that what there are most of is made in blocks.
type shifter struct {
	runs     []Run
	points   []Point
	items    []Item
	attrs    []Attr
	operands []Operand
}

// clone copies a list into a block; an empty one needs none.
func clone[T any](block *[]T, list []T) []T {
	const most = 64
	n := len(list)
	if n == 0 || n > most {
		return append([]T(nil), list...)
	}
	if len(*block) < n {
		*block = make([]T, most)
	}
	out := (*block)[:n:n]
	*block = (*block)[n:]
	copy(out, list)
	return out
}

func one[T any](block *[]T) *T {
	if len(*block) == 0 {
		*block = make([]T, 64)
	}
	out := &(*block)[0]
	*block = (*block)[1:]
	return out
}

// statement is a copy of a statement that stands by bytes further on. Texts,
// quantities and tuples are shared with the original.
func (m *shifter) statement(s Statement, by int) Statement {
	switch s := s.(type) {
	case *Plan:
		c := *s
		c.shift(by)
		c.Title.shift(by)
		return &c
	case *Code:
		c := *s
		c.shift(by)
		c.Book.shift(by)
		c.Amended = shiftWords(s.Amended, by)
		return &c
	case *Occupancy:
		c := *s
		c.shift(by)
		c.Use.shift(by)
		return &c
	case *Scope:
		c := *s
		c.shift(by)
		c.Systems = shiftWords(s.Systems, by)
		return &c
	case *Default:
		c := *s
		c.shift(by)
		shiftAll(by, &c.What, &c.Material)
		c.Fall.shift(by)
		return &c
	case *Method:
		c := *s
		c.shift(by)
		c.Name.shift(by)
		return &c
	case *Climate:
		c := *s
		c.shift(by)
		c.Winter.shift(by)
		return &c
	case *Dwelling:
		c := *s
		c.shift(by)
		c.Name.shift(by)
		c.Attrs = m.moved(s.Attrs, by)
		return &c
	case *Include:
		c := *s
		c.shift(by)
		c.Path.shift(by)
		return &c
	case *Note:
		c := *s
		c.shift(by)
		c.Text.shift(by)
		c.On.shift(by)
		return &c
	case *Building:
		c := *s
		c.shift(by)
		c.Name.shift(by)
		return &c
	case *Level:
		c := *s
		c.shift(by)
		c.Name.shift(by)
		c.At.shift(by)
		c.Every.shift(by)
		c.Building.shift(by)
		return &c
	case *Roof:
		c := *s
		c.shift(by)
		shiftAll(by, &c.Name, &c.Building)
		c.At.shift(by)
		return &c
	case *Room:
		c := *s
		c.shift(by)
		shiftAll(by, &c.Name, &c.On, &c.Use, &c.Dwelling, &c.Access)
		c.Ceiling.shift(by)
		return &c
	case *Point:
		c := one(&m.points)
		*c = *s
		c.shift(by)
		shiftAll(by, &c.Name, &c.Kind)
		c.At.shift(by)
		c.Attrs = m.moved(s.Attrs, by)
		return c
	case *Run:
		return m.run(s, by)
	}
	return m.rest(s, by)
}

func (m *shifter) rest(s Statement, by int) Statement {
	switch s := s.(type) {
	case *Meet:
		c := *s
		c.shift(by)
		c.Names = append([]Ref(nil), s.Names...)
		for i := range c.Names {
			c.Names[i].shift(by)
		}
		return &c
	case *Place:
		c := *s
		c.shift(by)
		shiftAll(by, &c.Typical, &c.In, &c.Every, &c.Facing)
		c.As.shift(by)
		c.On.shift(by)
		c.At.shift(by)
		c.EveryLen.shift(by)
		return &c
	case *Except:
		c := *s
		c.shift(by)
		c.What.shift(by)
		c.Copies.shift(by)
		c.Name.shift(by)
		c.NameTo.shift(by)
		if s.With != nil {
			c.With = m.statement(s.With, by)
		}
		return &c
	case *Typical:
		c := *s
		c.shift(by)
		shiftAll(by, &c.Name, &c.End)
		return &c
	case *Inspection:
		c := *s
		c.shift(by)
		shiftAll(by, &c.Stage, &c.On)
		return &c
	case *Found:
		c := *s
		c.shift(by)
		shiftAll(by, &c.With, &c.Without, &c.On)
		c.Subject.shift(by)
		c.Attrs = m.moved(s.Attrs, by)
		return &c
	case *Test:
		c := *s
		c.shift(by)
		shiftAll(by, &c.System, &c.Medium, &c.Result, &c.On)
		c.Head.shift(by)
		c.Duration.shift(by)
		return &c
	case *Waive:
		c := *s
		c.shift(by)
		shiftAll(by, &c.Rule, &c.Because, &c.Approved, &c.Until)
		c.Subject.shift(by)
		return &c
	case *endMark:
		c := *s
		c.shift(by)
		return &c
	}
	return s
}

func (m *shifter) run(s *Run, by int) *Run {
	c := one(&m.runs)
	*c = *s
	c.shift(by)
	shiftAll(by, &c.Solve, &c.Material, &c.Tag, &c.Claim)
	c.From.shift(by)
	c.To.shift(by)
	c.Size.shift(by)
	c.Items = clone(&m.items, s.Items)
	for i := range c.Items {
		it := &c.Items[i]
		it.Span.shift(by)
		it.Word.shift(by)
		it.Length.shift(by)
		it.Fall.shift(by)
		it.Drop.shift(by)
		it.Attrs = m.moved(it.Attrs, by)
		if it.Aim != aimless {
			aim := *it.Aim
			shiftAll(by, &aim.Point, &aim.Side)
			aim.Height.shift(by)
			aim.Ref.shift(by)
			it.Aim = &aim
		}
	}
	return c
}

// shift moves a span; the zero span, which is "not written", stays.
func (s *Span) shift(by int) {
	if *s != (Span{}) {
		s.Start += by
		s.End += by
	}
}

func (b *Base) shift(by int) {
	b.Span.shift(by)
	b.Key.shift(by)
}

func (w *Word) shift(by int) { w.Span.shift(by) }
func (q *Qty) shift(by int)  { q.Span.shift(by) }

func (r *Ref) shift(by int) {
	r.First.shift(by)
	r.Last.shift(by)
	r.Span.shift(by)
}

func (h *Height) shift(by int) {
	h.Value.shift(by)
	h.Of.shift(by)
	h.Span.shift(by)
}

func (a *At) shift(by int) {
	a.Height.shift(by)
	a.Span.shift(by)
}

func (s *Subject) shift(by int) {
	s.System.shift(by)
	s.From.shift(by)
	s.To.shift(by)
	s.Span.shift(by)
}

func shiftAll(by int, list ...*Word) {
	for _, w := range list {
		w.Span.shift(by)
	}
}

func shiftWords(list []Word, by int) []Word {
	if list == nil {
		return nil
	}
	out := append([]Word(nil), list...)
	for i := range out {
		out[i].shift(by)
	}
	return out
}

func (m *shifter) moved(list []Attr, by int) []Attr {
	if list == nil {
		return nil
	}
	out := clone(&m.attrs, list)
	for i := range out {
		out[i].Word.shift(by)
		out[i].Span.shift(by)
		if out[i].Values == nil {
			continue
		}
		out[i].Values = clone(&m.operands, out[i].Values)
		for j := range out[i].Values {
			out[i].Values[j].Span.shift(by)
		}
	}
	return out
}
