package hydraulics_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lint/hydraulics"
)

// 2018 IRC Table A.2.2: lengths over bore of 30 for a quarter bend, 14 for an
// eighth and 60 for the branch of a tee give back its own printed lengths.
func TestLengthByRatio(t *testing.T) {
	for inches, bore := range map[float64]float64{0.5: .622, 0.75: .824, 1: 1.049, 1.25: 1.380, 1.5: 1.610, 2: 2.067, 2.5: 2.469, 3: 3.068, 4: 4.026} {
		for _, fitting := range []hydraulics.Fitting{hydraulics.QuarterBend, hydraulics.EighthBend, hydraulics.TeeBranch} {
			ratio, ok := hydraulics.LengthByRatio(fitting, bore*inch)
			require.True(t, ok)
			assert.False(t, ratio.Memory)
			printed, ok := hydraulics.EquivalentLength(fitting, hydraulics.Screwed, inches, 0)
			require.True(t, ok)
			assert.InEpsilon(t, printed.Length, ratio.Length, 0.012, "%v in %s", inches, fitting)
		}
	}
	for bore, want := range map[float64][2]float64{1.049: {2.62, 5.24}, 2.067: {5.17, 10.3}} {
		bend, _ := hydraulics.LengthByRatio(hydraulics.QuarterBend, bore*inch)
		tee, _ := hydraulics.LengthByRatio(hydraulics.TeeBranch, bore*inch)
		assert.InDelta(t, want[0], bend.Length/foot, 0.006)
		assert.InDelta(t, want[1], tee.Length/foot, 0.04)
	}
	_, ok := hydraulics.LengthByRatio(hydraulics.QuarterBend, 0)
	assert.False(t, ok)
	_, ok = hydraulics.LengthByRatio(hydraulics.CompressionStop, 1)
	assert.False(t, ok)
}

func TestEquivalentLength(t *testing.T) {
	for _, c := range []struct {
		fitting hydraulics.Fitting
		family  hydraulics.Family
		inches  float64
		feet    float64
		memory  bool
	}{
		{hydraulics.QuarterBend, hydraulics.Threaded, 0.375, 1, true},
		{hydraulics.TeeBranch, hydraulics.Threaded, 2, 10, true},
		{hydraulics.TeeBranch, hydraulics.Recessed, 2, 5, true},
		{hydraulics.GlobeValve, hydraulics.Threaded, 4, 125, true},
		{hydraulics.PlugCock, hydraulics.Recessed, 1.25, 0.95, true},
		{hydraulics.QuarterBend, hydraulics.Streamlined, 0.75, 2, true},
		{hydraulics.QuarterBend, hydraulics.Streamlined, 0.625, 1.5, true}, // between 1/2 and 3/4
		{hydraulics.TeeRun, hydraulics.Streamlined, 0.5, 0, true},
		{hydraulics.CheckValve, hydraulics.Streamlined, 3, 14.5, true},
		{hydraulics.QuarterBend, hydraulics.Wrought, 3, 3, false},
		{hydraulics.TeeRun, hydraulics.Cast, 1.25, 1.5, false},
		{hydraulics.CompressionStop, hydraulics.Wrought, 0.75, 21, false},
		{hydraulics.GlobeValve, hydraulics.Cast, 1.5, 66, false},
	} {
		got, ok := hydraulics.EquivalentLength(c.fitting, c.family, c.inches, 0)
		require.True(t, ok, "%v", c)
		assert.InDelta(t, c.feet, got.Length/foot, 1e-9, "%v", c)
		assert.Equal(t, c.memory, got.Memory, "%v", c)
		assert.NotEmpty(t, got.Source)
	}
	for _, c := range []struct {
		fitting hydraulics.Fitting
		family  hydraulics.Family
		inches  float64
	}{
		{hydraulics.PlugCock, hydraulics.Threaded, 4},          // not printed
		{hydraulics.PlugCock, hydraulics.Threaded, 0.375},      // nor here
		{hydraulics.PlugCock, hydraulics.Threaded, 0.4},        // nor below a printed size
		{hydraulics.TeeRun, hydraulics.Wrought, 3},             // a dash
		{hydraulics.QuarterBend, hydraulics.Streamlined, 0.25}, // smaller than the table
		{hydraulics.QuarterBend, hydraulics.Streamlined, 6},    // larger
		{hydraulics.QuarterBend, hydraulics.Plastic, 1},        // no table
	} {
		_, ok := hydraulics.EquivalentLength(c.fitting, c.family, c.inches, 0)
		assert.False(t, ok, "%v", c)
		got, ok := hydraulics.EquivalentLength(c.fitting, c.family, c.inches, 0.05)
		assert.True(t, ok, "by the bore: %v", c)
		assert.Positive(t, got.Length)
	}
}

// Every family's rows grow with size and a bend is worth more than half of it.
func TestFittingTablesGrow(t *testing.T) {
	read := 0
	for _, family := range []hydraulics.Family{hydraulics.Threaded, hydraulics.Recessed, hydraulics.Streamlined, hydraulics.Screwed} {
		for _, fitting := range []hydraulics.Fitting{
			hydraulics.QuarterBend, hydraulics.EighthBend, hydraulics.TeeRun, hydraulics.TeeBranch, hydraulics.GateValve, hydraulics.BallValve,
			hydraulics.CheckValve, hydraulics.GlobeValve, hydraulics.AngleValve, hydraulics.PlugCock, hydraulics.Coupling,
		} {
			last := 0.0
			for _, size := range []float64{0.375, 0.5, 0.75, 1, 1.25, 1.5, 2, 2.5, 3, 4} {
				got, ok := hydraulics.EquivalentLength(fitting, family, size, 0)
				if !ok {
					continue
				}
				read++
				assert.GreaterOrEqual(t, got.Length, last, "%s %s %v in", family, fitting, size)
				last = got.Length
			}
		}
	}
	assert.Greater(t, read, 200)
}

func TestFamilyOf(t *testing.T) {
	for material, want := range map[string]hydraulics.Family{"copper-l": hydraulics.Streamlined, "galvanized": hydraulics.Threaded, "pex": hydraulics.Plastic} {
		got, ok := hydraulics.FamilyOf(material)
		assert.True(t, ok)
		assert.Equal(t, want, got)
	}
	_, ok := hydraulics.FamilyOf("clay")
	assert.False(t, ok)
}

// Sheet of AWWA standard pressure losses: printed points, and the square law
// within 0.2 psi of them from half the maximum up.
func TestDiscMeters(t *testing.T) {
	for _, c := range []struct{ inches, gallons, psi float64 }{
		{0.625, 10, 3.7}, {0.625, 20, 15.0}, {0.75, 20, 6.5}, {0.75, 30, 15.0}, {1, 30, 5.3}, {1, 50, 15.0}, {1.5, 60, 7.2}, {2, 100, 7.8},
		{1.5, 100, 20}, {2, 160, 20}, {3, 300, 20}, {4, 500, 20},
	} {
		meter, ok := hydraulics.DiscMeter(c.inches)
		require.True(t, ok)
		assert.InDelta(t, c.psi, meter.Loss(c.gallons*gpm)/psi, 0.2, "%v in at %v gpm", c.inches, c.gallons)
		printed, ok := meter.Printed(c.gallons * gpm)
		require.True(t, ok)
		assert.InDelta(t, c.psi, printed/psi, 1e-9, "%v in at %v gpm", c.inches, c.gallons)
	}
	for _, size := range []float64{0.625, 0.75, 1, 1.5, 2, 3, 4} {
		meter, ok := hydraulics.DiscMeter(size)
		require.True(t, ok)
		assert.InDelta(t, meter.Most, 2*meter.Continuous, 1e-15)
		last := 0.0
		for share := 0.01; share <= 1; share += 0.01 {
			printed, ok := meter.Printed(share * meter.Most)
			require.True(t, ok)
			assert.GreaterOrEqual(t, printed, last)
			last = printed
			if share >= 0.5 {
				assert.InDelta(t, printed/psi, meter.Loss(share*meter.Most)/psi, 0.45, "%v in at %v of its maximum", size, share)
			}
		}
		_, ok = meter.Printed(meter.Most * 1.01)
		assert.False(t, ok)
		_, ok = meter.Printed(-1)
		assert.False(t, ok)
		at0, ok := meter.Printed(0)
		assert.True(t, ok)
		assert.Zero(t, at0)
	}
	_, ok := hydraulics.DiscMeter(6)
	assert.False(t, ok)
	assert.Zero(t, hydraulics.Meter{}.Square())
}

// IPC Table E103.3(4), from memory: psi by gallons a minute. The law meets all
// printed cells within 4 % and the last figure but 20 gpm in 1 in, 0.77, which
// stands off its own column.
func TestTapSquare(t *testing.T) {
	cells := 0
	for inches, column := range map[float64]map[float64]float64{
		0.625: {10: 1.35, 20: 5.38, 30: 12.1},
		0.75:  {10: .64, 20: 2.54, 30: 5.72, 40: 10.2, 50: 15.9},
		1:     {10: .18, 30: 1.62, 50: 4.49, 60: 6.46, 70: 8.79, 80: 11.5, 90: 14.5, 100: 17.94, 120: 25.8},
		1.25:  {10: .08, 20: .31, 30: .69, 40: 1.23, 50: 1.92, 60: 2.76, 70: 3.76, 80: 4.90, 90: 6.21, 100: 7.67, 120: 11.0, 150: 17.2, 200: 30.7},
		1.5:   {20: .14, 30: .33, 40: .58, 50: .91, 60: 1.31, 70: 1.78, 80: 2.32, 90: 2.94, 100: 3.63, 120: 5.23, 150: 8.16, 200: 14.5},
		2:     {30: .10, 40: .18, 50: .28, 60: .40, 70: .55, 80: .72, 90: .91, 100: 1.12, 120: 1.61, 150: 2.52, 200: 4.48},
		3:     {70: .10, 80: .13, 90: .16, 100: .21, 120: .30, 150: .47, 200: .84},
	} {
		for q, want := range column {
			square, ok := hydraulics.TapSquare(inches)
			require.True(t, ok)
			assert.InDelta(t, want, square*q*gpm*q*gpm/psi, 0.01*want+0.011, "%v in at %v gpm", inches, q)
			cells++
		}
	}
	assert.Equal(t, 60, cells)
	_, ok := hydraulics.TapSquare(4)
	assert.False(t, ok)
}

func TestUsualLosses(t *testing.T) {
	for _, d := range hydraulics.UsualLosses() {
		assert.Less(t, d.Low, d.High, d.Kind)
		assert.True(t, d.Memory, d.Kind)
		again, ok := hydraulics.UsualLoss(d.Kind)
		assert.True(t, ok)
		assert.Equal(t, d, again)
	}
	rp, ok := hydraulics.UsualLoss("reduced-pressure assembly")
	assert.True(t, ok)
	assert.InDelta(t, 10, rp.Low/psi, 1e-9)
	_, ok = hydraulics.UsualLoss("fountain")
	assert.False(t, ok)
}
