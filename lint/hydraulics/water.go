package hydraulics

import (
	"math"
	"sort"
)

// PoundsPerSquareInch is a pound a square inch in pascals.
const PoundsPerSquareInch = 6894.757293168

const (
	poundsPerCubicFoot  = 0.45359237 / (Foot * Foot * Foot) // kilograms a cubic metre
	squareFeetPerSecond = Foot * Foot                       // square metres a second
)

// Water is what formulas need to know of water at one temperature.
type Water struct {
	Density   float64 // kilograms a cubic metre
	Viscosity float64 // kinematic, square metres a second
}

// waterPoint is a row of the table of water's properties, in the units it was
// printed in.
type waterPoint struct {
	fahrenheit float64
	density    float64 // pounds a cubic foot
	viscosity  float64 // 1e-5 square feet a second
}

// waterTable is read only. Rows of 60 and 140 °F, and the viscosities at 50,
// 120 and 180 °F, are the figures of the trade's friction handbooks; 62.11 at
// 90 °F and 61.38 at 140 °F give the growth that an article on heaters prints.
// All of it is the textbook table of fresh water at one atmosphere, from memory.
var waterTable = []waterPoint{
	{32, 62.42, 1.931}, {40, 62.43, 1.664}, {50, 62.41, 1.410}, {60, 62.37, 1.217},
	{70, 62.30, 1.059}, {80, 62.22, 0.930}, {90, 62.11, 0.826}, {100, 62.00, 0.739},
	{110, 61.86, 0.667}, {120, 61.71, 0.609}, {130, 61.55, 0.558}, {140, 61.38, 0.511},
	{150, 61.20, 0.476}, {160, 61.00, 0.442}, {170, 60.80, 0.413}, {180, 60.58, 0.385},
	{190, 60.36, 0.362}, {200, 60.12, 0.341}, {212, 59.83, 0.319},
}

// WaterAt is fresh water at a temperature in degrees Celsius: density between
// the rows of the table in a straight line, viscosity in a straight line of its
// logarithm. Below freezing and above boiling it is the nearer end of the table.
//
// Source: textbook table of fresh water at one atmosphere, from memory.
func WaterAt(celsius float64) Water {
	f := celsius*1.8 + 32
	last := len(waterTable) - 1
	if !(f > waterTable[0].fahrenheit) {
		return waterTable[0].water()
	}
	if f >= waterTable[last].fahrenheit {
		return waterTable[last].water()
	}
	i := sort.Search(last, func(i int) bool { return waterTable[i].fahrenheit > f })
	low, high := waterTable[i-1], waterTable[i]
	share := (f - low.fahrenheit) / (high.fahrenheit - low.fahrenheit)
	return waterPoint{
		density:   low.density + share*(high.density-low.density),
		viscosity: low.viscosity * math.Pow(high.viscosity/low.viscosity, share),
	}.water()
}

func (p waterPoint) water() Water {
	return Water{Density: p.density * poundsPerCubicFoot, Viscosity: p.viscosity * 1e-5 * squareFeetPerSecond}
}

// Gradient is the pressure of a metre of standing water, in pascals a metre:
// density times gravity. At 60 °F it is the 0.433 psi a foot that codes print.
func (w Water) Gradient() float64 { return w.Density * Gravity }

// Pressure is a head (metres of this water) in pascals.
func (w Water) Pressure(head float64) float64 { return head * w.Gradient() }

// Head is a pressure (pascals) in metres of this water; 0 without density.
func (w Water) Head(pressure float64) float64 {
	if w.Density <= 0 {
		return 0
	}
	return pressure / w.Gradient()
}

// Expansion is by how many cubic metres a volume (cubic metres) of water grows
// when it is heated from one temperature to another (degrees Celsius): the
// weight stays, V (d1/d2 - 1). Below zero where it cools.
func Expansion(volume, cold, hot float64) float64 {
	return volume * (WaterAt(cold).Density/WaterAt(hot).Density - 1)
}
