package hydraulics_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat/distuv"

	"crownweir/lint/hydraulics"
)

// Points of IPC Table E103.3(3) for flushometers, as they are read in its own
// worked system: 288 units lie under the row of 300, 108 gpm.
func TestCurve(t *testing.T) {
	curve := hydraulics.Curve{{5, 15}, {10, 27}, {20, 35}, {250, 101}, {275, 104.5}, {300, 108}}
	for units, want := range map[float64][2]float64{ // next row, between
		288: {108, 106.32}, 264: {104.5, 102.96}, 300: {108, 108}, 2: {15, 15}, 5: {15, 15}, 15: {35, 31}, 0: {0, 0}, -1: {0, 0},
	} {
		assert.InDelta(t, want[0], curve.NextRow(units).Flow, 1e-9, units)
		assert.InDelta(t, want[1], curve.Between(units).Flow, 1e-9, units)
	}
	r := curve.Between(288)
	assert.Equal(t, hydraulics.Point{Units: 275, Flow: 104.5}, r.Low)
	assert.Equal(t, hydraulics.Point{Units: 300, Flow: 108}, r.High)
	assert.False(t, r.Beyond)
	for _, r := range []hydraulics.Reading{curve.Between(350), curve.NextRow(350)} {
		assert.True(t, r.Beyond)
		assert.InDelta(t, 115, r.Flow, 1e-9, "the last slope, 0.14 a unit")
	}
	assert.Zero(t, hydraulics.Curve{}.Between(10))
	assert.True(t, hydraulics.Curve{{1, 3}}.Between(10).Beyond)
	assert.Equal(t, 3.0, hydraulics.Curve{{1, 3}}.Between(10).Flow)
}

// Smallest m whose tail is at most 0.01, recomputed from the parameters of NBS
// BMS65 (from memory): flush valves at 0.03, tanks at 0.2, tubs at 1/15.
func TestBusyAtOnce(t *testing.T) {
	ns := []int{1, 2, 3, 4, 5, 10, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200}
	for p, want := range map[float64][]int{
		0.03:     {1, 1, 1, 1, 1, 2, 2, 3, 3, 4, 4, 5, 5, 7, 8, 10, 12},
		0.2:      {1, 2, 2, 3, 3, 5, 7, 8, 10, 11, 14, 17, 20, 25, 30, 42, 54},
		1.0 / 15: {1, 1, 2, 2, 2, 3, 4, 4, 5, 6, 7, 8, 9, 11, 13, 18, 22},
	} {
		for i, n := range ns {
			assert.Equal(t, want[i], hydraulics.BusyAtOnce(n, p, 0.01), "%d at %v", n, p)
		}
	}
	// a contractors' magazine: of seven tanks at 0.2 between four and five run
	assert.Equal(t, 4, hydraulics.BusyAtOnce(7, 0.2, 0.01))
	assert.Zero(t, hydraulics.BusyAtOnce(0, 0.2, 0.01))
	assert.Zero(t, hydraulics.BusyAtOnce(5, 0, 0.01))
	assert.Equal(t, 5, hydraulics.BusyAtOnce(5, 1, 0.01))
	assert.Equal(t, 1, hydraulics.BusyAtOnce(1, 0.001, 0.01), "one that ever runs is one")
}

// Another library's binomial distribution draws the same line.
func TestBusyAtOnceBesideGonum(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 2000 {
		n, p := 1+r.IntN(5000), math.Pow(r.Float64(), 3)
		m := hydraulics.BusyAtOnce(n, p, 0.01)
		reference := distuv.Binomial{N: float64(n), P: p}
		assert.LessOrEqual(t, 1-reference.CDF(float64(m)), 0.01+1e-9, "%d at %v", n, p)
		if m > 1 {
			assert.Greater(t, 1-reference.CDF(float64(m-1)), 0.01-1e-9, "%d at %v", n, p)
		}
	}
	n, p := 1e6, 0.03
	assert.InDelta(t, n*p+2.326*math.Sqrt(n*p*(1-p)), float64(hydraulics.BusyAtOnce(int(n), p, 0.01)), 5)
}

// flats is a number of one-bath homes by the figures of the Peak Water Demand
// Study, from memory: combination bath and shower, closet, lavatory, kitchen
// faucet, dishwasher, clothes-washer.
func flats(n int) []hydraulics.Group {
	return []hydraulics.Group{
		{n, 0.055, 5.5 * gpm}, {n, 0.010, 3.0 * gpm}, {n, 0.020, 1.5 * gpm}, {n, 0.020, 2.2 * gpm}, {n, 0.005, 1.3 * gpm}, {n, 0.055, 3.5 * gpm},
	}
}

// Recomputed from the same figures with z = 2.33.
func TestPeakDemand(t *testing.T) {
	large := []hydraulics.Group{
		{1, 0.055, 5.5 * gpm}, {1, 0.045, 2.0 * gpm}, {3, 0.010, 3.0 * gpm}, {4, 0.020, 1.5 * gpm}, {1, 0.020, 2.2 * gpm},
		{1, 0.005, 1.3 * gpm}, {1, 0.055, 3.5 * gpm},
	}
	for _, c := range []struct {
		name                     string
		groups                   []hydraulics.Group
		hunter, idle             float64
		exact, modified, wistort float64
		regime                   hydraulics.Regime
	}{
		{"home of one bath", flats(1), 0.165, 0.8448, 9.0, 7.87, 4.25, hydraulics.Exact},
		{"home of two baths and a half", large, 0.290, 0.7443, 9.0, 7.55, 4.83, hydraulics.Exact},
		{"10 flats", flats(10), 1.650, 0.1852, 20.9, 17.80, 17.58, hydraulics.ModifiedWistort},
		{"45 flats", flats(45), 7.425, 0.0005, 54.5, 51.67, 51.69, hydraulics.WistortsEstimate},
		{"100 flats", flats(100), 16.5, 0, 99.9, 96.99, 96.99, hydraulics.WistortsEstimate},
	} {
		peak := hydraulics.PeakDemand(c.groups)
		assert.InDelta(t, c.hunter, peak.Hunter, 1e-9, c.name)
		assert.InDelta(t, c.idle, peak.Idle, 1e-4, c.name)
		assert.Equal(t, c.regime, peak.Regime, c.name)
		assert.InDelta(t, c.exact, hydraulics.ExactPeak(c.groups, 0.99)/gpm, 0.01, c.name)
		assert.InDelta(t, c.modified, hydraulics.ModifiedWistortPeak(c.groups)/gpm, 0.01, c.name)
		assert.InDelta(t, c.wistort, hydraulics.WistortPeak(c.groups)/gpm, 0.01, c.name)
		want := map[hydraulics.Regime]float64{hydraulics.Exact: c.exact, hydraulics.ModifiedWistort: c.modified, hydraulics.WistortsEstimate: c.wistort}[c.regime]
		assert.InDelta(t, want, peak.Flow/gpm, 0.01, c.name)
	}
}

func TestPeakDemandAtTheEdges(t *testing.T) {
	assert.Equal(t, hydraulics.Peak{Regime: hydraulics.NoFixtures, Idle: 1}, hydraulics.PeakDemand(nil))
	assert.Equal(t, hydraulics.NoFixtures, hydraulics.PeakDemand([]hydraulics.Group{{0, 0.1, 1}, {3, 0, 1}, {3, 0.1, 0}, {-1, 0.1, 1}}).Regime)
	assert.Zero(t, hydraulics.ExactPeak(nil, 0.99))
	assert.Zero(t, hydraulics.ModifiedWistortPeak(nil))
	one := hydraulics.PeakDemand([]hydraulics.Group{{1, 0.005, 1.3 * gpm}})
	assert.InDelta(t, 1.3*gpm, one.Flow, 1e-15, "one fixture draws what it draws")
	sure := hydraulics.PeakDemand([]hydraulics.Group{{2, 3, 1.5 * gpm}})
	assert.Equal(t, 2.0, sure.Hunter, "a chance over 1 is 1")
	assert.InDelta(t, 3*gpm, hydraulics.ExactPeak([]hydraulics.Group{{2, 1, 1.5 * gpm}}, 0.99), 1e-15)
	huge := hydraulics.PeakDemand([]hydraulics.Group{{1000000, 0.03, gpm}})
	assert.Equal(t, hydraulics.WistortsEstimate, huge.Regime)
	assert.InDelta(t, 30000+2.33*math.Sqrt(29100), huge.Flow/gpm, 1e-6)
	odd := hydraulics.ExactPeak([]hydraulics.Group{{3, 0.1, math.Sqrt2}, {2, 0.1, math.Pi}, {1, 0.1, 1}}, 0.99)
	assert.InEpsilon(t, enumerate([]hydraulics.Group{{3, 0.1, math.Sqrt2}, {2, 0.1, math.Pi}, {1, 0.1, 1}}), odd, 5e-4, "flows without a common step")
}

// enumerate is the exact peak by walking every set of busy fixtures.
func enumerate(groups []hydraulics.Group) float64 {
	type state struct{ chance, flow float64 }
	states := []state{{1, 0}}
	for _, g := range groups {
		for range g.Count {
			var next []state
			for _, s := range states {
				next = append(next, state{s.chance * (1 - g.Busy), s.flow}, state{s.chance * g.Busy, s.flow + g.Flow})
			}
			states = next
		}
	}
	exceeded := func(flow float64) float64 {
		sum := 0.0
		for _, s := range states {
			if s.flow > flow+1e-12 {
				sum += s.chance
			}
		}
		return sum
	}
	flowing, best := exceeded(0), math.Inf(1)
	for _, s := range states {
		if s.flow > 0 && s.flow < best && exceeded(s.flow) <= 0.01*flowing*(1+1e-12) {
			best = s.flow
		}
	}
	return best
}

func TestExactPeakByEnumeration(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	for range 60 {
		var groups []hydraulics.Group
		for range 1 + r.IntN(4) {
			groups = append(groups, hydraulics.Group{Count: 1 + r.IntN(2), Busy: 0.3 * r.Float64(), Flow: float64(1+r.IntN(60)) / 10 * gpm})
		}
		assert.InEpsilon(t, enumerate(groups), hydraulics.ExactPeak(groups, 0.99), 1e-9, "%v", groups)
	}
}

func BenchmarkPeakDemand(b *testing.B) {
	b.Run("exact", func(b *testing.B) {
		groups := flats(7)
		for b.Loop() {
			hydraulics.PeakDemand(groups)
		}
	})
	b.Run("Hunter, a million", func(b *testing.B) {
		for b.Loop() {
			hydraulics.BusyAtOnce(1e6, 0.03, 0.01)
		}
	})
}
