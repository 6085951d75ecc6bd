package schedule

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"
)

// writeCSV writes numbers bare, in the unit that their column names. Every
// record is as wide as the widest table, so that any reader takes the file.
func writeCSV(b *bytes.Buffer, s Sheet) error {
	wide := 1
	for _, t := range s.Tables {
		wide = max(wide, len(t.Columns))
	}
	w := csv.NewWriter(b)
	record := func(fields ...string) {
		for i, f := range fields {
			fields[i] = harmless(f)
		}
		for len(fields) < wide {
			fields = append(fields, "")
		}
		w.Write(fields)
	}
	for i, t := range s.Tables {
		if i > 0 {
			record("")
		}
		var head []string
		for _, c := range t.Columns {
			head = append(head, columnTitle(c))
		}
		record(head...)
		for _, row := range t.Rows {
			var fields []string
			for _, c := range row {
				if c.IsNumber {
					fields = append(fields, bare(c.Number))
				} else {
					fields = append(fields, c.Text)
				}
			}
			record(fields...)
		}
		for _, note := range t.Notes {
			record("note: " + note)
		}
	}
	record("")
	record(heading(s))
	for _, l := range s.Closing {
		record(l)
	}
	w.Flush()
	return w.Error()
}

func bare(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// harmless keeps a spreadsheet from taking a text for a formula.
func harmless(field string) string {
	if field == "" || !strings.ContainsRune("=+-@\t\r", rune(field[0])) {
		return field
	}
	if _, err := strconv.ParseFloat(field, 64); err == nil {
		return field
	}
	return "'" + field
}
