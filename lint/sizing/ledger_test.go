package sizing_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
)

func loadAt(t *testing.T, book, plan, point string) sizing.Load {
	t.Helper()
	sys := system.BuildSource(nil, "a.weir", plan, system.Options{})
	b, err := codebook.Load(book)
	require.NoError(t, err)
	p := sys.Point(point)
	require.NotNil(t, p, point)
	return sizing.New(sys, b).At(p.Node)
}

const group = `level ground at 0'
room bath on ground
outfall SEW at -9'
fixture WC water-closet in bath
fixture LV lavatory in bath
fixture TB bathtub in bath
drain WC to a 3": down 8", north 2'
drain LV to a 1-1/2": trap, north 2', down to a
drain a to b 3": north 4'
drain TB to b 2": trap, north 2', down to b
drain b to c 3": north 4'
sewer c to SEW 3": north 20'
`

// A closet, a lavatory and a tub of one room count 5 as a bathroom group (IPC
// Table 709.1, from memory) once all three have joined, and singly before; the
// other book knows no groups.
func TestBathroomGroup(t *testing.T) {
	assert.InDelta(t, 3+1, loadAt(t, "ipc-2021", group, "a").Units, 1e-9)
	assert.InDelta(t, 5, loadAt(t, "ipc-2021", group, "b").Units, 1e-9)
	assert.InDelta(t, 5, loadAt(t, "ipc-2021", group, "SEW").Units, 1e-9)
	assert.InDelta(t, 3+1+2, loadAt(t, "upc-2021", group, "SEW").Units, 1e-9)
	assert.Equal(t, 1, loadAt(t, "upc-2021", group, "SEW").Closets)
}

// Three washers in one room on one drain count 6 each, two count 3 each (UPC
// Table 702.1, note on batteries).
func TestBatteryOfWashers(t *testing.T) {
	plan := `level ground at 0'
room wash on ground
outfall SEW at -9'
fixture A clothes-washer in wash
fixture B clothes-washer in wash
fixture C clothes-washer in wash
drain A to a 2": down 2', trap, east 2'
drain B to b 2": down 2', trap, east 2'
drain C to c 2": down 2', trap, east 2'
drain a to b 3": east 3'
drain b to c 3": east 3'
sewer c to SEW 3": east 20'
`
	assert.InDelta(t, 6, loadAt(t, "upc-2021", plan, "b").Units, 1e-9)
	assert.InDelta(t, 18, loadAt(t, "upc-2021", plan, "c").Units, 1e-9)
}

// An ejector brings two units a gallon a minute of its flow (UPC 702.3, 710.5),
// an existing drain what the plan states.
func TestEjectorAndExisting(t *testing.T) {
	plan := `level ground at 0'
level cellar at -9'
room den on cellar
outfall SEW at -12'
existing drain BD 4" at -2' units 96 closets 12
ejector E1 in den inlet -1' flow 20gpm
fixture WC water-closet in den
drain WC to E1 3": down 8", north 2'
discharge E1 to a 2": up to suit, north 6', enters top
drain BD to a 4": north 10'
sewer a to SEW 4": north 20'
`
	l := loadAt(t, "upc-2021", plan, "SEW")
	assert.InDelta(t, 96+40, l.Units, 1e-9)
	assert.Equal(t, 12, l.Closets)
}

// A kitchen sink takes its dishwasher for nothing; a floor sink counts what
// drains into it.
func TestReceptors(t *testing.T) {
	plan := `level ground at 0'
occupancy public
outfall SEW at -9'
fixture KS kitchen-sink
fixture DW dishwasher
fixture FS floor-sink
fixture A prep-sink
fixture B prep-sink
indirect DW to KS: air-gap
indirect A to FS 1-1/2": west 2', air-gap 2"
indirect B to FS 1-1/2": east 2', air-gap 2"
drain KS to k 2": trap, east 2'
drain FS to f 3": down 6", trap, east 2'
drain k to f 3": east 2'
sewer f to SEW 4": east 20'
`
	assert.InDelta(t, 2, loadAt(t, "upc-2021", plan, "k").Units, 1e-9)
	assert.InDelta(t, 2+3+3, loadAt(t, "upc-2021", plan, "SEW").Units, 1e-9)
}
