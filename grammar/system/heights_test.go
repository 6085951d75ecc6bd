package system_test

import "testing"

func TestHeightsOfPoints(t *testing.T) {
	check(t, []geometry{
		{"outlets from the floor of the room", `
fixture LV lavatory in loft
fixture FD floor-drain in bath
drain LV to k1 1-1/2": trap, south 2'
drain FD to k2 2": down 12", trap, south 2'
`, []string{"LV z 138", "k1 z 137.5", "FD z 0", "k2 z -12.5"}},
		{"a fixture in no room stands on the lowest floor not below the datum", `
level cellar at -8'
fixture LV lavatory
drain LV to k1 1-1/2": trap, south 2'
`, []string{"LV z 18"}},
		{"written outlet", `
fixture LV lavatory in loft outlet 20"
drain LV to k1 1-1/2": trap, south 2'
`, []string{"LV z 140"}},
		{"pins: datum, room, above and below a floor, invert", `
fitting a at -2'
fitting b in loft at 6"
fitting c at 9" below second
fitting d at 1'6" above ground
fitting e invert -2'
drain a to a2 3": east 1'
drain b to b2 3": east 1'
drain c to c2 3": east 1'
drain d to d2 3": east 1'
drain e to e2 4": east 1'
`, []string{"a z -24", "b z 126", "c z 111", "d z 18", "e z -22", "e2 z -22.25"}},
		{"triples and pairs", `
fitting a at 3',4',-2'
fitting b in loft at 1',2',6"
drain a to a2 3": north 1'
drain b to b2 3": north 1'
`, []string{"a x 36", "a y 48", "a z -24", "a2 y 60", "b x 12", "b z 126"}},
		{"terminal through the roof stands its rise above it", `
terminal V1 roof rise 12"
fixture LV lavatory in bath
drain LV to k1 1-1/2": trap, south 2'
vent k1 to V1 2": up to 44", east 2', up to roof
`, []string{"V1 z 300", "k1 to V1 leg 1 z 17.5 44", "k1 to V1 leg 3 len 256 target"}},
		{"an admittance terminal stands where the legs put it", `
terminal A1 admittance in bath
fixture LV lavatory in bath
drain LV to k1 1-1/2": trap, south 2'
vent k1 to A1 1-1/2": up 12"
`, []string{"A1 z 29.5"}},
		{"ejector inlet", `
level cellar at -8'
room pit on cellar
ejector E1 in pit inlet -13" flow 30gpm
fixture LV lavatory in pit
drain LV to k1 2": trap, south 2'
drain k1 to E1 2": down to suit
discharge E1 to k9 2" pvc-80: up to suit, north 6', enters top
drain k9 to SEW 4": east 10'
`, []string{"E1 z -109", "k1 z -78.5", "k1 to E1 leg 1 len 30.5 suit"}},
	})
}

func TestUsualHeightsYield(t *testing.T) {
	check(t, []geometry{
		{"the earlier of the table keeps its own", `
fixture KS kitchen-sink in bath
fixture LV lavatory in bath
drain KS to k1 1-1/2": trap, east 2'
drain LV to k1 1-1/2": trap, west 2'
`, []string{"LV z 18", "KS z 18", "k1 z 17.5"}},
		{"far from the usual is odd", `
fixture LV lavatory in bath
fixture CW clothes-washer in bath
drain CW to k1 2": down 2', trap, east 2'
drain LV to k1 1-1/2": trap, west 2'
`, []string{"LV z 18", "CW z 42", "odd-height on CW"}},
		{"a written outlet beats the usual", `
fixture KS kitchen-sink in bath outlet 14"
fixture LV lavatory in bath
drain KS to k1 1-1/2": trap, east 2'
drain LV to k1 1-1/2": trap, west 2'
`, []string{"LV z 14", "KS z 14"}},
		{"a pin beats the usual", `
fixture LV lavatory in bath
fitting k1 at 8"
drain LV to k1 1-1/2": trap, west 2'
`, []string{"LV z 8.5", "odd-height on LV"}},
		{"what is set in the floor holds against a pin", `
fixture WC water-closet in bath
fitting k1 at -20"
drain WC to k1 3": down 8", west 2'
`, []string{"WC z 0", "WC to k1 leg 2 fall 6 worked"}},
		{"and against a pin that legs alone reach", `
fixture WC water-closet in bath
fitting k1 at -20"
drain WC to k1 3": down 8"
`, []string{"WC z 0", "open-geometry on WC to k1: 12\""}},
		{"a usual height never makes a leg run backwards", `
scope water
main M at -3' 62psi
fixture WC water-closet in bath
cold M to c 3/4": up 4'
cold c to WC 1/2": north 2', up to suit
`, []string{"cold c z 12", "cold WC z 12", "odd-height on WC", "c to WC leg 2 len 0 suit"}},
		{"nor a drain's", `
fixture KS kitchen-sink in bath
fitting k2 at 20"
drain KS to k1 1-1/2": trap, west 2'
drain k1 to k2 1-1/2": down to suit, west 2'
`, []string{"k2 z 20", "KS z 21", "k1 to k2 leg 1 len 0 suit", "odd-height on KS"}},
	})
}

func TestTargets(t *testing.T) {
	check(t, []geometry{
		{"of a fixture's own floor", `
fixture LV lavatory in loft
drain LV to k1 1-1/2": trap, south 2', down to 6"
`, []string{"k1 z 126", "LV to k1 leg 2 len 11.5 target"}},
		{"of the one level served", `
fixture LV lavatory in loft
drain LV to k1 1-1/2": trap, south 2'
vent k1 to v1 1-1/2": up to 44"
`, []string{"v1 z 164"}},
		{"several levels: the datum, and it shows", `
fixture LV lavatory in loft
fixture LW lavatory in bath
drain LV to k1 1-1/2": trap, south 2', down to k2
drain LW to k2 1-1/2": trap, south 2'
drain k1 to k2 2": down to k2
drain k2 to k3 2": down to -12", east 2'
`, []string{"k3 z -12.5", "k2 to k3 leg 1 z 17.5 -12 datum"}},
		{"several levels and the level named", `
fixture LV lavatory in loft
fixture LW lavatory in bath
drain LV to k1 1-1/2": trap, south 2'
drain LW to k2 1-1/2": trap, south 2'
drain k1 to k2 2": down to k2
drain k2 to k3 2": down to 1' below ground, east 2'
vent k1 to v1 2": up to 44" above second
`, []string{"k3 z -12.5", "v1 z 164", "k2 to k3 leg 1 z 17.5 -12 derived"}},
		{"up to the roof on the way", `
fixture LV lavatory in bath
terminal V1 roof rise 12"
drain LV to k1 1-1/2": trap, south 2'
vent k1 to v1 1-1/2": up to roof
vent v1 to V1 3": up 12"
`, []string{"v1 z 288", "V1 z 300"}},
		{"down to a point is level with it", `
fixture LV lavatory in bath
fitting k2 at -2'
drain LV to k1 1-1/2": trap, south 2', down to k2, east 4'
drain k2 to k3 3": east 4'
`, []string{"k1 z -25", "LV to k1 leg 2 len 41.5 target"}},
		{"east to a point is plumb with it", `
fixture LV lavatory in bath at 0',0'
fitting k2 at 6',3'
drain LV to k1 1-1/2": trap, east to k2, down 1'
drain k2 to k3 3": east 4'
`, []string{"k1 x 72", "k1 y 0", "LV to k1 leg 1 len 72 target", "k1 z 4.5"}},
		{"a slanting leg until plumb", `
fixture LV lavatory in bath at 0',0'
fitting k2 at 3',0'
drain LV to k1 1-1/2": trap, south 2', down-east to k2
drain k2 to k3 3": east 4'
`, []string{"k1 x 36", "LV to k1 leg 2 len 50.9117 target", "k1 z -18.5"}},
		{"across is the level offset", `
fixture LV lavatory in bath
drain LV to k1 1-1/2": trap, south 2', down-east across 2'
drain k1 to k2 1-1/2": down-east 2'
`, []string{"k1 z -6.5", "LV to k1 leg 2 len 33.9411", "k2 z -23.4706"}},
		{"a target behind the pipe", `
fixture LV lavatory in bath
drain LV to k1 1-1/2": trap, south 2', down to 30"
`, []string{"open-geometry on LV to k1"}},
		{"an unknown floor", `
fixture LV lavatory in bath
drain LV to k1 1-1/2": trap, south 2', down to 1' below secnd
fitting k9 at 1' above grund
drain k9 to k1 3": down to suit
`, []string{"unknown-name on secnd", "unknown-name on grund"}},
		{"an unknown point", `
fixture LV lavatory in bath
drain LV to k1 1-1/2": trap, south 2', down to k7
`, []string{"unknown-name on k7"}},
	})
}
