package hydraulics_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
	"crownweir/lint/hydraulics"
)

// illinois is 77 Ill. Adm. Code 890 App. A Table N from 1/2 to 4 in: gallons a
// minute, size, psi in 100 ft, ft/s.
var illinois = [][4]float64{
	{2, .5, 4.2, 2.7}, {3, .5, 8.7, 4.2}, {5, .5, 22.5, 7.0}, {6.5, .75, 6.3, 4.3}, {8, .75, 9.0, 5.4}, {9.2, .75, 11.5, 6.1},
	{10.4, .75, 15.0, 6.9}, {11.6, .75, 18.0, 7.7}, {14, 1, 7.2, 5.6}, {17, 1, 10.0, 6.6}, {20, 1, 13.6, 8.0},
	{22.5, 1.25, 5.8, 5.7}, {25, 1.25, 7.0, 6.3}, {27, 1.25, 8.2, 6.9}, {29, 1.25, 9.5, 7.4}, {32, 1.5, 5.0, 5.8},
	{35, 1.5, 6.2, 6.4}, {38, 1.5, 7.0, 7.2}, {41, 1.5, 8.0, 7.5}, {43.5, 1.5, 8.7, 7.8}, {48, 2, 2.7, 5.0}, {52.5, 2, 3.1, 5.4},
	{57, 2, 3.6, 5.8}, {61, 2, 3.9, 6.1}, {65, 2, 4.5, 6.6}, {70, 2, 5.2, 7.1}, {75, 2, 6.0, 7.7}, {80, 2.5, 2.6, 5.5},
	{85, 2.5, 2.9, 5.8}, {95, 2.5, 3.5, 6.5}, {105, 2.5, 4.2, 7.1}, {115, 2.5, 5.0, 8.0}, {125, 3, 2.3, 5.9}, {145, 3, 3.1, 6.8},
	{170, 3, 4.0, 8.0}, {208, 4, 1.5, 5.7}, {240, 4, 1.9, 6.4}, {267, 4, 2.3, 7.0}, {294, 4, 2.8, 7.8},
}

func TestIllinoisRows(t *testing.T) {
	for _, row := range illinois {
		bore, _, ok := catalog.Bore("copper-l", quantity.Size(row[1]))
		require.True(t, ok)
		loss := hydraulics.SmoothLoss(row[0]*gpm, bore, 100*foot) / psi
		close := 0.04
		if row[1] == 2.5 || row[0] == 35 || row[0] == 61 { // printed readings off the table's own line
			close = 0.08
		}
		assert.InDelta(t, row[2], loss, close*row[2]+0.05, "%v gpm in %v in", row[0], row[1])
		if row[0] != 38 { // prints 7.2 ft/s between 6.4 at 35 gpm and 7.5 at 41
			v := hydraulics.Velocity(row[0]*gpm, bore) / foot
			assert.InDelta(t, row[3], v, 0.03*row[3]+0.05, "%v gpm in %v in", row[0], row[1])
		}
		// and above Hazen-Williams at 140 by the share that charts are known for
		hazen := water60().Pressure(hydraulics.HazenWilliamsLoss(row[0]*gpm, 140, bore, 100*foot)) / psi
		assert.Greater(t, loss/hazen, 1.08)
		assert.Less(t, loss/hazen, 1.45)
	}
	for _, row := range [][4]float64{{11.6, .75, 17.75, 7.69}, {32, 1.5, 4.89, 5.77}, {65, 2, 4.70, 6.74}, {170, 3, 4.06, 8.01}} { // worked by hand
		bore, _, _ := catalog.Bore("copper-l", quantity.Size(row[1]))
		assert.InDelta(t, row[2], hydraulics.SmoothLoss(row[0]*gpm, bore, 100*foot)/psi, 0.01)
		assert.InDelta(t, row[3], hydraulics.Velocity(row[0]*gpm, bore)/foot, 0.01)
	}
	// 108 gpm in 2-1/2 in, where charts are read at 3.2 to 3.3
	assert.InDelta(t, 4.18, hydraulics.SmoothLoss(108*gpm, 2.465*inch, 100*foot)/psi, 0.01)
	assert.InDelta(t, 3.50, water60().Pressure(hydraulics.HazenWilliamsLoss(108*gpm, 140, 2.465*inch, 100*foot))/psi, 0.015*3.50)
	assert.Zero(t, hydraulics.SmoothLoss(1, 0, 1))
	assert.Negative(t, hydraulics.SmoothLoss(-gpm, 0.02, 1))
}

func water60() hydraulics.Water { return hydraulics.WaterAt(celsius(60)) }

// Copper friction tables of an irrigation text, psi in 100 ft: 3/4 in and up of
// type L meet C = 140 within 2 % and the last printed figure; 1/2 in of type L
// equals C = 138; type K prints slightly smaller bores and lies within 8 %.
func TestCopperTables(t *testing.T) {
	c, ok := hydraulics.CoefficientOf("copper-l", false)
	require.True(t, ok)
	psiPer100 := func(q, c, bore float64) float64 {
		return water60().Pressure(hydraulics.HazenWilliamsLoss(q*gpm, c, bore, 100*foot)) / psi
	}
	for size, rows := range map[quantity.Size]map[float64]float64{
		0.75: {1: .16, 2: .57, 3: 1.20, 4: 2.05, 5: 3.09},
		1:    {1: .04, 2: .15, 3: .33, 4: .56},
		1.25: {1: .02, 2: .06, 3: .12, 4: .20},
	} {
		bore, _, _ := catalog.Bore("copper-l", size)
		for q, want := range rows {
			assert.InDelta(t, want, psiPer100(q, c.C, bore), 0.02*want+0.006, "%v gpm in %v in", q, size)
		}
	}
	half, _, _ := catalog.Bore("copper-l", 0.5)
	for q, want := range map[float64]float64{1: .95, 2: 3.44, 3: 7.29, 4: 12.41, 5: 18.77} {
		assert.InDelta(t, want, psiPer100(q, 138, half), 0.02*want, "%v gpm in 1/2 in", q)
	}
	for size, rows := range map[quantity.Size]map[float64]float64{
		0.75: {2: .77, 5: 4.21, 8: 10.03, 10: 15.15},
		1:    {5: 1.02, 8: 2.46, 10: 3.68, 15: 7.81},
		1.25: {10: 1.18, 15: 2.51, 20: 4.28, 26: 6.95},
	} {
		bore, _, _ := catalog.Bore("copper-k", size)
		for q, want := range rows {
			assert.InEpsilon(t, want, psiPer100(q, c.C, bore), 0.08, "type K, %v gpm in %v in", q, size)
		}
	}
}

// 77 Ill. Adm. Code 906 App. A Exhibit I, schedule 40 plastic at C = 150: feet
// of head in 100 ft. Within 3 % and the last printed figure.
func TestPlasticTable(t *testing.T) {
	for bore, rows := range map[float64]map[float64]float64{
		1.049: {1: .07, 2: .28, 3: .60, 4: 1.01, 5: 1.52, 6: 2.14, 7: 2.89, 8: 3.63, 9: 4.57, 10: 5.50},
		1.380: {5: .39, 10: 1.46, 15: 3.06, 20: 5.23},
		1.610: {10: .70, 20: 2.46, 30: 5.22},
		2.067: {10: .21, 20: .74, 30: 1.54, 40: 2.62, 50: 3.98},
		3.068: {50: .58, 100: 2.09},
		4.026: {100: .55},
	} {
		for q, want := range rows {
			got := hydraulics.HazenWilliamsLoss(q*gpm, 150, bore*inch, 100*foot) / foot
			assert.InDelta(t, want, got, 0.03*want+0.006, "%v gpm in %v in", q, bore)
		}
	}
	// worked from the form of pipe tables, within what parts the two forms
	for bore, rows := range map[float64]map[float64]float64{
		1.049: {5: 1.535, 10: 5.54}, 1.380: {10: 1.459, 20: 5.27}, 1.610: {20: 2.49, 30: 5.27}, 2.067: {20: .738, 30: 1.563, 50: 4.03}, 3.068: {100: 2.13}, 4.026: {100: .567},
	} {
		for q, want := range rows {
			got := hydraulics.HazenWilliamsLoss(q*gpm, 150, bore*inch, 100*foot) / foot
			assert.InEpsilon(t, want, got, 0.017, "%v gpm in %v in", q, bore)
		}
	}
}

// Other published forms of the formula: in feet and cubic feet a second with
// 4.727 and 4.871 it loses the same within 0.4 %; the form of pipe tables in
// feet a hundred, 0.2083 (100/C)^1.852 q^1.852 / d^4.8655, up to 1.5 % more in
// bores to 3 in and 1.8 % to 6 in; 4.52 q^1.85 / (C^1.85 d^4.87) psi a foot, at
// 2.31 ft a psi, within 2 %.
func TestFormsOfHazenWilliams(t *testing.T) {
	for _, c := range []float64{100, 120, 140, 150} {
		for _, q := range []float64{1, 5, 20, 100} {
			for _, d := range []float64{0.350, 0.545, 0.785, 1.025, 2.067, 2.945, 3.905, 5.845} {
				here := hydraulics.HazenWilliamsLoss(q*gpm, c, d*inch, 100*foot) / foot
				feet := 4.727 * 100 * math.Pow(q*gpm/(foot*foot*foot), 1.852) / (math.Pow(c, 1.852) * math.Pow(d/12, 4.871))
				assert.InEpsilon(t, feet, here, 0.004, "C %v, %v gpm, %v in", c, q, d)
				table := 0.2083 * math.Pow(100/c, 1.852) * math.Pow(q, 1.852) / math.Pow(d, 4.8655)
				close := 0.015
				if d > 3 {
					close = 0.018
				}
				assert.InEpsilon(t, table, here, close, "C %v, %v gpm, %v in", c, q, d)
				assert.Less(t, here, table)
				pounds := 4.52 * math.Pow(q, 1.85) / (math.Pow(c, 1.85) * math.Pow(d, 4.87)) * 100 * 2.31
				assert.InEpsilon(t, pounds, here, 0.02, "C %v, %v gpm, %v in", c, q, d)
			}
		}
	}
	assert.Zero(t, hydraulics.HazenWilliamsLoss(0, 150, 0.02, 1))
	assert.Zero(t, hydraulics.HazenWilliamsLoss(1, 0, 0.02, 1))
	assert.Zero(t, hydraulics.HazenWilliamsLoss(1, 150, 0, 1))
	assert.Equal(t, -hydraulics.HazenWilliamsLoss(gpm, 150, 0.02, 1), hydraulics.HazenWilliamsLoss(-gpm, 150, 0.02, 1))
}

// Velocity in feet a second is 0.4085 q / d^2, q in gallons a minute, d in inches.
func TestVelocity(t *testing.T) {
	assert.InDelta(t, 0.4085*11.6/(0.785*0.785), hydraulics.Velocity(11.6*gpm, 0.785*inch)/foot, 0.005)
	assert.Zero(t, hydraulics.Velocity(1, 0))
}

func TestCoefficients(t *testing.T) {
	for material, want := range map[string]float64{
		"copper-k": 140, "copper-l": 140, "copper-m": 140, "pex": 150, "cpvc": 150, "pvc": 150, "hdpe": 150, "galvanized": 120, "cast-iron": 100,
	} {
		c, ok := hydraulics.CoefficientOf(material, false)
		require.True(t, ok, material)
		assert.Equal(t, want, c.C, material)
		assert.NotEmpty(t, c.Source, material)
		wall, ok := hydraulics.WallOf(material)
		require.True(t, ok, material)
		assert.Positive(t, wall.Rough, material)
	}
	aged, _ := hydraulics.CoefficientOf("galvanized", true)
	assert.Equal(t, 100.0, aged.C)
	aged, _ = hydraulics.CoefficientOf("pex", true)
	assert.Equal(t, 150.0, aged.C, "plastic does not age")
	_, ok := hydraulics.CoefficientOf("clay", false)
	assert.False(t, ok)
	_, ok = hydraulics.WallOf("clay")
	assert.False(t, ok)
}

// colebrook is the root of 1/sqrt f = -2 log10(e/(3.7 D) + 2.51/(Re sqrt f)) by
// halving a bracket: nothing of it is shared with the explicit form.
func colebrook(reynolds, relative float64) float64 {
	low, high := 1e-4, 1.0
	for range 200 {
		f := (low + high) / 2
		if 1/math.Sqrt(f) > -2*math.Log10(relative/3.7+2.51/(reynolds*math.Sqrt(f))) {
			low = f
		} else {
			high = f
		}
	}
	return (low + high) / 2
}

// The factor meets Colebrook's equation within 3.2 %, and where it parts it
// rather loses more: never more than 0.7 % less. Moody's chart reads 0.0185 at Re
// 1e5 and e/D 1e-4.
func TestFrictionFactorBesideColebrook(t *testing.T) {
	assert.InDelta(t, 0.0185, colebrook(1e5, 1e-4), 1e-4)
	least, most := 1.0, 1.0
	for _, e := range []float64{0, 1e-6, 1e-5, 1e-4, 1e-3, 5e-3, 1e-2, 0.05} {
		for re := 4e3; re < 1e8; re *= 1.05 {
			f, _ := hydraulics.FrictionFactor(re, e)
			share := f / colebrook(re, e)
			least, most = math.Min(least, share), math.Max(most, share)
		}
	}
	assert.InDelta(t, 0.993, least, 0.001)
	assert.InDelta(t, 1.031, most, 0.001)
}

// The factor is 64/Re to 2000 and neither it nor the loss it gives steps
// anywhere; its slope is its slope.
func TestFrictionFactor(t *testing.T) {
	for _, e := range []float64{0, 1e-6, 1e-4, 1e-2, 0.05, 0.5} {
		f, _ := hydraulics.FrictionFactor(1500, e)
		assert.Equal(t, 64.0/1500, f)
		last := 0.0
		for re := 100.0; re < 1e5; re *= 1.0005 {
			f, slope := hydraulics.FrictionFactor(re, e)
			assert.Greater(t, f*re*re, last, "the loss grows with the flow: Re %v, e/D %v", re, e)
			last = f * re * re
			above, _ := hydraulics.FrictionFactor(re*(1+1e-6), e)
			below, _ := hydraulics.FrictionFactor(re*(1-1e-6), e)
			assert.Less(t, math.Abs(above-below)/f, 2e-5, "no step: Re %v, e/D %v", re, e)
			if math.Abs(re-2000) > 1 && math.Abs(re-4000) > 1 {
				assert.InDelta(t, (above-below)/(2e-6*re)*re/f, slope*re/f, 1e-3, "slope: Re %v, e/D %v", re, e)
			}
		}
	}
	f, slope := hydraulics.FrictionFactor(0, 0.1)
	assert.Zero(t, f)
	assert.Zero(t, slope)
	closed, _ := hydraulics.FrictionFactor(1e5, 3.7)
	assert.False(t, math.IsInf(closed, 0), "no wall closes the bore")
}

// Laminar flow is Poiseuille's, 32 nu v L / (g D²); smooth copper in common
// turbulent flow lies by Hazen-Williams between C = 135 and 155.
func TestDarcyWeisbachLoss(t *testing.T) {
	w := water60()
	v := hydraulics.Velocity(1e-6, 0.02)
	assert.InEpsilon(t, 32*w.Viscosity*v*3/(hydraulics.Gravity*0.02*0.02), hydraulics.DarcyWeisbachLoss(1e-6, 1e-6, 0.02, 3, w.Viscosity), 1e-12)
	wall, _ := hydraulics.WallOf("copper-l")
	h := hydraulics.DarcyWeisbachLoss(8*gpm, wall.Rough, 0.785*inch, 10, w.Viscosity)
	assert.Greater(t, h, hydraulics.HazenWilliamsLoss(8*gpm, 155, 0.785*inch, 10))
	assert.Less(t, h, hydraulics.HazenWilliamsLoss(8*gpm, 135, 0.785*inch, 10))
	assert.Equal(t, -h, hydraulics.DarcyWeisbachLoss(-8*gpm, wall.Rough, 0.785*inch, 10, w.Viscosity))
	assert.Zero(t, hydraulics.DarcyWeisbachLoss(1, 0, 0, 1, w.Viscosity))
	hot := hydraulics.DarcyWeisbachLoss(8*gpm, wall.Rough, 0.785*inch, 10, hydraulics.WaterAt(60).Viscosity)
	assert.Less(t, hot, h, "hot water loses less")
	assert.InDelta(t, 2*3.0*3.0/(2*hydraulics.Gravity), hydraulics.MinorLoss(3*math.Pi/4*0.01, 2, 0.1), 1e-12)
}
