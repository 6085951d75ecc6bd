package sizing_test

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
)

func supplyOf(t *testing.T, book, plan string) (*system.System, *sizing.Supply) {
	t.Helper()
	sys := system.BuildSource(nil, "a.weir", plan, system.Options{})
	b, err := codebook.Load(book)
	require.NoError(t, err)
	return sys, sizing.NewSupply(sizing.New(sys, b))
}

func units(t *testing.T, sys *system.System, s *sizing.Supply, from, to string) float64 {
	t.Helper()
	runs := sys.Between(from, to)
	require.NotEmpty(t, runs, "%s to %s", from, to)
	return s.Of(runs[0].Pipes[0]).Units
}

const bath = `level ground at 0'
room bath on ground
main M at -3' 62psi
heater WH in bath at 12" storage 40gal
fixture LV lavatory in bath
fixture SH shower in bath
fixture WC water-closet in bath
service M to s 1": meter 3/4", north 30', up 3'
cold s to WC 1/2": north 4'
cold s to c 3/4": east 4'
cold c to LV 1/2": north 4'
cold c to SH 1/2": north 6'
cold c to WH 3/4": east 2'
hot WH to h 3/4": west 4'
hot h to LV 1/2": north 4'
hot h to SH 1/2": north 6'
`

// A fixture counts three quarters on each side and whole where both pass
// (UPC 610.3, from memory).
func TestLoadsBySide(t *testing.T) {
	sys, s := supplyOf(t, "upc-2021", bath)
	assert.InDelta(t, 0.75, units(t, sys, s, "c", "LV"), 1e-9)
	assert.InDelta(t, 1.5, units(t, sys, s, "h", "SH"), 1e-9)
	assert.InDelta(t, 0.75+1.5, units(t, sys, s, "WH", "h"), 1e-9)
	assert.InDelta(t, 0.75+1.5, units(t, sys, s, "c", "WH"), 1e-9)
	assert.InDelta(t, 1+2, units(t, sys, s, "s", "c"), 1e-9)
	assert.InDelta(t, 1+2+2.5, units(t, sys, s, "M", "s"), 1e-9)
	assert.False(t, s.Looped)
}

// The other book prints the sides (IPC Table E103.3(2)).
func TestLoadsByPrintedColumns(t *testing.T) {
	sys, s := supplyOf(t, "ipc-2021", bath)
	assert.InDelta(t, 0.5, units(t, sys, s, "c", "LV"), 1e-9)
	assert.InDelta(t, 0.7+1.4+2.2, units(t, sys, s, "M", "s"), 1e-9)
}

// The first bibb counts 2.5, each further one 1 (UPC Table 610.3).
func TestHoseBibbs(t *testing.T) {
	sys, s := supplyOf(t, "upc-2021", `level ground at 0'
main M at -3' 62psi
fixture A hose-bibb
fixture B hose-bibb
fixture C hose-bibb
service M to s 1": north 30'
cold s to A 1/2": east 4'
cold s to b 3/4": east 4'
cold b to B 1/2": north 4'
cold b to C 1/2": south 4'
`)
	assert.InDelta(t, 2.5, units(t, sys, s, "s", "A"), 1e-9)
	assert.InDelta(t, 3.5, units(t, sys, s, "s", "b"), 1e-9)
	assert.InDelta(t, 4.5, units(t, sys, s, "M", "s"), 1e-9)
}

// Flushometer valves are counted from the far end: 40, 70, 90 (UPC 610.10, as
// one city's sizing sheet prints it).
func TestFlushometers(t *testing.T) {
	sys, s := supplyOf(t, "upc-2021", `occupancy public
level ground at 0'
main M at -3' 62psi
fixture A water-closet flush valve 1.6gal
fixture B water-closet flush valve 1.6gal
fixture C water-closet flush valve 1.6gal
service M to s 2": north 30'
cold s to A 1": east 4'
cold s to b 2": east 4'
cold b to B 1": north 4'
cold b to C 1": south 4'
`)
	assert.InDelta(t, 40, units(t, sys, s, "b", "C"), 1e-9)
	assert.InDelta(t, 70, units(t, sys, s, "s", "b"), 1e-9)
	assert.InDelta(t, 90, units(t, sys, s, "M", "s"), 1e-9)
}

// The answer keys of three invented scenarios: load, adjusted pressure and the
// table's cell.
func TestTableMethod(t *testing.T) {
	for _, c := range []struct {
		plan, source, from, to   string
		units, adjusted, allowed float64
		size                     quantity.Size
	}{
		{"s01-quillfeather", "M", "M", "n0", 26.5, 63.5, 17, 0.75},
		{"s02-marrowfield", "M-A", "M-A", "a0", 19, 46.3, 33, 1},
		{"s02-marrowfield", "M-B", "M-B", "b0", 19, 46.3, 17, 0.75},
		{"s05-brambleholt", "M", "M", "w0", 81.5, 32.5, 28, 1.25},
	} {
		t.Run(c.plan+" "+c.source, func(t *testing.T) {
			src, err := os.ReadFile("../../testdata/scenarios/" + c.plan + ".weir")
			require.NoError(t, err)
			sys, s := supplyOf(t, "upc-2021", string(src))
			assert.InDelta(t, c.units, units(t, sys, s, c.from, c.to), 1e-9)
			way, ok := s.TableWay(sys.Point(c.source))
			require.True(t, ok)
			require.Empty(t, way.Missing)
			assert.InDelta(t, c.adjusted, way.Adjusted, 0.05)
			allowed, _, ok := s.Allowed(way, c.size)
			require.True(t, ok)
			assert.Equal(t, c.allowed, allowed)
		})
	}
}

// One book's worked system reads the next higher printed row: 288 units ask
// 108 gpm, 132 ask 77 (IPC Table E103.3(1), from memory); the other's chart is
// read along its curve.
func TestDemand(t *testing.T) {
	_, ipc := supplyOf(t, "ipc-2021", bath)
	gpm, _, ok := ipc.Demand(sizing.SupplyLoad{Units: 288, Valves: 1})
	require.True(t, ok)
	assert.InDelta(t, 108, gpm, 1e-9)
	gpm, _, _ = ipc.Demand(sizing.SupplyLoad{Units: 132, Valves: 1})
	assert.InDelta(t, 77, gpm, 1e-9)
	_, upc := supplyOf(t, "upc-2021", bath)
	gpm, _, _ = upc.Demand(sizing.SupplyLoad{Units: 18})
	assert.InDelta(t, (11.6+14)/2, gpm, 1e-9)
}
