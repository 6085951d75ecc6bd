package answer

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"crownweir/grammar"
)

// A waiver or a found line that names a run by its ends would name none once it
// is two.
func TestRecordedRunsAreNotSplit(t *testing.T) {
	plan := strings.Replace(sallow, "BOOK", "upc-2021", 1)
	for record, want := range map[string]bool{
		"": true,
		"waive flat-drain on drain d3 to d4 because \"slab\"\n":                false,
		"inspection rough-in on 2026-11-02\nfound drain d3 to d4 fall 1/8\n":   false,
		"waive flat-drain on drain k1 to d3 because \"it ends where d3 is\"\n": true,
	} {
		source := strings.Replace(plan, `drain d3 to d4 4": down to -2', cleanout, east 4'`, `drain d3 to d4 4": down to -2', east 4', cleanout, east 4'`, 1) + record
		offset := strings.LastIndex(source, ", cleanout, east 4'") + len(", cleanout, ")
		list := Actions(planIn(source), "plan.weir", grammar.Span{Start: offset, End: offset}, false)
		assert.Equal(t, want, slices.ContainsFunc(list, func(a Action) bool { return strings.HasPrefix(a.Title, "split it") }), record)
	}
}
