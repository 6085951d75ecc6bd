package system

import (
	"fmt"
	"math"
	"sort"

	"crownweir/grammar"
	"crownweir/grammar/catalog"
)

// lines groups runs that findings treat as one pipe: one tag, or untagged runs
// that follow each other without a turn, with one size and system.
func (b *builder) lines() {
	byTag := map[string]*Line{}
	var all []Line
	add := func(l *Line, r *Run) {
		if l.Runs == nil {
			l.Runs, l.Pipes = b.Runs[r.ID:r.ID+1:r.ID+1], r.Pipes
		} else {
			l.Runs, l.Pipes = append(l.Runs, r), append(l.Pipes, r.Pipes...)
		}
		r.line = l
		for _, p := range r.Pipes {
			p.Line = l
		}
	}
	fresh := func(tag string) *Line {
		l := take(&all)
		*l = Line{ID: len(b.Lines), Tag: tag}
		b.Lines = append(b.Lines, l)
		return l
	}
	for _, r := range b.Runs {
		if r.Tag == "" {
			continue
		}
		l := byTag[r.Tag]
		if l == nil {
			l = fresh(r.Tag)
			byTag[r.Tag] = l
		}
		add(l, r)
	}
	for _, r := range b.Runs {
		if r.Tag != "" || len(r.Pipes) == 0 {
			continue
		}
		end := r.Pipes[len(r.Pipes)-1].To
		for _, p := range outOf(end, r.Kind) {
			if s := p.Run; s.Pipes[0] == p && s.Tag == "" && s.Kind == r.Kind && s.Size == r.Size && s.Existing == r.Existing && !s.fed && inLine(r, s) {
				r.next, s.fed = s, true
				break
			}
		}
	}
	for _, r := range b.Runs {
		if r.Tag != "" || r.fed {
			continue
		}
		l := fresh("")
		for s := r; s != nil && s.line == nil; s = s.next {
			add(l, s)
		}
	}
	for _, r := range b.Runs { // what closes a circle has no first run
		if r.line == nil {
			l := fresh("")
			for s := r; s != nil && s.line == nil; s = s.next {
				add(l, s)
			}
		}
	}
}

// apart reports tags whose runs do not touch each other: they are meant to be
// one pipe.
func (b *builder) apart() {
	for _, l := range b.Lines {
		if l.Tag == "" || len(l.Runs) < 2 {
			continue
		}
		at := map[*Node][]*Pipe{}
		for _, p := range l.Pipes {
			at[p.From], at[p.To] = append(at[p.From], p), append(at[p.To], p)
		}
		first := named(l.Pipes, 0)
		reached := map[*Pipe]bool{first: true}
		for next := []*Pipe{first}; len(next) > 0; {
			p := next[len(next)-1]
			next = next[:len(next)-1]
			for _, n := range []*Node{p.From, p.To} {
				for _, q := range at[n] {
					if !reached[q] {
						reached[q] = true
						next = append(next, q)
					}
				}
				delete(at, n)
			}
		}
		var alone []*Pipe
		for _, p := range l.Pipes {
			if !reached[p] {
				alone = append(alone, p)
			}
		}
		if len(alone) == 0 {
			continue
		}
		r, s := first.Run, named(alone, 0).Run
		b.problem(Problem{Rule: "open-geometry", Loc: Loc{s.File, s.Stmt.Tag.Span}, Subject: l.Tag, Copy: s.Copy,
			Message: fmt.Sprintf("runs of tag %s do not touch: %s and %s", l.Tag, r.Name(), s.Name()),
			Remedy:  "give the part that lies apart a tag of its own",
			Related: []RelatedLoc{{Loc{r.File, r.Stmt.Tag.Span}, r.Name() + " is the other part"}}})
	}
}

func outOf(n *Node, k Kind) []*Pipe {
	switch {
	case k.Water():
		return n.WaterOut
	case k == Vent:
		return n.VentOut
	}
	return n.DrainOut
}

// inLine: the second run goes on in the direction in which the first ends.
func inLine(r, s *Run) bool {
	a, ok := lastLeg(r)
	if !ok {
		return false
	}
	c, ok := firstLeg(s)
	if !ok {
		return false
	}
	for i := range a.Dir {
		if !(math.Abs(a.Dir[i]-c.Dir[i]) < 1e-9) {
			return false
		}
	}
	return true
}

func lastLeg(r *Run) (*Part, bool) {
	for i := len(r.Pipes) - 1; i >= 0; i-- {
		for j := len(r.Pipes[i].Parts) - 1; j >= 0; j-- {
			if r.Pipes[i].Parts[j].IsLeg() {
				return &r.Pipes[i].Parts[j], true
			}
		}
	}
	return nil, false
}

func firstLeg(r *Run) (*Part, bool) {
	for _, p := range r.Pipes {
		for j := range p.Parts {
			if p.Parts[j].IsLeg() {
				return &p.Parts[j], true
			}
		}
	}
	return nil, false
}

// findTraps finds for every fixture the first trap its waste passes.
func (b *builder) findTraps() {
	next := make([]*Trap, len(b.Nodes)) // by node
	at := make([]*Trap, len(b.Pipes))   // by pipe
	order := b.drainOrder
	for i := len(order) - 1; i >= 0; i-- {
		n := order[i]
		if n.Circle {
			continue
		}
		if ip := n.Find(Interceptor); ip != nil {
			if _, ok := ip.Attr("trapped"); ok && len(n.DrainOut) > 0 {
				t := &Trap{ID: len(b.Traps), Pipe: n.DrainOut[0], Part: -1, Size: n.DrainOut[0].Size(), Loc: ip.Loc}
				t.Downstream = next[n.DrainOut[0].To.ID]
				next[n.ID] = t
				b.Traps = append(b.Traps, t)
				continue
			}
		}
		for _, p := range n.DrainOut {
			down := next[p.To.ID]
			for j := len(p.Parts) - 1; j >= 0; j-- {
				if !p.Parts[j].IsDevice("trap") {
					continue
				}
				t := b.trap(p, j)
				t.Downstream = down
				down = t
			}
			at[p.ID] = down
		}
		if len(n.DrainOut) > 0 {
			next[n.ID] = at[n.DrainOut[0].ID]
		}
	}
	defer b.orderFixtures()
	received := map[*Trap][]*Point{}
	for _, f := range b.Points {
		if f.Kind != Fixture || len(f.Node.DrainOut) == 0 {
			continue
		}
		if f.Fixture.OwnTrap {
			p := f.Node.DrainOut[0]
			t := &Trap{ID: len(b.Traps), Pipe: p, Part: -1, Own: true, Size: p.Size(), Loc: f.Loc, Fixtures: []*Point{f}, Downstream: at[p.ID]}
			b.Traps = append(b.Traps, t)
			f.trap = t
			continue
		}
		for i, p := range f.Node.DrainOut {
			t := at[p.ID]
			if t == nil {
				continue
			}
			if i == 0 || f.trap == nil {
				f.trap = t
			}
			if t.Receives(p) {
				received[t] = append(received[t], f)
			} else {
				t.Fixtures = append(t.Fixtures, f)
			}
			if len(f.Node.DrainOut) > 1 {
				b.manyTraps[f] = append(b.manyTraps[f], t)
			}
		}
	}
	for t, fs := range received {
		if len(t.Fixtures) == 0 {
			t.Fixtures = fs
		}
	}
}

// orderFixtures lists the fixtures of a trap in an order that the lines of the
// plan do not change: what stands right before it first, then by the table of
// usual heights, then by name.
func (b *builder) orderFixtures() {
	for _, t := range b.Traps {
		if len(t.Fixtures) < 2 {
			continue
		}
		far := func(p *Point) int {
			if p.Node == t.Pipe.From {
				return 0
			}
			return 1
		}
		sort.SliceStable(t.Fixtures, func(i, j int) bool {
			p, q := t.Fixtures[i], t.Fixtures[j]
			if far(p) != far(q) {
				return far(p) < far(q)
			}
			if a, c := catalog.Rank(p.Word), catalog.Rank(q.Word); a != c {
				return a < c
			}
			return p.Name < q.Name
		})
	}
}

func (b *builder) trap(p *Pipe, j int) *Trap {
	it := p.Parts[j].Item
	t := &Trap{ID: len(b.Traps), Pipe: p, Part: j, Size: p.Size(), Loc: Loc{p.Run.File, it.Word.Span}}
	if a, ok := grammar.FindAttr(it.Attrs, "size"); ok {
		if sz, ok := a.Size(); ok {
			t.Size, t.Written = sz, true
		}
		for _, v := range a.Values {
			t.Solve = t.Solve || v.Kind == grammar.OperandSolve
		}
		t.Loc.Span = it.Span
	}
	b.Traps = append(b.Traps, t)
	return t
}

// TrapsOf lists the traps a fixture discharges through side by side: more than
// one where its compartments drain apart.
func (s *System) TrapsOf(p *Point) []*Trap {
	if p.Fixture.OwnTrap || len(p.Node.DrainOut) < 2 {
		if t := p.trap; t != nil {
			return []*Trap{t}
		}
		return nil
	}
	return s.manyTraps[p]
}
