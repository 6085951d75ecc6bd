package rule_test

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lint"
	"crownweir/lint/rule"
)

// change replaces one text of an example by another.
type change struct{ old, new string }

// variant is an example with changes, and what a rule finds in it.
type variant struct {
	name, example, which string
	changes              []change
	rule                 string
	subjects             []string
	says                 string
	severity             lint.Severity
}

func example(t *testing.T, name, which string) string {
	t.Helper()
	for _, r := range rule.All() {
		if r.Name == name {
			text := r.Example(which)
			require.NotEmpty(t, text, name)
			return text
		}
	}
	require.Fail(t, "no rule "+name)
	return ""
}

func checkPlan(src, only string) *lint.Report {
	files := fstest.MapFS{"plan.weir": {Data: []byte(src)}}
	return lint.Check(context.Background(), files, "plan.weir", lint.Options{
		Today: time.Date(2026, 11, 20, 0, 0, 0, 0, time.UTC), Only: strings.Fields(only),
	})
}

func (v variant) source(t *testing.T) string {
	src := example(t, v.example, v.which)
	for _, ch := range v.changes {
		require.Equal(t, 1, strings.Count(src, ch.old), "%q in %s.%s", ch.old, v.example, v.which)
		src = strings.Replace(src, ch.old, ch.new, 1)
	}
	return src
}

func runVariants(t *testing.T, list []variant) {
	for _, v := range list {
		t.Run(v.name, func(t *testing.T) {
			report := checkPlan(v.source(t), v.rule+" missing-fact unreadable-line unknown-word unknown-name")
			var subjects []string
			var text strings.Builder
			for _, f := range report.Findings {
				subjects = append(subjects, f.Subject)
				text.WriteString(f.Message + "; " + f.Remedy + "\n")
				if v.severity != "" {
					assert.Equal(t, v.severity, f.Severity)
				}
			}
			assert.ElementsMatch(t, v.subjects, subjects, text.String())
			assert.Contains(t, text.String(), v.says)
		})
	}
}

func TestIndirectWaste(t *testing.T) {
	const ice = `down 8", west 3', air-gap 1-1/2"`
	runVariants(t, []variant{
		{name: "an air break is no air gap for a dishwasher", example: "missing-air-gap", which: "good",
			changes: []change{{"to KS: air-gap", "to KS: air-break"}}, rule: "missing-air-gap", subjects: []string{"DW"}, says: "air break does not do"},
		{name: "found without its air gap", example: "missing-air-gap", which: "good",
			changes: []change{{"sewer k2", "inspection final on 2026-11-02\nfound DW without air-gap\nsewer k2"}}, rule: "missing-air-gap", subjects: []string{"DW"}, says: "without an air gap"},
		{name: "IPC accepts the loop", example: "missing-air-gap", which: "bad",
			changes: []change{{"upc-2021", "ipc-2021"}}, rule: "missing-air-gap"},
		{name: "an air gap that is too small", example: "direct-food-waste", which: "good",
			changes: []change{{ice, `down 8", west 3', air-gap 1/2"`}}, rule: "missing-air-gap", subjects: []string{"ICE"}, says: `air gap of ICE is 1/2"`},
		{name: "an indirect run without a break", example: "direct-food-waste", which: "good",
			changes: []change{{ice, `down 8", west 3'`}}, rule: "direct-food-waste", subjects: []string{"ICE"}, says: "runs into FS1"},
		{name: "a dwelling's ice maker may drain directly", example: "direct-food-waste", which: "bad",
			changes: []change{{"occupancy public", "occupancy private"}}, rule: "direct-food-waste"},
		{name: "a use of room without an occupancy is no dwelling", example: "direct-food-waste", which: "bad",
			changes: []change{{"occupancy public\n", ""}}, rule: "direct-food-waste", subjects: []string{"ICE"}},
		{name: "two softeners may share a pipe", example: "direct-equipment-waste", which: "good",
			changes: []change{{`indirect SOFT to FS1 3/4" copper-l: down 8", west 3', air-gap 1-1/2"`,
				"fixture SOFT2 water-softener in plant units 2 rim 36\" outlet 12\"\nindirect SOFT to i1 3/4\": west 1'\nindirect SOFT2 to i1 3/4\": west 1'\nindirect i1 to FS1 1\": down 8\", air-gap"}},
			rule: "joined-indirect-waste"},
		{name: "trapped and long enough for a vent", example: "long-indirect-waste", which: "good",
			changes: []change{{"down 8\", west 4'", "down 8\", trap, west 15'"}}, rule: "long-indirect-waste", subjects: []string{"ICE to FS1"}, says: "no vent"},
		{name: "neither trap nor vent are two facts", example: "long-indirect-waste", which: "good",
			changes: []change{{"down 8\", west 4'", "down 8\", west 15'"}}, rule: "long-indirect-waste", subjects: []string{"ICE to FS1", "ICE to FS1"}},
		{name: "IPC counts the level part by itself", example: "long-indirect-waste", which: "good",
			changes: []change{{"upc-2021", "ipc-2021"}}, rule: "long-indirect-waste", subjects: []string{"ICE to FS1", "BS to FS1"}, says: "4' on the level"},
		{name: "a length that is not told", example: "long-indirect-waste", which: "good",
			changes: []change{{"down 8\", west 4'", "down to suit, over to suit"}}, rule: "long-indirect-waste", subjects: []string{"ICE to FS1"}, says: "length of ICE to FS1"},
	})
}

func TestReceptorsAndFloorDrains(t *testing.T) {
	runVariants(t, []variant{
		{name: "a cupboard by its name", example: "misplaced-receptor", which: "good",
			changes: []change{{"room plant on ground use plant", "room plant-closet on ground"}, {"floor-sink in plant", "floor-sink in plant-closet"}, {"softener in plant", "softener in plant-closet"}},
			rule:    "misplaced-receptor", subjects: []string{"FS1"}, says: "a closet"},
		{name: "a floor drain alone belongs in a restroom", example: "missing-floor-drain", which: "good", rule: "misplaced-receptor"},
		{name: "one closet asks no floor drain", example: "missing-floor-drain", which: "bad",
			changes: []change{{"WC2 water-closet", "WC2 lavatory"}}, rule: "missing-floor-drain"},
		{name: "closet and urinal", example: "missing-floor-drain", which: "bad",
			changes: []change{{"WC2 water-closet", "WC2 urinal"}}, rule: "missing-floor-drain", subjects: []string{"cloak"}, says: "1 closet and 1 urinal"},
		{name: "a dwelling's bath", example: "missing-floor-drain", which: "bad",
			changes: []change{{"occupancy public", "occupancy private"}}, rule: "missing-floor-drain"},
		{name: "existing closets are not corrected", example: "missing-floor-drain", which: "bad",
			changes: []change{{"WC1 water-closet in cloak", "WC1 water-closet in cloak existing"}, {"WC2 water-closet in cloak", "WC2 water-closet in cloak existing"}}, rule: "missing-floor-drain"},
		{name: "a floor drain that may stand in the room", example: "missing-floor-drain", which: "good",
			changes: []change{{"floor-drain in cloak", "floor-drain"}}, rule: "missing-floor-drain", subjects: []string{"cloak"}, says: "the room of FD1 is not written", severity: lint.Caution},
		{name: "a kitchen", example: "missing-interceptor", which: "good",
			changes: []change{{"floor-drain in kitchen", "floor-drain in cloak"}}, rule: "missing-floor-drain", subjects: []string{"kitchen"}, says: "its use is food"},
		{name: "IPC has no such rule for closets", example: "missing-floor-drain", which: "bad",
			changes: []change{{"upc-2021", "ipc-2021"}}, rule: "missing-floor-drain"},
	})
}

func TestInterceptors(t *testing.T) {
	runVariants(t, []variant{
		{name: "a pot sink in a food room, by its kind", example: "missing-interceptor", which: "bad",
			changes: []change{{" waste grease", ""}}, rule: "missing-interceptor", subjects: []string{"PS1"}, says: "a three-compartment sink in a room of use food", severity: lint.Caution},
		{name: "the wrong interceptor", example: "missing-interceptor", which: "good",
			changes: []change{{"interceptor G1 grease", "interceptor G1 hair"}}, rule: "missing-interceptor", subjects: []string{"PS1"}},
		{name: "a device in the run", example: "missing-interceptor", which: "bad",
			changes: []change{{"drain g0 to g1 3\": ", "drain g0 to g1 3\": interceptor grease, "}}, rule: "missing-interceptor"},
		{name: "waste unknown is not nagged about", example: "missing-interceptor", which: "bad",
			changes: []change{{"waste grease", "waste unknown"}}, rule: "missing-interceptor"},
		{name: "rated by flow", example: "small-interceptor", which: "bad",
			changes: []change{{"volume 500gal", "flow 50gpm"}}, rule: "small-interceptor", subjects: []string{"G1"}, says: "rated by flow, 50 gpm", severity: lint.Caution},
		{name: "no volume", example: "small-interceptor", which: "bad",
			changes: []change{{" volume 500gal", ""}}, rule: "small-interceptor", subjects: []string{"G1"}, says: "volume of G1", severity: lint.Caution},
		{name: "twelve units ask for 750 gallons", example: "small-interceptor", which: "bad",
			changes: []change{{"waste grease", "waste grease units 4"}}, rule: "small-interceptor", subjects: []string{"G1"}, says: "takes 12 units, which ask 750 gal"},
		{name: "a urinal is soil too", example: "soil-through-interceptor", which: "bad",
			changes: []change{{"WC1 water-closet", "WC1 urinal"}}, rule: "soil-through-interceptor", subjects: []string{"G1"}, says: "WC1"},
	})
}

// TestFixesOfWasteRules applies the first fix of each finding of these rules'
// bad examples, after which nothing is found.
func TestFixesOfWasteRules(t *testing.T) {
	for _, name := range []string{
		"low-fixture", "small-ejector", "missing-ejector-valve", "low-ejector-entry",
		"missing-air-gap", "long-indirect-waste", "small-interceptor",
	} {
		t.Run(name, func(t *testing.T) {
			src := example(t, name, "bad")
			for range 4 {
				report := checkPlan(src, name+" unreadable-line unknown-word")
				if len(report.Findings) == 0 {
					return
				}
				require.NotEmpty(t, report.Findings[0].Fixes)
				for _, ed := range report.Findings[0].Fixes[0].Edits {
					src = src[:ed.StartByte] + ed.Text + src[ed.EndByte:]
				}
			}
			require.Empty(t, checkPlan(src, name).Findings, src)
		})
	}
}
