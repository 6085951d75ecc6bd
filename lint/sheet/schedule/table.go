package schedule

import (
	"math"
	"strconv"

	"crownweir/lint"
)

// Sheet is a document of tables with what closes it.
type Sheet struct {
	Kind    string
	Plan    string // the file, as the reader knows it
	Title   string // the plan's own title, or ""
	Tables  []Table
	Books   []lint.BookUse
	Closing []string
}

// Table is one table of a sheet.
type Table struct {
	Name    string
	Columns []Column
	Rows    [][]Cell // each as long as Columns
	Notes   []string
}

// Column of a table. Numbers in it are of Unit, where it has one.
type Column struct {
	Name, Unit string
}

// Cell is what stands in a row's column: words, or a number with how the trade
// writes it. The zero Cell is blank.
type Cell struct {
	Text     string
	Number   float64
	IsNumber bool
}

func words(text string) Cell { return Cell{Text: text} }

// number is a number in the column's unit, and how it is shown.
func number(v float64, shown string) Cell {
	return Cell{Text: shown, Number: math.Round(v*1e4) / 1e4, IsNumber: true}
}

// plain is a number that is shown as it is, to a ten-thousandth.
func plain(v float64) Cell {
	c := number(v, "")
	c.Text = strconv.FormatFloat(c.Number, 'f', -1, 64)
	return c
}

// count is a number of things.
func count(n int) Cell { return plain(float64(n)) }

// add appends a row.
func (t *Table) add(cells ...Cell) {
	for len(cells) < len(t.Columns) {
		cells = append(cells, Cell{})
	}
	t.Rows = append(t.Rows, cells)
}

// shown leaves out the columns in which nothing stands: a reader's eye is
// narrower than a program's.
func (t *Table) shown() Table {
	out := Table{Name: t.Name, Notes: t.Notes, Rows: make([][]Cell, len(t.Rows))}
	for i, column := range t.Columns {
		blank := true
		for _, row := range t.Rows {
			blank = blank && row[i].Text == ""
		}
		if blank {
			continue
		}
		out.Columns = append(out.Columns, column)
		for j, row := range t.Rows {
			out.Rows[j] = append(out.Rows[j], row[i])
		}
	}
	return out
}
