package schedule

import (
	"bytes"
	"encoding/json"
	"strings"

	"crownweir/lint"
	"crownweir/lint/sheet/closing"
)

// version of the json form.
const version = 1

// object is a row whose keys keep the columns' order.
type object struct {
	columns []Column
	row     []Cell
}

// MarshalJSON writes a number as a number, words as a string, a blank as null.
func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, c := range o.row {
		if i > 0 {
			b.WriteByte(',')
		}
		var value any
		switch {
		case c.IsNumber:
			value = c.Number
		case c.Text != "":
			value = c.Text
		}
		name, err := encode(key(o.columns[i].Name))
		if err != nil {
			return nil, err
		}
		text, err := encode(value)
		if err != nil {
			return nil, err
		}
		b.Write(name)
		b.WriteByte(':')
		b.Write(text)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// encode is json without the escapes that only a web page needs.
func encode(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	err := e.Encode(v)
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), err
}

func key(name string) string { return strings.ReplaceAll(name, " ", "_") }

type jsonColumn struct {
	Key  string `json:"key"`
	Unit string `json:"unit,omitempty"`
}

type jsonTable struct {
	Name    string       `json:"name"`
	Columns []jsonColumn `json:"columns"`
	Rows    []object     `json:"rows"`
	Notes   []string     `json:"notes"`
}

func writeJSON(b *bytes.Buffer, s Sheet) error {
	out := struct {
		Version int            `json:"version"`
		Sheet   string         `json:"schedule"`
		Plan    string         `json:"plan"`
		Title   string         `json:"title"`
		Tables  []jsonTable    `json:"tables"`
		Books   []lint.BookUse `json:"books"`
		Closing []string       `json:"closing"`
		Caution string         `json:"caution"`
	}{version, s.Kind, s.Plan, s.Title, []jsonTable{}, s.Books, s.Closing, closing.Caution}
	for _, t := range s.Tables {
		j := jsonTable{Name: t.Name, Columns: []jsonColumn{}, Rows: []object{}, Notes: append([]string{}, t.Notes...)}
		for _, c := range t.Columns {
			j.Columns = append(j.Columns, jsonColumn{key(c.Name), c.Unit})
		}
		for _, row := range t.Rows {
			j.Rows = append(j.Rows, object{t.Columns, row})
		}
		out.Tables = append(out.Tables, j)
	}
	e := json.NewEncoder(b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(out)
}
