package system_test

import "testing"

func TestExistingPoints(t *testing.T) {
	check(t, []geometry{
		{"a run may begin at a drain and at a stack, and end at them", `
existing drain BD 4" at -1'8" units 96 closets 12
existing drain UP 2" at -1' units 3
existing stack ST 4" at 11'6" units 66
existing vent EV 3" at 12'
existing vents 3" 3" 2"
fixture LV lavatory in loft
drain LV to k1 1-1/2": trap, south 2', down to suit
drain k1 to ST 2": east 3'
vent k1 to EV 1-1/2": up to 44" above second, east 2', down to suit
drain UP to BD 3": east 12'
`, []string{"ST z 138", "BD z -20", "EV z 144", "UP to BD leg 1 fall .666667 worked", "k1 z 138.75", "LV z 139.25"}},
		{"without a height it goes where the legs go", `
existing drain BD 4" units 96
fixture FD floor-drain in bath
drain FD to BD 3": down 12", trap, south 4'
`, []string{"BD z -13"}},
		{"supplies", `
default water pex
existing supply CW 2" at 8' 58psi water-units 120
existing supply ON 1" at 8' water-units 20
fixture LV lavatory in loft
cold CW to a 1": east 2'
cold a to LV 1/2": up to suit
cold a to ON 1": east 2'
`, []string{"cold a z 96", "cold LV z 141", "cold ON z 96"}},
	})
}

func TestBuildingsLevelsAndRoofs(t *testing.T) {
	const two = `plan "Two roofs"
code upc-2021
default drain abs
default fall 1/4
building main-house
building adu
level ground at 0' of main-house
level granny at -2' of adu
level loft at 8' of adu
roof high at 30' of main-house
roof low at 14' of adu
room bath on ground
room shower on granny
room top on loft
fixture LV lavatory in bath
fixture LW lavatory in shower
`
	check(t, []geometry{
		{"a terminal goes through the roof it names", two + `
terminal V1 roof high
terminal V2 roof low rise 6"
drain LV to k1 1-1/2": trap, south 2'
drain LW to k2 1-1/2": trap, south 2'
vent k1 to V1 1-1/2": up to roof
vent k2 to V2 1-1/2": up to roof
`, []string{"V1 z 360", "V2 z 174", "k2 z -6.5"}},
		{"a terminal in a room goes through its building's", two + `
terminal V2 roof in top rise 6"
drain LW to k2 1-1/2": trap, south 2'
vent k2 to V2 1-1/2": up to roof
`, []string{"V2 z 174"}},
		{"one that names none goes through the roof over what it vents", two + `
terminal V2 roof rise 6"
drain LW to k2 1-1/2": trap, south 2'
vent k2 to v2 1-1/2": up to 44"
vent v2 to V2 1-1/2": up to roof
`, []string{"V2 z 174"}},
		{"an unknown roof", two + `
terminal V2 roof lwo
drain LW to k2 1-1/2": trap, south 2'
vent k2 to V2 1-1/2": up to roof
`, []string{"unknown-name on lwo"}},
		{"unknown buildings", two + `
level x at 40' of hut
roof y at 50' of hut
`, []string{"unknown-name on hut", "unknown-name on hut"}},
		{"a roof twice", two + `
roof low at 15'
`, []string{"duplicate-name on low"}},
	})
}

func TestFoundValues(t *testing.T) {
	const yard = `
fitting k1 at -2'
existing drain BD 4" at -9' units 20
inspection rough-in on 2026-11-02
drain k1 to bd1 3": cleanout, east 12'
drain bd1 to bd2 3" as D-40: east 4', south 2'
drain bd2 to BD 4": down to suit
`
	check(t, []geometry{
		{"a fall stands in for the plan's", yard + "found drain k1 to bd1 fall 1/8", []string{"k1 to bd1 leg 1 fall .125 found", "bd1 z -25.5"}},
		{"and for a drop", `
fitting k1 at -2'
inspection rough-in on 2026-11-02
drain k1 to SEW 3": cleanout, east 12' drop 6"
found drain k1 to SEW fall 1/8
`, []string{"k1 to SEW leg 1 fall .125 found", "SEW z -25.5"}},
		{"and for one to suit", `
fitting k1 at -2'
fitting k2 at -4'
inspection rough-in on 2026-11-02
drain k1 to k2 3": cleanout, east 12' fall to suit, down to suit
drain k2 to SEW 3": east 1'
found drain k1 to k2 fall 1/8
`, []string{"k1 to k2 leg 1 fall .125 found", "k1 to k2 leg 2 len 22.5 suit"}},
		{"by a tag", yard + "found D-40 fall 1/8", []string{"bd1 to bd2 leg 1 fall .125 found", "bd1 to bd2 leg 2 fall .125 found"}},
		{"a length, of the only leg", yard + "found drain k1 to bd1 length 14'", []string{"k1 to bd1 leg 1 len 168 found", "bd1 z -27.5"}},
		{"a length, taken up by the longest leg", yard + "found D-40 length 7'", []string{"bd1 to bd2 leg 1 len 60 found", "bd1 to bd2 leg 2 len 24"}},
		{"a length shorter than the other legs", yard + "found D-40 length 18\"", []string{"bd1 to bd2 leg 1 len 12 found", "bd1 to bd2 leg 2 len 6 found"}},
		{"a length, of a leg to suit", yard + "found drain bd2 to BD length 6'", []string{"bd2 to BD leg 1 len 72 found"}},
		{"an outlet", `
inspection rough-in on 2026-11-02
fixture LV lavatory in bath
drain LV to k1 1-1/2": trap, south 2'
found LV outlet 20"
`, []string{"LV z 20", "k1 z 19.5"}},
		{"a subject that is not there", yard + "found D-41 fall 1/8\nfound drain k1 to bd9 fall 1/8\nfound LV9 side 14\"", []string{
			"stray-record on D-41", "stray-record on k1", "stray-record on LV9"}},
		{"no inspection", `
fitting k1 at -2'
drain k1 to SEW 3": cleanout, east 12'
found drain k1 to SEW fall 1/8
test drainage water 10' for 15min held
`, []string{"stray-record on found", "stray-record on test"}},
		{"an inspection of another day", yard + "found D-40 fall 1/8 on 2026-11-02\nfound D-40 fall 1/4 on 2026-11-03\ntest drainage water 10' for 15min held on 2026-12-01", []string{
			"stray-record on found", "stray-record on test", "bd1 to bd2 leg 1 fall .125 found"}},
	})
}
