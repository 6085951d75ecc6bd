package rule_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWrittenTurns(t *testing.T) {
	const (
		base  = "cleanout, east 6'\nfitting k1"
		stack = `down to -2', quarter-bend`
	)
	runVariants(t, []variant{
		{name: "both faults", example: "wrong-turn", which: "bad", rule: "wrong-turn", subjects: []string{"D-1", "b1"}, says: "turn it with a short-sweep"},
		{name: "no turn is written", example: "wrong-turn", which: "bad", rule: "wrong-turn", subjects: []string{"b1"}, says: "use a combination",
			changes: []change{{stack, `down to -2'`}}},
		{name: "two eighth bends", example: "wrong-turn", which: "bad", rule: "wrong-turn", subjects: []string{"b1"},
			changes: []change{{stack, `down to -2', eighth-bend, eighth-bend`}}},
		{name: "on the level", example: "wrong-turn", which: "good", rule: "wrong-turn", subjects: []string{"D-1"}, says: "from one level way into another",
			changes: []change{{base, "cleanout, east 2', quarter-bend, north 6\", east 4'\nfitting k1"}}},
		{name: "from level to upright", example: "wrong-turn", which: "good", rule: "wrong-turn",
			changes: []change{{"drain b1 to b2 3\" as D-1: east 6'", "drain b1 to b2 3\" as D-1: east 6', quarter-bend, down 6\""}}},
		{name: "a short sweep is for large drains", example: "wrong-turn", which: "good", rule: "wrong-turn", subjects: []string{"D-2"}, says: "it is for drains of 3\" or larger",
			changes: []change{{`D-2: down to suit, long-sweep`, `D-2: down to suit, short-sweep`}}},
		{name: "a quarter-bend in one fixture's small drain", example: "wrong-turn", which: "good", rule: "wrong-turn",
			changes: []change{{"upc-2021", "ipc-2021"}, {`D-2: down to suit, long-sweep`, `D-2: down to suit, quarter-bend`}}},
		{name: "a quarter-bend in a shared drain", example: "wrong-turn", which: "bad", rule: "wrong-turn", subjects: []string{"D-1", "b1"}, says: "the drain of one fixture, of 2\" or smaller",
			changes: []change{{"upc-2021", "ipc-2021"}}},
		{name: "existing work", example: "wrong-turn", which: "bad", rule: "wrong-turn", subjects: []string{"b1"},
			changes: []change{{`drain p2 to b1 3" as D-1:`, `drain p2 to b1 3" as D-1 existing:`}}},
		{name: "a vent has no such turns", example: "wrong-turn", which: "good", rule: "wrong-turn",
			changes: []change{{`vent k1 to V2 1-1/2": up`, `vent k1 to V2 1-1/2": up to 44", quarter-bend, east 2', quarter-bend, up`}}},
	})
}

func TestWrittenJunctions(t *testing.T) {
	const at = `fitting b1 combination`
	runVariants(t, []variant{
		{name: "an arm meets an upright drain", example: "wrong-turn", which: "good", rule: "wrong-turn"},
		{name: "a vent tee in its place", example: "wrong-turn", which: "good", rule: "wrong-turn", subjects: []string{"k1"}, says: "use a sanitary-tee",
			changes: []change{{"fitting k1 sanitary-tee", "fitting k1 vent-tee"}}},
		{name: "on its back under an arm", example: "wrong-turn", which: "good", rule: "wrong-turn", subjects: []string{"k1"},
			changes: []change{{"fitting k1 sanitary-tee", "fitting k1 sanitary-tee on-back"}}},
		{name: "from the top into a level tee", example: "wrong-turn", which: "bad", rule: "wrong-turn", subjects: []string{"D-1", "b1"}, says: "takes D-2 from upright to level",
			changes: []change{{"cleanout wall, north 6'", "cleanout wall, north 6', enters top"}}},
		{name: "straight through", example: "wrong-turn", which: "bad", rule: "wrong-turn", subjects: []string{"D-1"},
			changes: []change{{"cleanout wall, north 6'", "cleanout wall, north 3', east 3'"}}},
		{name: "a way that is not told", example: "wrong-turn", which: "bad", rule: "wrong-turn", subjects: []string{"D-1"},
			changes: []change{{"cleanout wall, north 6'", "cleanout wall, over 6'"}}},
		{name: "legs not written", example: "wrong-turn", which: "bad", rule: "wrong-turn", subjects: []string{"D-1", "b1"}, says: "the legs of k1 to b1",
			changes: []change{{`D-2: down to suit, long-sweep, cleanout wall, north 6'`, `D-2`}}},
		{name: "found otherwise", example: "wrong-turn", which: "good", rule: "wrong-turn", subjects: []string{"b1"}, says: "sanitary-tee b1",
			changes: []change{{at, at + "\ninspection rough-in on 2026-11-02\nfound b1 with sanitary-tee"}}},
		{name: "a double tee on its side", example: "wrong-turn", which: "bad", rule: "wrong-turn", subjects: []string{"D-1", "b1"}, says: "use a double-wye",
			changes: []change{{"fitting b1 sanitary-tee", "fitting b1 double-sanitary-tee"}}},
	})
	report := checkPlan(variant{example: "wrong-turn", which: "good", changes: []change{
		{at, at + "\ninspection rough-in on 2026-11-02\nfound b1 with sanitary-tee"}}}.source(t), "wrong-turn")
	require.Len(t, report.Findings, 1)
	assert.Equal(t, "found", report.Findings[0].Basis)
	assert.Empty(t, report.Findings[0].Fixes, "what stands on site is not put right by a word")
}

func TestDoubleFittings(t *testing.T) {
	const (
		tee     = "fitting d1 double-sanitary-tee"
		barrel  = `drain d1 to d2 2": down`
		closets = "fixture LV1 lavatory in bath\nfixture LV2 lavatory in bath"
		arms    = "drain LV1 to d1 1-1/2\": trap, east 1'6\"\ndrain LV2 to d1 1-1/2\": trap, west 1'6\""
	)
	facing := func(first string) []change {
		return []change{{"upc-2021", "ipc-2021"}, {closets, "fixture LV1 water-closet in bath\nfixture LV2 water-closet in bath"},
			{arms, "drain LV1 to d1 3\": down 8\", east " + first + "\ndrain LV2 to d1 3\": down 8\", west 20\""}, {barrel, `drain d1 to d2 3": down`}}
	}
	runVariants(t, []variant{
		{name: "one size above", example: "wrong-double-fitting", which: "bad", rule: "wrong-double-fitting", subjects: []string{"d1"}, says: "one size above"},
		{name: "two sizes above", example: "wrong-double-fitting", which: "bad", rule: "wrong-double-fitting",
			changes: []change{{barrel, `drain d1 to d2 2-1/2": down`}}},
		{name: "one inlet alone", example: "wrong-double-fitting", which: "bad", rule: "wrong-double-fitting",
			changes: []change{{arms, "drain LV1 to d1 1-1/2\": trap, east 1'6\"\ndrain LV2 to d2 1-1/2\": trap, west 1'6\""}}},
		{name: "a book without the rule of sizes", example: "wrong-double-fitting", which: "bad", rule: "wrong-double-fitting",
			changes: []change{{"upc-2021", "ipc-2021"}}},
		{name: "closets face each other", example: "wrong-double-fitting", which: "bad", rule: "wrong-double-fitting", subjects: []string{"d1"}, says: "14\" from it on the level; 18\" is the least",
			changes: facing(`14"`)},
		{name: "closets far enough", example: "wrong-double-fitting", which: "bad", rule: "wrong-double-fitting", changes: facing(`18"`)},
		{name: "a double wye", example: "wrong-double-fitting", which: "bad", rule: "wrong-double-fitting", changes: []change{{tee, "fitting d1 double-wye"}}},
	})
}

func TestVentTakeoffs(t *testing.T) {
	runVariants(t, []variant{
		{name: "flat", example: "flat-vent-takeoff", which: "bad", rule: "flat-vent-takeoff", subjects: []string{"V-2"}, says: "lies flat"},
		{name: "rolled too little", example: "flat-vent-takeoff", which: "bad", rule: "flat-vent-takeoff", subjects: []string{"V-2"}, says: "is rolled 30 degrees",
			changes: []change{{"fitting w1 wye", "fitting w1 wye rolled 30"}}},
		{name: "on its back", example: "flat-vent-takeoff", which: "bad", rule: "flat-vent-takeoff",
			changes: []change{{"fitting w1 wye", "fitting w1 sanitary-tee on-back"}}},
		{name: "the vent rises at once", example: "flat-vent-takeoff", which: "bad", rule: "flat-vent-takeoff",
			changes: []change{{`V-2: north 2', up`, `V-2: up-north across 6", north 2', up`}}},
		{name: "no fitting is written", example: "flat-vent-takeoff", which: "bad", rule: "flat-vent-takeoff",
			changes: []change{{"fitting w1 wye\n", ""}}},
		{name: "off an upright drain", example: "flat-vent-takeoff", which: "bad", rule: "flat-vent-takeoff",
			changes: []change{{`drain w1 to b2 3" as D-1: east`, `drain w1 to b2 3" as D-1: down 6", east`}}},
	})
}

// The fix of each of these rules is one edit that satisfies it.
func TestFixesOfFittings(t *testing.T) {
	for _, name := range []string{"wrong-turn", "wrong-double-fitting", "flat-vent-takeoff"} {
		t.Run(name, func(t *testing.T) {
			src := example(t, name, "bad")
			for range 2 {
				report := checkPlan(src, name)
				if len(report.Findings) == 0 {
					break
				}
				require.Len(t, report.Findings[0].Fixes, 1)
				edit := report.Findings[0].Fixes[0].Edits[0]
				src = src[:edit.StartByte] + edit.Text + src[edit.EndByte:]
			}
			assert.Empty(t, checkPlan(src, name+" unreadable-line unknown-word").Findings, strings.TrimSpace(src))
		})
	}
}
