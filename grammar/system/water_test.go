package system_test

import (
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"crownweir/grammar/system"
)

// TestEnds: what is connected, and what leads nowhere; every drafting problem
// of the plan must be wanted.
func TestEnds(t *testing.T) {
	const top = `plan "Rookhope Yard, unit 4"
code upc-2021
default drain abs
default water pex
default fall 1/4
level ground at 0'
roof at 12'
room bath on ground
`
	for _, c := range []struct {
		name, plan string
		wants      []string
	}{
		{"water alone: no drain is asked", `
scope water
main M at -3' 62psi
heater H1 in bath storage 50gal
fixture LV lavatory in bath
fixture HB hose-bibb in bath
service M to S1 1": meter 3/4", backflow double-check, regulator 60psi strainer, north 40', valve full-port
cold S1 to H1 3/4": up to suit
cold S1 to LV 1/2": up to suit
cold S1 to HB 1/2": up to suit
hot H1 to LV 1/2": up to suit
`, nil},
		{"a lavatory without hot", `
scope water
main M at -3' 62psi
fixture LV lavatory in bath
cold M to LV 1/2": up to suit
`, []string{"unconnected-fixture on LV"}},
		{"drains alone: no water is asked", `
scope drainage
outfall SEW at -6'
fixture LV lavatory in bath
drain LV to k1 1-1/2": trap, south 2'
drain k1 to SEW 2": down to suit, south 9'
`, nil},
		{"a manifold that nothing feeds", `
scope water
manifold PM in bath at 44"
fixture LV lavatory in bath
cold PM to LV 1/2": over 31'
hot PM to LV 1/2": over 31'
`, []string{"dead-end-supply on PM to LV"}},
		{"a supply that begins nowhere; one that ends nowhere is fed", `
scope water
main M at -3' 62psi
fixture HB hose-bibb in bath
fixture HC hose-bibb in bath
cold M to a 3/4": north 2'
cold a to HB 1/2": up to suit
cold a to stub 1/2": east 2'
cold b to HC 1/2": up to suit
`, []string{"dead-end-supply on b to HC"}},
		{"a return closes its ring and is no circle", `
scope water
main M at -3' 62psi
heater H1 in bath
fixture LV lavatory in bath
cold M to c1 3/4": north 2'
cold c1 to H1 3/4": up to suit
cold c1 to LV 1/2": up to suit
hot H1 to h1 3/4": up 1'
hot h1 to LV 1/2": north 3', up to suit
return h1 to H1 1/2": valve check, down to suit
`, nil},
		{"an existing supply feeds", `
scope water
existing supply CW 2" at 8' 58psi water-units 120
fixture HB hose-bibb in bath
cold CW to HB 1/2": down to suit
`, nil},
		{"a drain that ends nowhere, forks and circles", `
outfall SEW at -6'
fixture LV lavatory in bath
fixture LW lavatory in bath
drain LV to k1 1-1/2": trap, south 2'
drain k1 to k2 2": down 1'
drain k1 to SEW 2": down 1'
drain LW to j1 1-1/2": trap, south 2'
drain j1 to j2 2": east 2'
drain j2 to j1 2": west 2'
`, []string{"circular-run on j1 to j2", "dead-end-drain on k1 to k2", "splitting-drain on k1 to k2"}},
		{"vents that end or begin nowhere", `
outfall SEW at -6'
terminal V1 roof
fixture LV lavatory in bath
drain LV to k1 1-1/2": trap, south 2'
drain k1 to SEW 2": down 1'
vent k1 to v1 1-1/2": up 5'
vent x1 to V1 1-1/2": up to roof
`, []string{"dead-end-vent on k1 to v1", "unknown-name on x1"}},
		{"waste over an air gap ends at its receptor", `
outfall SEW at -6'
fixture ICE ice-maker in bath
fixture FS floor-sink in bath
fixture LV lavatory in bath
indirect ICE to FS 3/4" copper-l: west 9', air-gap 1-1/2"
drain FS to d 2": down 10", trap, east 5'
drain d to SEW 2": down to -2', east 10'
scope drainage
drain LV to k9 1-1/2": trap, east 5'
drain k9 to SEW 2": down to suit
`, nil},
		{"a run may begin at a cleanout", `
outfall SEW at -6'
drain x1 to SEW 3": cleanout, east 5'
drain x2 to SEW 3": east 5'
`, []string{"unknown-name on x2"}},
		{"points that nothing names", `
outfall SEW at -6'
terminal V1 roof
fitting k7 wye
existing drain BD 4" at -2'
existing vents 3" 2"
object CAN recessed-light in bath at 1',2',8'
`, []string{"unused-point on BD", "unused-point on SEW", "unused-point on V1", "unused-point on k7"}},
		{"runs without a size", `
outfall SEW at -6'
drain x1 to x2: cleanout, east 5'
drain x2 to SEW ?: east 5'
`, []string{"unsized-run on x1 to x2", "unsized-run on x2 to SEW"}},
		{"an existing fixture asks for nothing", `
outfall SEW at -6'
fixture LV lavatory in bath existing
drain x2 to SEW 3": cleanout, east 5'
`, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := system.BuildSource(nil, "a.weir", top+c.plan, system.Options{})
			var got []string
			for _, p := range s.Problems {
				if p.Rule != "odd-height" {
					got = append(got, p.Rule+" on "+p.Subject)
				}
				assert.NotEmpty(t, p.Remedy, p.Message)
				assert.NotEmpty(t, p.Loc.File, p.Message)
			}
			sort.Strings(got)
			assert.Equal(t, strings.Join(c.wants, "; "), strings.Join(got, "; "), text(s))
		})
	}
}
