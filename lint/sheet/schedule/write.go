package schedule

import (
	"bytes"
	"fmt"
	"io"
	"strings"
)

// Formats names the formats that Write knows.
func Formats() []string { return []string{"text", "csv", "markdown", "json"} }

// Write writes a sheet in a format of Formats. The error is the writer's own,
// or names a format that there is not.
func Write(w io.Writer, format string, s Sheet) error {
	var b bytes.Buffer
	switch format {
	case "text":
		writeText(&b, s)
	case "markdown":
		writeMarkdown(&b, s)
	case "csv":
		if err := writeCSV(&b, s); err != nil {
			return err
		}
	case "json":
		if err := writeJSON(&b, s); err != nil {
			return err
		}
	default:
		return fmt.Errorf("no sheet is written as %q; use %s", format, strings.Join(Formats(), ", "))
	}
	_, err := w.Write(b.Bytes())
	return err
}

// heading is the first line of a sheet.
func heading(s Sheet) string {
	out := s.Kind + " of " + s.Plan
	if s.Title != "" {
		out += ": " + s.Title
	}
	return out
}

func columnTitle(c Column) string {
	if c.Unit == "" || c.Unit == c.Name {
		return c.Name
	}
	return c.Name + " (" + c.Unit + ")"
}
