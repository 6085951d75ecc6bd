package rule_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSudsZones(t *testing.T) {
	const home = "dwelling baths 1\n"
	runVariants(t, []variant{
		{name: "above the turn", example: "suds-connection", which: "bad", rule: "suds-connection", subjects: []string{"flat.D-K"}, says: "3'3\" above"},
		{name: "one dwelling of three storeys", example: "suds-connection", which: "bad", rule: "suds-connection", changes: []change{{home, ""}}},
		{name: "one dwelling in public use", example: "suds-connection", which: "bad", rule: "suds-connection", subjects: []string{"flat.D-K"},
			changes: []change{{home, ""}, {"code upc-2021", "code upc-2021\noccupancy public"}}},
		{name: "two storeys", example: "suds-connection", which: "bad", rule: "suds-connection",
			changes: []change{{"l1..l3 at 0'", "l1..l2 at 0'"}, {"roof at 31'", "roof at 21'"}, {"F1..F3 on l1..l3", "F1..F2 on l1..l2"},
				{"drain F3.ka..F1.ka", "drain F2.ka..F1.ka"}, {"vent F1.vk..F3.vk", "vent F1.vk..F2.vk"}, {"vent F3.vk to V1", "vent F2.vk to V1"}}},
		{name: "no suds", example: "suds-connection", which: "bad", rule: "suds-connection",
			changes: []change{{"fixture KS kitchen-sink", "fixture KS lavatory"}}},
		{name: "far above the turn", example: "suds-connection", which: "bad", rule: "suds-connection",
			changes: []change{{"ST: down to -2'", "ST: down to -7'"}}},
		{name: "beyond the turn", example: "suds-connection", which: "bad", rule: "suds-connection", subjects: []string{"flat.D-K", "FD to x1"}, says: "4' beyond",
			changes: []change{{"drain F1.ka to s0 2\" as ST: down to -2', long-sweep, cleanout, west 8'",
				"fixture FD floor-drain primer\ndrain FD to x1 2\": down 12\", trap, down to suit, south 2'\ndrain F1.ka to s0 2\" as ST: down to -2', long-sweep, cleanout, west 4', picks-up x1, west 4'"}}},
		{name: "well beyond the turn", example: "suds-connection", which: "bad", rule: "suds-connection", subjects: []string{"flat.D-K"},
			changes: []change{{"drain F1.ka to s0 2\" as ST: down to -2', long-sweep, cleanout, west 8'",
				"fixture FD floor-drain primer\ndrain FD to x1 2\": down 12\", trap, down to suit, south 2'\ndrain F1.ka to s0 2\" as ST: down to -2', long-sweep, cleanout, west 8', picks-up x1, west 4'"}}},
		{name: "how it goes on is not written", example: "suds-connection", which: "bad", rule: "suds-connection", subjects: []string{"ST"}, says: "the legs of s2 to s0 are not written",
			changes: []change{{"drain F1.ka to s0 2\" as ST: down to -2', long-sweep, cleanout, west 8'", "drain F1.ka to s2 2\" as ST: down to -2'\ndrain s2 to s0 2\" as ST"}}},
		{name: "a length not written", example: "suds-connection", which: "bad", rule: "suds-connection", subjects: []string{"flat.D-K"}, says: "the length of F1.ka to s0 is not written",
			changes: []change{{"ST: down to -2', long-sweep", "ST: down to suit, long-sweep"}}},
	})
}

func TestStackBases(t *testing.T) {
	const drop = "D-2: down to suit, cleanout, north 6'"
	runVariants(t, []variant{
		{name: "too near", example: "stack-base-connection", which: "bad", rule: "stack-base-connection", subjects: []string{"D-2"}, says: "18\" beyond the base of the 3\" stack D-1; 10 diameters, 2'6\""},
		{name: "ten diameters", example: "stack-base-connection", which: "bad", rule: "stack-base-connection", changes: []change{{`east 18"`, "east 2'6\""}}},
		{name: "a book without it", example: "stack-base-connection", which: "bad", rule: "stack-base-connection", changes: []change{{"ipc-2021", "upc-2021"}}},
		{name: "from the top", example: "stack-base-connection", which: "bad", rule: "stack-base-connection", changes: []change{{drop, "D-2: cleanout, north 6', down to suit"}}},
		{name: "a drop from the floor above the drain is no stack", example: "stack-base-connection", which: "bad", rule: "stack-base-connection",
			changes: []change{{"room bath on upper", "room bath on ground"}}},
		{name: "existing branch", example: "stack-base-connection", which: "bad", rule: "stack-base-connection", changes: []change{{`2" as D-2:`, `2" as D-2 existing:`}}},
	})
}

func TestTallStacks(t *testing.T) {
	const (
		foot = "vent st0 to F2.vs 3\": up-south across 2', up to suit\n"
		tie  = "vent F6.ba to F6.vs 3\" as V-6: up-south across 2', up to suit\n"
	)
	nine := []change{{"l2..l11 at 10'", "l2..l10 at 10'"}, {"F2..F11 on l2..l11", "F2..F10 on l2..l10"}, {"drain F11.ba..F2.ba", "drain F10.ba..F2.ba"},
		{"vent F11.ba to VS", "vent F10.ba to VS"}, {"vent F2.vs..F11.vs", "vent F2.vs..F10.vs"}, {"vent F11.vs to VT", "vent F10.vs to VT"}}
	twelve := []change{{"l2..l11 at 10'", "l2..l13 at 10'"}, {"roof at 111'", "roof at 131'"}, {"F2..F11 on l2..l11", "F2..F13 on l2..l13"}, {"drain F11.ba..F2.ba", "drain F13.ba..F2.ba"},
		{"vent F11.ba to VS", "vent F13.ba to VS"}, {"vent F2.vs..F11.vs", "vent F2.vs..F13.vs"}, {"vent F11.vs to VT", "vent F13.vs to VT"}}
	tied := func(floor string) []change {
		return []change{{tie, "vent " + floor + ".ba to " + floor + ".vs 3\" as V-6: up-south across 2', up to suit\n"}}
	}
	runVariants(t, []variant{
		{name: "ten storeys", example: "missing-vent-stack", which: "bad", rule: "missing-vent-stack", subjects: []string{"ST"}, says: "runs through 10 storeys"},
		{name: "nine storeys", example: "missing-vent-stack", which: "bad", rule: "missing-vent-stack", changes: nine},
		{name: "branch intervals", example: "missing-vent-stack", which: "bad", rule: "missing-vent-stack", subjects: []string{"ST"}, says: "9 branch intervals",
			changes: append([]change{{"upc-2021", "ipc-2021"}}, nine...)},
		{name: "existing stack", example: "missing-vent-stack", which: "bad", rule: "missing-vent-stack",
			changes: []change{{"drain F11.ba..F2.ba 4\" as ST:", "drain F11.ba..F2.ba 4\" as ST existing:"}}},
		{name: "from its base", example: "missing-vent-stack", which: "bad", rule: "missing-vent-stack",
			changes: []change{{"vent F2.vs..F11.vs", "vent s0 to F2.vs 3\": up-south across 2', up to suit\nvent F2.vs..F11.vs"}}},
		{name: "no tie", example: "missing-relief-vent", which: "bad", rule: "missing-relief-vent", subjects: []string{"ST"}, says: "near the floor at 60'"},
		{name: "no vent stack to tie to", example: "missing-relief-vent", which: "bad", rule: "missing-relief-vent", changes: []change{{foot, ""}}},
		{name: "the fifth floor, the top one counted", example: "missing-relief-vent", which: "good", rule: "missing-relief-vent", changes: tied("F7")},
		{name: "too low a tie", example: "missing-relief-vent", which: "good", rule: "missing-relief-vent", subjects: []string{"ST"}, changes: tied("F4")},
		{name: "a tie too near the top", example: "missing-relief-vent", which: "good", rule: "missing-relief-vent", subjects: []string{"ST"}, says: "near the floor at 30'", changes: tied("F9")},
		{name: "ten intervals ask none", example: "missing-relief-vent", which: "bad", rule: "missing-relief-vent", changes: []change{{"upc-2021", "ipc-2021"}}},
		{name: "twelve intervals", example: "missing-relief-vent", which: "bad", rule: "missing-relief-vent", subjects: []string{"ST"}, says: "runs through 12 branch intervals",
			changes: append([]change{{"upc-2021", "ipc-2021"}}, twelve...)},
		{name: "its upper end", example: "missing-relief-vent", which: "good", rule: "missing-relief-vent", subjects: []string{"V-6"}, says: "joins the vent stack 3'4\" above the floor; 3'6\" is the least",
			changes: []change{{"vent p1 to vs 2\": up to 44\"", "vent p1 to vs 2\": up to 40\""}}},
	})
}

// fourClosets is a circuit-vented branch that joins a stack below a lavatory's
// drainage.
const fourClosets = `plan "Teasel Works, upper washroom"
code ipc-2021
default drain cast-iron
default fall 1/4
occupancy public
level ground at 0'
level first at 12'
level second at 24'
roof at 37'
outfall SEW at -6'
terminal VT roof rise 12" opening 12'
terminal VS roof rise 12" opening 12'
room low on first
room high on second
typical stall
fixture WC water-closet side 18" front 30" centres 36"
drain WC to j 3": down 10", north 1'6"
end
place stall as S1..S4 in low on first at 0',0' every east 36"
fitting c0 at 2' below first
drain c0 to S1.j 4" as B-1: cleanout floor, east 1'
drain S1.j to cv 4" as B-1: east 1'6"
drain cv to S2.j 4" as B-1: east 1'6"
drain S2.j..S4.j 4" as B-1: east 3'
drain S4.j to st 4" as B-1: east 4'
vent cv to v1 2": up to 44" above first
vent v1 to VT 3": up to roof
fixture LV lavatory in high
drain LV to h1 1-1/2": trap, east 2'
vent h1 to VS 4": up to roof
drain h1 to st 4" as ST: down to suit
drain st to s0 4" as ST: down to 3' below ground, cleanout, east 10'
sewer s0 to SEW 4": cleanout, east 20'
`

func TestCircuitRelief(t *testing.T) {
	only := "missing-relief-vent unreadable-line unknown-word unknown-name"
	bad := checkPlan(fourClosets, only)
	require.Len(t, bad.Findings, 1)
	assert.Equal(t, "B-1", bad.Findings[0].Subject)
	assert.Contains(t, bad.Findings[0].Message, "takes 4 closets below drainage from above")

	relieved := strings.Replace(fourClosets, "drain S4.j to st 4\" as B-1: east 4'",
		"drain S4.j to r 4\" as B-1: east 2'\nvent r to v1 2\": up to 44\" above first\ndrain r to st 4\" as B-1: east 2'", 1)
	assert.Empty(t, checkPlan(relieved, only).Findings)

	clear := strings.Replace(fourClosets, "fixture LV lavatory in high\ndrain LV to h1", "fixture LV lavatory in high\ndrain LV to h2", 1)
	assert.NotEqual(t, fourClosets, clear)
	assert.Empty(t, checkPlan(clear, "missing-relief-vent").Findings, "nothing drains from above")
}
