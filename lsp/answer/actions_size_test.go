package answer

import (
	"hash/fnv"
	"math/rand"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar"
	"crownweir/lint"
)

// sizeAt is the action that sizes the run at an offset.
func sizeAt(p *Plan, path string, offset int) (Action, bool) {
	list := Actions(p, path, grammar.Span{Start: offset, End: offset}, false)
	i := slices.IndexFunc(list, func(a Action) bool { return strings.HasPrefix(a.Title, "size ") })
	if i < 0 {
		return Action{}, false
	}
	return list[i], true
}

func corrections(r *lint.Report) map[string]bool {
	out := map[string]bool{}
	for _, f := range r.Findings {
		if f.Severity == lint.Correction && f.Waived == nil {
			out[f.ID] = true
		}
	}
	return out
}

// A size that was found by trying is the size that is found again, and what it
// brings elsewhere is told.
func TestSizesByTrial(t *testing.T) {
	tried, brings := 0, 0
	for _, name := range corpus(t) {
		seed := fnv.New32a() // so that a plan more changes nothing of the others
		seed.Write([]byte(filepath.Base(name)))
		random := rand.New(rand.NewSource(int64(seed.Sum32())))
		if testing.Short() && random.Intn(5) > 0 {
			continue
		}
		p := trying(planOf(t, filepath.Dir(name), filepath.Base(name)))
		f := p.file(p.Path)
		var runs []placed
		for _, s := range f.stmts {
			if _, ok := s.Statement.(*grammar.Run); ok {
				runs = append(runs, s)
			}
		}
		for range min(2, len(runs)) {
			s := runs[random.Intn(len(runs))]
			a, ok := sizeAt(p, p.Path, s.Pos().Start)
			if !ok || strings.Contains(a.Title, "not proved") {
				continue
			}
			tried++
			sources := p.apply(a.Edits)
			q := trying(&Plan{Path: p.Path, Sources: sources, Report: p.Recheck(sources)})
			where := name + ": " + a.Title + "\n" + sources[p.Path]
			again, ok := sizeAt(q, p.Path, s.Pos().Start)
			assert.False(t, ok, "%s\n%s", where, again.Title)
			before, brought := corrections(p.Report), false
			for id := range corrections(q.Report) {
				brought = brought || !before[id]
			}
			assert.Equal(t, brought, strings.Contains(a.Title, "; then "), where)
			if brought {
				brings++
			}
		}
	}
	if !testing.Short() {
		assert.Greater(t, tried, 100)
		assert.Positive(t, brings)
	}
}

// A run is tried once for each check of its plan; a plan that cannot be tried
// has the ledger's word, and says that it is no more.
func TestTrials(t *testing.T) {
	source := strings.Replace(strings.Replace(sallow, "BOOK", "upc-2021", 1), `drain d3 to d4 4"`, "drain d3 to d4 ?", 1)
	p := trying(planIn(source))
	try, asked := p.Try, 0
	p.Try = func(parse func(path, source string) *grammar.File) *lint.Report {
		asked++
		return try(parse)
	}
	offset := strings.Index(source, "drain d3 to d4")
	brief := func() (titles string) {
		for _, a := range Actions(p, "plan.weir", grammar.Span{Start: offset, End: offset}, true) {
			titles += a.Title + "\n"
		}
		return titles
	}
	assert.Contains(t, brief(), "not tried against the rules")
	assert.Zero(t, asked, "a glance tries nothing")
	a, ok := sizeAt(p, "plan.weir", offset)
	require.True(t, ok)
	assert.Contains(t, a.Title, "the least by trial")
	assert.Contains(t, brief(), "the least by trial", "it is known now")
	assert.LessOrEqual(t, asked, mostTrials/2)
	first := asked
	_, ok = sizeAt(p, "plan.weir", offset+3)
	require.True(t, ok)
	assert.Equal(t, first, asked)
	a, ok = sizeAt(planIn(source), "plan.weir", offset)
	require.True(t, ok)
	assert.Contains(t, a.Title, "not tried against the rules")
}
