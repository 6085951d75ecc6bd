package sizing_test

import (
	"os"
	"strings"
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

// Single cells of the printed tables: A9, an examination item on the IRC's
// table (69 units at 35 psi and 300 ft take a 1-1/2 in service), and A11,
// worked look-ups of UPC Table 610.4 for a 1/2 in branch.
func TestPublishedLookUps(t *testing.T) {
	for _, c := range []struct {
		book     string
		adjusted float64
		column   string
		size     quantity.Size
		meter    quantity.Size
		allowed  float64
	}{
		{"ipc-2021", 35, "300", 1.5, 1.5, 69},
		{"upc-2021", 45, "100", 0.5, 0.75, 3},
		{"upc-2021", 46, "200", 0.5, 0.75, 3},
		{"upc-2021", 61, "300", 0.5, 0.75, 3},
		{"upc-2021", 30, "40", 0.5, 0.75, 6},
		{"upc-2021", 45.9, "40", 0.5, 0.75, 6},  // between two blocks: the lower
		{"upc-2021", 50, "100", 1.25, 1.25, 67}, // the largest printed meter not above 1-1/4 in is 1 in
		{"upc-2021", 50, "100", 1.25, 0, 78},    // none drawn: the largest
	} {
		_, s := supplyOf(t, c.book, bath)
		got, cell, ok := s.Allowed(sizing.TableWay{Adjusted: c.adjusted, Column: c.column, Meter: c.meter}, c.size)
		require.True(t, ok, "%v", c)
		assert.Equal(t, c.allowed, got, "%v", c)
		assert.True(t, cell.OK)
	}
	_, s := supplyOf(t, "upc-2021", bath)
	_, _, ok := s.Allowed(sizing.TableWay{Adjusted: 50, Column: "100", Meter: 0.625}, 1)
	assert.False(t, ok, "no row for a 5/8 in meter")
	_, _, ok = s.Allowed(sizing.TableWay{Adjusted: 29, Column: "100", Meter: 1, Low: true}, 1)
	assert.False(t, ok, "below the table")
}

// A kitchen sink's row covers its dishwasher (UPC Table 610.3): a sink with
// one, a bath with a tub-shower and one with a shower make 14.5 units.
func TestDishwasherWithSink(t *testing.T) {
	const house = `level ground at 0'
room kitchen on ground
main M at -3' 62psi
fixture KS kitchen-sink in kitchen
fixture DW dishwasher in kitchen
fixture W1 water-closet
fixture L1 lavatory
fixture T1 tub-shower
fixture W2 water-closet
fixture L2 lavatory
fixture S2 shower
service M to s 1": north 30'
cold s to KS 1/2": east 4'
cold s to W1 1/2": east 4'
cold s to L1 1/2": east 4'
cold s to T1 1/2": east 4'
cold s to W2 1/2": east 4'
cold s to L2 1/2": east 4'
cold s to S2 1/2": east 4'
hot s to DW 1/2": east 4'
`
	drained := house + "indirect DW to KS: air-gap\n"
	for name, c := range map[string]struct {
		book, plan string
		units      float64
	}{
		"drained into the sink":         {"upc-2021", drained, 14.5},
		"water alone, beside it":        {"upc-2021", house, 14.5},
		"in another room":               {"upc-2021", house + "room bar on ground\nfixture DX dishwasher in bar\nhot s to DX 1/2\": east 4'\n", 16},
		"a second one beside one sink":  {"upc-2021", house + "fixture DX dishwasher in kitchen\nhot s to DX 1/2\": east 4'\n", 16},
		"the other book counts it":      {"ipc-2021", drained, 1.4 + 1.4 + 2*2.2 + 2*0.7 + 1.4 + 1.4},
		"units written on it are taken": {"upc-2021", house + "fixture DX dishwasher in kitchen water-units 2\nhot s to DX 1/2\": east 4'\n", 16.5},
	} {
		t.Run(name, func(t *testing.T) {
			sys, s := supplyOf(t, c.book, c.plan)
			assert.InDelta(t, c.units, units(t, sys, s, "M", "s"), 1e-9)
		})
	}
}

// A flush over the gallons of a row takes the row above it.
func TestWaterRows(t *testing.T) {
	_, s := supplyOf(t, "upc-2021", bath)
	row := func(fixture string) string {
		sys := system.BuildSource(nil, "a.weir", "fixture F "+fixture+"\n", system.Options{})
		return s.WaterRow(sys.Point("F"))
	}
	assert.Equal(t, "water-closet", row("water-closet flush tank 1.6gal"))
	assert.Equal(t, "water-closet over 1.6", row("water-closet flush tank 3.5gal"))
	assert.Equal(t, "water-closet flushometer over 1.6", row("water-closet flush valve 3.5gal"))
	assert.Equal(t, "urinal", row("urinal flush valve 1gal"))
	assert.Equal(t, "urinal over 1.0", row("urinal flush valve 1.5gal"))
	assert.Equal(t, "urinal tank", row("urinal flush tank"))
	assert.Equal(t, "lavatory", row("lavatory"))
}

// A valve that mixes hot with cold closes no circle; a ring of cold pipe does.
func TestLooped(t *testing.T) {
	_, s := supplyOf(t, "upc-2021", bath+"cold c to mix 3/4\": east 9'\nhot h to mix 3/4\": east 9'\n")
	assert.False(t, s.Looped)
	_, s = supplyOf(t, "upc-2021", bath+"cold c to ring 3/4\": east 9'\ncold s to ring 3/4\": north 9'\n")
	assert.True(t, s.Looped)
}

// What the table method takes off before it is read, and what it lacks.
func TestTableWay(t *testing.T) {
	way := func(book, plan string) sizing.TableWay {
		sys, s := supplyOf(t, book, plan)
		w, ok := s.TableWay(sys.Point("M"))
		require.True(t, ok)
		return w
	}
	edit := func(pairs ...string) string { return strings.NewReplacer(pairs...).Replace(bath) }
	plain := way("upc-2021", bath)
	assert.InDelta(t, 62, plain.Static, 1e-9)
	assert.InDelta(t, 3+78.0/12, plain.Height, 1e-9, "up to the shower's head")
	assert.InDelta(t, 62-0.5*9.5, plain.Adjusted, 1e-9)
	assert.Equal(t, "SH", plain.Highest.Point.Name)
	assert.InDelta(t, 49, plain.Length, 1e-9, "the hot side: 33, 6, 4 and 6 ft")
	assert.Equal(t, "60", plain.Column)

	regulator := edit(`meter 3/4",`, `meter 3/4", regulator 60psi strainer,`)
	assert.InDelta(t, 48, way("upc-2021", regulator).Static, 1e-9, "80 per cent of the setting")
	assert.InDelta(t, 60, way("ipc-2021", regulator).Static, 1e-9)
	assert.False(t, way("upc-2021", edit(`meter 3/4",`, `meter 3/4", regulator 90psi,`)).Regulated, "72 psi are more than the street gives")

	loss := edit(`meter 3/4",`, `meter 3/4", loss 6psi,`)
	assert.InDelta(t, plain.Adjusted-6, way("ipc-2021", loss).Adjusted, 1e-9)
	assert.InDelta(t, plain.Adjusted, way("upc-2021", loss).Adjusted, 1e-9)
	assert.InDelta(t, 49*1.2, way("ipc-2021", bath).Length, 1e-9, "with an allowance for fittings (from memory)")

	gap := way("upc-2021", edit("north 30'", "north to suit"))
	assert.Equal(t, "length of M to s", gap.Missing)
	require.Len(t, gap.Gaps, 1)
	far := way("upc-2021", edit("north 30'", "north 2000'"))
	assert.True(t, far.Long)
	assert.InDelta(t, 1000, far.Most, 1e-9)
	low := way("upc-2021", edit("62psi", "34psi"))
	assert.True(t, low.Low)
	assert.InDelta(t, 30, low.Least, 1e-9)
}
