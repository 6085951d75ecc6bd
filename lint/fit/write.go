package fit

import (
	"strings"

	"crownweir/grammar/quantity"
)

// write lays the sizes into the texts. Nothing else changes: a size that is
// written already keeps its spelling.
func (s *solver) write(out *Result) {
	runs := runsOf(s.now.System)
	edits := map[string][]edit{}
	for _, t := range sorted(s.tokens, out.Order) {
		text := t.was
		if t.had != t.size {
			text = s.spell(t)
			if t.span.Start == t.span.End { // behind the ends of a run that had none
				text = " " + text
			}
			edits[t.file] = append(edits[t.file], edit{t.span.Start, t.span.End, text})
		}
		out.Sizes = append(out.Sizes, Size{File: t.file, Span: t.span, What: t.what, For: len(runs[t.run]),
			Was: t.was, Text: text, Size: t.size, Below: t.below(), Bound: t.bound, With: t.with})
	}
	for _, t := range sorted(s.left, out.Order) {
		out.Left = append(out.Left, Left{File: t.file, Span: t.span, What: t.what, Was: t.was, Why: t.why, Remedy: t.remedy, Finding: t.finding})
	}
	for path, list := range edits {
		out.Texts[path] = apply(s.files[path].Source, list)
	}
}

type edit struct {
	start, end int
	text       string
}

// apply makes edits that stand in their order and do not overlap.
func apply(source string, edits []edit) string {
	var b strings.Builder
	at := 0
	for _, e := range edits {
		b.WriteString(source[at:e.start])
		b.WriteString(e.text)
		at = e.end
	}
	b.WriteString(source[at:])
	return b.String()
}

// spelling is how a file writes its sizes.
type spelling struct {
	all, metric int
	names       map[quantity.Size]string // the metric ones it uses
}

// spell writes a token's size as it was written: in millimetres or in inches;
// for a `?` as most sizes of its file are.
func (s *solver) spell(t *token) string {
	sp := s.spelt[t.file]
	metric := strings.HasSuffix(t.was, "m") || t.had == 0 && sp != nil && sp.metric*2 > sp.all
	if !metric {
		return t.size.String()
	}
	if text := sp.names[t.size]; text != "" {
		return text
	}
	if text, ok := t.size.Metric(); ok {
		return text
	}
	return t.size.String()
}
