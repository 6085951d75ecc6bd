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
	if k.asks == nil {
		k.asks = map[*system.Run][]rule.PipeAsk{}
		for _, one := range c.PipeAsks() {
			k.asks[one.Pipe.Run] = append(k.asks[one.Pipe.Run], one)
		}
	}
	for _, r := range runs {
		for _, one := range k.asks[r] {
			a.raise(one.Size, k.asker(c, one))
		}
	}
	return a, a.size > 0
}

// moreOnceKnown ends what is said of the size of a vent that serves a trap of
// which the load is not known.
const moreOnceKnown = "; more may be asked once the load is known"

// asker words what asks a size of a pipe.
func (k *facts) asker(c *rule.Case, a rule.PipeAsk) string {
	by, more := a.By, ""
	switch {
	case a.Stretch != nil:
		by = fmt.Sprintf("%s as a %s", loadWords(a.Stretch.Load), a.Stretch.Lies)
	case a.Supply != nil:
		by = fmt.Sprintf("%s; it may carry %s", supplyWords(a.Supply.Load), units(a.Supply.May))
	case a.Vent != nil:
		by = a.Vent.Why
		if k.openRun(c, a.Pipe.Run) {
			more = moreOnceKnown
		}
	}
	return by + cite(a.Cell) + more
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
