package answer

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lint"
)

var update = flag.Bool("update", false, "write the answers anew")

// planOf checks a plan of a folder and makes the view of it.
func planOf(t testing.TB, dir, name string) *Plan {
	t.Helper()
	fsys := os.DirFS(dir)
	r := lint.Check(context.Background(), fsys, name, lint.Options{})
	require.Empty(t, r.Unread)
	p := &Plan{Path: name, Report: r, Sources: map[string]string{}}
	for path, f := range r.Files {
		p.Sources[path] = f.Source
	}
	p.Recheck = func(sources map[string]string) *lint.Report { return checkTexts(name, sources) }
	return p
}

// trying lets a plan's sizes be found by trying.
func trying(p *Plan) *Plan {
	p.Try = func(parse func(path, source string) *grammar.File) *lint.Report {
		return lint.Check(context.Background(), textFiles(p.Sources), p.Path, lint.Options{Parse: parse})
	}
	return p
}

// question is a caret drawn under a line: what is asked, and where.
type question struct {
	path       string
	start, end int
	words      []string
}

// questions reads the carets of a text: a remark that holds a `^` or several
// asks what follows them about the columns above.
func questions(path, source string) []question {
	var out []question
	m := grammar.NewMapper(source)
	above := 0
	for line := 1; line <= m.Lines(); line++ {
		text := m.LineText(line)
		at := strings.IndexByte(text, '^')
		if !strings.HasPrefix(text, "#") || at < 0 || strings.TrimSpace(strings.Trim(text[:at], "#")) != "" {
			above = line
			continue
		}
		width := len(text[at:]) - len(strings.TrimLeft(text[at:], "^"))
		column := func(n int) int { return m.Offset(above, n+1) }
		out = append(out, question{path, column(at), column(at + width), strings.Fields(text[at+width:])})
	}
	return out
}

// reply answers a question as the golden files hold it.
func reply(p *Plan, q question) string {
	var b strings.Builder
	where := func(l system.Loc) string {
		f := p.file(l.File)
		line, column := f.lines().Position(l.Span.Start)
		return fmt.Sprintf("%s:%d:%d %q", l.File, line, column, clip(f.text(l.Span)))
	}
	locs := func(list []system.Loc) {
		for _, l := range list {
			fmt.Fprintln(&b, where(l))
		}
	}
	edits := func(list []Edit) {
		for _, e := range list {
			fmt.Fprintf(&b, "%s -> %q\n", where(e.At), e.Text)
		}
	}
	switch q.words[0] {
	case "hover":
		text, at, ok := Hover(p, q.path, q.start)
		if !ok {
			return "nothing\n"
		}
		fmt.Fprintf(&b, "%s\n%s\n", where(at), strings.ReplaceAll(text, "  \n", "\n"))
	case "complete":
		items, more := Complete(p, q.path, q.start)
		most := 12
		if len(q.words) > 1 {
			fmt.Sscan(q.words[1], &most)
		}
		for i, it := range items {
			if i == most {
				fmt.Fprintf(&b, "… %d more\n", len(items)-i)
				break
			}
			fmt.Fprintf(&b, "%s [%s] %s\n", it.Label, it.Kind, it.Detail)
			if it.Insert != it.Label {
				fmt.Fprintf(&b, "    %q\n", it.Insert)
			}
		}
		if len(items) > 0 {
			fmt.Fprintf(&b, "in place of %s\n", where(items[0].At))
		}
		if more {
			fmt.Fprintln(&b, "incomplete")
		}
	case "definition":
		locs(Definition(p, q.path, q.start))
	case "references":
		locs(References(p, q.path, q.start, true))
	case "highlight":
		for _, m := range Highlight(p, q.path, q.start) {
			fmt.Fprintln(&b, where(m.At), map[bool]string{true: "written"}[m.Write])
		}
	case "rename":
		list, why := Rename(p, q.path, q.start, q.words[1])
		if why != "" {
			fmt.Fprintln(&b, "refused:", why)
		}
		edits(list)
	case "signature":
		s, ok := SignatureAt(p, q.path, q.start)
		if !ok {
			return "nothing\n"
		}
		fmt.Fprintln(&b, s.Form)
		if s.Active >= 0 {
			part := s.Parts[s.Active]
			fmt.Fprintln(&b, strings.Repeat(" ", part[0])+strings.Repeat("^", part[1]-part[0]))
		}
	case "selection":
		locs(Selection(p, q.path, q.start))
	case "actions":
		span := grammar.Span{Start: q.start, End: q.start}
		if len(q.words) > 1 { // through so many lines below
			var more int
			fmt.Sscan(q.words[1], &more)
			m := p.file(q.path).lines()
			line, _ := m.Position(q.start)
			span = grammar.Span{Start: m.Offset(line, 1), End: m.Offset(line+more, 1000)}
		}
		for _, a := range Actions(p, q.path, span, false) {
			fmt.Fprintf(&b, "[%s] %s%s\n", a.Kind, a.Title, map[bool]string{true: " (preferred)"}[a.Preferred])
			edits(a.Edits)
		}
	case "stations":
		list := Stations(p, q.path, q.start)
		if len(list) == 0 {
			break
		}
		s := list[0] // in the first copy
		fmt.Fprintf(&b, "%s [%s] %s\n", s.Name, s.Kind, s.Detail)
		for _, f := range Upstream(p, s.Name) {
			fmt.Fprintf(&b, "    from %s [%s] %s through %s\n", f.Name, f.Kind, f.Detail, where(f.Through[0]))
		}
		for _, f := range Downstream(p, s.Name) {
			fmt.Fprintf(&b, "    to %s [%s] %s through %s\n", f.Name, f.Kind, f.Detail, where(f.Through[0]))
		}
	default:
		return "no such question\n"
	}
	if b.Len() == 0 {
		return "nothing\n"
	}
	return b.String()
}

// about answers what is asked of a whole file, in a remark `#? WORD...`.
func about(p *Plan, path string) string {
	f := p.file(path)
	var b strings.Builder
	for _, line := range strings.Split(f.source, "\n") {
		words, asked := strings.CutPrefix(line, "#? ")
		if !asked {
			continue
		}
		for _, word := range strings.Fields(words) {
			fmt.Fprintf(&b, "\n== %s %s\n", path, word)
			b.WriteString(whole(p, f, word))
		}
	}
	return b.String()
}

func whole(p *Plan, f *file, word string) string {
	var b strings.Builder
	switch word {
	case "symbols":
		var show func([]Symbol, string)
		show = func(list []Symbol, in string) {
			for _, s := range list {
				fmt.Fprintf(&b, "%s%s [%s] %s\n", in, s.Name, s.Kind, s.Detail)
				show(s.Children, in+"  ")
			}
		}
		show(Symbols(p, f.path), "")
	case "fixall":
		for _, e := range FixAll(p, f.path) {
			line, _ := f.lines().Position(e.At.Span.Start)
			fmt.Fprintf(&b, "%d %q -> %q\n", line, f.text(e.At.Span), e.Text)
		}
	case "workspace":
		for _, s := range WorkspaceSymbols(p, "") {
			fmt.Fprintf(&b, "%s [%s] %s\n", s.Name, s.Kind, s.Detail)
		}
	case "folds":
		for _, fd := range Folds(p, f.path) {
			fmt.Fprintf(&b, "%d-%d %s\n", fd.First+1, fd.Last+1, fd.Kind)
		}
	case "links":
		for _, l := range Links(p, f.path) {
			fmt.Fprintf(&b, "%q to %s\n", f.text(l.At.Span), l.Target)
		}
	case "lenses":
		for _, l := range Lenses(p, f.path) {
			fmt.Fprintf(&b, "%q [%s] %s\n", f.text(l.At.Span), l.Kind, l.Title)
		}
	case "hints":
		out := f.source
		list := Hints(p, f.path, grammar.Span{End: len(out)})
		for i := len(list) - 1; i >= 0; i-- {
			at := list[i].At.Span.Start
			out = out[:at] + "«" + list[i].Text + "»" + out[at:]
		}
		for _, line := range strings.Split(out, "\n") {
			if strings.Contains(line, "«") {
				fmt.Fprintln(&b, line)
			}
		}
	case "tokens":
		m := f.lines()
		at := 0
		for _, t := range SemanticTokens(p, f.path, grammar.Span{}) {
			line, _ := m.Position(t.Span.Start)
			if line != at {
				fmt.Fprintf(&b, "%s%d:", map[bool]string{true: "\n"}[at > 0], line)
				at = line
			}
			fmt.Fprintf(&b, " %s=%s", f.text(t.Span), TokenTypes()[t.Type])
			for i, mod := range TokenModifiers() {
				if t.Modifiers>>i&1 != 0 {
					b.WriteString("+" + mod)
				}
			}
		}
		b.WriteString("\n")
	}
	return b.String()
}

func TestAnswers(t *testing.T) {
	plans, err := filepath.Glob("testdata/*.weir")
	require.NoError(t, err)
	require.NotEmpty(t, plans)
	for _, plan := range plans {
		name := filepath.Base(plan)
		t.Run(name, func(t *testing.T) {
			p := trying(planOf(t, "testdata", name))
			var b strings.Builder
			asked := 0
			for _, path := range p.paths() {
				f := p.file(path)
				for _, q := range questions(path, f.source) {
					asked++
					line, column := f.lines().Position(q.start)
					fmt.Fprintf(&b, "\n== %s:%d:%d %s\n   %s\n", path, line, column, strings.Join(q.words, " "), f.lines().LineText(line))
					b.WriteString(reply(p, q))
				}
				b.WriteString(about(p, path))
			}
			got := strings.TrimLeft(b.String(), "\n")
			require.NotEmpty(t, got, "the plan asks nothing")
			golden := strings.TrimSuffix(plan, ".weir") + ".answers"
			if *update {
				require.NoError(t, os.WriteFile(golden, []byte(got), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err, "write it with `go test ./lsp/answer -update`")
			assert.Equal(t, string(want), got, "if this is meant: `go test ./lsp/answer -update`")
		})
	}
}

// checkTexts checks a plan whose files are texts in memory.
func checkTexts(name string, sources map[string]string) *lint.Report {
	return lint.Check(context.Background(), textFiles(sources), name, lint.Options{})
}

func textFiles(sources map[string]string) fstest.MapFS {
	fsys := fstest.MapFS{}
	for path, text := range sources {
		fsys[path] = &fstest.MapFile{Data: []byte(text)}
	}
	return fsys
}
