// Package codebook holds adopted codes as data: every limit with its section,
// its source and a mark where it is from memory. A city's amendments are a
// file of the same form laid over a book.
//
// It refuses to know plans, pipes or rules: it answers "what does this book
// say of that key", and where it says so. KEYS.md lists every key.
package codebook

import "crownweir/grammar/quantity"

// Cell is one number, word or yes-or-no of a book.
type Cell struct {
	Value   float64 // in Unit; of a flag 1 or 0; of a word 0
	Unit    string  // "in", "ft", "units", "in/ft", "count", "ratio", "deg", "F", "psi", "gpm", "word", "flag", "" ...
	Section string  // "Table 703.2", without the book's name
	Source  string  // where the number was seen: keys of Sources, or "from memory"
	Memory  bool    // from memory, not seen in a source
	Amended string  // name of the amendment that set it, or ""
	OK      bool    // false: the book has no such number
	// Unlimited: the book prints "no limit"; Value is then the largest number.
	Unlimited bool
}

// Row is one row of a table.
type Row struct {
	Key   string            // "water-closet", "3", "1-1/2"
	Cells map[string]Cell   // by column; a word has a cell too, for its section and mark
	Words map[string]string // text columns
	// Labels are the numbers that name a row of several heads, such as the
	// meter and the supply of a supply table. They are no limits.
	Labels map[string]float64
}

// Table is a table of a book, rows in their printed order.
type Table struct {
	Name, Title, Section, Source string
	Unit                         string
	// Columns are the columns of numbers, WordColumns those of words,
	// LabelColumns those that name a row, each in printed order.
	Columns, WordColumns, LabelColumns []string
	Rows                               []Row

	units map[string]string // unit by column, where it is not Unit
	byKey map[string]int
	// once the book is whole: the sizes that are rows, and the rows by size
	sizes  []quantity.Size
	bySize map[quantity.Size]int
}

// Book is one code book with whatever is laid over it. It is immutable.
type Book struct {
	Name    string // "upc-2021"
	Title   string // "UPC 2021"
	Edition int    // 2021
	Family  string // "upc", "ipc"
	Amended []string

	tables  map[string]*Table
	numbers map[string]scalar
	flags   map[string]scalar
	rules   map[string]string
	// order keeps the keys as the files name them.
	tableOrder, numberOrder, flagOrder, ruleOrder []string
}

// scalar is a number or flag that stands outside any table.
type scalar struct {
	title string
	cell  Cell
}

// Number is a scalar limit, e.g. Number("vent-rise").
func (b *Book) Number(key string) Cell { return b.numbers[key].cell }

// Flag tells whether the book says yes to a key, e.g. Flag("admittance-valves").
func (b *Book) Flag(key string) bool { return b.flags[key].cell.Value != 0 }

// FlagCell is the cell of a flag, for its section and marks.
func (b *Book) FlagCell(key string) Cell { return b.flags[key].cell }

// Table finds a table; nil where the book has none of that name. A nil table
// answers every question with a cell that is not OK.
func (b *Book) Table(name string) *Table { return b.tables[name] }

// Section of a rule in this book: "Table 1002.2; 1002.1". ok is false where
// the book does not have that rule at all. A rule that no code asks for, such
// as one of drafting, has an empty section and is in every book.
func (b *Book) Section(rule string) (section string, ok bool) {
	section, ok = b.rules[rule]
	return section, ok
}

// At is a cell of a table by row and column.
func (t *Table) At(row, column string) Cell {
	if t == nil {
		return Cell{}
	}
	i, ok := t.byKey[row]
	if !ok {
		return Cell{}
	}
	return t.Rows[i].Cells[column]
}

// Word is the text in a word column with its cell; "" where there is none.
func (t *Table) Word(row, column string) (string, Cell) {
	if t == nil {
		return "", Cell{}
	}
	i, ok := t.byKey[row]
	if !ok {
		return "", Cell{}
	}
	return t.Rows[i].Words[column], t.Rows[i].Cells[column]
}

// Has tells whether a table has a row of that key.
func (t *Table) Has(row string) bool {
	if t == nil {
		return false
	}
	_, ok := t.byKey[row]
	return ok
}

// BySize is a cell of a table whose rows are nominal sizes; a size between
// two rows takes none.
func (t *Table) BySize(size quantity.Size, column string) Cell {
	if t == nil {
		return Cell{}
	}
	if t.bySize == nil {
		return t.At(SizeKey(size), column)
	}
	i, ok := t.bySize[size]
	if !ok {
		return Cell{}
	}
	return t.Rows[i].Cells[column]
}

// Sizes lists the nominal sizes that are rows of a table, rising. The list is
// the table's own: whoever changes it takes a copy.
func (t *Table) Sizes() []quantity.Size {
	if t == nil {
		return nil
	}
	if t.sizes != nil {
		return t.sizes[:len(t.sizes):len(t.sizes)]
	}
	sizes := []quantity.Size{}
	for _, row := range t.Rows {
		if size, ok := ParseSize(row.Key); ok {
			sizes = append(sizes, size)
		}
	}
	sortSizes(sizes)
	return sizes
}

// settle lists the sizes of new and changed tables, so that nobody does it
// again and again.
func (b *Book) settle() *Book {
	for _, t := range b.tables {
		if t.sizes != nil {
			continue
		}
		t.sizes, t.bySize = t.Sizes(), map[quantity.Size]int{}
		for _, size := range t.sizes {
			if i, ok := t.byKey[SizeKey(size)]; ok {
				t.bySize[size] = i
			}
		}
	}
	return b
}

// ByKind is a cell of a table whose rows are a word alone ("abs") or a word
// with sizes ("copper-l to 1-1/2", "copper-l over 1-1/2").
func (t *Table) ByKind(kind string, size quantity.Size, column string) Cell {
	if cell := t.At(kind, column); cell.OK || t == nil {
		return cell
	}
	for _, row := range t.Rows {
		if kindRowHolds(row.Key, kind, size) {
			return row.Cells[column]
		}
	}
	return Cell{}
}

// UpTo is the first row whose number is not below a value, for tables that
// read "up to": gallons a minute, units. ok is false past the last row.
func (t *Table) UpTo(value float64, column string) (key string, cell Cell, ok bool) {
	if t == nil {
		return "", Cell{}, false
	}
	for _, row := range t.Rows {
		bound, isNumber := parseNumber(row.Key)
		if isNumber && value <= bound && row.Cells[column].OK {
			return row.Key, row.Cells[column], true
		}
	}
	return "", Cell{}, false
}

// Metres is a length in metres; 0 for a cell that is no length.
func (c Cell) Metres() float64 {
	switch c.Unit {
	case "in":
		return c.Value * 0.0254
	case "ft":
		return c.Value * 0.3048
	}
	return 0
}

// Smallest is the smallest size of a table of sizes whose cell in a column is
// not below a load. ok is false where no size carries it.
func (t *Table) Smallest(load float64, column string) (size quantity.Size, cell Cell, ok bool) {
	for _, size := range t.Sizes() {
		if cell := t.BySize(size, column); cell.OK && cell.Value >= load {
			return size, cell, true
		}
	}
	return 0, Cell{}, false
}
