package hydraulics

import (
	"math"
	"sort"
)

// Point is a printed point of a demand curve: so many fixture units draw so
// much at peak (cubic metres a second).
type Point struct{ Units, Flow float64 }

// Curve is a demand curve as a table prints it: points by rising units. Whose
// table it is, the caller knows.
type Curve []Point

// Reading is a demand read off a curve.
type Reading struct {
	Flow      float64 // cubic metres a second
	Low, High Point   // the printed points it lies between; equal where one was read
	Beyond    bool    // past the last point: its last slope was followed
}

// Between reads the curve in a straight line between printed points. Below the
// first point the first is read: a table that starts at three units says
// nothing of less, and one fixture draws what it draws. No units draw nothing.
func (c Curve) Between(units float64) Reading {
	if len(c) == 0 || !(units > 0) {
		return Reading{}
	}
	i := sort.Search(len(c), func(i int) bool { return c[i].Units >= units })
	switch {
	case i == 0 || i < len(c) && c[i].Units == units:
		return Reading{Flow: c[i].Flow, Low: c[i], High: c[i]}
	case len(c) == 1:
		return Reading{Flow: c[0].Flow, Low: c[0], High: c[0], Beyond: true}
	}
	beyond := i == len(c)
	if beyond {
		i--
	}
	low, high := c[i-1], c[i]
	flow := low.Flow + (units-low.Units)/(high.Units-low.Units)*(high.Flow-low.Flow)
	return Reading{Flow: flow, Low: low, High: high, Beyond: beyond}
}

// NextRow reads the printed point at or above the units, as worked examples of
// code tables do. Past the last point it follows the last slope.
func (c Curve) NextRow(units float64) Reading {
	r := c.Between(units)
	if r.Beyond {
		return r
	}
	return Reading{Flow: r.High.Flow, Low: r.High, High: r.High}
}

// BusyAtOnce is Hunter's m: the smallest number of n like fixtures, each busy a
// share p of the time, that is exceeded no more than a share tail of the time;
// at least 1 where a fixture is ever busy. 0 without fixtures.
//
// Source: R. B. Hunter, Methods of Estimating Loads in Plumbing Systems, NBS
// BMS65, 1940: a tail of 0.01; flush valve p 0.030 and 27 gpm, flush tank
// 0.200 and 4, bathtub 1/15 and 8 (those p from memory).
func BusyAtOnce(n int, p, tail float64) int {
	if n <= 0 || !(p > 0) {
		return 0
	}
	if p >= 1 {
		return n
	}
	chance := binomial(n, p)
	k := int(float64(n) * p)
	for k < n && chance(k) > negligible {
		k++
	}
	for above := 0.0; k > 1; k-- {
		if above += chance(k); above > tail {
			break
		}
	}
	return max(k, 1)
}

// negligible is a chance too small to move a percentile.
const negligible = 1e-20

// binomial is the chance that exactly k of n are busy; p lies between 0 and 1.
// By logarithms of the gamma function: n may be a million.
func binomial(n int, p float64) func(k int) float64 {
	all, _ := math.Lgamma(float64(n) + 1)
	busy, idle := math.Log(p), math.Log1p(-p)
	return func(k int) float64 {
		a, _ := math.Lgamma(float64(k) + 1)
		b, _ := math.Lgamma(float64(n-k) + 1)
		return math.Exp(all - a - b + float64(k)*busy + float64(n-k)*idle)
	}
}

// Group is a number of like fixtures.
type Group struct {
	Count int
	Busy  float64 // chance that one is running in the peak hour, 0 to 1
	Flow  float64 // cubic metres a second while it runs
}

// Regime is how a peak demand came about.
type Regime string

// Regimes, as a building grows.
const (
	NoFixtures       Regime = "no fixtures"
	Exact            Regime = "exact enumeration"
	ModifiedWistort  Regime = "modified Wistort"
	WistortsEstimate Regime = "Wistort"
)

// Bounds of Hunter's number between the regimes, and the standard normal's
// 99th percentile as the study prints it. Source: Peak Water Demand Study,
// 2017; the three regimes as a research note has them, numbers from memory.
const (
	exactBelow   = 1.25
	wistortAbove = 5.0
	z99          = 2.33
	peakShare    = 0.99
)

// Peak is a binomial peak demand.
type Peak struct {
	Flow     float64 // cubic metres a second
	Regime   Regime
	Hunter   float64 // Hunter's number: the sum of n p, fixtures busy on average
	Idle     float64 // chance that nothing runs
	Mean     float64 // cubic metres a second, the sum of n p q
	Variance float64 // the square of cubic metres a second, the sum of n p (1-p) q²
}

// PeakDemand is the 99th percentile of the flow of a building's fixtures, each
// on or off by itself. Where Hunter's number is under 1.25 every combination is
// counted and hours without flow are left out; up to 5 the modified Wistort
// formula estimates the same; above it Wistort's normal approximation. The
// estimates lie under the exact count (17.8 beside 20.9 gpm where ten small
// flats meet), so the peak can fall where one regime takes over from another.
//
// Source: Buchberger, Omaghomi, Wolfe, Hewitt and Cole, Peak Water Demand
// Study, 2017; the regimes as a research note has them, formulas from memory.
func PeakDemand(groups []Group) Peak {
	peak := moments(groups)
	switch {
	case peak.Hunter == 0:
		peak.Regime = NoFixtures
	case peak.Hunter < exactBelow:
		peak.Regime, peak.Flow = Exact, ExactPeak(groups, peakShare)
	case peak.Hunter <= wistortAbove:
		peak.Regime, peak.Flow = ModifiedWistort, ModifiedWistortPeak(groups)
	default:
		peak.Regime, peak.Flow = WistortsEstimate, WistortPeak(groups)
	}
	return peak
}

// WistortPeak is Wistort's estimate of the 99th percentile in cubic metres a
// second, whatever the building's size: sum n p q + z sqrt(sum n p (1-p) q²).
//
// Source: R. A. Wistort, 1995; from memory.
func WistortPeak(groups []Group) float64 {
	p := moments(groups)
	return p.Mean + z99*math.Sqrt(p.Variance)
}

// ModifiedWistortPeak is Wistort's estimate with the hours without flow left
// out, in cubic metres a second, whatever the building's size: 1/(1-P0) (sum n
// p q + z sqrt((1-P0) sum n p (1-p) q² - P0 (sum n p q)²)), P0 the chance that
// nothing runs. 0 without fixtures.
//
// Source: Peak Water Demand Study, 2017; from memory.
func ModifiedWistortPeak(groups []Group) float64 {
	p := moments(groups)
	flowing := 1 - p.Idle
	if flowing <= 0 {
		return 0
	}
	spread := math.Max(flowing*p.Variance-p.Idle*p.Mean*p.Mean, 0)
	return (p.Mean + z99*math.Sqrt(spread)) / flowing
}

func moments(groups []Group) Peak {
	var peak Peak
	idle := 0.0 // logarithm
	for _, g := range running(groups) {
		n := float64(g.Count)
		peak.Hunter += n * g.Busy
		peak.Mean += n * g.Busy * g.Flow
		peak.Variance += n * g.Busy * (1 - g.Busy) * g.Flow * g.Flow
		idle += n * math.Log1p(-g.Busy)
	}
	peak.Idle = math.Exp(idle)
	return peak
}

// running leaves out groups that draw nothing and holds chances at 1.
func running(groups []Group) []Group {
	var run []Group
	for _, g := range groups {
		if g.Count > 0 && g.Busy > 0 && g.Flow > 0 && !math.IsInf(g.Flow, 1) {
			g.Busy = math.Min(g.Busy, 1)
			run = append(run, g)
		}
	}
	return run
}

// ExactPeak is the flow in cubic metres a second that is exceeded no more than
// 1 - percentile of the time in which any water flows, over all combinations of
// busy fixtures: the groups' binomial distributions convolved on the flows'
// common step. Flows without one, or with one so fine that the count would not
// end, are rounded up to a ten-thousandth of the largest.
func ExactPeak(groups []Group, percentile float64) float64 {
	run := running(groups)
	if len(run) == 0 {
		return 0
	}
	step, largest := commonStep(run)
	chances := []float64{1}
	for _, g := range run {
		units := int(math.Ceil(g.Flow/step - 1e-4))
		chances = convolve(chances, busyChances(g), units)
	}
	flowing := -math.Expm1(math.Log(moments(run).Idle))
	allowed := (1 - percentile) * flowing * (1 + 1e-12)
	cell := len(chances) - 1
	for above := 0.0; cell > 0; cell-- {
		if above += chances[cell]; above > allowed {
			break
		}
	}
	return float64(cell) * largest / math.Round(largest/step)
}

// busyChances are the chances that 0, 1, 2 … of a group are busy, up to where
// they no longer count.
func busyChances(g Group) []float64 {
	if g.Busy >= 1 {
		all := make([]float64, g.Count+1)
		all[g.Count] = 1
		return all
	}
	chance := binomial(g.Count, g.Busy)
	var list []float64
	for k := 0; k <= g.Count; k++ {
		c := chance(k)
		if c < negligible && float64(k) > float64(g.Count)*g.Busy {
			break
		}
		list = append(list, c)
	}
	return list
}

// convolve adds to a distribution of flows that of a group whose fixtures draw
// units steps each, and drops the end that no longer counts.
func convolve(chances, busy []float64, units int) []float64 {
	sum := make([]float64, len(chances)+(len(busy)-1)*units)
	for k, b := range busy {
		if b == 0 {
			continue
		}
		for i, c := range chances {
			sum[i+k*units] += b * c
		}
	}
	for len(sum) > 1 && sum[len(sum)-1] < negligible {
		sum = sum[:len(sum)-1]
	}
	return sum
}

// commonStep is the largest flow of which all flows are whole multiples, and
// the largest of the flows.
func commonStep(run []Group) (step, largest float64) {
	for _, g := range run {
		largest = math.Max(largest, g.Flow)
	}
	for _, g := range run {
		a, b := math.Max(step, g.Flow), math.Min(step, g.Flow)
		for b > 1e-6*largest {
			rest := math.Mod(a, b)
			if b-rest < 1e-6*largest { // a multiple, but for the last bits
				rest = 0
			}
			a, b = b, rest
		}
		step = a
	}
	if largest/step > 1e4 {
		step = largest / 1e4
	}
	return largest / math.Round(largest/step), largest
}
