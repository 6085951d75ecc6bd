package hydraulics_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"crownweir/lint/hydraulics"
)

func celsius(fahrenheit float64) float64 { return (fahrenheit - 32) / 1.8 }

const (
	poundsPerCubicFoot  = 0.45359237 / (foot * foot * foot)
	squareFeetPerSecond = foot * foot
)

// Figures of the trade's friction handbooks, from memory.
func TestWaterAt(t *testing.T) {
	for f, want := range map[float64][2]float64{
		60: {62.37, 1.217e-5}, 90: {62.11, 0}, 140: {61.38, 0.511e-5}, 50: {0, 1.41e-5}, 120: {0, 0.609e-5}, 180: {0, 0.385e-5},
	} {
		w := hydraulics.WaterAt(celsius(f))
		if want[0] > 0 {
			assert.InEpsilon(t, want[0], w.Density/poundsPerCubicFoot, 1e-6, f)
		}
		if want[1] > 0 {
			assert.InEpsilon(t, want[1], w.Viscosity/squareFeetPerSecond, 1e-6, f)
		}
	}
	assert.InEpsilon(t, 1.13e-6, hydraulics.WaterAt(celsius(60)).Viscosity, 0.002)
	assert.InEpsilon(t, 0.475e-6, hydraulics.WaterAt(60).Viscosity, 0.002)
}

func TestWaterBetweenRowsAndBeyond(t *testing.T) {
	last := hydraulics.WaterAt(4.5)
	for c := 5.0; c <= 100; c += 0.5 {
		w := hydraulics.WaterAt(c)
		assert.LessOrEqual(t, w.Density, last.Density, "%v °C", c)
		assert.Less(t, w.Viscosity, last.Viscosity, "%v °C", c)
		last = w
	}
	assert.Equal(t, hydraulics.WaterAt(0), hydraulics.WaterAt(-40))
	assert.Equal(t, hydraulics.WaterAt(100), hydraulics.WaterAt(300))
	assert.Zero(t, hydraulics.Water{}.Head(1000))
}

// IPC E103.2.2: 20 ft above or below the source at 0.433 psi/ft is 8.66 psi.
func TestStaticHead(t *testing.T) {
	water := hydraulics.WaterAt(celsius(60))
	assert.InDelta(t, 0.433, water.Gradient()*foot/psi, 0.0005)
	assert.InDelta(t, 8.66, water.Pressure(20*foot)/psi, 0.01)
	assert.InDelta(t, 59.8, water.Pressure(20*foot)/1000, 0.2)
	assert.InDelta(t, 20*foot, water.Head(water.Pressure(20*foot)), 1e-12)
}

// An article on heaters: 40 gal heated from 90 to 140 °F grow by almost half a
// gallon; 0.476 gal by densities of 62.11 and 61.38 lb/ft3.
func TestExpansion(t *testing.T) {
	gallon := gpm * 60
	assert.InDelta(t, 0.476, hydraulics.Expansion(40*gallon, celsius(90), celsius(140))/gallon, 0.001)
	assert.Negative(t, hydraulics.Expansion(1, 60, 20))
	assert.Zero(t, hydraulics.Expansion(1, 20, 20))
}
