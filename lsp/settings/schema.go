package settings

import (
	"bytes"
	"encoding/json"
)

// Schema is what a settings file may hold, as JSON Schema (draft 4, which the
// language servers of TOML read), for editors to complete and to mark by.
func (w Words) Schema() ([]byte, error) {
	type object = map[string]any
	list := func(of object) object { return object{"type": "array", "items": of} }
	word := func(from []string) object { return object{"type": "string", "enum": from} }
	text := object{"type": "string"}
	rules := object{}
	for _, name := range w.Rules {
		rules[name] = word(severities())
	}
	forms := map[string]object{
		"code":     word(w.Books),
		"amend":    list(text),
		"fail-on":  word(FailOn()),
		"only":     list(word(w.Rules)),
		"skip":     list(word(w.Rules)),
		"severity": {"type": "object", "properties": rules, "additionalProperties": false},
		"exclude":  list(text),
	}
	properties := object{}
	for _, k := range kinds() {
		form := forms[k.name]
		form["description"] = k.says
		properties[k.name] = form
	}
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	err := e.Encode(object{
		"$schema":              "http://json-schema.org/draft-04/schema#",
		"title":                File,
		"description":          "How plans in the Weir notation are judged in this folder and those below it.",
		"type":                 "object",
		"properties":           properties,
		"additionalProperties": false,
	})
	return out.Bytes(), err
}
