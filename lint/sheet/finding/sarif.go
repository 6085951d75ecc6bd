package finding

import (
	"io"
	"net/url"
	"path"
	"strings"

	"crownweir/lint"
	"crownweir/lint/sheet/closing"
)

type object = map[string]any

// sarif writes one run in the Static Analysis Results Interchange Format
// 2.1.0.
type sarif struct {
	out     io.Writer
	rules   []lint.RuleInfo
	results []object
}

func newSARIF(w io.Writer, opts Options) Writer {
	return &sarif{out: w, rules: opts.Rules, results: []object{}}
}

// Plan keeps the findings of one plan for Close.
func (s *sarif) Plan(p Plan) error {
	for _, e := range p.Entries {
		s.results = append(s.results, s.result(e))
	}
	return nil
}

// Close writes the log.
func (s *sarif) Close(t Totals) error {
	d := newDocument(t)
	rules := []object{}
	for _, r := range s.rules {
		rules = append(rules, object{
			"id":                   r.Name,
			"shortDescription":     object{"text": r.Title},
			"fullDescription":      object{"text": r.Why},
			"defaultConfiguration": object{"level": sarifLevel(r.Severity)},
			"properties":           object{"family": r.Family, "sections": r.Sections},
		})
	}
	e := encoder(s.out)
	e.SetIndent("", "  ")
	return e.Encode(object{
		"$schema": "https://json.schemastore.org/sarif-2.1.0.json",
		"version": "2.1.0",
		"runs": []object{{
			"tool":       object{"driver": object{"name": "crownweir", "rules": rules}},
			"columnKind": "unicodeCodePoints",
			"results":    s.results,
			"properties": object{
				"files": d.Files, "summary": d.Summary, "verdicts": d.Verdicts, "judged": d.Judged,
				"books": d.Books, "outside": d.Outside, "caution": closing.Caution,
			},
		}},
	})
}

func (s *sarif) result(e Entry) object {
	e = complete(e)
	message := e.Message
	if e.Section != "" {
		message += " (" + e.Section + ")"
	}
	if e.Remedy != "" {
		message += "; would satisfy: " + e.Remedy
	}
	result := object{
		"ruleId":              e.Rule,
		"level":               sarifLevel(e.Severity),
		"message":             object{"text": message},
		"locations":           []object{{"physicalLocation": physical(e.Place)}},
		"partialFingerprints": object{"finding/v1": e.ID},
		"properties": object{
			"subject": e.Subject, "copies": e.Copies, "because": e.Because, "basis": e.Basis,
			"measured": e.Measured, "limit": e.Limit,
		},
	}
	for i, r := range s.rules {
		if r.Name == e.Rule {
			result["ruleIndex"] = i
			break
		}
	}
	var related []object
	for i, r := range e.Related {
		related = append(related, object{
			"id": i, "message": object{"text": r.Message}, "physicalLocation": physical(r.Place),
		})
	}
	if related != nil {
		result["relatedLocations"] = related
	}
	if e.Waived != nil {
		result["suppressions"] = []object{{
			"kind": "inSource", "status": "accepted", "justification": waivedLine(*e.Waived),
		}}
	}
	if e.Known {
		result["baselineState"] = "unchanged"
	}
	if fixes := sarifFixes(e); fixes != nil {
		result["fixes"] = fixes
	}
	return result
}

func sarifFixes(e Entry) []object {
	var fixes []object
	for _, fix := range e.Fixes {
		if len(fix.Edits) == 0 {
			continue // a change without a replacement is against the schema
		}
		fixes = append(fixes, object{
			"description":     object{"text": fix.Title},
			"artifactChanges": changes(fix.Edits),
		})
	}
	return fixes
}

// changes are the edits of a fix, those of each file together.
func changes(edits []lint.Edit) []object {
	var files []string
	byFile := map[string][]object{}
	for _, edit := range edits {
		if byFile[edit.File] == nil {
			files = append(files, edit.File)
		}
		byFile[edit.File] = append(byFile[edit.File], object{
			"deletedRegion":   region(edit.Start, edit.End),
			"insertedContent": object{"text": edit.Text},
		})
	}
	var out []object
	for _, file := range files {
		out = append(out, object{"artifactLocation": object{"uri": uri(file)}, "replacements": byFile[file]})
	}
	return out
}

func physical(p lint.Place) object {
	return object{"artifactLocation": object{"uri": uri(p.File)}, "region": region(p.Start, p.End)}
}

func region(start, end lint.Position) object {
	return object{
		"startLine": max(start.Line, 1), "startColumn": max(start.Column, 1),
		"endLine": max(end.Line, start.Line, 1), "endColumn": max(end.Column, 1),
	}
}

// uri is a file's name as a reference: relative as it was named, or with the
// file scheme where it is absolute.
func uri(file string) string {
	file = strings.ReplaceAll(file, `\`, "/")
	u := url.URL{Path: path.Clean(file)}
	if path.IsAbs(file) {
		u.Scheme = "file"
	}
	return u.String()
}

func sarifLevel(s lint.Severity) string {
	switch s {
	case lint.Correction:
		return "error"
	case lint.Caution:
		return "warning"
	}
	return "note"
}
