package codebook_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar/quantity"
	"crownweir/lint/codebook"
)

// smallest is the size that a table gives for a load.
func smallest(t *testing.T, table *codebook.Table, load float64, column string) quantity.Size {
	t.Helper()
	size, _, ok := table.Smallest(load, column)
	require.True(t, ok)
	return size
}

// NAVEDTRA 14259, Utilitiesman: 20 closets at 6, 22 lavatories, 15 showers at
// 2, 20 urinals at 4, 2 service sinks at 3, 4 floor drains at 3; the units are
// the manual's own.
const barracks = 20*6 + 22*1 + 15*2 + 20*4 + 2*3 + 4*3

func TestBarracksBuildingDrain(t *testing.T) {
	require.Equal(t, 270, barracks)
	assert.EqualValues(t, 5, smallest(t, load(t, "ipc-2021").Table("building-drain-units"), barracks, "1/4"))
	assert.EqualValues(t, 5, smallest(t, load(t, "upc-2021").Table("drain-units"), barracks, "horizontal"))
}

// NAVEDTRA 14259: the same load on a stack of fewer than three intervals.
func TestBarracksStack(t *testing.T) {
	ipc := load(t, "ipc-2021").Table("branch-units")
	assert.Equal(t, 240.0, ipc.BySize(4, "stack-short").Value)
	assert.Equal(t, 540.0, ipc.BySize(5, "stack-short").Value)
	assert.EqualValues(t, 5, smallest(t, ipc, barracks, "stack-short"))
	assert.EqualValues(t, 5, smallest(t, load(t, "upc-2021").Table("drain-units"), barracks, "vertical"))
}

// Answers and analysis on UPC 904.1: 2, 2 and 1-1/2 in vents against a
// required sewer of 3 in.
func TestVentAreaAgainstSewer(t *testing.T) {
	area := func(size float64) float64 { return math.Pi / 4 * size * size }
	share := load(t, "upc-2021").Number("vent-area-share").Value
	vents := area(2) + area(2) + area(1.5)
	assert.InDelta(t, 8.05, vents, 0.01)
	assert.GreaterOrEqual(t, vents, share*area(3))
	assert.Less(t, vents, share*area(4))
}

// California Plumbing Code 2013, example after Table 1014.3.6: three floor
// drains, a mop sink, a food preparation sink.
func TestGreaseInterceptor(t *testing.T) {
	upc := load(t, "upc-2021")
	units := upc.Table("fixture-units")
	total := 3*units.At("floor-drain", "public").Value + units.At("service-sink", "public").Value + units.At("prep-sink", "public").Value
	assert.Equal(t, 12.0, total)
	row, cell, ok := upc.Table("grease-interceptor").UpTo(total, "gallons")
	require.True(t, ok)
	assert.Equal(t, "21", row)
	assert.Equal(t, 750.0, cell.Value)
	_, _, ok = upc.Table("grease-interceptor").UpTo(2641, "gallons")
	assert.False(t, ok)
}

// California Plumbing Code 2013, Appendix B 5.1: two steps above 2, 3 and 4 in.
func TestCombinationWasteAndVentSizes(t *testing.T) {
	upc := load(t, "upc-2021")
	ladder := upc.Table("size-ladder")
	for from, want := range map[quantity.Size]quantity.Size{2: 3, 3: 4, 4: 5} {
		step := ladder.BySize(from, "step").Value + upc.Number("combination-steps").Value
		assert.Equal(t, want, smallest(t, ladder, step, "step"), "from %v", from)
	}
	assert.Equal(t, 24.0, upc.Number("combination-tailpiece").Value)
}

// Woodson, Plumber's and Pipe Fitter's Calculations Manual, Fig. 4.17 zone 3:
// two bathroom groups of six units on a stack.
func TestTwoGroupsOnAStack(t *testing.T) {
	ipc := load(t, "ipc-2021")
	group := ipc.Table("fixture-units").At("bathroom-group over 1.6", "private").Value
	assert.Equal(t, 6.0, group)
	branches := ipc.Table("branch-units")
	for size, want := range map[quantity.Size]float64{2: 6, 3: 20, 4: 160, 6: 620} {
		assert.Equal(t, want, branches.BySize(size, "branch").Value)
	}
	size := max(smallest(t, branches, 2*group, "stack-short"), quantity.Size(ipc.Number("closet-drain-least").Value))
	assert.EqualValues(t, 3, size)
	upc := load(t, "upc-2021")
	assert.GreaterOrEqual(t, upc.Table("drain-units").BySize(3, "vertical").Value, 2*group)
	assert.GreaterOrEqual(t, upc.Number("closets-3in-vertical").Value, 2.0)
}

// Article on IPC drain sizing: 44 units at 1/8 in/ft.
func TestFortyFourUnits(t *testing.T) {
	table := load(t, "ipc-2021").Table("building-drain-units")
	assert.Equal(t, 36.0, table.BySize(3, "1/8").Value)
	assert.EqualValues(t, 4, smallest(t, table, 44, "1/8"))
	assert.EqualValues(t, 4, smallest(t, table, 44, "1/4"))
	assert.EqualValues(t, 3, smallest(t, table, 44, "1/2"))
}

// 77 Ill. Adm. Code 890 App. A Table N: sample rows of demand.
func TestIllinoisDemand(t *testing.T) {
	table := load(t, "upc-2021").Table("demand-tank")
	for units, gpm := range map[string]float64{"2": 2, "10": 8, "16": 11.6, "60": 32, "200": 65, "275": 80, "750": 170, "1000": 208, "2000": 320} {
		cell := table.At(units, "gpm")
		assert.Equal(t, gpm, cell.Value, units)
		assert.Equal(t, "S5", cell.Source)
	}
}

// IPC Appendix E, worked system, from memory: demand is read at the next
// printed row.
func TestAppendixEDemand(t *testing.T) {
	table := load(t, "ipc-2021").Table("demand-valve")
	for units, want := range map[float64]float64{288: 108, 264: 104.5, 132: 77, 24: 38, 12: 28.6} {
		_, cell, ok := table.UpTo(units, "gpm")
		require.True(t, ok)
		assert.Equal(t, want, cell.Value, "%v units", units)
	}
}

// IRC exam question: 69 units, 35 psi, 300 ft.
func TestSupplyExamItem(t *testing.T) {
	cell := load(t, "ipc-2021").Table("supply-units").At("30-39 1-1/2 1-1/2", "300")
	assert.Equal(t, 69.0, cell.Value)
	assert.False(t, cell.Memory)
}

// Worked look-ups of UPC Table 610.4, 1/2 in branch on a 3/4 in meter.
func TestSupplyLookUps(t *testing.T) {
	table := load(t, "upc-2021").Table("supply-units")
	for _, c := range []struct {
		row, length string
		units       float64
	}{
		{"30-45 3/4 1/2", "100", 3}, {"46-60 3/4 1/2", "200", 3}, {"over-60 3/4 1/2", "300", 3}, {"30-45 3/4 1/2", "40", 6},
	} {
		cell := table.At(c.row, c.length)
		assert.Equal(t, c.units, cell.Value, c.row)
		assert.False(t, cell.Memory, c.row)
	}
	row := table.Rows[0]
	assert.Equal(t, map[string]float64{"psi-least": 30, "psi-most": 45, "meter": 0.75, "supply": 0.5}, row.Labels)
	assert.Equal(t, math.MaxFloat64, table.Rows[len(table.Rows)-1].Labels["psi-most"])
}

// IPC Table E103.3(4), from memory, with its square law.
func TestTapLoss(t *testing.T) {
	table := load(t, "ipc-2021").Table("tap-loss")
	assert.Equal(t, 4.49, table.At("50", "1").Value)
	assert.Equal(t, 1.12, table.At("100", "2").Value)
	assert.True(t, table.At("50", "1").Memory)
	for _, flow := range []string{"10", "20", "40"} {
		q := float64(map[string]int{"10": 10, "20": 20, "40": 40}[flow])
		assert.InEpsilon(t, 0.64*q*q/100, table.At(flow, "3/4").Value, 0.01, flow)
	}
}

// UPC Table 1002.2 and IPC Table 909.1, as the reprints show them.
func TestTrapArms(t *testing.T) {
	upc, ipc := load(t, "upc-2021").Table("trap-arm"), load(t, "ipc-2021").Table("trap-arm")
	for size, want := range map[quantity.Size][2]float64{1.25: {30, 60}, 1.5: {42, 72}, 2: {60, 96}, 3: {72, 144}, 4: {120, 192}} {
		assert.Equal(t, want[0], upc.BySize(size, "max").Value)
		assert.Equal(t, want[1], ipc.BySize(size, "max").Value)
		assert.Equal(t, "in", upc.BySize(size, "max").Unit)
	}
	assert.Equal(t, 3.0, upc.BySize(1.5, "min").Value)
	assert.Equal(t, "in/ft", ipc.BySize(3, "fall").Unit)
	assert.Equal(t, 0.125, ipc.BySize(3, "fall").Value)
}
