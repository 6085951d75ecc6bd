package system

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The two ends of a flexible pipe keep the heights they have; an end that has
// none takes its own from the other.
func TestFlexiblePipesCloseNothing(t *testing.T) {
	s := BuildSource(nil, "a.weir", `plan "Fallowfield 2"
code upc-2021
default fall 1/4
level ground at 0'
roof at 12'
room kitchen on ground
outfall SEW at -6'
main M at -3' 60psi
terminal V1 roof
fixture KS kitchen-sink in kitchen
fixture DW dishwasher in kitchen
service M to a0 1": meter 3/4", over 30'
service a0 to a1 1": over 5'
manifold PM in kitchen at 44"
cold a1 to PM 1": over 5'
cold PM to KS 1/2": over 20'
indirect DW to KS 3/4": over 6'
drain KS to k1 1-1/2": trap, over 2'
vent k1 to V1 2": up to roof
drain k1 to k2 2": down to -2', east 8'
sewer k2 to SEW 3": east 20'
`, Options{})
	for _, p := range s.Problems {
		assert.NotContains(t, []string{"open-geometry", "odd-height"}, p.Rule, p.Message)
	}
	height := func(name string, net Net) float64 {
		p := s.Point(name)
		require.NotNil(t, p, name)
		z := p.Node.Pos[net][zAxis]
		require.True(t, z.Known(), name)
		return z.V / inch
	}
	assert.InDelta(t, 8, height("DW", DWV), 1e-6, "its usual height")
	assert.InDelta(t, 16, height("KS", DWV), 1e-6, "its usual height")
	assert.InDelta(t, 15.5, height("k1", DWV), 1e-6, "from the sink, by 2' of fall")
	assert.InDelta(t, 20, height("KS", ColdNet), 1e-6, "its usual stub-out, not the manifold's height")
	assert.InDelta(t, -36, height("a0", ColdNet), 1e-6, "from the main beside it")
	height("a1", ColdNet) // known, from one of its neighbours
	assert.InDelta(t, 44, height("PM", ColdNet), 1e-6)
}
