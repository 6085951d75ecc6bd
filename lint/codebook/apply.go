package codebook

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
)

const (
	fromMemory = "from memory"
	noLimit    = "no limit"
)

// unitWords are the units a book may use.
var unitWords = []string{
	"in", "ft", "in/ft", "ft/s", "units", "units/gpm", "count", "ratio", "deg", "F", "psi", "psi/ft",
	"gpm", "gal", "oz", "min", "storeys", "diameters", "sizes", "in2", "word", "flag", "",
}

// draft is a book in the making. Tables of the book below are copied before
// they change, so that no other book sees it.
type draft struct {
	book    *Book
	own     map[string]bool // tables that are the draft's own copies
	sources map[string]bool // nil: any source is taken
	// amendment is the name of the file laid over a book, "" for a book's own.
	amendment string
	// section and source stand in where an amendment's entry names none.
	section, source string
	// elsewhere finds a number, flag or rule that the book lacks in any other.
	elsewhere func(kind, key string) (scalar, bool)
	// borrow hands an amendment the heads of a table that only other books have.
	borrow   func(table string) *Table
	problems []Problem
}

func newDraft(from *Book) *draft {
	book := *from
	book.Amended = slices.Clone(from.Amended)
	book.tables = copyMap(from.tables)
	book.numbers = copyMap(from.numbers)
	book.flags = copyMap(from.flags)
	book.rules = copyMap(from.rules)
	book.tableOrder = slices.Clone(from.tableOrder)
	book.numberOrder = slices.Clone(from.numberOrder)
	book.flagOrder = slices.Clone(from.flagOrder)
	book.ruleOrder = slices.Clone(from.ruleOrder)
	return &draft{book: &book, own: map[string]bool{}}
}

func copyMap[V any](m map[string]V) map[string]V {
	if m == nil {
		return map[string]V{}
	}
	return maps.Clone(m)
}

// maxProblems bounds the problems of one file; a reader mends the first ones.
const maxProblems = 200

func (d *draft) report(line, column int, format string, args ...any) {
	if len(d.problems) >= maxProblems {
		return
	}
	d.problems = append(d.problems, Problem{line, column, fmt.Sprintf(format, args...)})
}

func (d *draft) at(n *node, format string, args ...any) { d.report(n.line, n.column, format, args...) }

// apply lays one file's tables, numbers, flags and rules over the draft.
func (d *draft) apply(root *node, heads ...string) {
	known := append([]string{"tables", "numbers", "flags", "rules"}, heads...)
	for _, e := range root.entries {
		switch {
		case !slices.Contains(known, e.key):
			d.unknown(e, "the file", known)
		case !d.expect(e, tableShape):
		case e.key == "tables":
			for _, t := range e.value.entries {
				if d.expect(t, tableShape) {
					d.table(t)
				}
			}
		case e.key == "numbers":
			d.scalars(e.value, numberShape)
		case e.key == "flags":
			d.scalars(e.value, boolShape)
		case e.key == "rules":
			d.ruleSections(e.value)
		}
	}
}

func (d *draft) expect(e entry, want shape) bool {
	if e.value.shape == want {
		return true
	}
	d.at(e.value, "%s is %s; write %s", e.key, e.value.shape, want)
	return false
}

// unknown reports a key that has no meaning where it stands.
func (d *draft) unknown(e entry, where string, known []string) {
	if len(d.problems) >= maxProblems {
		return
	}
	hint := "take it out"
	if near := nearest(e.key, known); near != "" {
		hint = fmt.Sprintf("did you mean %s", near)
	}
	d.report(e.line, e.column, "%s does not know the key %q; %s", where, e.key, hint)
}

// text reads a text key of a table; "" where it is not there.
func (d *draft) text(n *node, key string) string {
	value := n.get(key)
	if value == nil {
		return ""
	}
	if value.shape != textShape {
		d.at(value, "%s is %s; write a text in quotes", key, value.shape)
		return ""
	}
	return strings.TrimSpace(value.text)
}

func (d *draft) checkKeys(n *node, where string, known ...string) {
	for _, e := range n.entries {
		if !slices.Contains(known, e.key) {
			d.unknown(e, where, known)
		}
	}
}

// scalars reads [numbers] or [flags].
func (d *draft) scalars(n *node, want shape) {
	kind, into, order := "number", d.book.numbers, &d.book.numberOrder
	if want == boolShape {
		kind, into, order = "flag", d.book.flags, &d.book.flagOrder
	}
	for _, e := range n.entries {
		old, had := into[e.key]
		if !had {
			var ok bool
			if old, ok = d.mayAdd(e, kind, *order); !ok {
				continue
			}
		}
		next := old
		value := e.value
		unit := old.cell.Unit
		if want == boolShape {
			unit = "flag"
		}
		spec := cellSpec{unit: unit, section: old.cell.Section, want: want, old: old.cell}
		if value.shape == tableShape {
			d.checkKeys(value, kind+" "+e.key, "value", "unit", "section", "source", "memory", "title")
			if title := d.text(value, "title"); title != "" {
				next.title = title
			}
			if written := value.get("unit"); written != nil {
				spec.unit = d.unit(value, "unit", old.cell.Unit, had || old.cell.OK)
			}
		}
		if cell, ok := d.cell(cellName{key: e.key}, value, spec); ok {
			next.cell = cell
			into[e.key] = next
			if !had {
				*order = append(*order, e.key)
			}
		}
	}
}

// unit reads a unit and holds it against the one the book has already.
func (d *draft) unit(n *node, key, old string, had bool) string {
	unit := d.text(n, key)
	if !slices.Contains(unitWords, unit) {
		d.at(n.get(key), "%q is no unit; write one of %s", unit, strings.Join(unitWords[:len(unitWords)-3], ", "))
		return old
	}
	if had && unit != old {
		d.at(n.get(key), "the book has this in %q and the file in %q; write the value in %q", old, unit, old)
		return old
	}
	return unit
}

// mayAdd tells whether a key that the book lacks may be new. In a book's own
// files it may; an amendment may use only keys that some book has, and takes
// their units and titles from there.
func (d *draft) mayAdd(e entry, kind string, known []string) (scalar, bool) {
	if d.amendment == "" {
		return scalar{}, true
	}
	if like, ok := d.elsewhere(kind, e.key); ok {
		return like, true
	}
	d.unknown(e, "the book's list of "+kind+"s", known)
	return scalar{}, false
}

func (d *draft) ruleSections(n *node) {
	for _, e := range n.entries {
		_, had := d.book.rules[e.key]
		if !had {
			if _, ok := d.mayAdd(e, "rule", d.book.ruleOrder); !ok {
				continue
			}
		}
		if !d.expect(e, textShape) {
			continue
		}
		d.book.rules[e.key] = strings.TrimSpace(e.value.text)
		if !had {
			d.book.ruleOrder = append(d.book.ruleOrder, e.key)
		}
	}
}

// cellSpec is what a cell has where it says nothing of its own.
type cellSpec struct {
	unit, section, source string
	memory                bool
	want                  shape // numberShape, boolShape or textShape
	old                   Cell  // what the book below has
}

// cellName says which cell a problem is about. It is spelt out only then.
type cellName struct{ key, row, table string }

func (c cellName) String() string {
	if c.table == "" {
		return c.key
	}
	return fmt.Sprintf("%s of row %q of table %s", c.key, c.row, c.table)
}

// cell reads one cell: a bare value, a value with the mark "?" for "from
// memory", or a table with value, section, source and memory. ok is false for
// "-", a cell the book leaves empty, and where something is wrong.
func (d *draft) cell(name cellName, n *node, spec cellSpec) (cell Cell, ok bool) {
	value := n
	ownSource := ""
	if n.shape == tableShape {
		if value = n.get("value"); value == nil {
			if section := d.text(n, "section"); section != "" && spec.old.OK && d.amendment == "" {
				// An edition that only numbers its sections otherwise.
				spec.old.Section = section
				return spec.old, true
			}
			d.at(n, "%s has no value; write value = ...", name)
			return Cell{}, false
		}
		if section := d.text(n, "section"); section != "" {
			spec.section = section
		} else if d.amendment != "" {
			spec.section = d.section
		}
		ownSource = d.text(n, "source")
		if memory := n.get("memory"); memory != nil {
			if memory.shape != boolShape {
				d.at(memory, "memory of %s is %s; write true or false", name, memory.shape)
			}
			spec.memory = memory.yes
		}
	} else if d.amendment != "" {
		spec.section = d.section
	}
	cell = Cell{Unit: spec.unit, OK: true}
	marked, ok := d.value(name, value, spec.want, &cell)
	if !ok {
		return Cell{}, false
	}
	cell.Section = spec.section
	cell.Memory = spec.memory || marked
	d.provenance(name, n, &cell, ownSource, spec)
	return cell, true
}

// provenance fills a cell's source and refuses one that has none.
func (d *draft) provenance(name cellName, n *node, cell *Cell, ownSource string, spec cellSpec) {
	switch {
	case d.amendment != "":
		// The local law is the source; what a city's own file says is no memory.
		cell.Memory = false
		cell.Amended = d.amendment
		cell.Source = ownSource
		if cell.Source == "" {
			cell.Source = d.source
		}
		if cell.Section == "" {
			d.at(n, "%s names no section of the local law; write section = \"...\" here, in its table or under [amendment]", name)
		}
	case ownSource != "":
		cell.Source = ownSource
		d.checkSource(n, ownSource)
	case cell.Memory:
		cell.Source = fromMemory
	default:
		cell.Source = spec.source
		if cell.Source == "" {
			d.at(n, "%s names no source; write source = \"...\" or memory = true", name)
		}
	}
}

func (d *draft) checkSource(n *node, source string) {
	if d.sources == nil {
		return
	}
	for _, part := range strings.Split(source, ",") {
		if part = strings.TrimSpace(part); !d.sources[part] && part != fromMemory {
			d.at(n, "%q is no source of the list; add it to sources.toml", part)
		}
	}
}

// value reads the bare value of a cell. marked tells of a "?" behind it.
func (d *draft) value(name cellName, n *node, want shape, cell *Cell) (marked, ok bool) {
	text := n.text
	if n.shape == textShape && want != boolShape {
		if text == "-" {
			return false, false
		}
		text, marked = strings.CutSuffix(text, "?")
	}
	switch {
	case want == boolShape && n.shape == boolShape:
		if n.yes {
			cell.Value = 1
		}
		return false, true
	case want == textShape && n.shape == textShape:
		if text == "" {
			d.at(n, "%s is empty; write a word or \"-\"", name)
			return false, false
		}
		cell.Unit = "word"
		return marked, true
	case want == numberShape && n.shape == numberShape:
		cell.Value = n.number
	case want == numberShape && n.shape == textShape && text == noLimit:
		cell.Value, cell.Unlimited = math.MaxFloat64, true
		return marked, true
	case want == numberShape && n.shape == textShape:
		value, isNumber := parseNumber(text)
		if !isNumber {
			d.at(n, "%s is %q; write a number, %q or \"-\"", name, text, noLimit)
			return false, false
		}
		cell.Value = value
	default:
		d.at(n, "%s is %s; write %s", name, n.shape, want)
		return false, false
	}
	if cell.Value < 0 || math.IsNaN(cell.Value) || math.IsInf(cell.Value, 0) || cell.Value > 1e9 {
		d.at(n, "%s is %g; a limit lies between 0 and 1e9", name, cell.Value)
		return false, false
	}
	return marked, true
}
