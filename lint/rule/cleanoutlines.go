package rule

import (
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

// CleanoutLine is a level drain, from its upper end to where it joins another,
// with whether a cleanout is due at that end.
type CleanoutLine struct {
	Pipe    *system.Pipe // the pipe in which it begins
	Upper   *system.Node
	Length  float64 // metres
	Whole   bool    // every length of it is known
	Main    bool    // it reaches the sewer or outfall
	Cleaned bool    // a cleanout, or what the book takes for one, is there
	Due     bool
	// Why says in words why it is due or exempt.
	Why string
	// Waits: its length, which decides, is not known.
	Waits bool
	Cells []codebook.Cell // what decided, the cell that asks last

	drain  levelDrain
	serves string // a sink on a short line
	above  bool   // exempt for where it hangs or what it is: no number was compared
}

// CleanoutLines lists the level drains of new work, where the book asks for
// cleanouts at their upper ends.
func (c *Case) CleanoutLines() []CleanoutLine {
	if !c.Book.Flag("cleanout-upper-end") {
		return nil
	}
	var out []CleanoutLine
	storeys := c.Ledger.Storeys()
	before := c.beforeTraps()
	for _, p := range c.Sys.Pipes {
		if !p.Kind().Sanitary() || p.Run.Existing || before[p] {
			continue
		}
		if d, ok := c.upperEnd(p); ok {
			out = append(out, c.cleanoutLine(p, d, storeys))
		}
	}
	return out
}

// cleanoutLine decides for one level drain.
func (c *Case) cleanoutLine(p *system.Pipe, d levelDrain, storeys []float64) CleanoutLine {
	short := c.Book.Number("cleanout-short-line")
	l := CleanoutLine{Pipe: p, Upper: d.upper, Length: d.length, Whole: d.whole, Main: d.main, drain: d}
	l.Cleaned = d.cleaned || d.twoWay && d.main && c.Book.Flag("cleanout-two-way-serves")
	if !d.main && c.exemptAbove(p, d.start, storeys) {
		l.Why, l.above = "above the lowest floor", true
		l.Cells = []codebook.Cell{c.Book.FlagCell("cleanout-above-lowest-exempt")}
		return l
	}
	if cell := c.Book.FlagCell("cleanout-branches"); !d.main && cell.OK && cell.Value == 0 {
		l.Why, l.above, l.Cells = "a branch", true, []codebook.Cell{cell}
		return l
	}
	if c.Book.Flag("cleanout-short-line-sinks") {
		l.serves = c.servesSink(d.pipes[0])
	}
	l.Due, l.Why = true, "upper end of a level drain"
	if short.OK {
		l.Cells = append(l.Cells, short)
		limit := quantity.FormatLength(short.Metres())
		switch under := d.bare < short.Metres()-1e-6; {
		case under && l.serves == "":
			l.Due, l.Waits, l.Why = false, !d.whole, "under "+limit
			return l
		case under:
			l.Why = "serves " + l.serves
		default:
			l.Why = limit + " or longer"
		}
	}
	l.Cells = append(l.Cells, c.Book.FlagCell("cleanout-upper-end"))
	if cell, ok := c.removable(p); ok && !l.Cleaned {
		l.Cleaned, l.Why = true, l.Why+"; a fixture there comes off"
		l.Cells = append(l.Cells, cell)
	}
	return l
}

// removable: at the upper end stands a fixture whose trap comes off, which the
// book takes for a cleanout.
func (c *Case) removable(p *system.Pipe) (codebook.Cell, bool) {
	table := c.Book.Table("cleanout-equivalent")
	if table == nil {
		return codebook.Cell{}, false
	}
	for _, f := range c.Vents.Upstream(p, 60) {
		if word, cell := table.Word(f.Word, "serves"); word == "yes" {
			return cell, true
		}
	}
	return codebook.Cell{}, false
}
