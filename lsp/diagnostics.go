package lsp

import (
	"fmt"
	"sort"
	"strings"

	"go.lsp.dev/protocol"

	"crownweir/grammar"
	"crownweir/lint"
)

// source names the server beside a diagnostic.
const source = "crownweir"

// mostFindings is how many findings of a file are shown, unless the client
// says otherwise.
const mostFindings = 200

// note is a finding's identity, handed back with a diagnostic that an action
// is asked for.
type note struct {
	ID string `json:"id"`
}

// diagnostics are a check's findings by the key of the file they stand in,
// none for a file without.
func (j *judged) diagnostics(now *snapshot) map[string][]protocol.Diagnostic {
	c := now.client
	all := map[string][]protocol.Diagnostic{}
	for _, f := range j.touched() {
		all[f.key] = []protocol.Diagnostic{}
	}
	if j.wrong != nil {
		all[j.wrong.key] = []protocol.Diagnostic{wrongSettings(j.wrong.Wrong, j.wrong.text, c.encoding)}
	}
	if j.plan == nil || j.fault != "" {
		all[j.doc.key] = []protocol.Diagnostic{{
			Range: firstLine(j.doc.text, c.encoding), Severity: protocol.DiagnosticSeverityWarning, Source: source, Message: j.fault,
		}}
		return all
	}
	byFile := map[string][]lint.Finding{}
	for _, f := range j.plan.Report.Findings {
		path := f.File
		if _, ok := j.files[path]; !ok {
			path = j.plan.Path // amendments and what could not be read
		}
		byFile[path] = append(byFile[path], f)
	}
	for path, findings := range byFile {
		file := j.files[path]
		findings, left := mostSevere(findings, now.most)
		list := make([]protocol.Diagnostic, 0, len(findings)+1)
		for i := range findings {
			list = append(list, j.diagnostic(&findings[i], file, c))
		}
		if left > 0 {
			list = append(list, protocol.Diagnostic{
				Range: firstLine(file.text, c.encoding), Severity: protocol.DiagnosticSeverityInformation, Source: source,
				Message: fmt.Sprintf("%d more findings are not shown here; `crownweir check` lists them all", left),
			})
		}
		all[file.key] = list
	}
	return all
}

// mostSevere keeps the n findings that matter most, in their order, and counts
// the others.
func mostSevere(findings []lint.Finding, n int) (kept []lint.Finding, left int) {
	if len(findings) <= n {
		return findings, 0
	}
	rank := make([]int, len(findings))
	for i := range rank {
		rank[i] = i
	}
	sort.SliceStable(rank, func(i, j int) bool { return severityOf(&findings[rank[i]]) < severityOf(&findings[rank[j]]) })
	rank = rank[:n]
	sort.Ints(rank)
	for _, i := range rank {
		kept = append(kept, findings[i])
	}
	return kept, len(findings) - n
}

func severityOf(f *lint.Finding) protocol.DiagnosticSeverity {
	switch {
	case f.Waived != nil:
		return protocol.DiagnosticSeverityHint
	case f.Severity == lint.Correction:
		return protocol.DiagnosticSeverityError
	case f.Severity == lint.Caution:
		return protocol.DiagnosticSeverityWarning
	}
	return protocol.DiagnosticSeverityInformation
}

func (j *judged) diagnostic(f *lint.Finding, file judgedFile, c *client) protocol.Diagnostic {
	d := protocol.Diagnostic{
		Range:    file.text.visible(spanOf(f.Place), c.encoding),
		Severity: severityOf(f), Code: f.Rule, Source: source, Message: message(f),
	}
	if c.can("textDocument", "publishDiagnostics", "relatedInformation") || c.pull {
		for _, r := range f.Related {
			at, ok := j.files[r.File]
			if !ok || r.Message == "" {
				continue
			}
			d.RelatedInformation = append(d.RelatedInformation, protocol.DiagnosticRelatedInformation{
				Location: protocol.Location{
					URI:   protocol.DocumentURI(at.uri),
					Range: at.text.visible(spanOf(r.Place), c.encoding),
				},
				Message: r.Message,
			})
		}
	}
	if c.can("textDocument", "publishDiagnostics", "dataSupport") || c.pull {
		d.Data = note{f.ID}
	}
	return d
}

func spanOf(p lint.Place) grammar.Span { return grammar.Span{Start: p.StartByte, End: p.EndByte} }

// message is a finding in words: the message of `check`, then what it stands
// for, its section and what would satisfy it, a line each.
func message(f *lint.Finding) string {
	lines := []string{f.Message}
	if f.Waived != nil {
		lines = append(lines, "waived: "+f.Waived.Because)
		return strings.Join(lines, "\n")
	}
	if n := len(f.Copies); n > 0 {
		lines = append(lines, fmt.Sprintf("stands for %s", copies(f.Copies)))
	}
	if f.Section != "" {
		lines = append(lines, f.Section)
	}
	if f.Remedy != "" {
		lines = append(lines, "would satisfy: "+f.Remedy)
	}
	return strings.Join(lines, "\n")
}

func copies(names []string) string {
	const shown = 3
	if len(names) <= shown {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:shown], ", "), len(names)-shown)
}

// visible is the range of a span that can be seen: never empty where its line
// is not, and not beyond its line's end.
func (t *text) visible(s grammar.Span, enc encoding) protocol.Range {
	r := t.span(s, enc)
	if r.Start != r.End {
		return r
	}
	start, end := t.line(int(r.Start.Line))
	at := min(max(s.Start, start), end)
	switch {
	case at < end:
		r.End = t.position(t.after(at), enc)
	case at > start:
		r.Start = t.position(t.before(at), enc)
	}
	return r
}

func firstLine(t *text, enc encoding) protocol.Range {
	start, end := t.line(0)
	return t.span(grammar.Span{Start: start, End: end}, enc)
}
