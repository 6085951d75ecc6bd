package venting_test

import (
	"context"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/assert"

	"crownweir/lint"
	"crownweir/lint/pressure"
	"crownweir/lint/rule"
)

// breaches runs the rules of the methods of venting over a plan.
func breaches(t *testing.T, book, plan string) []string {
	t.Helper()
	sys, b := build(t, book, plan)
	c := rule.NewCase(sys, b, pressure.Options{})
	all := rule.All()
	for i := range all {
		if strings.HasSuffix(all[i].Name, "-wet-vent") || strings.Contains(all[i].Name, "circuit") || all[i].Name == "barred-admittance-valve" ||
			all[i].Name == "unvented-trap" || all[i].Name == "long-trap-arm" || all[i].Name == "s-trap" {
			c.Run(context.Background(), &all[i])
		}
	}
	out := []string{}
	for j := range c.Judgements() {
		if j.Answer == rule.Breaks {
			out = append(out, j.Rule.Name+" on "+j.Subject)
		}
	}
	slices.Sort(out)
	return out
}

// One fault is one finding, however many traps rely on what is wrong, and
// lines may stand in any order.
func TestOneFaultOneFinding(t *testing.T) {
	sink := swap(along, "fixture TB bathtub", "fixture TB kitchen-sink")
	for _, c := range []struct {
		name, book, plan string
		want             []string
	}{
		{"a sink on a level wet vent", "upc-2021", sink, []string{"foreign-wet-vent on TB"}},
		{"a sink on one under the other book", "ipc-2021", sink, []string{"foreign-wet-vent on TB"}},
		{"the same where the wet vent grows", "upc-2021", swap(sink, `n to w 2"`, `n to w 3"`), []string{"foreign-wet-vent on TB"}},
		{"two closets ahead of a tub", "upc-2021", swap(ahead, "drain WC to n 3\": down to suit, north 2'", "fixture W1 water-closet in bath\nfixture W2 water-closet in bath\ndrain W1 to n 3\": down to suit, north 2'\ndrain W2 to n 3\": down to suit, south 2'", "fixture WC water-closet in bath\n", ""),
			[]string{"foreign-wet-vent on TB", "foreign-wet-vent on W1"}},
		{"two sinks are two", "upc-2021", sink + "fixture AA sink in bath units 1\ndrain AA to y 1-1/2\": trap, north 2'\ndrain y to l 2\": down to l\nvent y to V1 2\": up to roof\n",
			[]string{"foreign-wet-vent on AA", "foreign-wet-vent on TB"}},
		{"two rooms on one wet vent", "upc-2021", swap(along, "fixture TB bathtub in bath", "fixture TB bathtub in other"), []string{"foreign-wet-vent on TB"}},
		{"public use of one wet vent", "upc-2021", "occupancy public\n" + along, []string{"foreign-wet-vent on LV"}},
		{"the first name speaks", "upc-2021", "occupancy public\n" + swap(along, "TB", "AB"), []string{"foreign-wet-vent on AB"}},
		{"a small one under two", "upc-2021", swap(along, `m to n 2"`, `m to n 1-1/2"`), []string{"small-wet-vent on TB"}},
		{"a barred valve that two rely on", "upc-2021", valveOnTop + swap(stacked, `vent p to V1 2": up to roof`, `vent p to A1 2": up 12"`), []string{"barred-admittance-valve on LV"}},
		{"a circuit vent out of place", "ipc-2021", closets(4, 3, `3"`), []string{"misplaced-circuit-vent on C3"}},
		{"a claimed circuit with a long arm", "upc-2021", swap(closets(3, 2, `3"`), `C3 to c3 4": down 10", north 2'`, `C3 to c3 4": down 10", north 12'`, `drain c1 to e 4":`, `drain c1 to e 4" system circuit:`), []string{"long-trap-arm on C3"}},
		{"a urinal that claims a method not for it", "ipc-2021", "fixture UR urinal in bath\ndrain UR to e 3\" system combination: east 14'\nfixture KS kitchen-sink in kitchen\ndrain KS to k 2\": trap, east 1'\nvent k to V1 2\": up to roof\ndrain k to e 3\": down to e\nsewer e to SEW 4\": cleanout, east 20'\n", []string{"long-trap-arm on UR"}},
		{"an s-trap is not told twice", "upc-2021", "fixture KS kitchen-sink in kitchen\ndrain KS to k 1-1/2\": trap, east 2'\n" + tail, []string{"s-trap on KS"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, breaches(t, c.book, c.plan))
			lines := strings.Split(strings.TrimSpace(c.plan), "\n")
			slices.Reverse(lines)
			assert.Equal(t, c.want, breaches(t, c.book, strings.Join(lines, "\n")+"\n"), "lines reversed")
		})
	}
}

// An approval on record answers for a combination waste and vent.
func TestApprovedCombination(t *testing.T) {
	plan := "code upc-2021\n" + head + "fixture FD floor-drain in kitchen primer\ndrain FD to c 3\" system combination: down 12\", trap, cleanout, east 8'\n" +
		"vent c to V1 3\": up to roof\ndrain c to e 3\": east 4'\nsewer e to SEW 3\": cleanout, east 20'\n"
	told := func(plan string) (waived, stands int) {
		report := lint.Check(context.Background(), fstest.MapFS{"a.weir": {Data: []byte(plan)}}, "a.weir", lint.Options{Today: time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)})
		for _, f := range report.Findings {
			switch {
			case f.Rule != "unapproved-combination":
			case f.Waived != nil:
				waived++
			default:
				stands++
			}
		}
		return
	}
	waived, stands := told(plan)
	assert.Equal(t, []int{0, 1}, []int{waived, stands}, "without an approval")
	waived, stands = told(plan + "waive unapproved-combination on FD because \"wash-down floor\" approved \"ALT-4\"\n")
	assert.Equal(t, []int{1, 0}, []int{waived, stands}, "with one")
}
