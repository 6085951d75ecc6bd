package rule_test

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lint"
)

func sluggish(t *testing.T, plan string) []lint.Finding {
	t.Helper()
	r := lint.Check(context.Background(), fstest.MapFS{"a.weir": {Data: []byte(plan)}}, "a.weir", lint.Options{Only: []string{"sluggish-drain", "flat-drain"}})
	require.Empty(t, r.Unread)
	return r.Findings
}

// Velocities half full by Manning, in the real bore; the plan's drain is one
// level run of a size, material and fall.
func TestSluggishDrain(t *testing.T) {
	const plan = `plan "Osier Landing 12"
code BOOK
level ground at 0'
room washroom on ground
outfall SEW at -5'
fixture LV lavatory in washroom
drain LV to p1 1-1/4" cast-iron: trap, south 2'
drain p1 to p3 SIZE MATERIAL as D-1WORK: down to -2', east 14' fall FALL, south 3' fall FALL
sewer p3 to SEW 6" pvc: east 20' fall 1/4
`
	for _, c := range []struct {
		book, size, material, fall, work string
		rule                             string // that finds a fault, or ""
		feet                             float64
	}{
		{"upc-2021", `2"`, "abs", "1/4", "", "", 0},       // 2.9 ft/s
		{"upc-2021", `2"`, "cast-iron", "1/4", "", "", 0}, // 2.11 ft/s
		{"upc-2021", `2"`, "", "1/4", "", "", 0},          // a material nobody wrote is taken as smooth
		{"upc-2021", `1-1/2"`, "cast-iron", "1/4", "", "sluggish-drain", 1.77},
		{"upc-2021", `1-1/2"`, "cast-iron", "1/4", " existing", "", 0},
		{"upc-2021", `2"`, "cast-iron", "1/8", "", "flat-drain", 0}, // one fault, told once
		{"ipc-2021", `3"`, "cast-iron", "1/8", "", "sluggish-drain", 1.97},
		{"ipc-2021", `3"`, "pvc", "1/8", "", "", 0},
		{"ipc-2021", `4"`, "clay", "1/8", "", "", 0}, // 2.22 ft/s
	} {
		text := strings.NewReplacer("BOOK", c.book, "SIZE", c.size, "MATERIAL", c.material, "FALL", c.fall, "WORK", c.work).Replace(plan)
		got := sluggish(t, text)
		if c.rule == "" {
			assert.Empty(t, got, "%v", c)
			continue
		}
		require.Len(t, got, 1, "%v", c)
		assert.Equal(t, c.rule, got[0].Rule, "%v", c)
		assert.Equal(t, "D-1", got[0].Subject)
		if c.rule != "sluggish-drain" {
			continue
		}
		assert.Equal(t, lint.Advice, got[0].Severity)
		assert.InDelta(t, c.feet, got[0].Measured.Value, 0.011, "%v", c)
		assert.Equal(t, &lint.Measure{Value: 2, Unit: "ft/s", Kind: "min"}, got[0].Limit)
		require.Len(t, got[0].Fixes, 1)
		edits := got[0].Fixes[0].Edits
		require.Len(t, edits, 2, "both legs are slow")
		for i := len(edits) - 1; i >= 0; i-- {
			text = text[:edits[i].StartByte] + edits[i].Text + text[edits[i].EndByte:]
		}
		assert.Empty(t, sluggish(t, text), "the fix satisfies the rule: %s", text)
	}
}

// A trap arm is held to a fall of its own, and a drain that nothing flows
// through is not judged.
func TestSluggishDrainLeavesArms(t *testing.T) {
	const plan = `plan "Osier Landing 13"
code upc-2021
level ground at 0'
roof at 12'
room washroom on ground
outfall SEW at -5'
terminal V1 roof rise 12"
fixture LV lavatory in washroom
drain LV to p1 1-1/4" cast-iron: trap, south 2' fall 1/4
vent p1 to V1 2": up to roof
drain p1 to p3 2" abs: down to -2', east 4' fall 1/4
drain c1 to p3 1-1/2" cast-iron: cleanout, east 4' fall 1/4
sewer p3 to SEW 4" abs: east 20' fall 1/4
`
	assert.Empty(t, sluggish(t, plan))
	got := sluggish(t, strings.Replace(plan, `p3 2" abs`, `p3 1-1/4" cast-iron`, 1))
	require.Len(t, got, 1, "the same size beyond the arm is told")
	assert.Equal(t, "p1 to p3", got[0].Subject)
}
