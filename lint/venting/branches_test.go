package venting_test

import (
	"fmt"
	"strings"
	"testing"
)

// closets is a level branch of so many closets, with one vent that leaves it
// just upstream of the entry of the given number.
func closets(n, vent int, size string) string {
	var fixtures, way strings.Builder
	for i := 1; i <= n; i++ {
		fmt.Fprintf(&fixtures, "fixture C%d water-closet in bath\ndrain C%d to c%d 4\": down 10\", north 2'\n", i, i, i)
		switch {
		case i == 1:
			way.WriteString("drain c1 to e 4\": cleanout")
		case i == vent:
			fmt.Fprintf(&way, ", east 18\", picks-up v, east 18\", picks-up c%d", i)
		default:
			fmt.Fprintf(&way, ", east 3', picks-up c%d", i)
		}
	}
	return fixtures.String() + way.String() + ", east 9'\nvent v to V1 " + size + ": up to roof\nsewer e to SEW 4\": cleanout, east 20'\n"
}

// all tells that every closet of a branch comes to the same, but for the most
// upstream ones, which the vent serves by itself.
func all(n int, s string, first ...string) map[string]string {
	out := map[string]string{}
	for i := 1; i <= n; i++ {
		out[fmt.Sprintf("C%d", i)] = s
		if i <= len(first) {
			out[fmt.Sprintf("C%d", i)] = first[i-1]
		}
	}
	return out
}

func TestCircuits(t *testing.T) {
	const good, broken = "vented circuit vent", "broken circuit vent "
	claim := func(plan string) string { return swap(plan, `drain c1 to e 4":`, `drain c1 to e 4" system circuit:`) }
	steep := swap(closets(3, 2, `3"`), "picks-up c2, east 3'", "picks-up c2, east 3' fall 10%")
	uneven := swap(closets(3, 2, `3"`), `, picks-up c2, east 3', picks-up c3, east 9'`, ", picks-up c2, east 1'\ndrain x to e 3\": east 2', picks-up c3, east 9'", "drain c1 to e", "drain c1 to x")
	stack := "fixture HI lavatory in loft\ndrain HI to h 1-1/4\": trap, north 2'\nvent h to V2 2\": up to roof\nterminal V2 roof\ndrain h to s 4\": down to s\ndrain s to e 4\": down 2', cleanout, east 6'\n"
	below := func(n int) string { return swap(closets(n, 2, `3"`), "drain c1 to e", "drain c1 to s") + stack }
	hold(t, []row{
		{"two closets that nobody calls a circuit", "upc-2021", closets(2, 2, `3"`), want("C1", own, "C2", noLevel+foreign+" "+foreign)},
		{"two closets claimed", "upc-2021", claim(closets(2, 2, `3"`)), all(2, good)},
		{"eight", "ipc-2021", closets(8, 2, `3"`), all(8, good)},
		{"nine", "upc-2021", closets(9, 2, `3"`), all(9, broken+"crowded-circuit-vent", own)},
		{"four with the vent out of place", "ipc-2021", closets(4, 3, `3"`), all(4, broken+"misplaced-circuit-vent", shared, shared)},
		{"a claimed one out of place", "ipc-2021", claim(closets(4, 4, `3"`)), all(4, broken+"misplaced-circuit-vent")},
		{"a vent too small", "upc-2021", closets(3, 2, `1-1/2"`), all(3, broken+"small-circuit-vent", own)},
		{"too steep a branch", "upc-2021", steep, all(3, broken+"uneven-circuit-branch", own)},
		{"a branch of two sizes", "ipc-2021", uneven, all(3, broken+"uneven-circuit-branch", own)},
		{"an arm too long", "upc-2021", claim(swap(closets(3, 2, `3"`), `C3 to c3 4": down 10", north 2'`, `C3 to c3 4": down 10", north 12'`)), want("C1", good, "C2", good, "C3", broken+"long-trap-arm")},
		{"three below drainage from above", "upc-2021", below(3), all(3, good)},
		{"four below drainage from above", "upc-2021", below(4), all(4, broken+"missing-relief-vent", own)},
	})
}

func TestStacks(t *testing.T) {
	closetAbove := swap(storeys, "fixture HI lavatory", "fixture HI water-closet", `HI to h 1-1/4": trap, north 2'`, `HI to h 3": down 10", north 2'`, `2": down to o`, `3": down to o`, `drain o to e 2"`, `drain o to e 3"`, `vent h to V1 2"`, `vent h to V1 3"`)
	closetBelow := swap(storeys, `drain o to e 2": down to 2' below ground`, "fixture WC water-closet in bath\ndrain WC to w 3\": down 8\", north 2'\ndrain o to w 3\": down to w\ndrain w to e 3\": down to 2' below ground",
		`2": down to o`, `3": down to o`, `vent h to V1 2"`, `vent h to V1 3"`)
	single := "fixture KS kitchen-sink in kitchen\ndrain KS to k 2\": trap, east 2'\ndrain k to e 3\" system single-stack: down to -2', cleanout, east 10'\nsewer e to SEW 4\": cleanout, east 20'\n"
	tower := func(at, size string) string {
		return "level top at " + at + "\nroom high on top\n" + swap(single, "in kitchen", "in high", "down to -2'", "down to 2' below ground", `k to e 3"`, "k to e "+size)
	}
	closet := "fixture WC water-closet in bath\ndrain WC to k 4\": down 10\", east 7'\ndrain k to e 4\" system single-stack: down to -3', cleanout, east 10'\nsewer e to SEW 4\": cleanout, east 20'\n"
	const alone = "vented single stack"
	hold(t, []row{
		{"a waste stack with a closet above", "ipc-2021", closetAbove, want("HI", own, "LO", "unvented")},
		{"a waste stack with a closet below", "ipc-2021", closetBelow, want("HI", own, "LO", "unvented")},
		{"a waste stack of too much", "ipc-2021", swap(storeys, "fixture LO lavatory in bath", "fixture LO lavatory in bath units 4"), want("LO", "unvented")},
		{"too much in one interval", "ipc-2021", swap(storeys, "fixture LO lavatory in bath", "fixture LO lavatory in bath units 3"), want("LO", "unvented")},
		{"a single stack", "ipc-2021", single, want("KS", alone)},
		{"a single stack from 90 ft in three inch", "ipc-2021", tower("90'", `3"`), want("KS", "unvented")},
		{"a single stack from 90 ft in four inch", "ipc-2021", tower("90'", `4"`), want("KS", alone)},
		{"a single stack from 170 ft in four inch", "ipc-2021", tower("170'", `4"`), want("KS", "unvented")},
		{"a single stack from 170 ft in five inch", "ipc-2021", tower("170'", `5"`), want("KS", alone)},
		{"too far from a single stack", "ipc-2021", swap(single, "trap, east 2'", "trap, east 13'"), want("KS", "unvented")},
		{"a closet too far from one", "ipc-2021", closet, want("WC", "unvented")},
		{"as far, through a sanitary tee", "ipc-2021", "fitting k sanitary-tee\n" + closet, want("WC", alone)},
	})
}

func TestCombinations(t *testing.T) {
	// a floor drain far from the only vent, at the sink
	drain := "fixture FD floor-drain in kitchen\nfixture KS kitchen-sink in kitchen\ndrain KS to k 2\": trap, east 1'\nvent k to V1 2\": up to roof\n" +
		"drain k to m 3\": down to m\ndrain FD to m 3\" system combination: down 12\", trap, cleanout, east 14'\ndrain m to e 4\": cleanout, east 10'\nsewer e to SEW 4\": cleanout, east 20'\n"
	const broken = "broken combination waste and vent "
	hold(t, []row{
		{"without its approval", "upc-2021", drain, want("FD", broken+"unapproved-combination")},
		{"where the book asks for none", "ipc-2021", drain, want("FD", "vented combination waste and vent")},
		{"not enlarged", "upc-2021", swap(drain, `FD to m 3"`, `FD to m 2"`), want("FD", broken+"unapproved-combination overloaded-combination")},
		{"over the table", "ipc-2021", swap(drain, "floor-drain in kitchen", "floor-drain in kitchen units 14"), want("FD", broken+"overloaded-combination")},
		{"a long branch", "upc-2021", swap(drain, "east 14'", "east 16'"), want("FD", broken+"unapproved-combination long-combination-branch")},
		{"a long branch in two pieces", "upc-2021", swap(drain, "east 14'", "east 8'\ndrain y to m 3\": north 8'", "FD to m", "FD to y"), want("FD", broken+"unapproved-combination long-combination-branch")},
		{"not declared, but enlarged", "upc-2021", swap(drain, " system combination", ""), want("FD", "broken vertical wet vent long-trap-arm")},
		{"a closet in it", "upc-2021", swap(drain, "fixture FD floor-drain", "fixture FD water-closet", ", trap, cleanout", ", cleanout"), want("FD", broken+"unapproved-combination overloaded-combination")},
		{"a urinal in it where no approval would help", "ipc-2021", swap(drain, "fixture FD floor-drain", "fixture FD urinal", "down 12\", trap, cleanout, east 14'", "down to suit, cleanout, east 14'"), want("FD", "unvented")},
		{"without any vent", "ipc-2021", "fixture FD floor-drain in kitchen\ndrain FD to e 3\" system combination: down 12\", trap, east 14'\nsewer e to SEW 4\": cleanout, east 20'\n", want("FD", "unvented")},
	})
}

func TestIslands(t *testing.T) {
	loop := `fixture KS kitchen-sink in kitchen rim 36"
drain KS to a 1-1/2": trap, east 1'6"
drain a to b 2" system island: down to -1'6"
drain b to c 2": cleanout, east 8"
drain c to e 2": east 9'
vent a to f 1-1/2": up to 36", east 8", down to -1'
vent f to c 1-1/2": down to suit
vent f to V1 1-1/2": east 9', cleanout, up to roof
sewer e to SEW 4": cleanout, east 20'
`
	const broken = "broken island vent "
	footless := swap(loop, "vent f to V1 1-1/2\": east 9', cleanout, up to roof\n", "")
	shared := swap(loop, `b to c 2": cleanout, east 8"`, `b to c 2": cleanout, east 4", picks-up g, east 4"`) + "fixture HS hand-sink in kitchen\ndrain HS to g 1-1/2\": trap, north 1', down to suit\n"
	hold(t, []row{
		{"a loop", "upc-2021", loop, want("KS", "vented island vent")},
		{"the same under the other book", "ipc-2021", loop, want("KS", "vented island vent")},
		{"too low", "upc-2021", swap(loop, `up to 36"`, `up to 30"`), want("KS", broken+"low-island-loop")},
		{"too small", "upc-2021", swap(loop, `vent a to f 1-1/2"`, `vent a to f 1"`), want("KS", broken+"small-island-vent")},
		{"without its foot vent", "upc-2021", footless, want("KS", broken+"missing-foot-vent")},
		{"a foot vent without a cleanout", "upc-2021", swap(loop, "east 9', cleanout, up to roof", "east 9', up to roof"), want("KS", broken+"missing-foot-vent")},
		{"a loop to no open air", "ipc-2021", footless, want("KS", "unvented")},
		{"with another sink upstream of its return", "upc-2021", shared, want("KS", broken+"misplaced-island-return shared-island-drain")},
	})
}
