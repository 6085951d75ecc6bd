package system_test

import "testing"

// corner is a typical whose places tell how it was laid: a fixture with a
// drain that runs east, then north.
const corner = `
typical corner
fixture LV lavatory at 1',2'
drain LV to a 1-1/2": trap, east 3'
drain a to b 1-1/2": north 4'
end
`

func TestPlacedTypicals(t *testing.T) {
	check(t, []geometry{
		{"as drawn", corner + "place corner as C on second at 10',20'", []string{
			"C.LV x 132", "C.LV y 264", "C.LV z 138", "C.a x 168", "C.a y 264", "C.b y 312"}},
		{"opposite-hand mirrors east and west", corner + "place corner as C at 10',20' opposite-hand", []string{
			"C.LV x 108", "C.LV y 264", "C.a x 72", "C.b y 312"}},
		{"facing south", corner + "place corner as C at 0',0' facing south", []string{
			"C.LV x -12", "C.LV y -24", "C.a x -48", "C.a y -24", "C.b y -72"}},
		{"facing east: what was north is east, what was east is south", corner + "place corner as C at 0',0' facing east", []string{
			"C.LV x 24", "C.LV y -12", "C.a x 24", "C.a y -48", "C.b x 72"}},
		{"facing west", corner + "place corner as C at 0',0' facing west", []string{
			"C.LV x -24", "C.LV y 12", "C.a y 48", "C.b x -72"}},
		{"facing north is as drawn", corner + "place corner as C at 0',0' facing north", []string{"C.a x 48", "C.b y 72"}},
		{"mirrored first, then turned", corner + "place corner as C at 0',0' opposite-hand facing east", []string{
			"C.LV x 24", "C.LV y 12", "C.a y 48", "C.b x 72"}},
		{"nested: the outer turn carries the inner", corner + `
typical pair
place corner as E at 5',0'
place corner as W at -5',0' opposite-hand
end
place pair as P at 0',10' facing east`, []string{
			"P.E.LV x 24", "P.E.LV y 48", "P.E.a y 12", "P.E.b x 72",
			"P.W.LV x 24", "P.W.LV y 192", "P.W.a y 228"}},
		{"every", corner + "place corner as C1..C3 on ground at 0',0' every east 28\"", []string{"C1.LV x 12", "C2.LV x 40", "C3.LV x 68", "C3.LV y 24"}},
		{"every steps in the plan, whatever the copies face", corner + "place corner as C1..C3 at 0',0' every east 28\" facing south", []string{
			"C1.LV x -12", "C3.LV x 44"}},
		{"every inside a turned typical turns too", corner + `
typical row
place corner as C1..C2 at 0',0' every north 10'
end
place row as R at 0',0' facing east`, []string{"R.C1.LV x 24", "R.C2.LV x 144", "R.C2.LV y -12"}},
		{"ranges of levels", `
level l3..l5 at 20' every 9'
` + corner + `
place corner as F3..F5 on l3..l5 at 0',0'`, []string{"F3.LV z 258", "F4.LV z 366", "F5.LV z 474"}},
		{"downward ranges", `
level l3..l5 at 20' every 9'
` + corner + `
place corner as F5..F3 on l5..l3 at 0',0'`, []string{"F3.LV z 258", "F5.LV z 474"}},
		{"heights in it count from the floor it is placed on", `
typical pin
room inner
fixture LV lavatory in inner
fitting k at 6"
drain LV to k 1-1/2": trap, down to suit
drain k to m 1-1/2": down to 2", east 2'
vent k to v 1-1/2": up to 44"
end
place pin as P on second at 0',0'`, []string{"P.k z 126", "P.m z 121.5", "P.v z 164", "P.LV z 138"}},
		{"in a room: the room's floor, for fixtures that name none", corner + "place corner as C in loft at 0',0'", []string{"C.LV z 138"}},
		{"a copy inside stands on its parent's floor", corner + `
typical flat
place corner as C at 0',0'
end
place flat as F on second at 0',0'`, []string{"F.C.LV z 138"}},
		{"a copy without a place floats until something holds it", corner + `
typical loose
fixture LV lavatory at 0',0'
fixture LW lavatory at 0',5'
drain LV to a 1-1/2": trap, east 3'
drain LW to a2 1-1/2": trap, east 3'
end
place loose as L
fitting m at 10',10'
drain L.a to m 2": east 1'
`, []string{"L.a x 108", "L.LV x 72", "L.LV y 120", "L.LW x 72", "L.LW y 180"}},
		{"pins in it move, mirror and turn", `
typical pinned
fitting k at 2',3',-1'
drain k to m 3": cleanout, east 1'
end
place pinned as P on second at 10',10' opposite-hand facing east`, []string{"P.k x 156", "P.k y 144", "P.k z 108"}},
	})
}

func TestMeetsChainsAndPicksUp(t *testing.T) {
	check(t, []geometry{
		{"several names, one place", `
fitting a at 1',2',-2'
drain x to b 3": cleanout, east 2' fall 1/4
drain y to c 3": cleanout, north 2' fall 1/4
meet a b c
drain a to SEW 3": east 3'
`, []string{"b x 12", "c x 12", "b z -24", "x x -12", "y y 0", "x z -23.5"}},
		{"a chain repeats its items for every link", `
fitting S4 at 0',0',-2'
drain S1..S4 3": cleanout, east 2' fall 1/4
drain S4 to SEW 3": east 3'
`, []string{"S1 x -72", "S2 x -48", "S1 z -22.5", "S2 to S3 leg 1 len 24"}},
		{"a chain downwards, with a leg to suit", `
level l3..l5 at 20' every 9'
typical flat
fixture FD floor-drain
drain FD to ba 3": trap, down 1', east 2'
end
place flat as F3..F5 on l3..l5 at 0',0'
drain F5.ba..F3.ba 4": down to suit
drain F3.ba to SEW 4": down to 0" above ground
`, []string{"F5.ba to F4.ba leg 1 len 108 suit", "F4.ba to F3.ba leg 1 len 108 suit", "F3.ba z 227.5"}},
		{"picks-up cuts the run where it passes", `
fixture WC water-closet in bath
fixture WD water-closet in bath
drain WC to t2 3": down 8", north 1'
drain WD to t3 3": down 8", south 1'
fitting t1 at 0',0',-8"
drain t1 to t9 4" as D-10: cleanout floor, east 8", picks-up t2, east 2'2", picks-up t3, east 9'
drain t9 to SEW 4": east 1'
`, []string{"t2 x 8", "t3 x 34", "t9 x 142"}},
		{"a range takes several at one place", `
fitting t1 at 0',0',-2'
drain a to S1 3": cleanout, east 1'
drain b to S2 3": cleanout, north 1'
drain t1 to t9 4": cleanout, east 2', picks-up S1..S2, east 9'
drain t9 to SEW 4": east 1'
`, []string{"S1 x 24", "S2 x 24", "a x 12", "b y -12"}},
		{"no range", `
drain S1..T2 3": cleanout, south 2'
`, []string{"unreadable-line on S1..T2"}},
		{"copies and levels unlike in number", `
level l3..l5 at 20' every 9'
` + corner + `
place corner as F1..F2 on l3..l5 at 0',0'
`, []string{"unreadable-line on F1..F2"}},
	})
}

const stall = `
typical stall
fixture WC water-closet
fixture LV lavatory
fitting k sanitary-tee
drain LV to k 1-1/2": trap, east 2'
drain WC to w 3": down 8", south 2'
drain k to w 2": down to suit
meet w out
end
typical flat
place stall as W at 0',0'
place stall as X at 9',0'
end
place flat as F1..F3 on ground at 0',0'
`

func TestTags(t *testing.T) {
	check(t, []geometry{
		{"in a copy the tag is the copy's; parts that do not touch", `
typical flat
fixture FD floor-drain
drain FD to a 3" as D-1: trap, down 1'
drain a to b 4" as D-1: east 2'
end
place flat as F1..F2 on ground at 0',0'
drain F1.b to c 4" as D-9: east 2'
drain F2.b to d 4" as D-9: east 2'
drain c to SEW 4" as D-8: down to suit
drain d to SEW 4" as D-8: down to suit
`, []string{"open-geometry on D-9: F1.b to c and F2.b to d"}},
	})
}

func TestExceptions(t *testing.T) {
	check(t, []geometry{
		{"replaces one copy's run", stall + `
except F2.W drain WC to w 3": down 8", south 6'
`, []string{"F1.W.WC to F1.W.w leg 2 len 24", "F2.W.WC to F2.W.w leg 2 len 72", "F2.X.WC to F2.X.w leg 2 len 24"}},
		{"names reach inwards", stall + `
except F2 drain W.WC to W.w 3": down 8", south 6'
`, []string{"F1.W.WC to F1.W.w leg 2 len 24", "F2.W.WC to F2.W.w leg 2 len 72"}},
		{"takes one away, in a range of copies", stall + `
except F1..F2 no drain X.WC to X.w
`, []string{"F3.X.WC to F3.X.w leg 2 len 24"}},
		{"replaces a fixture, a fitting and a place", stall + `
except F1.W fixture LV kitchen-sink
except F2.W fitting k wye
except F3 place stall as X at 20',0'
`, []string{"F1.W.LV z 16"}},
		{"takes a fixture and a place away", stall + `
except F1.W no fixture LV
except F1.W no drain LV to k
except F1.W no drain k to w
except F2 no place X
`, nil},
		{"no match", stall + `
except F2.W drain WC to q 3": down 8", south 6'
except F9 no drain WC to w
except F1.W no fixture LVV
`, []string{"unknown-name on F2.W", "unknown-name on F9", "unknown-name on F1.W"}},
		{"replaces a meet, by any of its names", stall + `
except F1.W meet w out k2
except F2.W no meet out
`, nil},
		{"an exception of the plan goes before one of the typical", `
typical a
fixture LV lavatory
drain LV to k 1-1/2": trap, south 1'
end
typical b
place a as A at 0',0'
except A drain LV to k 1-1/2": trap, south 2'
end
place b as B1..B2 at 0',0'
except B2.A drain LV to k 1-1/2": trap, south 3'
`, []string{"B1.A.LV to B1.A.k leg 1 len 24", "B2.A.LV to B2.A.k leg 1 len 36"}},
	})
}
