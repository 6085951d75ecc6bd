package system

import (
	"fmt"
	"math"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
)

var kindOf = func() map[string]Kind {
	m := map[string]Kind{}
	for i, w := range kindWords {
		m[w] = Kind(i)
	}
	return m
}()

// KindOf is the system that a keyword names, as `drain`; ok is false for a word
// that names none.
func KindOf(keyword string) (k Kind, ok bool) {
	k, ok = kindOf[keyword]
	return k, ok
}

// connect makes runs and pipes of the run statements, and joins what meets.
func (b *builder) connect() {
	ends := make([][2]*Point, len(b.insts)) // of runs, where they stand in the run's own copy
	for k, in := range b.insts {
		switch st := in.stmt.(type) {
		case *grammar.Run:
			ends[k] = [2]*Point{b.nameRef(&st.From, in), b.nameRef(&st.To, in)}
			for i := range st.Items {
				if st.Items[i].Kind == grammar.PicksUp {
					b.nameRef(&st.Items[i].Ref, in)
				}
			}
		case *grammar.Meet:
			for i := range st.Names {
				b.nameRef(&st.Names[i], in)
			}
		}
	}
	for k, in := range b.insts {
		switch st := in.stmt.(type) {
		case *grammar.Run:
			b.runStatement(in, st, ends[k])
		case *grammar.Meet:
			b.meet(in, st)
		}
	}
	b.mergeNodes()
}

// nameRef makes the junctions a run names in its own copy. It hands out the
// point of a single name, or nil.
func (b *builder) nameRef(r *grammar.Ref, in inst) *Point {
	if r.First.Text == "" || strings.Contains(r.First.Text, ".") {
		return nil
	}
	if !r.IsRange() {
		return b.point(r.First, in)
	}
	names, ok := r.Names()
	if !ok {
		return nil
	}
	for _, n := range names {
		w := r.First
		w.Text = n
		b.point(w, in)
	}
	return nil
}

// refPoints resolves a name or a range of names.
func (b *builder) refPoints(r grammar.Ref, in inst) ([]*Point, bool) {
	names, ok := r.Names()
	if !ok {
		b.problem(Problem{Rule: "unreadable-line", Loc: Loc{in.file.Path, r.Span}, Subject: r.String(), Copy: in.copy,
			Message: fmt.Sprintf("%s is no range: its two names differ in exactly one number", r.String()), Remedy: "write a range such as l3..l12"})
		return nil, false
	}
	var out []*Point
	for _, n := range names {
		w := r.First
		w.Text = n
		if len(names) > 1 {
			w.Span = r.Span
		}
		p := b.point(w, in)
		if p == nil {
			return nil, false
		}
		out = append(out, p)
	}
	return out, true
}

func (b *builder) runStatement(in inst, st *grammar.Run, ends [2]*Point) {
	kind := kindOf[st.Keyword()]
	if !st.From.IsRange() && !st.To.IsRange() && st.To.First.Text != "" {
		from, to := ends[0], ends[1]
		if from == nil {
			from = b.point(st.From.First, in)
		}
		if to == nil {
			to = b.point(st.To.First, in)
		}
		if from != nil && to != nil {
			b.addRun(in, st, kind, from, to, 0)
		}
		return
	}
	from, ok := b.refPoints(st.From, in)
	if !ok {
		return
	}
	if st.To.First.Text == "" { // a chain: a run between each two neighbours
		if len(from) < 2 {
			b.problem(Problem{Rule: "unreadable-line", Loc: Loc{in.file.Path, st.From.Span}, Subject: st.From.String(), Copy: in.copy,
				Message: fmt.Sprintf("%s begins at %s and ends nowhere", st.Keyword(), st.From.String()), Remedy: "write `to NAME`, or a range of names for a chain"})
			return
		}
		for i := 0; i+1 < len(from); i++ {
			b.addRun(in, st, kind, from[i], from[i+1], i+1)
		}
		return
	}
	to, ok := b.refPoints(st.To, in)
	if !ok {
		return
	}
	if len(from) != len(to) {
		b.problem(Problem{Rule: "unreadable-line", Loc: Loc{in.file.Path, grammar.Span{Start: st.From.Span.Start, End: st.To.Span.End}}, Subject: st.From.String(), Copy: in.copy,
			Message: "the two ranges of the run differ in length", Remedy: "make the ranges as long as each other"})
		return
	}
	for i := range from {
		b.addRun(in, st, kind, from[i], to[i], 0)
	}
}

func (b *builder) addRun(in inst, st *grammar.Run, kind Kind, from, to *Point, link int) {
	if from == to {
		b.problem(Problem{Rule: "circular-run", Loc: Loc{in.file.Path, st.To.Span}, Subject: from.Name + " to " + to.Name, Copy: in.copy,
			Message: fmt.Sprintf("%s runs from %s to itself", st.Keyword(), from.Name), Remedy: "name the point it runs to"})
		return
	}
	r := b.slab.run()
	*r = Run{ID: len(b.Runs), Kind: kind, From: from.Name, To: to.Name, name: from.Name + " to " + to.Name, Stmt: st, File: in.file.Path, Copy: in.copy, Existing: st.Existing,
		Claim: st.Claim.Text, Solve: st.Solve.Text != "", Link: link}
	if sz, ok := st.Size.Value.Size(); ok {
		r.Size, r.SizeOf = sz, Written
	}
	if st.Material.Text != "" {
		r.Material, r.MatOf = st.Material.Text, Written
	}
	if st.Tag.Text != "" {
		r.Tag = in.copy.Prefix() + st.Tag.Text
		b.byTag[r.Tag] = append(b.byTag[r.Tag], r)
	}
	r.key, r.from, r.to = key(r.From, r.To), from, to
	b.Runs = append(b.Runs, r)
	from.Uses++
	to.Uses++

	first := len(b.Pipes)
	pipe := b.pipe(r, from.Node)
	parts := 0
	for i := range st.Items {
		if st.Items[i].Kind != grammar.PicksUp {
			parts++
		}
	}
	room := b.slab.parts(parts)
	close := func(at *Node) {
		pipe.To, pipe.Parts = at, room[:len(room):len(room)]
		room = room[len(room):]
		b.Pipes = append(b.Pipes, pipe)
	}
	for i := range st.Items {
		it := &st.Items[i]
		if it.Kind != grammar.PicksUp {
			room = append(room, b.part(it, i, in.copy))
			continue
		}
		pts, ok := b.refPoints(it.Ref, in)
		if !ok {
			continue
		}
		for _, p := range pts[1:] {
			b.join(pts[0], p)
		}
		for _, p := range pts {
			p.Uses++
		}
		close(pts[0].Node)
		pipe = b.pipe(r, pts[0].Node)
	}
	close(to.Node)
	r.Pipes = b.Pipes[first:len(b.Pipes):len(b.Pipes)]
}

// part gives a leg its direction as placed.
func (b *builder) part(it *grammar.Item, index int, c *Copy) Part {
	p := Part{Item: it, Index: index, leg: it.Kind == grammar.Leg, by: it.By}
	if it.Kind == grammar.Device {
		p.device = it.Word.Text
	}
	if !p.leg {
		return p
	}
	t := straight
	if c != nil {
		t = c.turn
	}
	p.Dir, p.Posture = direction(it.Word.Text, t)
	p.Down = p.Dir[2] < 0
	switch {
	case it.By == grammar.ByLength && it.Across && p.Posture == Upright && p.Dir[2] != 0:
		p.Length = Num{it.Length.SI * math.Sqrt2, Written}
	case it.By == grammar.ByLength:
		p.Length = Num{it.Length.SI, Written}
	}
	if p.Posture == LevelLeg {
		switch {
		case it.Drop.Kind != quantity.None && p.Length.V > 0:
			p.Fall = Num{it.Drop.SI / p.Length.V, Written}
		case it.Fall.Kind != quantity.None:
			p.Fall = Num{it.Fall.SI, Written}
		}
	}
	return p
}

// direction reads a leg's word: a compass way, up, down, or both at 45°.
func direction(word string, t turn) ([3]float64, Posture) {
	if d, ok := directions[word]; ok {
		e, n := t.apply(d[0], d[1])
		return [3]float64{e, n, 0}, LevelLeg
	}
	up, side, _ := strings.Cut(word, "-")
	z := 0.0
	switch up {
	case "up":
		z = 1
	case "down":
		z = -1
	default: // over: level, its way not told
		return [3]float64{math.NaN(), math.NaN(), 0}, LevelLeg
	}
	d, ok := directions[side]
	if !ok {
		return [3]float64{0, 0, z}, Upright
	}
	e, n := t.apply(d[0], d[1])
	return [3]float64{e * half, n * half, z * half}, Upright
}

func (b *builder) meet(in inst, st *grammar.Meet) {
	var all []*Point
	for _, r := range st.Names {
		pts, ok := b.refPoints(r, in)
		if !ok {
			return
		}
		all = append(all, pts...)
	}
	for _, p := range all {
		p.Uses++
	}
	for _, p := range all[1:] {
		b.join(all[0], p)
	}
}

// join notes that two points stand in one place, which goes by the name of the
// first; mergeNodes carries it out.
func (b *builder) join(p, q *Point) {
	x, y := find(p.Node), find(q.Node)
	if x == y {
		return
	}
	y.into = x
	x.Points = append(x.Points, y.Points...)
	y.Points = nil
}

func find(n *Node) *Node {
	for n.into != nil {
		if n.into.into != nil {
			n.into = n.into.into
		}
		n = n.into
	}
	return n
}

// mergeNodes points every pipe and point at the node that stands for its place.
func (b *builder) mergeNodes() {
	for _, p := range b.Points {
		p.Node = find(p.Node)
	}
	b.makeEnds()
	for _, p := range b.Pipes {
		switch k := p.Kind(); {
		case k.Water():
			p.From.WaterOut = append(p.From.WaterOut, p)
			p.To.WaterIn = append(p.To.WaterIn, p)
		case k == Vent:
			p.From.VentOut = append(p.From.VentOut, p)
			p.To.VentIn = append(p.To.VentIn, p)
		default:
			p.From.DrainOut = append(p.From.DrainOut, p)
			p.To.DrainIn = append(p.To.DrainIn, p)
		}
	}
}

// makeEnds points pipes at the nodes that stand for their places, and makes
// room at those for as many as meet there.
func (b *builder) makeEnds() {
	type ends [6]uint16
	at := make([]ends, len(b.Nodes))
	for _, p := range b.Pipes {
		p.From, p.To = find(p.From), find(p.To)
		k := 0
		switch kind := p.Kind(); {
		case kind.Water():
			k = 4
		case kind == Vent:
			k = 2
		}
		at[p.From.ID][k]++
		at[p.To.ID][k+1]++
	}
	room := make([]*Pipe, 2*len(b.Pipes))
	some := func(n uint16) []*Pipe {
		if n == 0 || int(n) > len(room) { // more meet than are counted
			return nil
		}
		out := room[:0:n]
		room = room[n:]
		return out
	}
	for i, n := range b.Nodes {
		c := &at[i]
		n.DrainOut, n.DrainIn, n.VentOut, n.VentIn, n.WaterOut, n.WaterIn = some(c[0]), some(c[1]), some(c[2]), some(c[3]), some(c[4]), some(c[5])
	}
}

// materials gives each run its material: written, else the plan's default.
func (b *builder) materials() {
	h := b.Header
	pick := func(words ...string) string {
		for _, w := range words {
			if w != "" {
				return w
			}
		}
		return ""
	}
	for _, r := range b.Runs {
		if r.Material != "" {
			continue
		}
		switch k := r.Kind; {
		case k.Water():
			r.Material = h.WaterMaterial
		case k == Vent:
			r.Material = pick(h.VentMaterial, h.DrainMaterial)
		default:
			r.Material = h.DrainMaterial
		}
		if r.Material != "" {
			r.MatOf = Default
		}
	}
	if !h.ScopeWritten {
		for _, r := range b.Runs {
			switch {
			case r.Kind.Water():
				b.Header.Water = true
			case r.Kind == Vent:
				b.Header.Vents = true
			default:
				b.Header.Drainage = true
			}
		}
	}
}
