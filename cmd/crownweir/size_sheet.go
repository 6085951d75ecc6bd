package main

import (
	"fmt"

	"crownweir/grammar"
	"crownweir/lint"
	"crownweir/lint/fit"
	"crownweir/lint/sheet/schedule"
)

// summary is one line on what was solved.
func (z sized) summary(all bool) string {
	n, changed, left, kept := len(z.Sizes), 0, 0, 0
	for _, size := range z.Sizes {
		if size.Text != size.Was {
			changed++
		}
	}
	for _, l := range z.Left {
		if l.Was == "?" {
			left++
		} else {
			kept++
		}
	}
	switch {
	case n+left+kept == 0 && all:
		return "no pipe or trap of new work has a size to be found"
	case n+left+kept == 0:
		return "no `?` stands in the plan; --all sizes anew what is written"
	case all:
		return fmt.Sprintf("%d %s found anew: %d changed, %d as before; %d kept as written, %d left open", n, plural(n, "size", "sizes"), changed, n-changed, kept, left)
	}
	return fmt.Sprintf("%d %s solved, %d left open", n, plural(n, "size", "sizes"), left)
}

// sheet is the explanation: of each size what the next smaller would break, and
// why others are left.
func (z sized) sheet() schedule.Sheet {
	r := z.after.report
	sheet := schedule.Sheet{Kind: "sizes", Plan: z.name, Title: r.System.Header.Title, Books: []lint.BookUse{r.Book}, Closing: z.closing()}
	mappers := map[string]*grammar.Mapper{}
	at := func(file string, span grammar.Span) []schedule.Cell {
		if mappers[file] == nil {
			mappers[file] = grammar.NewMapper(z.Files[file].Source)
		}
		line, _ := mappers[file].Position(span.Start)
		cells := []schedule.Cell{{}, {Text: fmt.Sprint(line), Number: float64(line), IsNumber: true}}
		if file != z.file {
			cells[0].Text = z.prefix + file
		}
		return cells
	}
	solved := schedule.Table{Name: "solved", Columns: []schedule.Column{{Name: "file"}, {Name: "line"}, {Name: "what"}, {Name: "stands for"},
		{Name: "was"}, {Name: "size", Unit: "in"}, {Name: "not", Unit: "in"}, {Name: "because"}, {Name: "section"}}}
	for _, size := range z.Sizes {
		solved.Rows = append(solved.Rows, append(at(size.File, size.Span), sizeCells(size)...))
	}
	left := schedule.Table{Name: "left", Columns: []schedule.Column{{Name: "file"}, {Name: "line"}, {Name: "what"}, {Name: "as it stands"}, {Name: "because"}, {Name: "to do"}}}
	for _, l := range z.Left {
		left.Rows = append(left.Rows, append(at(l.File, l.Span), schedule.Cell{Text: l.What}, schedule.Cell{Text: l.Was}, schedule.Cell{Text: l.Why}, schedule.Cell{Text: l.Remedy}))
	}
	sheet.Tables = append(sheet.Tables, solved)
	if len(left.Rows) > 0 {
		sheet.Tables = append(sheet.Tables, left)
	}
	return sheet
}

// sizeCells are what a size stands for, what it was and is, and what the next
// smaller would break.
func sizeCells(size fit.Size) []schedule.Cell {
	many, was := schedule.Cell{}, schedule.Cell{}
	if size.For > 1 {
		many = schedule.Cell{Text: fmt.Sprint(size.For), Number: float64(size.For), IsNumber: true}
	}
	if size.Was != "?" && size.Was != size.Text {
		was.Text = size.Was
	}
	cells := []schedule.Cell{{Text: size.What}, many, was, {Text: size.Text, Number: float64(size.Size), IsNumber: true}}
	if size.Bound == nil {
		return append(cells, schedule.Cell{}, schedule.Cell{Text: "the smallest there is"}, schedule.Cell{})
	}
	bound := size.Bound
	if size.With != nil {
		bound = size.With
	}
	return append(cells, schedule.Cell{Text: size.Below.String(), Number: float64(size.Below), IsNumber: true},
		schedule.Cell{Text: bound.Message + " [" + bound.Rule + "]"}, schedule.Cell{Text: bound.Section})
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}
