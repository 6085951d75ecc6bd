package lint_test

import (
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"math/rand"
	"path/filepath"
	"regexp"
	"sort"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
)

// overlay is a folder in which one file has another text.
type overlay struct {
	fs.FS
	own fstest.MapFS
}

func (o overlay) Open(name string) (fs.File, error) {
	if _, ok := o.own[name]; ok {
		return o.own.Open(name)
	}
	return o.FS.Open(name)
}

// with is the plan with another text, in the same folder.
func (p plan) with(src string) plan {
	p.fsys = overlay{p.fsys, fstest.MapFS{p.base: &fstest.MapFile{Data: []byte(src)}}}
	p.src = src
	return p
}

func (p plan) parse() *grammar.File { return grammar.Parse(p.base, p.src) }

// readPlans are the plans whose every line can be read. Those that give two
// things one name are left out: which of the two counts is a matter of order.
func readPlans(t *testing.T) []plan {
	var out []plan
	for _, p := range drawnPlans(t) {
		if len(p.parse().Problems) > 0 || strings.Contains(p.name, "duplicate-name.bad") || strings.HasSuffix(p.name, "/duplicate-name.weir") {
			continue
		}
		out = append(out, p)
	}
	require.Greater(t, len(out), 150, "plans that can be read")
	return out
}

// each runs a property over the plans that can be read, each with what is found in it.
func each(t *testing.T, property func(t *testing.T, p plan, before *lint.Report)) {
	for _, p := range readPlans(t) {
		t.Run(p.name, func(t *testing.T) {
			t.Parallel()
			property(t, p, checkPlan(p))
		})
	}
}

// listed sorts what is told of each finding.
func listed(r *lint.Report, tell func(lint.Finding) string) []string {
	out := []string{}
	for _, f := range r.Findings {
		out = append(out, tell(f))
	}
	sort.Strings(out)
	return out
}

func facts(r *lint.Report) []string {
	return listed(r, func(f lint.Finding) string { return f.Rule + " on " + f.Subject + ": " + f.Message })
}

func subjects(r *lint.Report) []string {
	return listed(r, func(f lint.Finding) string { return f.Rule + " on " + f.Subject })
}

func rules(r *lint.Report) []string {
	return listed(r, func(f lint.Finding) string { return f.Rule })
}

// TestFormatKeepsFindings: the layout of a plan says nothing.
func TestFormatKeepsFindings(t *testing.T) {
	each(t, func(t *testing.T, p plan, before *lint.Report) {
		text, problems := grammar.Format(p.parse())
		require.Empty(t, problems)
		require.Equal(t, facts(before), facts(checkPlan(p.with(text))))
	})
}

// TestOrderKeepsFindings: lines may stand in any order. The head stays first
// only where it carries no statement; a typical's body stays together.
func TestOrderKeepsFindings(t *testing.T) {
	each(t, func(t *testing.T, p plan, before *lint.Report) {
		var lines []string
		for _, st := range p.parse().Statements {
			span := st.Pos()
			lines = append(lines, p.src[span.Start:span.End])
		}
		for seed := int64(1); seed <= 12; seed++ {
			random := rand.New(rand.NewSource(seed))
			random.Shuffle(len(lines), func(i, j int) { lines[i], lines[j] = lines[j], lines[i] })
			shuffled := strings.Join(lines, "\n") + "\n"
			require.Equal(t, subjects(before), subjects(checkPlan(p.with(shuffled))), "seed %d:\n%s", seed, shuffled)
		}
	})
}

// TestLineEndsSayNothing: neither the line ends of another system nor a mark
// of the encoding changes anything, columns included.
func TestLineEndsSayNothing(t *testing.T) {
	each(t, func(t *testing.T, p plan, before *lint.Report) {
		tell := func(f lint.Finding) string {
			return fmt.Sprintf("%v %v %s on %s: %s", f.Start, f.End, f.Rule, f.Subject, f.Message)
		}
		want := listed(before, tell)
		for name, src := range map[string]string{
			"crlf": strings.ReplaceAll(p.src, "\n", "\r\n"),
			"mark": "\ufeff" + p.src,
			"both": "\ufeff" + strings.ReplaceAll(p.src, "\n", "\r\n"),
			"end":  strings.TrimRight(p.src, "\n"),
		} {
			require.Equal(t, want, listed(checkPlan(p.with(src)), tell), name)
		}
	})
}

// TestSameInputSameBytes: no map order, clock or chance reaches the outcome.
func TestSameInputSameBytes(t *testing.T) {
	each(t, func(t *testing.T, p plan, before *lint.Report) {
		dump := func(r *lint.Report) string {
			out, err := json.Marshal(map[string]any{"findings": r.Findings, "verdicts": r.Verdicts, "book": r.Book, "placed": r.System.Placed, "relaxed": r.System.Relaxed})
			require.NoError(t, err)
			return string(out)
		}
		want := dump(before)
		for range 3 {
			require.Equal(t, want, dump(checkPlan(p)))
		}
	})
}

// TestFixtureAddsLoad: one more fixture lowers no drain's load, wherever it
// joins and whatever it makes a group with.
func TestFixtureAddsLoad(t *testing.T) {
	each(t, func(t *testing.T, p plan, before *lint.Report) {
		book, err := codebook.Load(before.Book.Name)
		require.NoError(t, err)
		old := loads(before.System, book)
		tried := 0
		for _, n := range before.System.Nodes {
			if len(n.DrainIn) == 0 || len(n.DrainOut) == 0 || tried == 6 {
				continue
			}
			tried++
			for _, kind := range []string{"lavatory", "bathtub", "water-closet", "clothes-washer"} {
				in := ""
				for _, r := range before.System.Rooms[:min(1, len(before.System.Rooms))] {
					in = " in " + r.Name
				}
				more := p.src + fmt.Sprintf("fixture Zz1 %s%s\ndrain Zz1 to %s 3\": east 1'\n", kind, in, n.Points[0].Name)
				sys := system.BuildSource(p.fsys, p.base, more, system.Options{})
				now := loads(sys, book)
				for name, load := range old {
					require.GreaterOrEqual(t, now[name].Units, load.Units-1e-9, "units of %s with a %s at %s", name, kind, n.Name())
					require.GreaterOrEqual(t, now[name].Closets, load.Closets, "closets of %s with a %s at %s", name, kind, n.Name())
				}
			}
		}
	})
}

// loads are those of the drains by name; of runs cut where they pick up a
// point, each part by itself.
func loads(s *system.System, book *codebook.Book) map[string]sizing.Load {
	ledger := sizing.New(s, book)
	out := map[string]sizing.Load{}
	for _, r := range s.Runs {
		for i, p := range r.Pipes {
			if r.Kind.Sanitary() {
				out[fmt.Sprintf("%s %d", r.Name(), i)] = ledger.Of(p)
			}
		}
	}
	return out
}

// TestLargerDrainCarriesMore: a drain made larger, its trap's arm apart, is not
// found too small for its load where it was not before.
func TestLargerDrainCarriesMore(t *testing.T) {
	only := lint.Options{Today: today, Only: []string{"undersized-drain"}}
	for _, p := range readPlans(t) {
		t.Run(p.name, func(t *testing.T) {
			t.Parallel()
			if len(lint.Check(context.Background(), p.fsys, p.base, only).Findings) > 0 {
				return // what is too small already may be told in another way
			}
			tried := 0
			for _, st := range allStatements(p.parse().Statements) {
				run, ok := st.(*grammar.Run)
				if !ok || run.Keyword() != "drain" && run.Keyword() != "sewer" || run.Size.Span.End == 0 || hasTrap(run) || tried == 12 {
					continue
				}
				tried++
				for _, size := range []string{`3"`, `4"`, `6"`} {
					if larger, ok := quantity.Parse(size); !ok || larger.SI <= run.Size.SI {
						continue
					}
					span := run.Size.Span
					bigger := p.with(p.src[:span.Start] + size + p.src[span.End:])
					r := lint.Check(context.Background(), bigger.fsys, bigger.base, only)
					require.Empty(t, subjects(r), "%s made %s", p.src[run.Pos().Start:span.End], size)
				}
			}
		})
	}
}

func hasTrap(r *grammar.Run) bool {
	for _, it := range r.Items {
		if it.Kind == grammar.Device && it.Word.Text == "trap" {
			return true
		}
	}
	return false
}

// allStatements lists statements with those inside typicals.
func allStatements(list []grammar.Statement) []grammar.Statement {
	var out []grammar.Statement
	for _, st := range list {
		out = append(out, st)
		if t, ok := st.(*grammar.Typical); ok {
			out = append(out, allStatements(t.Body)...)
		}
	}
	return out
}

// TestFixRemovesFinding: a plan with a fix's edits can be read, and the fault
// it mends is gone: it stands neither at the next leg nor in another copy. What
// the plans write well is also made small and flat, to be mended.
func TestFixRemovesFinding(t *testing.T) {
	var all sync.Map
	t.Run("plans", func(t *testing.T) {
		for _, p := range fixedPlans(t) {
			t.Run(p.name, func(t *testing.T) {
				t.Parallel()
				for _, p := range []plan{p, p.with(shrunk().Replace(p.src)), p.with(flattened(p.src))} {
					for rule := range fixesMend(t, p) {
						all.Store(rule, true)
					}
				}
			})
		}
	})
	fixes := 0
	all.Range(func(any, any) bool { fixes++; return true })
	require.Greater(t, fixes, 45, "rules whose fixes were made")
}

// fixesMend makes every fix of what is found in a plan, each alone.
func fixesMend(t *testing.T, p plan) (rules map[string]bool) {
	rules = map[string]bool{}
	before := checkPlan(p)
	for _, f := range before.Findings {
		for _, fix := range f.Fixes {
			rules[f.Rule] = true
			where := fmt.Sprintf("%q\n%s\n%v", fix.Title, show(f), fix.Edits)
			assert.True(t, apart(fix.Edits), "two edits at one place: %s", where)
			after := checkPlan(p.mended(before, fix.Edits))
			assert.LessOrEqual(t, unreadable(after), unreadable(before), "a line becomes unreadable: %s", where)
			assert.Less(t, faulty(after, f), faulty(before, f), "does not mend: %s", where)
		}
	}
	return rules
}

// shrunk makes pipes a size smaller.
func shrunk() *strings.Replacer {
	return strings.NewReplacer(`4" as`, `3" as`, `3" as`, `2" as`, `2" as`, `1-1/2" as`, `4":`, `3":`, `3":`, `2":`, `2":`, `1-1/2":`, `1-1/2":`, `1-1/4":`, `3/4":`, `1/2":`, `1":`, `1/2":`)
}

// flattened has level drains fall too little, and vents away from their drain.
func flattened(src string) string {
	leg := regexp.MustCompile(`(north|south|east|west) (\d\S*?)(,|$)`)
	lines := strings.Split(src, "\n")
	for i, line := range lines {
		switch {
		case strings.HasPrefix(line, "drain"), strings.HasPrefix(line, "sewer"):
			lines[i] = leg.ReplaceAllString(line, "$1 $2 fall 1/16$3")
		case strings.HasPrefix(line, "vent"):
			lines[i] = leg.ReplaceAllString(line, "$1 $2 fall -1/16$3")
		}
	}
	return strings.Join(lines, "\n")
}

// apart tells whether no two edits touch each other.
func apart(edits []lint.Edit) bool {
	for i, a := range edits {
		for _, b := range edits[:i] {
			if a.File == b.File && a.StartByte <= b.EndByte && b.StartByte <= a.EndByte {
				return false
			}
		}
	}
	return true
}

// fixedPlans are all plans there are, those that are not drawn too.
func fixedPlans(t *testing.T) []plan {
	out := drawnPlans(t)
	for _, dir := range []string{"demo", "houses", "size"} {
		for _, p := range plansUnder(t, filepath.Join(testdata, dir), filepath.Join(testdata, dir)) {
			p.name = dir + "/" + p.name
			out = append(out, p)
		}
	}
	return out
}

// faulty counts the findings of one rule on one subject, each copy for itself.
func faulty(r *lint.Report, like lint.Finding) int {
	n := 0
	for _, f := range r.Findings {
		if f.Rule == like.Rule && f.Subject == like.Subject {
			n += max(1, len(f.Copies))
		}
	}
	return n
}

func unreadable(r *lint.Report) int {
	n := 0
	for _, f := range r.Files {
		n += len(f.Problems)
	}
	return n
}

// mended is a plan with edits made, in whatever files they lie.
func (p plan) mended(r *lint.Report, edits []lint.Edit) plan {
	sorted := append([]lint.Edit(nil), edits...)
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i].StartByte > sorted[j].StartByte })
	own := fstest.MapFS{}
	for file, read := range r.Files {
		src := read.Source
		for _, e := range sorted {
			if e.File == file {
				src = src[:e.StartByte] + e.Text + src[e.EndByte:]
			}
		}
		own[file] = &fstest.MapFile{Data: []byte(src)}
	}
	p.src = string(own[p.base].Data)
	p.fsys = overlay{p.fsys, own}
	return p
}
