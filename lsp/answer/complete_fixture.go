package answer

import (
	"fmt"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

// runWriter writes a fixture with its runs, as a snippet and as plain text.
type runWriter struct {
	*cursor
	fx      catalog.Fixture
	snippet strings.Builder
	plain   strings.Builder
	stops   map[string]int // tab stops by what they stand for
	count   int            // of all tab stops
	kinds   []string
}

// write writes the lines in the order in which a plumber would.
func (w *runWriter) write() {
	w.stops = map[string]int{}
	name := w.free(nameStem(w.fx))
	room := w.room()
	w.put("fixture {%s} %s in {%s}", name, w.fx.Name, room)
	if w.fx.NeedsDrain {
		w.drain(name)
	}
	if w.hasWater() {
		if w.fx.NeedsCold {
			w.supply("cold", name)
		}
		if w.fx.NeedsHot {
			w.supply("hot", name)
		}
	}
}

// nameStem is how the trade calls a fixture: KS for a kitchen sink.
func nameStem(fx catalog.Fixture) string {
	if fx.Short != "" {
		return strings.ToUpper(fx.Short)
	}
	stem := ""
	for _, part := range strings.Split(fx.Name, "-") {
		stem += strings.ToUpper(part[:1])
	}
	return stem
}

// room is the room of the fixture above, else the first there is.
func (w *runWriter) room() string {
	if w.inRoom == "" {
		w.inRoom = w.nearestRoom()
	}
	return w.inRoom
}

func (k *cursor) nearestRoom() string {
	scope := k.scope()
	of := func(s placed) string {
		if st, ok := s.Statement.(*grammar.Point); ok && s.scope() == scope {
			in, _ := grammar.FindAttr(st.Attrs, "in")
			return in.Text()
		}
		return ""
	}
	for s := range k.file.above(k.offset) {
		if name := of(s); name != "" {
			return name
		}
	}
	below := ""
	for at, s := range k.file.all() {
		if st, ok := s.Statement.(*grammar.Room); ok && s.scope() == scope && st.Name.Text != "" {
			if at < k.offset || below == "" {
				return st.Name.Text
			}
		}
		if below == "" && at >= k.offset {
			below = of(s)
		}
		if below != "" {
			return below
		}
	}
	return "room"
}

func (w *runWriter) hasWater() bool {
	sys := w.system()
	return sys == nil || sys.Header.Water
}

// put writes one line. What stands in braces is a tab stop, the same one
// wherever the same text stands; in angle brackets it is one by itself.
func (w *runWriter) put(format string, args ...any) {
	s := fmt.Sprintf(format, args...)
	if w.plain.Len() > 0 {
		w.plain.WriteString("\n")
		w.snippet.WriteString("\n")
	}
	for s != "" {
		i := strings.IndexAny(s, "{<")
		if i < 0 {
			break
		}
		j := i + strings.IndexAny(s[i:], "}>")
		word := s[i+1 : j]
		n, seen := w.stops[word]
		if !seen || s[i] == '<' {
			w.count++
			n = w.count
		}
		if s[i] == '{' {
			w.stops[word] = n
		}
		w.plain.WriteString(s[:i] + word)
		fmt.Fprintf(&w.snippet, "%s${%d:%s}", s[:i], n, word)
		s = s[j+1:]
	}
	w.plain.WriteString(s)
	w.snippet.WriteString(s)
}

func (w *runWriter) cell(table, row, column string) codebook.Cell {
	if w.c == nil {
		return codebook.Cell{}
	}
	return w.c.Book.Table(table).At(row, column)
}

func (w *runWriter) number(key string) codebook.Cell {
	if w.c == nil {
		return codebook.Cell{}
	}
	return w.c.Book.Number(key)
}

// drain writes the trap arm, its vent and the drop to the drain below.
func (w *runWriter) drain(name string) {
	point := w.free("d")
	trap := "?"
	if s := sizeCell(w.cell("fixture-units", w.fx.Name, "trap")); s != "" {
		trap = s
	}
	branch := trap
	if b, ok := quantity.ParseSize(sizeCell(w.cell("sink-branch", w.fx.Name, "private"))); ok {
		if t, ok := quantity.ParseSize(trap); !ok || b > t {
			branch = quantity.FormatSize(b)
		}
	}
	if w.fx.Name == "water-closet" {
		if s := sizeCell(w.number("closet-drain-least")); s != "" {
			trap, branch = s, s
		}
	}
	w.kinds = append(w.kinds, "drain", "vent")
	switch {
	case w.fx.Name == "dishwasher" || w.fx.Name == "ice-maker":
		w.kinds = []string{"indirect waste"}
		w.put("indirect {%s} to {%s}: air-gap", name, w.nearest(name, "KS1"))
		return
	case w.fx.OwnTrap && w.fx.FloorSet:
		w.put(`drain {%s} to {%s} %s: down <8">, <north> <2'>`, name, point, trap)
	case w.fx.OwnTrap:
		w.put(`drain {%s} to {%s} %s: <north> <2'>`, name, point, trap)
	case w.fx.FloorSet: // its seal dries out, so it has a barrier
		w.put(`drain {%s} to {%s} %s: down <12">, trap barrier, <north> <2'>`, name, point, trap)
	default:
		w.put(`drain {%s} to {%s} %s: trap, <north> <2'>`, name, point, trap)
	}
	if w.cursor.line.typical != nil { // the copies' vents and drains go on outside
		w.put(`vent {%s} to {%s} %s: up to %s`, point, w.free("v"), w.ventSize(branch), w.turn())
		w.put(`drain {%s} to {%s} %s: down <12">`, point, w.free("out"), branch)
		return
	}
	air := w.free("V")
	w.put(`terminal {%s} roof rise <12">`, air)
	w.put(`vent {%s} to {%s} %s: up to roof`, point, air, w.ventSize(branch))
	w.put(`drain {%s} to {%s} %s: down to suit`, point, w.below(), branch)
}

// ventSize is the least vent for the fixture alone on a drain of a size.
func (w *runWriter) ventSize(drain string) string {
	if w.c == nil {
		return "?"
	}
	least := w.number("vent-least").Value
	if w.fx.Name == "water-closet" {
		least = max(least, w.number("closet-vent-least").Value)
	}
	t := w.c.Book.Table("vent-units")
	if size, _, ok := t.Smallest(w.units(drain), "units"); ok {
		least = max(least, float64(size))
	}
	half, size := w.number("vent-half-of-drain"), quantity.Size(0)
	if d, ok := quantity.ParseSize(drain); ok && half.OK {
		least = max(least, float64(d)*half.Value)
	}
	sizes := w.sizesOf("vent")
	for i := len(sizes) - 1; i >= 0 && float64(sizes[i]) >= least-1e-9; i-- {
		size = sizes[i]
	}
	if size == 0 {
		return "?"
	}
	return quantity.FormatSize(size)
}

// units is the load of a fixture of the kind, on a trap of a size.
func (w *runWriter) units(trap string) float64 {
	for _, column := range []string{"private", "public", "assembly"} {
		if c := w.cell("fixture-units", w.fx.Name, column); c.OK {
			return c.Value
		}
	}
	if size, ok := quantity.ParseSize(trap); ok {
		return w.c.Book.Table("trap-units").BySize(size, "units").Value
	}
	return 0
}

// turn is the least height at which the vent may turn: the usual rim and what
// the book asks over it.
func (w *runWriter) turn() string {
	rise := w.number("vent-rise")
	if !rise.OK || !w.fx.Rim.OK {
		return `44"`
	}
	return length(w.fx.Rim.Metres + rise.Metres())
}

// below is where the waste may go: the drain that carries most.
func (w *runWriter) below() string {
	sys := w.system()
	if sys == nil || w.c == nil || w.scope() != "" {
		return "bd1"
	}
	if w.facts.trunk != "" {
		return w.facts.trunk
	}
	best, most := "bd1", -1.0
	for _, q := range sys.Points {
		if !pass(q) || q.Copy != nil || len(q.Node.DrainOut) == 0 || len(q.Node.DrainIn) == 0 {
			continue
		}
		if units := w.c.Ledger.At(q.Node).Units; units > most {
			best, most = q.Name, units
		}
	}
	w.facts.trunk = best
	return best
}

// nearest is a sink that may take an indirect waste.
func (w *runWriter) nearest(name, otherwise string) string {
	sys := w.system()
	if sys == nil || w.scope() != "" {
		return otherwise
	}
	if w.facts.sinks == nil {
		w.facts.sinks = []string{}
		for _, q := range sys.Fixtures() {
			if q.Copy == nil && (q.Word == "kitchen-sink" || q.Word == "floor-sink") && len(w.facts.sinks) < 2 {
				w.facts.sinks = append(w.facts.sinks, q.Name)
			}
		}
	}
	for _, sink := range w.facts.sinks {
		if sink != name {
			return sink
		}
	}
	return otherwise
}

// feed is the first point of the plan that water passes, cold or hot.
func (w *runWriter) feed(kind string) string {
	otherwise := map[string]string{"cold": "c1", "hot": "h1"}[kind]
	sys := w.system()
	if sys == nil || w.scope() != "" {
		return otherwise
	}
	if from, ok := w.facts.feeds[kind]; ok {
		return from
	}
	w.facts.feeds[kind] = otherwise
	for _, q := range sys.Points {
		if pass(q) && q.Copy == nil && onWater(q, system.Hot) == (kind == "hot") && len(q.Node.WaterIn) > 0 {
			w.facts.feeds[kind] = q.Name
			break
		}
	}
	return w.facts.feeds[kind]
}

// supply writes a fixture's own supply from a point of the system.
func (w *runWriter) supply(kind, name string) {
	from := w.feed(kind)
	size := "?"
	if s := sizeCell(w.cell("fixture-supply", w.fx.Name, "least")); s != "" {
		size = s
	}
	w.kinds = append(w.kinds, kind)
	w.put(`%s {%s} to {%s} %s: <east> <6'>, valve stop`, kind, from, name, size)
}

func (w *runWriter) runs() string {
	if len(w.kinds) == 0 {
		return ""
	}
	return " with " + join(w.kinds)
}
