package rule_test

import (
	"context"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lint"
)

// house is a plan with a kitchen and a room, to which a case adds its lines.
const house = `plan "Thornback Row 1"
code BOOK
default drain abs
default fall 1/4
level ground at 0'
roof at 12'
room kitchen on ground
room bath on ground
outfall SEW at -9'
terminal V1 roof rise 12" opening 12'
`

// sink is a vented sink whose drain a case completes.
const sink = `fixture KS kitchen-sink in kitchen
drain KS to k1 1-1/2": trap, east 2'
vent k1 to V1 2": up to roof
`

func check(t *testing.T, book, plan string) *lint.Report {
	t.Helper()
	fsys := fstest.MapFS{"a.weir": {Data: []byte(strings.Replace(house, "BOOK", book, 1) + plan)}}
	r := lint.Check(context.Background(), fsys, "a.weir", lint.Options{})
	require.Empty(t, r.Unread)
	for _, f := range r.Findings {
		require.NotContains(t, []string{"unreadable-line", "unknown-word", "unknown-name"}, f.Rule, f.Message)
	}
	return r
}

// found lists what a report says of some rules, as "rule subject".
func found(r *lint.Report, rules ...string) []string {
	out := []string{}
	for _, f := range r.Findings {
		for _, name := range rules {
			if f.Rule == name {
				out = append(out, f.Rule+" "+f.Subject)
			}
		}
	}
	return out
}

func TestForms(t *testing.T) {
	tests := []struct {
		name, book, plan string
		rules            string   // those looked at
		want             []string // "rule subject"
	}{
		{"an indirect waste's trap and its receptor's are not in series", "upc-2021", `fixture FS floor-sink in kitchen
fixture IM equipment in kitchen units 1
indirect IM to FS 3/4": down 6", trap, east 6', air-gap 1"
drain FS to f1 2": down 12", trap, east 2'
vent f1 to V1 2": up to roof
drain f1 to f2 2": down to suit, cleanout, east 10'
sewer f2 to SEW 3": cleanout, east 20'
`, "double-trap unprimed-trap", nil},
		{"an interceptor is a trap only where it is trapped", "upc-2021", sink + `interceptor G1 grease at -3' volume 500gal
drain k1 to G1 2": down to suit, cleanout, east 10'
drain G1 to g2 3": east 4'
sewer g2 to SEW 3": cleanout, east 20'
`, "double-trap", nil},
		{"a trapped interceptor behind a trap", "upc-2021", sink + `interceptor G1 grease trapped at -3' volume 500gal
drain k1 to G1 2": down to suit, cleanout, east 10'
drain G1 to g2 3": east 4'
sewer g2 to SEW 3": cleanout, east 20'
`, "double-trap", []string{"double-trap KS"}},
		{"a sink, its dishwasher and disposer share a trap", "upc-2021", `fixture KS kitchen-sink in kitchen
fixture DW dishwasher in kitchen
drain KS to w 1-1/2": down 4"
drain DW to w 1-1/2": east 2', down to suit
drain w to k1 1-1/2": trap, east 2'
vent k1 to V1 2": up to roof
drain k1 to k2 2": down to -2', cleanout, east 10'
sewer k2 to SEW 3": cleanout, east 20'
`, "shared-trap", nil},
		{"four compartments on one trap", "upc-2021", strings.Replace(sink, "in kitchen", "in kitchen compartments 4 apart 8\"", 1), "shared-trap", []string{"shared-trap KS"}},
		{"three compartments too far apart", "upc-2021", strings.Replace(sink, "in kitchen", "in kitchen compartments 3 apart 16\"", 1), "shared-trap", []string{"shared-trap KS"}},
		{"three compartments near one another", "upc-2021", strings.Replace(sink, "in kitchen", "in kitchen compartments 3 apart 14\"", 1), "shared-trap", nil},
		{"lavatories far apart by their legs", "upc-2021", `fixture LV1 lavatory in bath
fixture LV2 lavatory in bath
drain LV1 to w 1-1/2": down 6"
drain LV2 to w 1-1/2": down to suit, east 32"
drain w to k1 1-1/2": trap, south 2'
vent k1 to V1 2": up to roof
`, "shared-trap", []string{"shared-trap LV1"}},
		{"lavatories of two rooms", "upc-2021", `fixture LV1 lavatory in bath
fixture LV2 lavatory in kitchen
drain LV1 to w 1-1/2": down 6"
drain LV2 to w 1-1/2": down to suit, east 20"
drain w to k1 1-1/2": trap, south 2'
vent k1 to V1 2": up to roof
`, "shared-trap", []string{"shared-trap LV1"}},
		{"a barrier serves as a primer", "upc-2021", `fixture FD floor-drain in bath
drain FD to f1 2": down 12", trap barrier, north 2'
vent f1 to V1 2": up to roof
`, "unprimed-trap", nil},
		{"a primer on the line that feeds the drain", "upc-2021", `fixture FD floor-drain in bath
main M at -3' 60psi
service M to c0 1": meter 3/4", north 10'
cold c0 to FD 1/2": primer, up to suit
drain FD to f1 2": down 12", trap, north 2'
vent f1 to V1 2": up to roof
`, "unprimed-trap", nil},
		{"a floor sink that nothing drains into is not proved seldom used", "upc-2021", `fixture FS floor-sink in kitchen
drain FS to f1 2": down 12", trap, north 2'
vent f1 to V1 2": up to roof
`, "unprimed-trap", []string{"unprimed-trap FS"}},
		{"a site visit finds the primer missing", "upc-2021", `fixture FD floor-drain in bath primer
drain FD to f1 2": down 12", trap, north 2'
vent f1 to V1 2": up to roof
inspection rough-in on 2026-11-02
found FD without primer
`, "unprimed-trap", []string{"unprimed-trap FD"}},
		{"the arm of a closet may fall as it likes", "upc-2021", `fixture WC water-closet in bath
drain WC to w1 3": down 8", north 5' fall 1
vent w1 to V1 2": up to roof
`, "steep-trap-arm", nil},
		{"a long tailpiece sideways", "ipc-2021", `fixture KS kitchen-sink in kitchen outlet 20"
drain KS to k1 1-1/2": down 4", east 36", trap, east 2'
vent k1 to V1 2": up to roof
`, "long-tailpiece", []string{"long-tailpiece KS"}},
		{"the other book sets no level limit", "upc-2021", `fixture KS kitchen-sink in kitchen outlet 20"
drain KS to k1 1-1/2": down 4", east 36", trap, east 2'
vent k1 to V1 2": up to roof
`, "long-tailpiece", nil},
		{"a standpipe of 36 in is lawful under one book", "ipc-2021", `fixture CW clothes-washer in bath outlet 44" rim 44"
drain CW to w1 2": down 36", trap, east 3'
vent w1 to V1 2": up to roof
`, "standpipe-height laundry-trap-height", nil},
		{"a laundry tub in a washer's trap asks a taller standpipe", "ipc-2021", `fixture CW clothes-washer in bath outlet 44" rim 44"
fixture LT laundry-tub in bath
drain CW to w0 2": down 26"
drain LT to w0 2": down to suit, east 1'
drain w0 to w1 2": trap, east 3'
vent w1 to V1 2": up to roof
`, "standpipe-height shared-trap", []string{"standpipe-height CW"}},
		{"a standpipe that is not written is not judged", "upc-2021", `fixture CW clothes-washer in bath
drain CW to w1 2": trap, east 3'
vent w1 to V1 2": up to roof
`, "standpipe-height laundry-trap-height", nil},
		{"a vent that dives under a beam", "upc-2021", `fixture KS kitchen-sink in kitchen
drain KS to k1 1-1/2": trap, east 2'
vent k1 to V1 2" as V: up to 8', east 2', down 1', east 2', up to roof
`, "sagging-vent", []string{"sagging-vent V"}},
		{"a vent that comes down to another's riser drains there", "upc-2021", `fixture KS kitchen-sink in kitchen
fixture LV lavatory in bath
drain KS to k1 1-1/2": trap, east 2'
drain LV to p1 1-1/2": trap, east 2'
vent k1 to v1 2": up to 8'
vent p1 to v1 2" as V: up to 9', east 4', down to suit
vent v1 to V1 2": up to roof
`, "sagging-vent", nil},
		{"a vent measured to fall towards the air", "upc-2021", `fixture KS kitchen-sink in kitchen
drain KS to k1 1-1/2": trap, east 2'
vent k1 to V1 2" as V: up to 48", east 6', up to roof
inspection rough-in on 2026-11-02
found V fall -1/8
`, "sagging-vent", []string{"sagging-vent V"}},
		{"an opening without its height is a missing fact", "upc-2021", strings.Replace(sink, "fixture KS", "terminal V2 roof opening 6'\nvent k1 to V2 2\": up to roof\nfixture KS", 1), "near-opening-terminal", nil},
		{"a sewer's lot line", "upc-2021", strings.Replace(sink, "fixture KS", "terminal V2 roof lot-line 2'\nvent k1 to V2 2\": up to roof\nfixture KS", 1), "near-opening-terminal", []string{"near-opening-terminal V2"}},
		{"the other book has no lot line", "ipc-2021", strings.Replace(sink, "fixture KS", "terminal V2 roof lot-line 2'\nvent k1 to V2 2\": up to roof\nfixture KS", 1), "near-opening-terminal", nil},
		{"frost: the rise alone", "upc-2021", "climate winter -10F\nterminal V2 roof rise 8\"\n" + sink + "vent k1 to V2 2\": up to roof\n", "frost-terminal low-terminal", []string{"frost-terminal V2"}},
		{"frost: 2 in is too small under one book", "ipc-2021", "climate winter -10F\n" + sink, "frost-terminal", []string{"frost-terminal V1"}},
		{"a mild winter asks nothing", "ipc-2021", "climate winter 5F\n" + sink, "frost-terminal", nil},
		{"frost: enlarged too near the roof", "upc-2021", `climate winter -10F
fixture KS kitchen-sink in kitchen
drain KS to k1 1-1/2": trap, east 2'
fitting v1 at 11'6"
vent k1 to v1 1-1/2": up to suit
vent v1 to V1 2": up to roof
`, "frost-terminal", []string{"frost-terminal V1"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := check(t, tt.book, tt.plan)
			assert.ElementsMatch(t, tt.want, found(r, strings.Fields(tt.rules)...))
		})
	}
}

func TestMissingFactsOfForms(t *testing.T) {
	r := check(t, "upc-2021", "terminal V2 roof opening 6'\n"+sink+"vent k1 to V2 2\": up to roof\nfixture CW clothes-washer in bath\ndrain CW to w1 2\": trap, east 3'\nvent w1 to V1 2\": up to roof\n")
	text := ""
	for _, f := range r.Findings {
		if f.Rule == "missing-fact" {
			text += f.Message + "\n"
		}
	}
	assert.Contains(t, text, "the height of V2 above the opening beside it is not written; near-opening-terminal waits for it")
	assert.Contains(t, text, "the height of the standpipe of CW is not written; standpipe-height and laundry-trap-height wait for it")
}

func TestCleanouts(t *testing.T) {
	tests := []struct {
		name, book, plan, rules string
		want                    []string
	}{
		{"no cleanout where drain and sewer meet", "upc-2021", sink + "drain k1 to k2 2\" as D: down to -2', cleanout, east 20'\nsewer k2 to SEW 3\" as S: east 30'\n", "missing-cleanout", []string{"missing-cleanout S"}},
		{"a straight sewer of 10 ft has none due", "upc-2021", sink + "drain k1 to k2 2\" as D: down to -2', cleanout, east 20'\nsewer k2 to SEW 3\" as S: east 10'\n", "missing-cleanout", nil},
		{"a cleanout a few feet out serves the junction", "upc-2021", sink + "drain k1 to k2 2\" as D: down to -2', cleanout, east 20'\nsewer k2 to SEW 3\" as S: east 4', cleanout grade, east 26'\n", "missing-cleanout", nil},
		{"one within 10 ft upstream serves it under one book", "ipc-2021", sink + "drain k1 to k2 2\" as D: down to -2', east 20', cleanout, east 8'\nsewer k2 to SEW 3\" as S: east 30'\n", "missing-cleanout", nil},
		{"a sink's trap comes off under one book", "ipc-2021", sink + "drain k1 to k2 2\" as D: down to -2', east 20'\nsewer k2 to SEW 3\" as S: cleanout, east 30'\n", "missing-cleanout", nil},
		{"a tub's does not", "ipc-2021", "fixture TB bathtub in bath\ndrain TB to k1 1-1/2\": down 8\", trap, east 2'\nvent k1 to V1 2\": up to roof\ndrain k1 to k2 2\" as D: down to -2', east 20'\nsewer k2 to SEW 3\" as S: cleanout, east 30'\n", "missing-cleanout", []string{"missing-cleanout D"}},
		{"a line that drops on its way is cleaned from its upper end", "upc-2021", sink + "drain k1 to k2 2\" as D: down to -2', cleanout, east 20'\ndrain k2 to k3 2\" as D: down 1', east 20'\nsewer k3 to SEW 3\" as S: cleanout, east 30'\n", "missing-cleanout", nil},
		{"another line below a drop is not", "upc-2021", sink + "drain k1 to k2 2\" as D: down to -2', cleanout, east 20'\ndrain k2 to k3 2\" as E: down 1', east 20'\nsewer k3 to SEW 3\" as S: cleanout, east 30'\n", "missing-cleanout", []string{"missing-cleanout E"}},
		{"a two-way cleanout on a riser serves the building drain", "upc-2021", sink + "drain k1 to k2 3\" as D: down to -2', east 40'\ndrain c0 to k2 3\": cleanout two-way grade, down 1'\nsewer k2 to SEW 3\" as S: east 30'\n", "missing-cleanout", nil},
		{"a plain one there does not", "upc-2021", sink + "drain k1 to k2 3\" as D: down to -2', east 40'\ndrain c0 to k2 3\": cleanout grade, down 1'\nsewer k2 to SEW 3\" as S: east 30'\n", "missing-cleanout", []string{"missing-cleanout D"}},
		{"an older book wants one at the base of a stack", "ipc-2012", `level upper at 10'
room loft on upper
fixture LV lavatory in loft
drain LV to p1 1-1/2": trap, east 2'
vent p1 to V1 2": up to roof
drain p1 to st 2" as ST: down to 2' below ground
fixture KS kitchen-sink in kitchen
drain KS to k1 1-1/2": trap, east 2'
vent k1 to V1 2": up to roof
drain k1 to st 2" as D: down to suit, cleanout, east 10'
drain st to m 3" as D: east 10'
sewer m to SEW 3": cleanout, east 20'
`, "missing-cleanout", []string{"missing-cleanout ST"}},
		{"spacing is measured through joints", "upc-2021", sink + "drain k1 to k2 2\" as D: down to -2', cleanout, east 60'\ndrain k2 to k3 2\" as D: east 50'\nsewer k3 to SEW 3\" as S: cleanout, east 90'\n", "cleanout-spacing", []string{"cleanout-spacing D"}},
		{"a sewer too", "upc-2021", sink + "drain k1 to k2 2\" as D: down to -2', cleanout, east 60'\nsewer k2 to SEW 3\" as S: cleanout, east 101'\n", "cleanout-spacing", []string{"cleanout-spacing S"}},
		{"a hundred feet is enough", "upc-2021", sink + "drain k1 to k2 2\" as D: down to -2', cleanout, east 100'\nsewer k2 to SEW 3\" as S: cleanout, east 100'\n", "cleanout-spacing", nil},
		{"turns add up to 135 and no more", "upc-2021", sink + "drain k1 to k2 2\" as D: down to -2', cleanout, east 10', north 10', northwest 10'\nsewer k2 to SEW 3\" as S: cleanout, northwest 20'\n", "turning-drain", nil},
		{"turns add up across two pipes", "upc-2021", sink + "drain k1 to k2 2\" as D: down to -2', cleanout, east 10', north 10'\ndrain k2 to k3 3\" as E: west 10'\nsewer k3 to SEW 3\" as S: cleanout, west 20'\n", "turning-drain", []string{"turning-drain E"}},
		{"one turn far from the last cleanout", "ipc-2021", sink + "drain k1 to k2 2\" as D: down to -2', cleanout, east 45', north 10'\nsewer k2 to SEW 3\" as S: cleanout, north 20'\n", "turning-drain", []string{"turning-drain D"}},
		{"turns within 40 ft of one", "ipc-2021", sink + "drain k1 to k2 2\" as D: down to -2', cleanout, east 20', north 20', west 10'\nsewer k2 to SEW 3\" as S: cleanout, west 20'\n", "turning-drain", nil},
		{"a bend of 45 is no turn", "ipc-2021", sink + "drain k1 to k2 2\" as D: down to -2', cleanout, east 45', northeast 10'\nsewer k2 to SEW 3\" as S: cleanout, northeast 20'\n", "turning-drain", nil},
		{"a riser's cleanout is judged by the pipe it opens", "upc-2021", sink + "drain k1 to k2 4\" as D: down to -2', cleanout, east 10'\ndrain k2 to k3 4\" as D: east 10'\ndrain c0 to k2 2\" as C: cleanout floor, down 1'\nsewer k3 to SEW 4\" as S: cleanout, east 20'\n", "small-cleanout", []string{"small-cleanout C"}},
		{"reach under a floor", "upc-2021", sink + "drain k1 to k2 2\" as D: down to -2', cleanout reach 6', east 20'\nsewer k2 to SEW 3\" as S: cleanout, east 20'\n", "tight-cleanout", []string{"tight-cleanout D"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := check(t, tt.book, tt.plan)
			assert.ElementsMatch(t, tt.want, found(r, strings.Fields(tt.rules)...))
		})
	}
}

// A fix that one of these rules offers satisfies it.
func TestFixesOfForms(t *testing.T) {
	forms := strings.Fields("double-trap unprimed-trap steep-trap-arm long-tailpiece standpipe-height sagging-vent shrinking-vent low-terminal frost-terminal turning-drain small-cleanout missing-cleanout")
	fixed := 0
	for _, info := range lint.Rules() {
		if !slices.Contains(forms, info.Name) {
			continue
		}
		require.NotEmpty(t, info.Bad, info.Name)
		first := lint.Check(context.Background(), fstest.MapFS{"a.weir": {Data: []byte(info.Bad)}}, "a.weir", lint.Options{})
		for _, f := range first.Findings {
			if f.Rule != info.Name {
				continue
			}
			for _, fix := range f.Fixes {
				fixed++
				text := info.Bad
				for i := len(fix.Edits) - 1; i >= 0; i-- {
					e := fix.Edits[i]
					text = text[:e.StartByte] + e.Text + text[e.EndByte:]
				}
				again := lint.Check(context.Background(), fstest.MapFS{"a.weir": {Data: []byte(text)}}, "a.weir", lint.Options{})
				for _, g := range again.Findings {
					assert.NotEqual(t, info.Name, g.Rule, "%s: fix %q leaves %s", info.Name, fix.Title, g.Message)
				}
			}
		}
	}
	assert.Equal(t, len(forms), fixed, "each bad example has one fix")
}
