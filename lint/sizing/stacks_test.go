package sizing_test

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/sizing"
)

func ledger(t *testing.T, src string) *sizing.Ledger {
	t.Helper()
	sys, err := system.Load(fstest.MapFS{"p.weir": {Data: []byte(src)}}, "p.weir", system.Options{})
	require.NoError(t, err)
	for _, p := range sys.Problems {
		require.NotContains(t, []string{"unknown-name", "unreadable-line", "unknown-word", "dead-end-drain"}, p.Rule, p.Message)
	}
	book, err := codebook.Load(sys.Header.Book)
	require.NoError(t, err)
	return sizing.New(sys, book)
}

// flats stacks n storeys of one basin on one drain, which ends as told.
func flats(n int, foot ...string) string {
	return fmt.Sprintf(`plan "Sedge Row"
code ipc-2021
default drain abs
default fall 1/4
level l1..l%d at 0' every 10'
outfall SEW at -9'
typical flat
fixture LV lavatory
drain LV to kv 1-1/2": trap, north 2'
drain kv to ka 2": down 18", north 1'
end
place flat as F1..F%d on l1..l%d
drain F%d.ka..F1.ka 3" as ST: down 10'
%s
`, n, n, n, n, strings.Join(foot, "\n"))
}

const foot = `drain F1.ka to s0 3" as ST: down 4', west 6'
sewer s0 to SEW 3": west 20'`

func TestStackOfFlats(t *testing.T) {
	stacks := ledger(t, flats(5, foot)).Stacks()
	require.Len(t, stacks, 1)
	s := stacks[0]
	assert.Len(t, s.Pipes, 5)
	assert.Len(t, s.Branches, 5)
	assert.InDelta(t, 44*0.3048, s.Height, 1e-6)
	assert.Len(t, s.Floors, 5, "a branch interval a storey")
	assert.InDelta(t, 0, s.Floors[0], 1e-9)
	assert.True(t, s.PassesStorey())
}

func TestTallFromFourIntervals(t *testing.T) {
	for n, tall := range map[int]bool{3: false, 4: true} {
		l := ledger(t, flats(n, foot))
		p := l.Stacks()[0].Pipes[0]
		w := l.WayOf(p, p.FirstLeg())
		assert.True(t, w.Stack)
		assert.Equal(t, tall, w.Tall, "%d intervals", n)
	}
}

// An offset within one tag is part of the stack, between two pipes as within one.
func TestOffsets(t *testing.T) {
	for name, lower := range map[string]string{
		"within a pipe": `drain F1.ka to s0 3" as ST: down 2', west 3', down 2', west 6'` + "\n",
		"at a point":    `drain F1.ka to o 3" as ST: down 2', west 3'` + "\n" + `drain o to s0 3" as ST: down 2', west 6'` + "\n",
	} {
		t.Run(name, func(t *testing.T) {
			stacks := ledger(t, flats(3, lower+`sewer s0 to SEW 3": west 20'`)).Stacks()
			require.Len(t, stacks, 1)
			assert.InDelta(t, 24*0.3048, stacks[0].Height, 1e-6)
			assert.Len(t, stacks[0].Floors, 3)
		})
	}
}

// A drop that comes down beside the stack joins it as a branch.
func TestUprightBranch(t *testing.T) {
	side := "fixture LT lavatory\ndrain LT to d 1-1/2\": trap, north 2'\ndrain d to F1.ka 2\": down to suit\n"
	stacks := ledger(t, flats(3, side+foot)).Stacks()
	require.Len(t, stacks, 1)
	assert.Len(t, stacks[0].Pipes, 3)
	assert.Len(t, stacks[0].Branches, 4)
	assert.Len(t, stacks[0].Floors, 3, "in a storey that has one")
}

// A standpipe above its trap is no stack, and a level start joins none.
func TestNoStack(t *testing.T) {
	l := ledger(t, `plan "Sedge Row"
code ipc-2021
default drain abs
default fall 1/4
level ground at 0'
outfall SEW at -9'
fixture CW clothes-washer
drain CW to c 2": down 26", trap, north 3'
drain c to s 3": down 12", north 6'
sewer s to SEW 3": north 20'
`)
	assert.Empty(t, l.Stacks())
}
