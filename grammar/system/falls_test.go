package system_test

import "testing"

func TestFalls(t *testing.T) {
	check(t, []geometry{
		{"the default, and what is written", `
fitting a at -2'
drain a to b 3": cleanout, east 4'
drain b to c 3": east 4' fall 1/8
drain c to d 3": east 4' drop 3"
drain d to SEW 3": east 4' fall 2%
`, []string{"a to b leg 1 fall .25 default", "b to c leg 1 fall .125 written", "c to d leg 1 fall .75 written", "d to SEW leg 1 fall .24 written",
			"b z -25", "c z -25.5", "d z -28.5", "SEW z -29.46"}},
		{"to suit between a pin and the outfall, over several runs", `
fitting a at -2'
drain a to b 3": cleanout, east 10' fall to suit
drain b to c 3": down 1', east 4' fall 1/4
sewer c to SEW 3": east 20' fall to suit
`, []string{"a to b leg 1 fall 6.766667 suit", "c to SEW leg 1 fall 6.766667 suit", "b z -91.66667", "SEW z -240"}},
		{"to suit where branches join: the trunk first, the branch to where it passes", `
fitting a at -2'
fitting e at -2'
fitting d at -4'
drain e to b 3": cleanout, south 5' fall to suit
drain a to b 3": cleanout, east 12' fall to suit
drain b to d 3": east 12' fall to suit
drain d to f 3": east 1'
`, []string{"a to b leg 1 fall 1 suit", "b to d leg 1 fall 1 suit", "b z -36", "e to b leg 1 fall 2.4 suit"}},
		{"to suit reaches past a fixture's usual height", `
fitting a at -2'
fixture FD floor-sink in bath
fixture LV lavatory in bath
fitting d at -4'
drain a to b 3": cleanout, east 12' fall to suit
drain LV to b 1-1/2": down 2', trap, east 2'
drain b to d 3": east 12' fall to suit
drain d to f 3": east 1'
drain FD to f 3": down to suit
`, []string{"b z -36", "LV z -11.5", "odd-height on LV"}},
		{"to suit after a leg to a height", `
fixture LV lavatory in bath
fitting d at -4'
drain LV to a 2": trap, south 2'
drain a to b 2": down to -2', east 12' fall to suit
drain b to d 3": east 12' fall to suit
drain d to f 3": east 1'
`, []string{"a to b leg 2 fall 1 suit", "b to d leg 1 fall 1 suit", "b z -36"}},
		{"to suit between two pins", `
fitting a at -2'
fitting d at -3'
drain a to b 3": cleanout, east 10' fall to suit, south 2' fall to suit
drain b to d 3": east 12' fall to suit
drain d to e 3": east 1'
`, []string{"a to b leg 1 fall .5 suit", "b to d leg 1 fall .5 suit", "b z -30"}},
		{"worked out where the default misses by more than 2 in", `
fitting a at -2'
fitting c at -3'
drain a to b 3": cleanout, east 10'
drain b to c 3": east 14'
drain c to d 3": east 1'
`, []string{"a to b leg 1 fall .5 worked", "b to c leg 1 fall .5 worked", "b z -29"}},
		{"worked out from a height that a leg runs to", `
fixture LV lavatory in bath
existing drain BD 4" at -4' units 12
drain LV to a 2": trap, south 2'
drain a to b 3": down to -2', cleanout, east 12'
drain b to BD 3": east 12'
`, []string{"a to b leg 2 fall 1 worked", "b to BD leg 1 fall 1 worked", "b z -36"}},
		{"kept where it misses by less", `
fitting a at -2'
fitting c at -2'7"
drain a to b 3": cleanout, east 10'
drain b to c 3": east 14'
drain c to d 3": east 1'
`, []string{"a to b leg 1 fall .25 default", "b to c leg 1 fall .25 default"}},
		{"written falls stay, the default one is worked out", `
fitting a at -2'
fitting c at -3'
drain a to b 3": cleanout, east 10' fall 1/4
drain b to c 3": east 14'
drain c to d 3": east 1'
`, []string{"a to b leg 1 fall .25 written", "b to c leg 1 fall .678571 worked"}},
		{"an existing point sets it", `
fitting a at -2'
existing drain BD 4" at -3' units 20
drain a to BD 3": cleanout, east 12'
`, []string{"a to BD leg 1 fall 1 worked"}},
		{"an outfall never sets it: the rest is a drop", `
fitting a at -2'
sewer a to SEW 3": cleanout, east 12'
`, []string{"a to SEW leg 1 fall .25 default", "SEW z -27"}},
		{"a leg to suit leaves falls alone", `
fitting a at -2'
fitting c at -4'
drain a to b 3": cleanout, east 10'
drain b to c 3": down to suit, east 14'
drain c to d 3": east 1'
`, []string{"a to b leg 1 fall .25 default", "b to c leg 2 fall .25 default", "b to c leg 1 len 18 suit"}},
		{"two written falls that disagree", `
fitting a at -2'
fitting c at -4'
drain a to c 3": cleanout, east 12' fall 1/4
drain c to d 3": east 1'
`, []string{"open-geometry on a to c: misses c at -4' by 21\""}},
		{"more than 2 in below the outfall", `
outfall LOW at -2'6"
fitting a at -2'
sewer a to LOW 3": cleanout, east 40'
`, []string{"open-geometry on a to LOW: 4\""}},
		{"2 in below is borne", `
outfall LOW at -2'6"
fitting a at -2'
sewer a to LOW 3": cleanout, east 32'
`, []string{"LOW z -32"}},
		{"a branch is worked out to where the trunk was worked out to pass", `
fitting a at -2'
fitting e at -2'
fitting c at -6'
drain e to b 3": cleanout, south 4'
drain a to b 3": cleanout, east 10'
drain b to c 3": east 14'
drain c to d 3": east 1'
`, []string{"a to b leg 1 fall 2 worked", "b to c leg 1 fall 2 worked", "b z -44", "e to b leg 1 fall 5 worked"}},
		{"climbing between two pins", `
fitting a at -3'
fitting c at -2'
drain a to c 3": cleanout, east 12'
drain c to d 3": east 1'
`, []string{"a to c leg 1 fall -1 worked", "uphill-drain on a to c"}},
	})
}

func TestVentFalls(t *testing.T) {
	const vented = `
fixture LV lavatory in bath
drain LV to k1 1-1/2": trap, south 2'
`
	check(t, []geometry{
		{"none is level", vented + `
terminal V1 roof
vent k1 to V1 1-1/2": up to 44", east 6', up to roof
`, []string{"k1 to V1 leg 2 fall 0", "k1 to V1 leg 2 z 44 44", "V1 z 288"}},
		{"rises with its fall", vented + `
terminal V1 roof
vent k1 to V1 1-1/2": up to 44", east 6' fall 1/4, up to roof
`, []string{"k1 to V1 leg 2 fall .25 written", "k1 to V1 leg 2 z 44 45.5", "k1 to V1 leg 3 len 242.5 target"}},
		{"sags with a negative one", vented + `
terminal V1 roof
vent k1 to V1 1-1/2": up to 44", east 6' fall -1/4, up to roof
`, []string{"k1 to V1 leg 2 fall -.25 written", "k1 to V1 leg 2 z 44 42.5"}},
		{"to suit between two heights", vented + `
terminal V1 roof
fitting v2 at 50"
vent k1 to v2 1-1/2": up to 44", east 6' fall to suit
vent v2 to V1 1-1/2": up to roof
`, []string{"k1 to v2 leg 2 fall 1 suit"}},
		{"the last leg stretches to the terminal", vented + `
terminal V1 roof
vent k1 to V1 1-1/2": up to 44", east 6', up 19'
`, []string{"k1 to V1 leg 3 len 244 written", "V1 z 288"}},
		{"and shrinks", vented + `
terminal V1 roof
vent k1 to V1 1-1/2": up to 44", east 6', up 22'
`, []string{"k1 to V1 leg 3 len 244 written"}},
		{"by 2 ft at most", vented + `
terminal V1 roof
vent k1 to V1 1-1/2": up to 44", east 6', up 18'
`, []string{"open-geometry on k1 to V1: 2'4\""}},
	})
}

func TestHowAPlanCloses(t *testing.T) {
	check(t, []geometry{
		{"two ways to one point that disagree in height", `
fixture WC water-closet in bath
fixture FD floor-drain in bath
drain WC to j 3": down 8"
drain FD to j 2": down 20", trap
drain j to SEW 3": down to suit
`, []string{"open-geometry on FD to j"}},
		{"sideways only between pins", `
fixture LV lavatory in bath
fixture KS kitchen-sink in bath
drain LV to k1 1-1/2": trap, south 2'
drain KS to k2 1-1/2": trap, north 3'
drain k1 to m 2": down to suit, east 2'
drain k2 to m 2": down to suit, east 4'
vent k1 to v 2": up to 44", east 3'
vent k2 to v 2": up to 44", north 9'
drain m to SEW 3": down to -2', east 10'
`, nil},
		{"between pins it is judged", `
fixture LV lavatory in bath at 0',0'
fixture KS kitchen-sink in bath at 0',-9'
drain LV to k1 1-1/2": trap, south 2'
drain KS to k1 1-1/2": trap, north 3'
drain k1 to SEW 2": down to -2', east 10'
`, []string{"open-geometry on KS to k1: 4'"}},
		{"to suit closes it, per axis", `
fixture LV lavatory in bath at 0',0'
fixture KS kitchen-sink in bath at 5',-9' outlet 10"
drain LV to k1 1-1/2": trap, south 2'
drain KS to k2 1-1/2": trap, north to suit, west to suit
drain k1 to k2 1-1/2": down to suit
drain k2 to SEW 2": down to -2', east 10'
`, []string{"KS to k2 leg 1 len 84 suit", "KS to k2 leg 2 len 60 suit", "k2 x 0", "k2 y -24", "k1 to k2 leg 1 len 10.5 suit"}},
		{"an air gap closes nothing", `
fixture ICE ice-maker in bath
fixture FS floor-sink in bath
indirect ICE to FS 3/4" copper-l: west 9', air-gap 1-1/2"
drain FS to d 2": down 10", trap, east 5'
drain d to SEW 2": down to -2', east 10'
`, []string{"FS z 0"}},
		{"water runs place no fixture sideways and close nothing there", `
default water pex
main M at 0',0',-3' 62psi
fixture LV lavatory in bath at 10',10'
fixture KS kitchen-sink in bath at 20',10'
cold M to c 3/4": up to suit, east 5'
cold c to LV 1/2": north 4', up 4'
cold c to KS 1/2": north 3', up to suit
`, []string{"cold LV x 120", "cold LV y 120", "cold KS x 240", "cold c x 60"}},
		{"over to suit goes level to the other end's place", `
default water pex
manifold PM in bath at 0',0',44"
main M at -3' 62psi
fixture LV lavatory in bath at 3',4'
cold M to PM 3/4": up to suit
cold PM to LV 1/2": over to suit, down to suit
`, []string{"PM to LV leg 1 len 60 suit", "PM to LV leg 2 len 23 suit"}},
		{"over a length closes nothing", `
default water pex
manifold PM in bath at 0',0',44"
main M at -3' 62psi
fixture LV lavatory in bath at 3',4'
cold M to PM 3/4": up to suit
cold PM to LV 1/2": over 31', valve stop
`, []string{"cold LV z 21", "PM to LV leg 1 len 372 written"}},
		{"more legs to suit than the ends settle", `
fixture LV lavatory in bath outlet 18"
fitting k9 at -2'
drain LV to k1 1-1/2": trap, south 2'
drain k1 to k9 1-1/2": down to suit, east 2', down to suit
drain k9 to SEW 2": east 3'
`, []string{"k1 to k9 leg 1 len ?", "k1 to k9 leg 3 len ?", "missing-fact on k1 to k9"}},
		{"hot closes with its return, apart from cold", `
default water pex
heater H1 in bath
main M at -3' 62psi
fixture LV lavatory in bath
cold M to H1 3/4": up 4'
hot H1 to h1 3/4": up 2', east 6'
hot h1 to LV 1/2": south 3', down to suit
return h1 to H1 1/2": down 2', west 6', valve check
cold M to LV 1/2": up to suit
`, nil},
		{"a target and a pin that disagree", `
fixture LV lavatory in bath
fitting c at -4'
drain LV to a 2": trap, south 2'
drain a to c 3": down to -2', cleanout, east 12' fall 1/4
drain c to d 3": east 1'
`, []string{"open-geometry on a to c: 21\""}},
		{"two legs to heights that meet apart", `
fixture LV lavatory in bath
fixture KS kitchen-sink in bath
drain LV to k1 1-1/2": trap, south 2'
drain KS to k2 1-1/2": trap, south 2'
drain k1 to k3 1-1/2": down to suit
drain k2 to k3 1-1/2": down to suit
vent k1 to v 1-1/2": up to 44"
vent k2 to v 1-1/2": up to 4'
`, []string{"open-geometry on k1 to v: 4\""}},
		{"two pins at one meeting point", `
fitting a at -2'
fitting b at -3'
drain a to SEW 3": cleanout, east 3'
drain c to b 3": cleanout, east 3'
meet a b
`, []string{"open-geometry on a: 12\""}},
	})
}
