package lsp

import (
	"context"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.lsp.dev/protocol"

	"crownweir/grammar"
)

func (s *Server) formatting(_ context.Context, now *snapshot, p *documentParams) ([]protocol.TextEdit, error) {
	doc := now.docs[placeOf(p.TextDocument.URI).key]
	if doc == nil {
		return nil, nil
	}
	return s.layOut(doc, now.client.encoding, 0, len(doc.text.starts)), nil
}

// rangeFormatting lays out the lines of a range and touches no other.
func (s *Server) rangeFormatting(_ context.Context, now *snapshot, p *rangeParams) ([]protocol.TextEdit, error) {
	doc := now.docs[placeOf(p.TextDocument.URI).key]
	if doc == nil {
		return nil, nil
	}
	last := int(p.Range.End.Line)
	if p.Range.End.Character > 0 || p.Range.End == p.Range.Start {
		last++
	}
	return s.layOut(doc, now.client.encoding, int(p.Range.Start.Line), last), nil
}

// layOut is the edits of the lines from first to before last that lay a
// document out as `fmt` does. One with a line that cannot be read is left as it
// is, and its user told so.
func (s *Server) layOut(doc *document, enc encoding, first, last int) []protocol.TextEdit {
	edits := []protocol.TextEdit{}
	after, problems := grammar.Format(doc.parsed(doc.name()))
	if len(problems) > 0 {
		at := doc.text.position(problems[0].Span.Start, enc)
		s.conn.Notify(protocol.MethodWindowShowMessage, protocol.ShowMessageParams{
			Type:    protocol.MessageTypeWarning,
			Message: fmt.Sprintf("%s is not laid out: line %d: %s", doc.name(), at.Line+1, problems[0].Message),
		})
		return edits
	}
	for _, e := range lineEdits(doc.text.source, after) {
		r := doc.text.span(e.at, enc)
		lines := protocol.Range{Start: doc.text.position(e.lines.Start, enc), End: doc.text.position(e.lines.End, enc)}
		end := int(lines.End.Line)
		if lines.End.Character > 0 || lines.End == lines.Start {
			end++
		}
		if int(lines.Start.Line) >= first && end <= last {
			edits = append(edits, protocol.TextEdit{Range: r, NewText: e.text})
		}
	}
	return edits
}

// lineEdit replaces bytes by a text. lines is the whole lines it stands in.
type lineEdit struct {
	at    grammar.Span
	lines grammar.Span
	text  string
}

// reach is how far lines that differ are looked at to find those that belong
// together again.
const reach = 64

// lineEdits are the edits that make a layout of a text: line by line where a
// line is only laid out otherwise, by a few lines where they were broken or
// joined. They do not overlap and are in order.
func lineEdits(before, after string) []lineEdit {
	a, b := splitLines(before), splitLines(after)
	keysA, keysB := lineKeys(a), lineKeys(b)
	var edits []lineEdit
	at := 0
	change := func(from, to []string) {
		old, text := strings.Join(from, ""), strings.Join(to, "")
		if old != text {
			start, end, by := narrow(old, text)
			edits = append(edits, lineEdit{grammar.Span{Start: at + start, End: at + end}, grammar.Span{Start: at, End: at + len(old)}, by})
		}
		at += len(old)
	}
	for i, j := 0, 0; i < len(a) || j < len(b); {
		da, db := meet(keysA[i:], keysB[j:])
		if da == db {
			for k := range da {
				change(a[i+k:i+k+1], b[j+k:j+k+1])
			}
		} else {
			change(a[i:i+da], b[j:j+db])
		}
		i, j = i+da, j+db
		if i < len(a) && j < len(b) { // they met
			change(a[i:i+1], b[j:j+1])
			i, j = i+1, j+1
		}
	}
	return edits
}

// meet is how many lines of each stand before the nearest pair of lines that
// say the same.
func meet(a, b []string) (da, db int) {
	if len(a) == 0 || len(b) == 0 {
		return len(a), len(b)
	}
	for sum := 0; sum <= 2*reach; sum++ {
		for da := max(0, sum-reach); da <= min(sum, reach); da++ {
			db := sum - da
			if da < len(a) && db < len(b) && a[da] == b[db] && (da == db || a[da] != "") {
				return da, db
			}
		}
	}
	return len(a), len(b)
}

// lineKeys are lines without their blanks.
func lineKeys(lines []string) []string {
	keys := make([]string, len(lines))
	for i, line := range lines {
		keys[i] = strings.Map(func(r rune) rune {
			if unicode.IsSpace(r) {
				return -1
			}
			return r
		}, line)
	}
	return keys
}

func splitLines(text string) []string {
	lines := strings.SplitAfter(text, "\n")
	if lines[len(lines)-1] == "" {
		lines = lines[:len(lines)-1]
	}
	return lines
}

// narrow leaves out what two texts begin and end with alike.
func narrow(old, text string) (start, end int, by string) {
	for start < len(old) && start < len(text) && old[start] == text[start] {
		start++
	}
	for start > 0 && (start < len(old) && !utf8.RuneStart(old[start]) || start < len(text) && !utf8.RuneStart(text[start])) {
		start--
	}
	same := 0
	for same < len(old)-start && same < len(text)-start && old[len(old)-1-same] == text[len(text)-1-same] {
		same++
	}
	for same > 0 && !utf8.RuneStart(old[len(old)-same]) {
		same--
	}
	// nor is a line end of two bytes cut
	if same > 0 && old[len(old)-same] == '\n' && len(old) > same && old[len(old)-same-1] == '\r' ||
		same > 0 && text[len(text)-same] == '\n' && len(text) > same && text[len(text)-same-1] == '\r' {
		same--
	}
	if start > 0 && old[start-1] == '\r' {
		start--
	}
	return start, len(old) - same, text[start : len(text)-same]
}
