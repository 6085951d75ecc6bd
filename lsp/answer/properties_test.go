package answer

import (
	"context"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar"
	"crownweir/grammar/catalog"
	"crownweir/grammar/system"
	"crownweir/lint"
)

// planIn checks a text as a plan. Where the check itself fails, which its own
// tests are to find, the text stands alone and is answered all the same.
func planIn(source string) *Plan {
	p := &Plan{Path: "plan.weir", Sources: map[string]string{"plan.weir": source}}
	func() {
		defer func() {
			if recover() != nil {
				p.Report = nil
			}
		}()
		p.Report = checkTexts("plan.weir", p.Sources)
	}()
	p.Recheck = func(sources map[string]string) *lint.Report { return checkTexts("plan.weir", sources) }
	return p
}

const sallow = `plan "Sallow Row, house 2"
code BOOK
default drain abs
default fall 1/4
level ground at 0'
level upper at 9'
roof at 20'
room bath on upper
outfall SEW at -4'
terminal V1 roof rise 12" opening 12'
fixture KS kitchen-sink in bath
drain KS to k1 1-1/2": trap, east 3'
vent k1 to V1 1-1/2": up to roof
drain k1 to d3 4": down to suit, east 6'
drain d3 to d4 4": down to -2', cleanout, east 4'
sewer d4 to SEW 4": cleanout, east 20'
`

// A fixture that is written whole is read without a fault, and breaks nothing
// of traps, vents and drains by itself.
func TestWholeFixturesHold(t *testing.T) {
	for _, book := range []string{"upc-2021", "ipc-2021"} {
		base := strings.Replace(sallow, "BOOK", book, 1)
		p := planIn(base)
		items, _ := Complete(p, "plan.weir", len(base))
		n := 0
		for _, fx := range catalog.FixtureKinds() {
			i := slices.IndexFunc(items, func(it Item) bool { return it.Label == fx.Name+" with its runs" })
			if i < 0 {
				continue
			}
			n++
			q := planIn(base + items[i].Plain + "\n")
			assert.Empty(t, q.Report.Files["plan.weir"].Problems, "%s: %s", book, items[i].Plain)
			before := map[string]bool{}
			for _, f := range p.Report.Findings {
				before[f.Rule+f.Subject] = true
			}
			for _, f := range q.Report.Findings {
				family := catalogue()[f.Rule].Family
				if f.Severity == lint.Correction && !before[f.Rule+f.Subject] && (family == "Traps" || family == "Vents" || family == "Drafting") {
					t.Errorf("%s, %s: %s: %s\n%s", book, fx.Name, f.Rule, f.Message, items[i].Plain)
				}
			}
		}
		assert.Greater(t, n, 20, book)
	}
}

// corpus is every plan of the product's test data and rule examples.
func corpus(t testing.TB) []string {
	t.Helper()
	var out []string
	for _, glob := range []string{"../../testdata/*/*.weir", "../../lint/rule/examples/*.weir"} {
		list, err := filepath.Glob(glob)
		require.NoError(t, err)
		out = append(out, list...)
	}
	require.Greater(t, len(out), 100)
	return out
}

func read(t testing.TB, name string) string {
	t.Helper()
	b, err := os.ReadFile(name)
	require.NoError(t, err)
	return string(b)
}

// A name that is given to a point changes nothing but the name: as many
// requirements comply, break and stay undecided.
func TestRenamedPlansKeepTheirVerdicts(t *testing.T) {
	random := rand.New(rand.NewSource(1))
	renamed := 0
	for _, name := range corpus(t) {
		p := planOf(t, filepath.Dir(name), filepath.Base(name))
		var all []mention
		for _, list := range p.written().mentions {
			all = append(all, list...)
		}
		slices.SortFunc(all, func(a, b mention) int { return a.loc.Span.Start - b.loc.Span.Start })
		for range 3 {
			if len(all) == 0 {
				break
			}
			m := all[random.Intn(len(all))]
			edits, why := Rename(p, m.loc.File, m.loc.Span.Start, "zq9")
			if why != "" {
				continue
			}
			renamed++
			q := p.Recheck(p.apply(edits))
			assert.Equal(t, p.Report.Verdicts, q.Verdicts, "%s: %v", name, m.part.sym)
		}
	}
	assert.Greater(t, renamed, 200)
}

// everything asks all there is to ask at an offset, and holds that every span
// lies in its file.
func everything(t testing.TB, p *Plan, path string, offset int) {
	f := p.file(path)
	in := func(l system.Loc) {
		g := p.file(l.File)
		if g == nil || l.Span.Start < 0 || l.Span.End < l.Span.Start || l.Span.End > len(g.source) {
			t.Fatalf("span %v of %q, which has %d bytes", l.Span, l.File, len(f.source))
		}
	}
	if text, at, ok := Hover(p, path, offset); ok {
		in(at)
		require.NotEmpty(t, text)
		require.True(t, utf8.ValidString(text) || !utf8.ValidString(f.source))
	}
	items, _ := Complete(p, path, offset)
	for _, it := range items {
		in(it.At)
		require.NotEmpty(t, it.Label)
	}
	for _, l := range Definition(p, path, offset) {
		in(l)
	}
	for _, l := range References(p, path, offset, true) {
		in(l)
	}
	for _, m := range Highlight(p, path, offset) {
		in(m.At)
	}
	around := grammar.Span{Start: f.clamp(offset), End: f.clamp(offset)}
	for _, l := range Selection(p, path, offset) {
		in(l)
		require.True(t, l.Span.Start <= around.Start && around.End <= l.Span.End)
		around = l.Span
	}
	if s, ok := SignatureAt(p, path, offset); ok {
		require.Less(t, s.Active, len(s.Parts))
	}
	at, _, why := PrepareRename(p, path, offset)
	if why == "" {
		in(at)
		edits, _ := Rename(p, path, offset, "zq9")
		for _, e := range edits {
			in(e.At)
		}
	}
	for _, a := range Actions(p, path, grammar.Span{Start: offset, End: offset + 3}, false) {
		require.NotEmpty(t, a.Title)
		for _, e := range a.Edits {
			in(e.At)
		}
	}
	for _, s := range Stations(p, path, offset) {
		in(s.At)
		Upstream(p, s.Name)
		Downstream(p, s.Name)
	}
}

// wholly asks what there is to ask of a file.
func wholly(t testing.TB, p *Plan, path string) {
	f := p.file(path)
	end := 0
	for _, tok := range SemanticTokens(p, path, grammar.Span{}) {
		at := tok.Span
		if at.Start < end || at.End <= at.Start || at.End > len(f.source) || strings.ContainsAny(f.source[at.Start:at.End], "\r\n") {
			t.Fatalf("token %v after %d in %q", at, end, f.source)
		}
		require.Less(t, int(tok.Type), len(TokenTypes()))
		require.Less(t, int(tok.Modifiers), 1<<len(TokenModifiers()))
		end = at.End
	}
	var nested func(list []Symbol, around grammar.Span)
	nested = func(list []Symbol, around grammar.Span) {
		for _, s := range list {
			require.True(t, around.Start <= s.At.Span.Start && s.At.Span.End <= around.End, "%v in %v", s, around)
			require.True(t, s.At.Span.Start <= s.Select.Span.Start && s.Select.Span.End <= s.At.Span.End, "%v", s)
			nested(s.Children, s.At.Span)
		}
	}
	nested(Symbols(p, path), grammar.Span{End: len(f.source)})
	lines := f.lines().Lines()
	for _, fd := range Folds(p, path) {
		require.True(t, fd.First < fd.Last && fd.Last < lines)
	}
	Lenses(p, path)
	for _, h := range Hints(p, path, grammar.Span{End: len(f.source)}) {
		require.LessOrEqual(t, h.At.Span.End, len(f.source))
	}
	Links(p, path)
	FixAll(p, path)
	WorkspaceSymbols(p, "a")
}

// Every answer holds at every fourth offset of every plan there is, and with a
// piece of the plan cut out.
func TestEveryPlanIsAnswered(t *testing.T) {
	random := rand.New(rand.NewSource(2))
	for i, name := range corpus(t) {
		if testing.Short() && i%10 > 0 {
			continue
		}
		p := planOf(t, filepath.Dir(name), filepath.Base(name))
		for _, path := range p.paths() {
			wholly(t, p, path)
			for offset := 0; offset <= len(p.file(path).source); offset += 4 + random.Intn(40) {
				everything(t, p, path, offset)
			}
		}
		source := read(t, name)
		a := random.Intn(len(source))
		q := planIn(source[:a] + source[min(len(source), a+random.Intn(30)):])
		wholly(t, q, "plan.weir")
		everything(t, q, "plan.weir", a)
	}
}

// faults lists the rules that break or are undecided. Runs are counted, and
// rewriting makes more or fewer of them; a height that is odd is odd no more
// once it is written.
func faults(r *lint.Report) []string {
	var out []string
	for name, c := range r.Verdicts {
		if c.Breaks > 0 {
			out = append(out, name+" breaks")
		}
		if c.Undecided > 0 && name != "odd-height" {
			out = append(out, name+" undecided")
		}
	}
	slices.Sort(out)
	return out
}

// alike counts the findings of one rule on one subject.
func alike(r *lint.Report, like lint.Finding) (n int) {
	for _, fd := range r.Findings {
		if fd.Rule == like.Rule && fd.Subject == like.Subject {
			n += max(1, len(fd.Copies))
		}
	}
	return n
}

// What an action writes is read without a new problem. A rewriting changes no
// verdict; a fix makes its finding go; a waiver is counted as one.
func TestActionsDoWhatTheySay(t *testing.T) {
	random := rand.New(rand.NewSource(3))
	count := map[string]int{}
	for _, name := range corpus(t) {
		p := planOf(t, filepath.Dir(name), filepath.Base(name))
		f := p.file(p.Path)
		seen := map[string]bool{}
		for _, s := range f.stmts {
			offset := s.Pos().Start + random.Intn(s.Pos().End-s.Pos().Start+1)
			for _, a := range Actions(p, f.path, grammar.Span{Start: offset, End: offset}, false) {
				if seen[a.Title] || testing.Short() && random.Intn(10) > 0 {
					continue
				}
				seen[a.Title] = true
				what, _, _ := strings.Cut(a.Title, " ")
				count[a.Kind+" "+what]++
				sources := p.apply(a.Edits)
				q := p.Recheck(sources)
				where := name + ": " + a.Title + "\n" + sources[f.path]
				require.LessOrEqual(t, len(q.Files[p.Path].Problems), len(f.parsed.Problems), where)
				switch {
				case what == "waive":
					for _, fd := range q.Findings {
						if slices.Contains(a.Findings, fd.ID) {
							assert.NotNil(t, fd.Waived, where)
						}
					}
				case what == "size":
					assert.False(t, slices.ContainsFunc(Actions(&Plan{Path: p.Path, Report: q}, f.path, grammar.Span{Start: offset, End: offset}, false), func(b Action) bool { return b.Title == a.Title }), where)
				case a.Kind == "quickfix":
					mends := p.Report.Findings[slices.IndexFunc(p.Report.Findings, func(fd lint.Finding) bool { return fd.ID == a.Findings[0] })]
					assert.Less(t, alike(q, mends), alike(p.Report, mends), where)
				case what == "split" && slices.Contains(faults(p.Report), "small-trap breaks"):
					// a trap that is too small keeps silent what its own pipe breaks, and the second is another
				case strings.HasPrefix(a.Kind, "refactor"):
					assert.Equal(t, faults(p.Report), faults(q), where)
				}
			}
		}
	}
	if testing.Short() {
		return
	}
	for _, kind := range []string{"refactor.rewrite write", "refactor.rewrite split", "refactor.inline join", "quickfix waive", "quickfix make"} {
		assert.Greater(t, count[kind], 5, kind)
	}
}

func FuzzAnswers(f *testing.F) {
	f.Add(sallow, uint16(40))
	f.Add("drain KS to ", uint16(12))
	f.Add("typical a\nplace a as A\nend\nplace a as B1..B9\nexcept B2 drain x.", uint16(60))
	f.Add("fixture \u2033 wc\r\n  in\r\ndrain A..B..C to", uint16(9))
	f.Add("waive x on a.b.c to d because \"", uint16(30))
	f.Fuzz(func(t *testing.T, source string, offset uint16) {
		if len(source) > 4000 {
			return
		}
		p := planIn(source)
		everything(t, p, "plan.weir", int(offset))
		everything(t, p, "plan.weir", len(source)-int(offset))
		wholly(t, p, "plan.weir")
		// the text has moved on since it was judged
		late := &Plan{Path: p.Path, Report: p.Report, Sources: map[string]string{"plan.weir": source + "\ndrain "}}
		everything(t, late, "plan.weir", int(offset))
		wholly(t, late, "plan.weir")
	})
}

// A plan that was not read, or nothing at all, has no answers and no faults.
func TestNothingIsAnswered(t *testing.T) {
	for _, p := range []*Plan{{}, {Path: "a.weir", Report: lint.Check(context.Background(), textFiles(nil), "a.weir", lint.Options{})}} {
		_, _, ok := Hover(p, "a.weir", 3)
		assert.False(t, ok)
		items, _ := Complete(p, "a.weir", 3)
		assert.Empty(t, items)
		assert.Empty(t, Symbols(p, "a.weir"))
		assert.Empty(t, WorkspaceSymbols(p, ""))
		assert.Empty(t, Hints(p, "a.weir", grammar.Span{End: 9}))
		_, _, why := PrepareRename(p, "a.weir", 0)
		assert.NotEmpty(t, why)
	}
	alone := &Plan{Path: "a.weir", Sources: map[string]string{"a.weir": "drain KS to k1"}}
	text, _, ok := Hover(alone, "a.weir", 1)
	assert.True(t, ok)
	assert.Contains(t, text, "waste by gravity")
}

// Many may ask at a time, and get what one alone gets.
func TestManyAskAtOnce(t *testing.T) {
	p, alone := planOf(t, "testdata", "flats.weir"), planOf(t, "testdata", "flats.weir")
	f := p.file("flats.weir")
	var wait sync.WaitGroup
	for g := range 8 {
		wait.Go(func() {
			for offset := g; offset < len(f.source); offset += 37 {
				everything(t, p, "flats.weir", offset)
			}
			wholly(t, p, "flats.weir")
		})
	}
	wait.Wait()
	for offset := 0; offset < len(f.source); offset += 11 {
		x, _, _ := Hover(p, "flats.weir", offset)
		y, _, _ := Hover(alone, "flats.weir", offset)
		require.Equal(t, y, x)
		a, _ := Complete(p, "flats.weir", offset)
		b, _ := Complete(alone, "flats.weir", offset)
		require.Equal(t, b, a)
	}
}
