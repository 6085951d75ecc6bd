package codebook

import "iter"

// Entry is a cell with its place in a book. Table is "" for a number or flag,
// whose key is Row then.
type Entry struct {
	Table, Row, Column string
	Title              string // what a number or flag says, or the table's title
	Cell               Cell
	Word               string // of a word column
}

// Cells goes through every limit of a book: the tables in the order of its
// files, then the numbers, then the flags.
func (b *Book) Cells() iter.Seq[Entry] {
	return func(yield func(Entry) bool) {
		for _, name := range b.tableOrder {
			for e := range b.tables[name].Entries() {
				if !yield(e) {
					return
				}
			}
		}
		for _, key := range b.numberOrder {
			if !yield(Entry{Row: key, Title: b.numbers[key].title, Cell: b.numbers[key].cell}) {
				return
			}
		}
		for _, key := range b.flagOrder {
			if !yield(Entry{Row: key, Title: b.flags[key].title, Cell: b.flags[key].cell}) {
				return
			}
		}
	}
}

// Entries goes through the cells of a table, row by row.
func (t *Table) Entries() iter.Seq[Entry] {
	return func(yield func(Entry) bool) {
		if t == nil {
			return
		}
		for _, row := range t.Rows {
			for _, column := range t.allColumns() {
				cell := row.Cells[column]
				if !cell.OK {
					continue
				}
				if !yield(Entry{t.Name, row.Key, column, t.Title, cell, row.Words[column]}) {
					return
				}
			}
		}
	}
}

// Tally counts limits and how many of them are from memory or amended.
type Tally struct{ Limits, FromMemory, Amended int }

func (t *Tally) add(c Cell) {
	t.Limits++
	if c.Memory {
		t.FromMemory++
	}
	if c.Amended != "" {
		t.Amended++
	}
}

// Tally counts the limits of a table.
func (t *Table) Tally() Tally {
	var tally Tally
	for e := range t.Entries() {
		tally.add(e.Cell)
	}
	return tally
}

// Tally counts the limits of a whole book.
func (b *Book) Tally() Tally {
	var tally Tally
	for e := range b.Cells() {
		tally.add(e.Cell)
	}
	return tally
}

// TableNames lists the tables in the order of the book's files.
func (b *Book) TableNames() []string { return append([]string(nil), b.tableOrder...) }

// NumberKeys lists the numbers in the order of the book's files.
func (b *Book) NumberKeys() []string { return append([]string(nil), b.numberOrder...) }

// FlagKeys lists the flags in the order of the book's files.
func (b *Book) FlagKeys() []string { return append([]string(nil), b.flagOrder...) }

// RuleNames lists the rules that the book has, in the order of its files.
func (b *Book) RuleNames() []string { return append([]string(nil), b.ruleOrder...) }

// TitleOf is what a number or flag says, in words.
func (b *Book) TitleOf(key string) string {
	if n, ok := b.numbers[key]; ok {
		return n.title
	}
	return b.flags[key].title
}

// UnitOf is the unit of a column.
func (t *Table) UnitOf(column string) string {
	if t == nil {
		return ""
	}
	return t.unitOf(column)
}
