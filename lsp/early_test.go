package lsp

import (
	"context"
	"io/fs"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lint"
)

// While a long check runs, a line that cannot be read is told of at once, and
// what was found before goes along with its lines. What the check finds then
// takes its place.
func TestItem35TextFirst(t *testing.T) {
	hold := make(chan struct{})
	var begun counter
	slow := func(ctx context.Context, fsys fs.FS, path string, opts lint.Options) *lint.Report {
		if begun.add(1) == 1 {
			time.Sleep(lasting)
		} else {
			<-hold
		}
		return lint.Check(ctx, fsys, path, opts)
	}
	const source = "level ground at 0'\nroom r on ground\noutfall SEW at -3'\nfixture LV lavatory in r\ndrain LV to p1 1-1/2\"\nsewer p1 to SEW 3\": east 4'\nroam x on ground\n"
	p := serve(t, Options{Check: slow})
	p.hello(allAbilities)
	p.open(house, 1, source)
	first := p.published(house, 1)
	require.Greater(t, len(first.Diagnostics), 1)

	lines := func(got testPublished) map[string][]int {
		at := map[string][]int{}
		for _, d := range got.Diagnostics {
			at[d.Code] = append(at[d.Code], d.Range.Start.Line)
		}
		return at
	}
	was := lines(first)
	require.Equal(t, []int{6}, was["unreadable-line"])
	require.NotEmpty(t, was["missing-fact"])
	early := func(heads int) map[string][]int {
		return lines(p.last("what the text gives away", house, func(got testPublished) bool {
			return got.Version == nil && len(lines(got)["unreadable-line"]) == heads
		}))
	}
	p.change(house, 2, edit(0, 0, 0, "drane a to b\n"))
	is := early(2)
	assert.Equal(t, []int{0, 7}, is["unreadable-line"], "read anew")
	require.Len(t, is["missing-fact"], len(was["missing-fact"]))
	for i, line := range was["missing-fact"] {
		assert.Equal(t, line+1, is["missing-fact"][i], "moved with its line")
	}

	// what was found at a line stands until the check of its new text is done
	p.change(house, 3, edit(0, 0, 0, "drane b to c\n"), edit(6, 0, len(`drain LV to p1 1-1/2"`), `drain LV to p1 1-1/2": trap, east 2'`))
	assert.Len(t, early(3)["missing-fact"], len(was["missing-fact"]))
	close(hold)
	final := p.last("what the check finds", house, func(got testPublished) bool {
		return got.Version != nil && *got.Version == 3
	})
	fresh := serve(t, Options{})
	fresh.hello(allAbilities)
	fresh.open(house, 3, "drane b to c\ndrane a to b\n"+strings.Replace(source, `1-1/2"`, `1-1/2": trap, east 2'`, 1))
	assert.Equal(t, fresh.published(house, 3).Diagnostics, final.Diagnostics)
}
