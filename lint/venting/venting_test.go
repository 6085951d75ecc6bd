package venting_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
	"crownweir/lint/venting"
)

const head = `default drain abs
default fall 1/4
scope drainage vents
level ground at 0'
level upper at 10'
roof at 22'
room bath on ground
room other on ground
room kitchen on ground
room loft on upper
outfall SEW at -20'
terminal V1 roof
`

var words = map[venting.Status]string{venting.Vented: "vented", venting.Broken: "broken", venting.Unvented: "unvented",
	venting.STrap: "s-trap", venting.Undecided: "undecided", venting.Indirect: "indirect"}

// analyse tells of every trap: its fixture, status, method and broken rules.
func analyse(t *testing.T, book, plan string) map[string]string {
	t.Helper()
	sys, b := build(t, book, plan)
	out := map[string]string{}
	a := venting.Walk(sys, b)
	a.Judge(sizing.New(sys, b))
	for _, arm := range a.Arms {
		s := words[arm.Status]
		if c := arm.Chosen; c != nil {
			s += " " + string(c.Method)
			for _, f := range c.Fails {
				s += " " + f.Rule
			}
		}
		out[arm.Fixture.Name] = s
	}
	return out
}

// build reads a plan, which must have no fault that hides another.
func build(t *testing.T, book, plan string) (*system.System, *codebook.Book) {
	t.Helper()
	sys := system.BuildSource(nil, "a.weir", head+plan, system.Options{})
	for _, p := range sys.Problems {
		if p.Rule != "odd-height" && p.Rule != "unused-point" && p.Rule != "unsized-run" {
			t.Fatalf("%s: %s", p.Rule, p.Message)
		}
	}
	b, err := codebook.Load(book)
	require.NoError(t, err)
	return sys, b
}

const (
	// a lavatory over a closet: the small plan's bath
	stacked = `fixture LV lavatory in bath
fixture WC water-closet in bath
drain LV to p 1-1/2": trap, south 2'
vent p to V1 2": up to roof
drain p to q 2": down to q
drain WC to q 3": down 8", north 1'6"
drain q to e 3": down to -2', cleanout, east 12'
sewer e to SEW 3": cleanout, east 20'
`
	// a lavatory, a tub and a closet along a level branch
	along = `fixture LV lavatory in bath
fixture TB bathtub in bath
fixture WC water-closet in bath
drain LV to l 1-1/2": trap, north 2'
vent l to V1 3": up to roof
drain l to m 2": down to -10"
drain m to n 2": cleanout, east 3'
drain TB to n 1-1/2": down to suit, trap, north 3'
drain n to w 2": east 3'
drain WC to w 3": down to suit, north 2'
drain w to e 3": east 12'
sewer e to SEW 3": cleanout, east 20'
`
	// three closets on a level branch with one vent between the first two
	battery = `fixture A water-closet in bath
fixture B water-closet in bath
fixture C water-closet in bath
drain A to a 4": down 10", north 2'
drain B to b 4": down 10", north 2'
drain C to c 4": down 10", north 2'
drain a to e 4": cleanout, east 18", picks-up v, east 18", picks-up b, east 3', picks-up c, east 9'
vent v to V1 3": up to roof
sewer e to SEW 4": cleanout, east 20'
`
	// lavatories of two storeys on one upright stack with a vent above
	storeys = `fixture HI lavatory in loft
fixture LO lavatory in bath
drain HI to h 1-1/4": trap, north 2'
drain LO to o 1-1/4": trap, north 2'
drain h to o 2": down to o
drain o to e 2": down to 2' below ground, cleanout, east 6'
vent h to V1 2": up to roof
sewer e to SEW 3": cleanout, east 20'
`
	tail = `drain k to e 2": down to -2', cleanout, east 10'
sewer e to SEW 3": cleanout, east 20'
`
)

// row is a small plan and what its traps come to.
type row struct {
	name, book, plan string
	want             map[string]string
}

// hold analyses each plan as written, and with its lines the other way round:
// lines may stand in any order.
func hold(t *testing.T, rows []row) {
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			got := analyse(t, r.book, r.plan)
			for f, want := range r.want {
				assert.Equal(t, want, got[f], f)
			}
			lines := strings.Split(strings.TrimSpace(r.plan), "\n")
			slices.Reverse(lines)
			assert.Equal(t, got, analyse(t, r.book, strings.Join(lines, "\n")+"\n"), "lines reversed")
		})
	}
}

func swap(plan string, pairs ...string) string { return strings.NewReplacer(pairs...).Replace(plan) }

func TestMethods(t *testing.T) {
	sink := "fixture KS kitchen-sink in kitchen\ndrain KS to k 1-1/2\": trap, east 2'\n"
	hold(t, []row{
		{"a vent of its own", "upc-2021", sink + "vent k to V1 2\": up to roof\n" + tail, map[string]string{"KS": "vented individual vent"}},
		{"an arm too long for its vent", "upc-2021", swap(sink, "east 2'", "east 4'") + "vent k to V1 2\": up to roof\n" + tail, map[string]string{"KS": "broken individual vent long-trap-arm"}},
		{"the same arm under the other book", "ipc-2021", swap(sink, "east 2'", "east 4'") + "vent k to V1 2\": up to roof\n" + tail, map[string]string{"KS": "vented individual vent"}},
		{"an arm that turns down", "upc-2021", sink + tail, map[string]string{"KS": "s-trap"}},
		{"a run whose legs are not written", "upc-2021", "fixture KS kitchen-sink in kitchen\ndrain KS to k 1-1/2\": trap, east 2'\ndrain k to e 2\"\nsewer e to SEW 3\": east 20'\n", map[string]string{"KS": "undecided"}},
		{"a valve under a book that bars it", "upc-2021", "terminal A1 admittance in kitchen\n" + sink + "vent k to A1 2\": up 12\"\n" + tail, map[string]string{"KS": "broken air admittance valve barred-admittance-valve"}},
		{"a valve under a book that takes it", "ipc-2021", "terminal A1 admittance in kitchen\n" + sink + "vent k to A1 2\": up 12\"\n" + tail, map[string]string{"KS": "vented air admittance valve"}},
		{"two at one place and level", "upc-2021", "fixture A lavatory in bath\nfixture B lavatory in bath\ndrain A to k 1-1/4\": trap, east 1'\ndrain B to k 1-1/4\": trap, west 1'\nvent k to V1 2\": up to roof\n" + tail,
			map[string]string{"A": "vented common vent", "B": "vented common vent"}},
		{"three at one place", "upc-2021", "fixture A lavatory in bath\nfixture B lavatory in bath\nfixture C lavatory in bath\ndrain A to k 1-1/4\": trap, east 1'\ndrain B to k 1-1/4\": trap, west 1'\ndrain C to k 1-1/4\": trap, south 1'\nvent k to V1 2\": up to roof\n" + tail,
			map[string]string{"A": "unvented", "B": "unvented", "C": "unvented"}},
		{"two that meet before their vent", "upc-2021", "fixture A lavatory in bath\nfixture B lavatory in bath\ndrain A to j 1-1/4\": trap, east 1'\ndrain B to j 1-1/4\": trap, west 1'\ndrain j to k 1-1/2\": north 6\"\nvent k to V1 2\": up to roof\n" + tail,
			map[string]string{"A": "unvented", "B": "unvented"}},
		{"the same where the book lets the vent stand downstream", "ipc-2021", "fixture A lavatory in bath\nfixture B lavatory in bath\ndrain A to j 1-1/4\": trap, east 1'\ndrain B to j 1-1/4\": trap, west 1'\ndrain j to k 1-1/2\": north 6\"\nvent k to V1 2\": up to roof\n" + tail,
			map[string]string{"A": "vented common vent", "B": "vented common vent"}},

		{"an upright wet vent", "upc-2021", stacked, map[string]string{"LV": "vented individual vent", "WC": "vented vertical wet vent"}},
		{"one too small", "upc-2021", swap(stacked, `drain p to q 2"`, `drain p to q 1-1/2"`), map[string]string{"LV": "vented individual vent", "WC": "broken vertical wet vent small-wet-vent"}},
		{"one too long", "upc-2021", swap(stacked, "fixture LV lavatory in bath", `fixture LV lavatory in bath outlet 78" rim 90"`), map[string]string{"LV": "vented individual vent", "WC": "broken vertical wet vent long-wet-vent"}},
		{"a fixture of three units on it", "upc-2021", swap(stacked, "fixture LV lavatory in bath", "fixture LV lavatory in bath units 3"), map[string]string{"LV": "vented individual vent", "WC": "broken vertical wet vent foreign-wet-vent small-wet-vent"}},
		{"through another storey's discharge", "upc-2021", storeys, map[string]string{"HI": "vented individual vent", "LO": "unvented"}},
		{"a waste stack where the book knows one", "ipc-2021", storeys, map[string]string{"HI": "vented individual vent", "LO": "vented waste stack vent"}},
		{"none with a vent that narrows", "ipc-2021", swap(storeys, `vent h to V1 2"`, `vent h to V1 1-1/2"`), map[string]string{"HI": "vented individual vent", "LO": "unvented"}},

		{"a level wet vent", "upc-2021", along, map[string]string{"LV": "vented individual vent", "TB": "vented horizontal wet vent", "WC": "vented horizontal wet vent"}},
		{"of public use", "upc-2021", "occupancy public\n" + along, map[string]string{"LV": "vented individual vent", "TB": "broken horizontal wet vent foreign-wet-vent", "WC": "broken horizontal wet vent foreign-wet-vent"}},
		{"of two rooms", "upc-2021", swap(along, "fixture TB bathtub in bath", "fixture TB bathtub in other"), map[string]string{"LV": "vented individual vent", "TB": "broken horizontal wet vent foreign-wet-vent", "WC": "broken horizontal wet vent foreign-wet-vent"}},
		{"of two rooms where the book takes two groups", "ipc-2021", swap(along, "fixture TB bathtub in bath", "fixture TB bathtub in other"), map[string]string{"LV": "vented individual vent", "TB": "vented horizontal wet vent", "WC": "vented horizontal wet vent"}},
		{"with five units in two inch", "upc-2021", swap(along, "fixture TB bathtub in bath", "fixture TB bathtub in bath units 4"), map[string]string{"LV": "vented individual vent", "TB": "vented horizontal wet vent", "WC": "broken horizontal wet vent small-wet-vent"}},
		{"with a closet ahead of the tub", "upc-2021", swap(along, `drain TB to n 1-1/2"`, `drain TB to w 1-1/2"`, `drain WC to w 3"`, `drain WC to n 3"`, `drain m to n 2"`, `drain m to n 3"`, `drain n to w 2"`, `drain n to w 3"`),
			map[string]string{"LV": "vented individual vent", "TB": "broken horizontal wet vent foreign-wet-vent", "WC": "vented horizontal wet vent"}},

		{"a circuit that nobody claims", "upc-2021", battery, map[string]string{"A": "vented circuit vent", "B": "vented circuit vent", "C": "vented circuit vent"}},
		{"the same under the other book", "ipc-2021", battery, map[string]string{"A": "vented circuit vent", "B": "vented circuit vent", "C": "vented circuit vent"}},
		{"a circuit vent out of place", "upc-2021", swap(battery, `picks-up v, east 18", picks-up b, east 3', picks-up c`, `picks-up b, east 3', picks-up v, east 3', picks-up c`),
			map[string]string{"A": "broken circuit vent misplaced-circuit-vent", "B": "broken circuit vent misplaced-circuit-vent", "C": "broken circuit vent misplaced-circuit-vent"}},
		{"a claim that nothing bears out", "upc-2021", sink + swap(tail, `drain k to e 2":`, `drain k to e 2" system circuit:`), map[string]string{"KS": "unvented"}},
		{"a single stack under a book that lacks it", "upc-2021", sink + swap(tail, `drain k to e 2":`, `drain k to e 4" system single-stack:`), map[string]string{"KS": "unvented"}},
		{"through an air gap", "upc-2021", "fixture DW dishwasher in kitchen\nindirect DW to KS: air-gap\n" + sink + "vent k to V1 2\": up to roof\n" + tail, map[string]string{"KS": "vented individual vent"}},
		{"the same without its air gap's sink vented", "upc-2021", "fixture DW dishwasher in kitchen\nindirect DW to KS: air-gap\n" + sink + tail, map[string]string{"KS": "s-trap"}},
		{"a level way without any vent", "upc-2021", "fixture KS kitchen-sink in kitchen\ndrain KS to e 2\": trap, east 10'\nsewer e to SEW 3\": cleanout, east 20'\n", map[string]string{"KS": "unvented"}},
		{"an arm whose legs are not written, before its vent", "upc-2021", swap(sink, ": trap, east 2'", ": trap") + "vent k to V1 2\": up to roof\n" + tail, map[string]string{"KS": "undecided individual vent"}},
		{"a barred valve, and an open vent behind it", "upc-2021", "terminal A1 admittance in kitchen\n" + swap(sink, "to k", "to a", "east 2'", "east 1'") + "drain a to k 1-1/2\": east 1'\nvent a to A1 2\": up 12\"\nvent k to V1 2\": up to roof\n" + tail,
			map[string]string{"KS": "vented individual vent"}},
	})
}
