package finding

import (
	"encoding/json"
	"io"

	"crownweir/lint"
	"crownweir/lint/sheet/closing"
)

// document is the json form. Findings is written by the json format alone.
type document struct {
	Type     string                `json:"type,omitempty"`
	Version  int                   `json:"version"`
	Files    int                   `json:"files"`
	Findings *[]Entry              `json:"findings,omitempty"`
	Summary  Summary               `json:"summary"`
	Verdicts map[string]lint.Count `json:"verdicts"`
	Judged   judged                `json:"judged"`
	// Book is the one book that judged every plan, null where several did.
	Book    *lint.BookUse  `json:"book"`
	Books   []lint.BookUse `json:"books"`
	Outside []string       `json:"outside"`
	Caution string         `json:"caution"`
}

type judged struct {
	Requirements int `json:"requirements"`
	lint.Count
	Unknowns int `json:"unknowns"`
}

func newDocument(t Totals) document {
	sum := t.Judged()
	d := document{
		Version:  Version,
		Files:    t.Files,
		Summary:  t.Summary,
		Verdicts: t.Verdicts,
		Judged:   judged{sum.Complies + sum.Breaks + sum.Undecided, sum, t.Unknowns},
		Books:    filled(t.Books),
		Outside:  closing.Outside(),
		Caution:  closing.Caution,
	}
	if d.Verdicts == nil {
		d.Verdicts = map[string]lint.Count{}
	}
	if len(t.Books) == 1 {
		d.Book = &t.Books[0]
	}
	return d
}

// jsonWriter is one object with all findings, for programs.
type jsonWriter struct {
	out     io.Writer
	entries []Entry
}

func newJSON(w io.Writer, _ Options) Writer { return &jsonWriter{out: w, entries: []Entry{}} }

// Plan keeps the findings of one plan for Close.
func (j *jsonWriter) Plan(p Plan) error {
	for _, e := range p.Entries {
		j.entries = append(j.entries, complete(e))
	}
	return nil
}

// Close writes the object.
func (j *jsonWriter) Close(t Totals) error {
	d := newDocument(t)
	d.Findings = &j.entries
	e := encoder(j.out)
	e.SetIndent("", "  ")
	return e.Encode(d)
}

func encoder(w io.Writer) *json.Encoder {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	return e
}

// complete gives every list of a finding at least its brackets.
func complete(e Entry) Entry {
	e.Copies = filled(e.Copies)
	e.Because = filled(e.Because)
	e.Related = filled(e.Related)
	fixes := make([]lint.Fix, len(e.Fixes))
	for i, fix := range e.Fixes {
		fixes[i] = lint.Fix{Title: fix.Title, Edits: filled(fix.Edits)}
	}
	e.Fixes = fixes
	return e
}
