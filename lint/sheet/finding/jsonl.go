package finding

import (
	"bufio"
	"io"
)

// jsonLines writes one object a line, as soon as a plan is judged: findings
// with "type":"finding", and last the sums with "type":"summary" and the
// fields of the json form but its findings.
type jsonLines struct {
	out *bufio.Writer
}

type typedEntry struct {
	Type string `json:"type"`
	Entry
}

func newJSONLines(w io.Writer, _ Options) Writer { return &jsonLines{bufio.NewWriter(w)} }

// Plan writes the findings of one plan.
func (j *jsonLines) Plan(p Plan) error {
	e := encoder(j.out)
	for _, entry := range p.Entries {
		if err := e.Encode(typedEntry{"finding", complete(entry)}); err != nil {
			return err
		}
	}
	return j.out.Flush()
}

// Close writes the last line.
func (j *jsonLines) Close(t Totals) error {
	d := newDocument(t)
	d.Type = "summary"
	if err := encoder(j.out).Encode(d); err != nil {
		return err
	}
	return j.out.Flush()
}
