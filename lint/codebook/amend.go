package codebook

import "slices"

// maxAmendment is the largest amendment file taken, in bytes.
const maxAmendment = 1 << 20

// Amend lays an amendment file over a book and hands out the amended book.
// The book itself stays as it is. name is the file's name, which every cell
// that it sets carries.
//
// The file has the form of a book's files: [tables.NAME.rows], [numbers],
// [flags] and [rules] with only the cells that change. [amendment] gives its
// title, the book or family it is meant for, and the section of the local law
// that stands for every entry without one of its own. What is wrong is
// reported with its place; what is right is applied all the same.
func (b *Book) Amend(name string, data []byte) (*Book, []Problem) {
	d := newDraft(b)
	d.amendment = name
	d.elsewhere = inAnyBook
	d.borrow = emptyTableOfAnyBook
	d.book.Amended = append(d.book.Amended, name)
	if len(data) > maxAmendment {
		d.report(1, 1, "the file is %d bytes long; an amendment has at most %d", len(data), maxAmendment)
		return d.book, d.problems
	}
	root, problems := readTree(data)
	d.problems = problems
	d.amendmentHead(root.get("amendment"))
	d.apply(root, "amendment")
	slices.SortStableFunc(d.problems, func(a, b Problem) int {
		if a.Line != b.Line {
			return a.Line - b.Line
		}
		return a.Column - b.Column
	})
	return d.book.settle(), d.problems
}

func (d *draft) amendmentHead(head *node) {
	d.source = d.amendment
	if head == nil || head.shape != tableShape {
		return
	}
	d.checkKeys(head, "[amendment]", "title", "section", "over")
	if title := d.text(head, "title"); title != "" {
		d.source = title
	}
	d.section = d.text(head, "section")
	if over := d.text(head, "over"); over != "" && over != d.book.Name && over != d.book.Family {
		d.at(head.get("over"), "the file amends %s and the plan is judged by %s; name the other book or take `over` out",
			over, d.book.Name)
	}
}

// inAnyBook lets an amendment bring in a limit that only another family of
// books has. The value is the other book's and never shown; its unit and
// title are taken.
func inAnyBook(kind, key string) (like scalar, ok bool) {
	for _, name := range Names() {
		book, err := Load(name)
		if err != nil {
			continue
		}
		switch kind {
		case "number":
			like, ok = book.numbers[key]
		case "flag":
			like, ok = book.flags[key]
		case "rule":
			_, ok = book.rules[key]
		}
		if ok {
			return like, true
		}
	}
	return scalar{}, false
}

// emptyTableOfAnyBook is a table's heads without its rows, for an amendment
// that brings it into a book of another family; nil where no book has it.
func emptyTableOfAnyBook(name string) *Table {
	for _, book := range Names() {
		if b, err := Load(book); err == nil && b.tables[name] != nil {
			heads := *b.tables[name]
			heads.Rows, heads.byKey = nil, map[string]int{}
			heads.Section, heads.Source = "", ""
			return &heads
		}
	}
	return nil
}

// nearest is the known word within two slips of a word, or "".
func nearest(word string, known []string) string {
	best, bestSlips := "", 3
	for _, candidate := range known {
		if slips := slipsBetween(word, candidate); slips < bestSlips {
			best, bestSlips = candidate, slips
		}
	}
	return best
}

// slipsBetween counts letters added, dropped or changed.
func slipsBetween(a, b string) int {
	if len(a) > 64 || len(b) > 64 || len(a)-len(b) > 2 || len(b)-len(a) > 2 {
		return 3
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diagonal := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			change := diagonal
			if a[i-1] != b[j-1] {
				change++
			}
			diagonal = row[j]
			row[j] = min(change, row[j]+1, row[j-1]+1)
		}
	}
	return row[len(b)]
}
