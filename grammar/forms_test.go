package grammar

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func runOf(f *runForm, b Base, _ *reader) (Statement, bool) {
	run := &Run{
		Base: b, From: f.From.Ref, Size: f.Size.Qty, Solve: f.Solve.Word, Material: f.Material.Word,
		Tag: f.Tag.Word, Existing: f.Existing, Claim: f.Claim.Word,
	}
	if f.To.Text != "" {
		run.To = Ref{First: f.To.Word, Span: f.To.Word.Span}
	}
	for _, item := range f.Items {
		run.Items = append(run.Items, item.Item)
	}
	return run, true
}

func pointOf(f *pointForm, b Base, _ *reader) (Statement, bool) {
	p := &Point{Base: b, Name: f.Name.Word, Kind: f.Work.Word}
	if f.Work.Text != "" {
		p.Name = f.Old.Word
	}
	if f.Vents {
		p.Kind = Word{Text: "vents", Span: Span{b.Span.Start + len("existing "), b.Span.Start + len("existing vents")}}
	}
	for _, part := range f.Parts {
		switch {
		case part.At.Span.End > 0:
			p.At = part.At.At
		case part.Attr.Key != "":
			p.Attrs = append(p.Attrs, part.Attr.Attr)
		default:
			p.Kind = part.Kind.Word
		}
	}
	liftKind(p)
	return p, true
}

// TestFormsAndHandReadAlike reads runs and points by their forms and by hand.
func TestFormsAndHandReadAlike(t *testing.T) {
	byForm := map[bool]formReader{true: form(runOf), false: form(pointOf)}
	lines := strings.Split(plan(60), "\n")
	files, err := filepath.Glob("testdata/notation/*.weir")
	require.NoError(t, err)
	for _, path := range files {
		source, err := os.ReadFile(path)
		require.NoError(t, err)
		lines = append(lines, strings.Split(string(source), "\n")...)
	}
	var tokens []string
	for _, line := range lines {
		tokens = append(tokens, lexTexts(line)...)
	}
	rng := rand.New(rand.NewPCG(3, 4))
	for range 12000 {
		lines = append(lines, mutate(rng, lines[rng.IntN(len(lines))], tokens))
	}
	read := 0
	for _, line := range lines {
		var l lexer
		l.lex(line, 0)
		key := l.toks[0].text
		if !isSystem(key) && !isPointKeyword(key) {
			continue
		}
		r := reader{toks: l.toks}
		hand, whole := r.statement()
		if !whole || len(r.problems) > 0 {
			continue
		}
		read++
		got, _, err := byForm[isSystem(key)](l.toks, &reader{})
		require.NoError(t, err, line)
		require.Equal(t, show(hand), show(got), line)
	}
	require.Greater(t, read, 500)
}
