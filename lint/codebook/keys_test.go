package codebook_test

import (
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"crownweir/lint/codebook"
)

var update = flag.Bool("update", false, "write KEYS.md anew")

// KEYS.md lists every key of the shipped books.
func TestKeysPage(t *testing.T) {
	page := keysPage(t)
	if *update {
		require.NoError(t, os.WriteFile("KEYS.md", []byte(page), 0o644))
	}
	have, err := os.ReadFile("KEYS.md")
	require.NoError(t, err)
	require.Equal(t, page, string(have), "run: go test ./lint/codebook -run TestKeysPage -update")
}

func keysPage(t *testing.T) string {
	upc, ipc := load(t, "upc-2021"), load(t, "ipc-2021")
	books := []*codebook.Book{upc, ipc}
	var out strings.Builder
	out.WriteString("# Keys of the code books\n\n" +
		"Written by a test: `go test ./lint/codebook -run TestKeysPage -update`. Values of the 2021 editions; a dash where a book has none.\n\n" +
		"An amendment file has the form of a book's files, with only the cells that change:\n\n" +
		"```toml\n[amendment]\ntitle = \"Mossbridge plumbing ordinance\"   # shown as the source\nsection = \"MMC 15.24\"                    # of the local law, for entries without their own\n" +
		"over = \"upc-2021\"                        # optional: the book or family it is meant for\n\n" +
		"[numbers]\nvent-rise = 8\nclosets-3in-horizontal = { value = 4, section = \"MMC 15.24.070\" }\n\n" +
		"[flags]\nadmittance-valves = true\n\n[tables.trap-arm.rows]\n\"1-1/2\" = { max = 48 }\n```\n\n" +
		"In a book's own file a row may also be an array of all columns (labels, numbers, words); `\"-\"` is an empty cell, `\"4?\"` a 4 from memory, " +
		"`\"no limit\"` the largest number, and sizes such as `\"1-1/2\"` are numbers.\n\n" +
		"## Tables\n\n| table | what | in | rows | columns (unit) |\n| --- | --- | --- | --- | --- |\n")
	for _, name := range union(upc.TableNames(), ipc.TableNames()) {
		var in []string
		var table *codebook.Table
		var columns []string
		for _, book := range books {
			own := book.Table(name)
			if own == nil {
				continue
			}
			in = append(in, book.Family)
			if table == nil {
				table = own
			}
			for _, column := range headings(own) {
				if !slices.Contains(columns, column) {
					columns = append(columns, column)
				}
			}
		}
		fmt.Fprintf(&out, "| `%s` | %s | %s | %s | %s |\n", name, table.Title, strings.Join(in, " "), rowsOf(table), strings.Join(columns, ", "))
	}
	out.WriteString("\nRow keys beyond a kind's own word (fixture tables):\n\n")
	for _, name := range []string{"fixture-units", "water-units", "fixture-supply", "outlet", "fixture-flow"} {
		var variants []string
		for _, book := range books {
			for _, row := range book.Table(name).Rows {
				if strings.Contains(row.Key, " ") || row.Key == "bathroom-group" {
					variants = append(variants, "`"+row.Key+"`")
				}
			}
		}
		fmt.Fprintf(&out, "- `%s`: %s\n", name, strings.Join(union(variants, nil), ", "))
	}
	out.WriteString("\n## Numbers\n\n| number | unit | UPC 2021 | IPC 2021 | what |\n| --- | --- | --- | --- | --- |\n")
	for _, key := range union(upc.NumberKeys(), ipc.NumberKeys()) {
		unit, title := upc.Number(key).Unit, upc.TitleOf(key)
		if !upc.Number(key).OK {
			unit, title = ipc.Number(key).Unit, ipc.TitleOf(key)
		}
		fmt.Fprintf(&out, "| `%s` | %s | %s | %s | %s |\n", key, unit, shown(upc.Number(key)), shown(ipc.Number(key)), title)
	}
	out.WriteString("\n## Flags\n\n| flag | UPC 2021 | IPC 2021 | what |\n| --- | --- | --- | --- |\n")
	for _, key := range union(upc.FlagKeys(), ipc.FlagKeys()) {
		title := upc.TitleOf(key)
		if title == "" {
			title = ipc.TitleOf(key)
		}
		fmt.Fprintf(&out, "| `%s` | %s | %s | %s |\n", key, yesNo(upc.FlagCell(key)), yesNo(ipc.FlagCell(key)), title)
	}
	out.WriteString("\n## Rules\n\n| rule | UPC 2021 | IPC 2021 |\n| --- | --- | --- |\n")
	for _, rule := range union(upc.RuleNames(), ipc.RuleNames()) {
		fmt.Fprintf(&out, "| `%s` | %s | %s |\n", rule, sectionOf(upc, rule), sectionOf(ipc, rule))
	}
	return out.String()
}

func union(a, b []string) []string {
	var out []string
	for _, word := range slices.Concat(a, b) {
		if !slices.Contains(out, word) {
			out = append(out, word)
		}
	}
	return out
}

func headings(t *codebook.Table) []string {
	var out []string
	for _, label := range t.LabelColumns {
		out = append(out, "*"+label+"* (label)")
	}
	for _, column := range t.Columns {
		out = append(out, column+" ("+t.UnitOf(column)+")")
	}
	for _, column := range t.WordColumns {
		out = append(out, column+" (word)")
	}
	return out
}

func rowsOf(t *codebook.Table) string {
	keys := make([]string, 0, 3)
	for _, row := range t.Rows[:min(3, len(t.Rows))] {
		keys = append(keys, row.Key)
	}
	text := fmt.Sprintf("%d: %s", len(t.Rows), strings.Join(keys, ", "))
	if len(t.Rows) > 3 {
		text += " …"
	}
	return text
}

func shown(c codebook.Cell) string {
	switch {
	case !c.OK:
		return "–"
	case c.Memory:
		return fmt.Sprintf("%.4g (from memory)", c.Value)
	}
	return fmt.Sprintf("%.4g", c.Value)
}

func yesNo(c codebook.Cell) string {
	switch {
	case !c.OK:
		return "–"
	case c.Value != 0:
		return "yes"
	}
	return "no"
}

func sectionOf(b *codebook.Book, rule string) string {
	section, ok := b.Section(rule)
	switch {
	case !ok:
		return "–"
	case section == "":
		return "(none needed)"
	}
	return section
}
