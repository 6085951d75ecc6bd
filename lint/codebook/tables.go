package codebook

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"crownweir/grammar/catalog"
)

// table reads one [tables.NAME] and lays it over the draft's.
func (d *draft) table(e entry) {
	n := e.value
	d.checkKeys(n, "table "+e.key, "title", "section", "source", "sources", "memory",
		"unit", "units", "columns", "words", "labels", "rows")
	t, isNew := d.ownTable(e)
	if t == nil {
		return
	}
	d.heads(t, n, isNew)
	marks := d.marks(t, n)
	rows := n.get("rows")
	if rows == nil {
		if isNew {
			d.report(e.line, e.column, "table %s has no rows; write [tables.%s.rows]", e.key, e.key)
		}
		return
	}
	if rows.shape != tableShape {
		d.at(rows, "rows is %s; write a table", rows.shape)
		return
	}
	columns := t.allColumns()
	for _, r := range rows.entries {
		d.row(t, r, columns, marks)
	}
}

// ownTable is the draft's own copy of a table, made where there is none.
func (d *draft) ownTable(e entry) (t *Table, isNew bool) {
	old := d.book.tables[e.key]
	if old == nil && d.borrow != nil {
		if old = d.borrow(e.key); old != nil {
			d.book.tableOrder = append(d.book.tableOrder, e.key)
		}
	}
	if old == nil {
		if _, ok := d.mayAdd(e, "table", d.book.tableOrder); !ok {
			return nil, false
		}
		t = &Table{Name: e.key, byKey: map[string]int{}, units: map[string]string{}}
		d.book.tables[e.key] = t
		d.book.tableOrder = append(d.book.tableOrder, e.key)
		d.own[e.key] = true
		return t, true
	}
	if d.own[e.key] {
		return old, false
	}
	t = new(Table)
	*t = *old
	t.Columns = slices.Clone(old.Columns)
	t.WordColumns = slices.Clone(old.WordColumns)
	t.LabelColumns = slices.Clone(old.LabelColumns)
	t.units = maps.Clone(old.units)
	t.byKey = maps.Clone(old.byKey)
	t.sizes, t.bySize = nil, nil
	t.Rows = make([]Row, len(old.Rows))
	for i, row := range old.Rows {
		t.Rows[i] = Row{
			Key: row.Key, Cells: maps.Clone(row.Cells), Words: maps.Clone(row.Words), Labels: row.Labels,
		}
	}
	d.book.tables[e.key] = t
	d.own[e.key] = true
	return t, false
}

// heads reads a table's title, section, unit and columns.
func (d *draft) heads(t *Table, n *node, isNew bool) {
	if title := d.text(n, "title"); title != "" {
		t.Title = title
	}
	if section := d.text(n, "section"); section != "" && d.amendment == "" {
		// A new number for an old table goes with the cells that had the old one.
		for _, row := range t.Rows {
			for column, cell := range row.Cells {
				if cell.Section == t.Section {
					cell.Section = section
					row.Cells[column] = cell
				}
			}
		}
		t.Section = section
	}
	if source := d.text(n, "source"); source != "" && d.amendment == "" {
		t.Source = source
		d.checkSource(n.get("source"), source)
	}
	if n.get("unit") != nil {
		t.Unit = d.unit(n, "unit", t.Unit, !isNew)
	}
	if units := n.get("units"); units != nil && d.shaped(units, "units", tableShape) {
		for _, u := range units.entries {
			old, had := t.units[u.key]
			t.units[u.key] = d.unit(units, u.key, old, had)
		}
	}
	t.LabelColumns = append(t.LabelColumns, d.columns(t, n, "labels")...)
	t.Columns = append(t.Columns, d.columns(t, n, "columns")...)
	t.WordColumns = append(t.WordColumns, d.columns(t, n, "words")...)
}

func (d *draft) shaped(n *node, name string, want shape) bool {
	if n.shape == want {
		return true
	}
	d.at(n, "%s is %s; write %s", name, n.shape, want)
	return false
}

// columns reads a list of column names that the table does not have yet.
func (d *draft) columns(t *Table, n *node, key string) []string {
	list := n.get(key)
	if list == nil || !d.shaped(list, key, arrayShape) {
		return nil
	}
	if d.amendment != "" {
		d.at(list, "an amendment gives cells of the columns that table %s has; take %s out", t.Name, key)
		return nil
	}
	var names []string
	for _, item := range list.items {
		if !d.shaped(item, "a column's name", textShape) {
			continue
		}
		if slices.Contains(t.allColumns(), item.text) || slices.Contains(names, item.text) {
			d.at(item, "column %q of table %s stands twice; keep one of them", item.text, t.Name)
			continue
		}
		names = append(names, item.text)
	}
	return names
}

// allColumns are the columns in the order in which an array row gives them.
func (t *Table) allColumns() []string {
	return slices.Concat(t.LabelColumns, t.Columns, t.WordColumns)
}

func (t *Table) unitOf(column string) string {
	if unit, ok := t.units[column]; ok {
		return unit
	}
	return t.Unit
}

// tableMarks is what a file says of a table's cells by row and column.
type tableMarks struct {
	memory        bool
	memoryOf      map[string]bool   // rows and columns
	sourceOf      map[string]string // rows and columns
	section, from string            // of the file's own cells
}

func (d *draft) marks(t *Table, n *node) tableMarks {
	m := tableMarks{memoryOf: map[string]bool{}, sourceOf: map[string]string{}, section: t.Section, from: t.Source}
	if d.amendment != "" {
		if m.section = d.text(n, "section"); m.section == "" {
			m.section = d.section
		}
	}
	switch memory := n.get("memory"); {
	case memory == nil:
	case memory.shape == boolShape:
		m.memory = memory.yes
	case d.shaped(memory, "memory", arrayShape):
		for _, item := range memory.items {
			if d.shaped(item, "a row or column from memory", textShape) {
				m.memoryOf[item.text] = true
			}
		}
	}
	if sources := n.get("sources"); sources != nil && d.shaped(sources, "sources", tableShape) {
		for _, e := range sources.entries {
			if d.expect(e, textShape) {
				m.sourceOf[e.key] = e.value.text
				d.checkSource(e.value, e.value.text)
			}
		}
	}
	return m
}

// row reads a row: an array with all columns, or a table with some.
func (d *draft) row(t *Table, e entry, columns []string, marks tableMarks) {
	cells := make([]*node, len(columns))
	switch e.value.shape {
	case arrayShape:
		if len(e.value.items) != len(columns) {
			d.at(e.value, "row %q of table %s has %d cells and the table %d columns (%s); write \"-\" for an empty one",
				e.key, t.Name, len(e.value.items), len(columns), strings.Join(columns, ", "))
			return
		}
		copy(cells, e.value.items)
	case tableShape:
		for _, c := range e.value.entries {
			if i := slices.Index(columns, c.key); i >= 0 {
				cells[i] = c.value
			} else {
				d.unknown(c, "row "+e.key+" of table "+t.Name, columns)
			}
		}
	default:
		if len(columns) != 1 {
			d.at(e.value, "row %q of table %s is %s; write { COLUMN = ... } with a column of %s",
				e.key, t.Name, e.value.shape, strings.Join(columns, ", "))
			return
		}
		cells[0] = e.value
	}
	row := d.ownRow(t, e)
	if row == nil {
		return
	}
	for i, column := range columns {
		if n := cells[i]; n != nil {
			d.fill(t, row, column, n, marks)
		}
	}
}

// ownRow finds a row or adds one.
func (d *draft) ownRow(t *Table, e entry) *Row {
	if i, ok := t.byKey[e.key]; ok {
		return &t.Rows[i]
	}
	if d.amendment != "" && !t.mayHaveRow(e.key) {
		if len(d.problems) >= maxProblems {
			return nil
		}
		known := make([]string, len(t.Rows))
		for i, row := range t.Rows {
			known[i] = row.Key
		}
		d.unknown(e, "table "+t.Name, known)
		return nil
	}
	t.byKey[e.key] = len(t.Rows)
	t.Rows = append(t.Rows, Row{
		Key: e.key, Cells: map[string]Cell{}})
	return &t.Rows[len(t.Rows)-1]
}

// mayHaveRow tells whether a row that an amendment adds can mean something: a
// size where rows are sizes, a word of the trade where they are words.
func (t *Table) mayHaveRow(key string) bool {
	if len(t.LabelColumns) > 0 {
		return false
	}
	sizes := 0
	for _, row := range t.Rows {
		if _, ok := ParseSize(row.Key); ok {
			sizes++
		}
	}
	if _, ok := ParseSize(key); ok {
		return sizes > 0 || len(t.Rows) == 0
	}
	if sizes > 0 && sizes == len(t.Rows) {
		return false
	}
	word, _, _ := strings.Cut(key, " ")
	if _, ok := catalog.FixtureKind(word); ok {
		return true
	}
	return slices.Contains(catalog.Materials(), word) || slices.Contains(catalog.Wastes(), word)
}

func (d *draft) fill(t *Table, row *Row, column string, n *node, marks tableMarks) {
	name := cellName{column, row.Key, t.Name}
	if slices.Contains(t.LabelColumns, column) {
		if d.amendment != "" {
			d.at(n, "%s names the row and cannot be amended; take it out", name)
			return
		}
		var cell Cell
		if _, ok := d.value(name, n, numberShape, &cell); ok {
			if row.Labels == nil {
				row.Labels = map[string]float64{}
			}
			row.Labels[column] = cell.Value
		}
		return
	}
	spec := cellSpec{
		unit: t.unitOf(column), section: marks.section, source: marks.from, want: numberShape,
		old:    row.Cells[column],
		memory: marks.memory || marks.memoryOf[column] || marks.memoryOf[row.Key],
	}
	for _, head := range []string{column, row.Key} {
		if source, ok := marks.sourceOf[head]; ok {
			spec.source = source
		}
	}
	word := slices.Contains(t.WordColumns, column)
	if word {
		spec.want = textShape
	}
	if n.shape == tableShape {
		d.checkKeys(n, name.String(), "value", "unit", "section", "source", "memory")
		if n.get("unit") != nil {
			d.unit(n, "unit", spec.unit, true)
		}
	}
	saved := d.section
	d.section = marks.section
	cell, ok := d.cell(name, n, spec)
	d.section = saved
	if !ok {
		if emptyCell(n) {
			delete(row.Cells, column)
			delete(row.Words, column)
		}
		return
	}
	row.Cells[column] = cell
	if text := wordOf(n); word && text != "" {
		if row.Words == nil {
			row.Words = map[string]string{}
		}
		row.Words[column] = text
	}
}

func emptyCell(n *node) bool { return n.shape == textShape && n.text == "-" }

func wordOf(n *node) string {
	if n.shape == tableShape {
		if n = n.get("value"); n == nil {
			return ""
		}
	}
	return strings.TrimSuffix(n.text, "?")
}

// parseNumber reads "390" or "0.5" or a size such as "1-1/2".
func parseNumber(text string) (float64, bool) {
	if size, ok := ParseSize(text); ok {
		return float64(size), true
	}
	value, err := strconv.ParseFloat(text, 64)
	return value, err == nil
}
