package answer

import (
	"fmt"

	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/rule"
	"crownweir/lint/sizing"
)

// ask is the least size that something asks of a pipe, and who asks it.
type ask struct {
	size quantity.Size
	why  string
}

func (a *ask) raise(size quantity.Size, why string) {
	if size > a.size+1e-9 {
		a.size, a.why = size, why
	}
}

func (a *ask) all(asks []rule.SizeAsk) {
	for _, s := range asks {
		a.raise(s.Size, s.By+cite(s.Cell))
	}
}

// least is the least size that the ledger asks of the runs a statement makes,
// with who asks it. ok is false where nothing is known to ask one.
func (k *facts) least(c *rule.Case, runs []*system.Run) (a ask, ok bool) {
	for _, r := range runs {
		switch {
		case r.Kind.Water():
			k.leastWater(c, r, &a)
		case r.Kind == system.Vent:
			if v, found := k.ventOf(c, r); found && v.Need > 0 {
				why := v.Why + cite(v.Cell)
				if k.openRun(c, r) {
					why += "; more may be asked once the load is known"
				}
				a.raise(v.Need, why)
			}
		case r.Kind.Sanitary():
			k.leastDrain(c, r, &a)
		}
	}
	return a, a.size > 0
}

func (k *facts) leastDrain(c *rule.Case, r *system.Run, a *ask) {
	for _, s := range k.stretchesOf(c, r) {
		if s.Lies != "trap arm" && s.Required > 0 {
			a.raise(s.Required, fmt.Sprintf("%s as a %s%s", loadWords(s.Load), s.Lies, cite(s.Asks)))
		}
	}
	for _, p := range r.Pipes {
		a.all(c.EntryAsks(p.From, r))
	}
}

func (k *facts) leastWater(c *rule.Case, r *system.Run, a *ask) {
	w := c.Water()
	p := r.Pipes[0]
	load := w.Of(p)
	if way, ok := w.ByTable(w.SourceOf(p.From)); ok && r.Kind != system.Return && load.Units > 0 {
		if size, may, cell, ok := w.TableSize(way, load.Units); ok {
			a.raise(size, fmt.Sprintf("%s; it may carry %s%s", supplyWords(load), units(may), cite(cell)))
		}
	}
	for _, q := range r.Pipes[len(r.Pipes)-1].To.Points {
		if q.Kind != system.Fixture {
			continue
		}
		if size, cell, ok := w.LeastFixtureSupply(q); ok {
			a.raise(size, "a "+q.Fixture.Title+cite(cell))
		}
	}
}

// sizes offers the sizes of a run: those that satisfy what asks it first, the
// smallest of them at the head.
func (k *cursor) sizes(keyword string, words []token) {
	runs := k.runsHere()
	var a ask
	known := false
	if k.c != nil && len(runs) > 0 {
		a, known = k.facts.least(k.c, runs)
	}
	if !known && k.c != nil && len(words) > 3 {
		a, known = k.estimate(keyword, words)
	}
	for i, size := range k.sizesOf(keyword) {
		it := Item{Label: quantity.FormatSize(size), Kind: "size"}
		rank := 10 + i
		switch {
		case known && size < a.size-1e-9:
			rank, it.Detail = 80+i, "too small: "+quantity.FormatSize(a.size)+" asked by "+a.why
		case known && size < a.size+1e-9:
			rank, it.Detail = 1, "the least: asked by "+a.why
		}
		k.add(rank, it)
	}
	k.add(79, Item{Label: "?", Kind: "size", Detail: "to be worked out"})
}

// runsHere are the runs that the line makes as it was last read whole.
func (k *cursor) runsHere() []*system.Run {
	s, ok := k.file.at(k.line.start)
	if !ok || s.Pos().Start != k.line.start {
		return nil
	}
	return k.facts.runsOf(s)
}

// estimate is the least size for a run that is not read yet, by what arrives
// where it begins.
func (k *cursor) estimate(keyword string, words []token) (a ask, ok bool) {
	from, to := k.pointOf(words[1].text), k.pointOf(words[3].text)
	switch {
	case from == nil:
	case keyword == "drain" || keyword == "sewer":
		load := k.c.Ledger.At(from.Node)
		if from.Kind != system.Fixture && load.Units > 0 {
			if size, fits := k.c.Ledger.Required(load, sizing.Way{Posture: system.LevelLeg, Drain: true, Sewer: keyword == "sewer"}); fits {
				a.raise(size, loadWords(load)+" lying level")
			}
		}
		a.all(k.c.EntryAsks(from.Node, nil))
	case keyword == "vent":
		a.all([]rule.SizeAsk{k.c.LeastVent(from.Node)})
	}
	if to != nil && to.Kind == system.Fixture && (keyword == "cold" || keyword == "hot") {
		if size, cell, asked := k.c.Water().LeastFixtureSupply(to); asked {
			a.raise(size, "a "+to.Fixture.Title+cite(cell))
		}
	}
	return a, a.size > 0
}

// sizesOf lists the sizes that a system is piped with, rising.
func (k *cursor) sizesOf(keyword string) []quantity.Size {
	kind, ok := system.KindOf(keyword)
	if k.c == nil || !ok {
		return quantity.Sizes()
	}
	return k.c.Sizes(kind)
}

// wholeFixture is a snippet of a fixture of a kind with all its runs, at the
// sizes that the book asks of it alone.
func (k *cursor) wholeFixture(fx catalog.Fixture) (Item, bool) {
	if fx.Name == "equipment" || fx.Name == "water-softener" || fx.Name == "food-waste-disposer" {
		return Item{}, false
	}
	w := runWriter{cursor: k, fx: fx}
	w.write()
	return Item{Label: fx.Name + " with its runs", Kind: "snippet", Detail: fx.Title + w.runs(), Doc: "```weir\n" + w.plain.String() + "\n```",
		Insert: w.snippet.String(), Snippet: true, Plain: w.plain.String()}, true
}

// sizeCell is a size in a cell, as the notation writes it; "" where it has none.
func sizeCell(c codebook.Cell) string {
	if !c.OK || c.Value == 0 {
		return ""
	}
	return quantity.FormatSize(quantity.Size(c.Value))
}
