package sizing_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lint/sizing"
)

func waits(t *testing.T, plan string) []sizing.HotWait {
	t.Helper()
	src, err := os.ReadFile(filepath.Join("..", "..", "testdata", "questions", plan))
	require.NoError(t, err)
	_, s := supplyOf(t, "upc-2021", string(src))
	return s.HotWaits()
}

// Source: practitioners' questions 32 and 33: 60 ft of 3/4 in and 10 ft of 1/2 in
// copper M hold 1.74 gal, 47 s at 2.2 gpm and 70 s at 1.5; 25 ft of 3/4 in L hold
// 80 fl oz, about 15 s at 2.5 gpm.
func TestHotWaits(t *testing.T) {
	got := waits(t, "q32-hot-wait.weir")
	require.Len(t, got, 2)
	assert.InDelta(t, 1.74, got[0].Gallons(), 0.005)
	assert.InDelta(t, 47, got[0].Seconds(), 0.6)
	assert.InDelta(t, 70, got[1].Seconds(), 0.6)
	got = waits(t, "q33-hot-wait-shower.weir")
	require.Len(t, got, 1)
	assert.InDelta(t, 80, got[0].Volume/sizing.FluidOunce, 0.6)
	assert.InDelta(t, 15, got[0].Seconds(), 0.3)
}

// Pipe that a return keeps hot is not waited for.
func TestHotWaitBehindALoop(t *testing.T) {
	_, s := supplyOf(t, "ipc-2021", bath+"return h to WH 1/2\": east 4', valve check\n")
	for _, w := range s.HotWaits() {
		assert.True(t, w.Loop)
		assert.Equal(t, "h", w.From.Name())
		assert.Len(t, w.Pipes, 1)
	}
	_, s = supplyOf(t, "ipc-2021", bath)
	for _, w := range s.HotWaits() {
		assert.False(t, w.Loop)
		assert.Equal(t, "WH", w.From.Name())
		assert.NotNil(t, w.Missing, "no material is written")
	}
}
