package venting_test

import "testing"

const (
	// two pairs of lavatories above a closet, all on one upright pipe
	pairs = `fixture L1 lavatory in bath outlet 48" rim 62"
fixture L2 lavatory in bath outlet 48" rim 62"
fixture L3 lavatory in bath
fixture L4 lavatory in bath
fixture WC water-closet in bath
drain L1 to p 1-1/4": trap, south 1'
drain L2 to p 1-1/4": trap, north 1'
vent p to V1 2": up to roof
drain p to m 3": down to m
drain L3 to m 1-1/4": trap, south 1'
drain L4 to m 1-1/4": trap, north 1'
drain m to q 3": down to q
drain WC to q 3": down 8", north 1'6"
drain q to e 3": down to -2', cleanout, east 12'
sewer e to SEW 3": cleanout, east 20'
`
	// a pair of lavatories above a closet
	pair = `fixture L1 lavatory in bath
fixture L2 lavatory in bath
fixture WC water-closet in bath
drain L1 to p 1-1/4": trap, south 1'
drain L2 to p 1-1/4": trap, north 1'
vent p to V1 2": up to roof
drain p to q 2": down to q
drain WC to q 3": down 8", north 1'6"
drain q to e 3": down to -2', cleanout, east 12'
sewer e to SEW 3": cleanout, east 20'
`
	// a closet with the dry vent, and a tub downstream of it
	closeted = `fixture WC water-closet in bath
fixture TB bathtub in bath
drain WC to l 3": down 10", north 2'
vent l to V1 3": up to roof
drain l to n 3": cleanout, east 3'
drain TB to n 1-1/2": down to suit, trap, north 3'
drain n to e 3": east 12'
sewer e to SEW 3": cleanout, east 20'
`
	valveOnTop = "terminal A1 admittance in bath\n"
)

func want(pairs ...string) map[string]string {
	out := map[string]string{}
	for i := 0; i < len(pairs); i += 2 {
		out[pairs[i]] = pairs[i+1]
	}
	return out
}

const (
	own      = "vented individual vent"
	shared   = "vented common vent"
	upright  = "vented vertical wet vent"
	level    = "vented horizontal wet vent"
	noUp     = "broken vertical wet vent "
	noLevel  = "broken horizontal wet vent "
	foreign  = "foreign-wet-vent"
	smallWet = "small-wet-vent"
)

func TestUprightWetVents(t *testing.T) {
	hold(t, []row{
		{"four fixtures", "upc-2021", swap(pairs, "fixture WC water-closet in bath\n", "", `drain WC to q 3": down 8", north 1'6"`+"\n", "", "down to q", "down to -1'"),
			want("L1", shared, "L2", shared, "L3", upright, "L4", upright)},
		{"five fixtures", "upc-2021", pairs, want("L3", upright, "L4", upright, "WC", noUp+foreign)},
		{"a pair above a closet", "upc-2021", pair, want("L1", shared, "WC", upright)},
		{"one of the pair of three units", "upc-2021", swap(pair, "fixture L2 lavatory in bath", "fixture L2 lavatory in bath units 3", `p to q 2"`, `p to q 3"`), want("WC", noUp+foreign)},
		{"a pair above a closet of another storey", "upc-2021", swap(pair, "fixture L1 lavatory in bath", "fixture L1 lavatory in loft", "fixture L2 lavatory in bath", "fixture L2 lavatory in loft"),
			want("L1", shared, "WC", "unvented")},
		{"a size that is not written", "upc-2021", swap(stacked, `drain p to q 2":`, "drain p to q ?:"), want("LV", own, "WC", "undecided vertical wet vent")},
		{"a wet vent through a barred valve", "upc-2021", valveOnTop + swap(stacked, `vent p to V1 2": up to roof`, `vent p to A1 2": up 12"`),
			want("LV", "broken air admittance valve barred-admittance-valve", "WC", noUp+"barred-admittance-valve")},
		{"a wet vent through a valve the book takes", "ipc-2021", valveOnTop + swap(pair, `vent p to V1 2": up to roof`, `vent p to A1 2": up 12"`),
			want("L1", "vented air admittance valve", "WC", upright)},

		{"two heights under a table", "ipc-2021", stacked, want("LV", own, "WC", shared)},
		{"the least of the table", "ipc-2021", swap(stacked, `p to q 2"`, `p to q 1-1/2"`), want("WC", shared)},
		{"too much for it", "ipc-2021", swap(stacked, `p to q 2"`, `p to q 1-1/2"`, "fixture LV lavatory in bath", "fixture LV lavatory in bath units 2"), want("WC", "broken common vent small-common-vent")},
		{"two heights in two storeys, a closet the lower", "ipc-2021", swap(stacked, "fixture LV lavatory in bath", "fixture LV lavatory in loft"), want("WC", "unvented")},
		{"a size that is not written, under a table", "ipc-2021", swap(stacked, `drain p to q 2":`, "drain p to q ?:"), want("WC", "undecided common vent")},
		{"a pair above a closet under a table", "ipc-2021", pair, want("L1", shared, "L2", shared, "WC", upright)},
		{"a sink in the pair", "ipc-2021", swap(pair, "fixture L2 lavatory", "fixture L2 kitchen-sink", "fixture L1 lavatory in bath", `fixture L1 lavatory in bath outlet 16"`, "L2 to p 1-1/4", "L2 to p 1-1/2"), want("WC", noUp+foreign)},
		{"five units in two inch", "ipc-2021", swap(pair, "fixture L2 lavatory in bath", "fixture L2 lavatory in bath units 4"), want("WC", noUp+smallWet)},
		{"more than any size takes", "ipc-2021", swap(pair, "fixture L2 lavatory in bath", "fixture L2 lavatory in bath units 40", `p to q 2"`, `p to q 4"`), want("WC", noUp+smallWet)},
	})
}

// a closet where the tub was, and the tub where the closet
var ahead = swap(along, `drain TB to n 1-1/2"`, `drain TB to w 1-1/2"`, `drain WC to w 3"`, `drain WC to n 3"`, `drain m to n 2"`, `drain m to n 3"`, `drain n to w 2"`, `drain n to w 3"`)

func TestLevelWetVents(t *testing.T) {
	sink := swap(along, "fixture TB bathtub", "fixture TB kitchen-sink")
	three := "room third on ground\n" + swap(along, "fixture TB bathtub in bath", "fixture TB bathtub in other", "fixture WC water-closet in bath", "fixture WC water-closet in third")
	second := swap(along, `drain w to e 3": east 12'`, "fixture W2 water-closet in bath\ndrain w to x 3\": east 3'\ndrain W2 to x 3\": down to suit, north 2'\ndrain x to e 3\": east 9'")
	hold(t, []row{
		{"a sink on it", "upc-2021", sink, want("LV", own, "TB", noLevel+foreign, "WC", noLevel+foreign)},
		{"a sink on it under the other book", "ipc-2021", sink, want("TB", noLevel+foreign, "WC", noLevel+foreign)},
		{"of public use where the book minds it not", "ipc-2021", "occupancy public\n" + along, want("TB", level, "WC", level)},
		{"a tub of public use", "upc-2021", swap(along, "fixture TB bathtub in bath", "fixture TB bathtub in bath public"), want("TB", noLevel+foreign, "WC", noLevel+foreign)},
		{"two groups where an older book takes them", "upc-2012", swap(along, "fixture TB bathtub in bath", "fixture TB bathtub in other"), want("TB", level, "WC", level)},
		{"three rooms where the book takes two groups", "ipc-2021", three, want("TB", level, "WC", noLevel+foreign)},
		{"two closets in one room", "upc-2021", second, want("TB", level, "WC", level, "W2", noLevel+foreign)},
		{"two closets where two groups may be", "ipc-2021", swap(second, `drain n to w 2"`, `drain n to w 3"`), want("WC", level, "W2", level)},
		{"a closet ahead where the book minds it not", "ipc-2021", ahead, want("TB", level, "WC", level)},
		{"of another storey", "upc-2021", swap(along, "fixture LV lavatory in bath", "fixture LV lavatory in loft", `down to -10"`, "down to 10\" below ground"), want("LV", own, "TB", "unvented", "WC", "unvented")},
		{"five units in two inch by the table", "ipc-2021", swap(along, "fixture TB bathtub in bath", "fixture TB bathtub in bath units 4"), want("TB", level, "WC", noLevel+smallWet)},
		{"a size that is not written", "upc-2021", swap(along, `drain n to w 2"`, "drain n to w ?"), want("TB", level, "WC", "undecided horizontal wet vent")},
		{"the dry vent at a closet", "ipc-2021", closeted, want("WC", own, "TB", noLevel+foreign)},
		{"the same where closets come last", "upc-2021", closeted, want("WC", own, "TB", noLevel+foreign+" "+foreign)},
		{"a small wet vent, and a vent where it ends", "upc-2021", swap(along, "fixture TB bathtub in bath", "fixture TB bathtub in bath units 4") + "vent w to V2 3\": up to roof\nterminal V2 roof\n",
			want("TB", level, "WC", own)},
		{"through a barred valve", "upc-2021", valveOnTop + swap(along, `vent l to V1 3": up to roof`, `vent l to A1 2": up 12"`),
			want("LV", "broken air admittance valve barred-admittance-valve", "TB", noLevel+"barred-admittance-valve", "WC", noLevel+"barred-admittance-valve")},
	})
}
