package hydraulics_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lint/hydraulics"
)

const psi = hydraulics.PoundsPerSquareInch

func tube(from, to int, feet, inches float64) hydraulics.Link {
	return hydraulics.Link{From: from, To: to, Length: feet * foot, Bore: inches * inch, C: 140}
}

// A street main at 60 psi, a meter, a rise of 20 ft, two outlets: every loss
// is known by itself, so the sums are by hand.
func TestTreeByHand(t *testing.T) {
	water := hydraulics.WaterAt(15.5555555)
	meter, ok := hydraulics.DiscMeter(0.75)
	require.True(t, ok)
	main := water.Head(60 * psi)
	net := hydraulics.Network{
		Nodes: []hydraulics.Node{
			{Source: true, Head: main},
			{},
			{},
			{Height: 20 * foot, Demand: 4 * gpm},
			{Height: 10 * foot, Demand: 2.5 * gpm},
		},
		Links: []hydraulics.Link{
			{From: 0, To: 1, Square: meter.Square(), Fixed: 3 * psi},
			tube(1, 2, 50, 0.785),
			tube(2, 3, 30, 0.545),
			tube(4, 2, 12, 0.545), // drawn against the flow
		},
	}
	got, problems := net.Solve()
	require.Empty(t, problems)
	assert.Zero(t, got.Iterations)
	for i, want := range []float64{6.5, 6.5, 4, -2.5} {
		assert.InDelta(t, want*gpm, got.Links[i].Flow, 1e-15)
	}
	loss := func(q, c, d, l float64) float64 {
		return hydraulics.HazenWilliamsLoss(q*gpm, c, d*inch, l*foot)
	}
	behindMeter := 60 - 3 - 15*(6.5*6.5)/(30*30)
	assert.InDelta(t, behindMeter, got.Nodes[1].Pressure/psi, 1e-4)
	at3 := behindMeter - water.Pressure(loss(6.5, 140, 0.785, 50)+loss(4, 140, 0.545, 30)+20*foot)/psi
	assert.InDelta(t, at3, got.Nodes[3].Pressure/psi, 1e-4)
	at4 := behindMeter - water.Pressure(loss(6.5, 140, 0.785, 50)+loss(2.5, 140, 0.545, 12)+10*foot)/psi
	assert.InDelta(t, at4, got.Nodes[4].Pressure/psi, 1e-4)
	assert.InDelta(t, 6.5*gpm, got.Nodes[0].Supply, 1e-15)
	assert.InDelta(t, 0.4085*4/(0.545*0.545), got.Links[2].Velocity/foot, 0.01)
	assert.Less(t, got.Imbalance, 1e-15)
	assert.Less(t, got.Misfit, 1e-12)
}

// Two pipes side by side share a flow so that both lose the same: with
// Hazen-Williams in the ratio (L2/L1)^(1/1.852) (d1/d2)^(4.871/1.852).
func TestTwoPipesShare(t *testing.T) {
	net := hydraulics.Network{
		Nodes: []hydraulics.Node{{Source: true, Head: 40}, {Demand: 10 * gpm}},
		Links: []hydraulics.Link{tube(0, 1, 100, 0.785), tube(0, 1, 60, 0.545)},
	}
	got, problems := net.Solve()
	require.Empty(t, problems)
	ratio := math.Pow(60.0/100, 1/1.852) * math.Pow(0.785/0.545, 4.871/1.852)
	assert.InEpsilon(t, 10*gpm*ratio/(1+ratio), got.Links[0].Flow, 1e-6)
	assert.InEpsilon(t, 10*gpm/(1+ratio), got.Links[1].Flow, 1e-6)
	assert.Positive(t, got.Iterations)
}

// Two tanks at unequal heads joined by one pipe: the flow is the formula
// turned round, and no node stands between.
func TestTwoTanks(t *testing.T) {
	net := hydraulics.Network{
		Nodes: []hydraulics.Node{{Source: true, Head: 40}, {Source: true, Head: 33}},
		Links: []hydraulics.Link{tube(1, 0, 100, 0.785)},
	}
	got, problems := net.Solve()
	require.Empty(t, problems)
	flow := math.Pow(7/hydraulics.HazenWilliamsLoss(1, 140, 0.785*inch, 100*foot), 1/1.852)
	assert.InEpsilon(t, -flow, got.Links[0].Flow, 1e-6)
	assert.InEpsilon(t, flow, got.Nodes[0].Supply, 1e-6)
	assert.InEpsilon(t, -flow, got.Nodes[1].Supply, 1e-6)
}

func TestRegulator(t *testing.T) {
	water := hydraulics.WaterAt(15.5555555)
	build := func(source, set, droop, demand float64) hydraulics.Network {
		return hydraulics.Network{
			Water: water,
			Nodes: []hydraulics.Node{{Source: true, Head: water.Head(source * psi)}, {Height: 2}, {Height: 2}, {Height: 2, Demand: demand * gpm}},
			Links: []hydraulics.Link{
				tube(0, 1, 20, 0.785),
				{From: 1, To: 2, Regulator: true, Set: set * psi, Droop: droop * psi / gpm},
				tube(2, 3, 20, 0.785),
			},
		}
	}
	for name, c := range map[string]struct {
		source, set, droop, demand, want float64
		holding                          bool
	}{
		"holds":                   {100, 55, 0, 8, 55, true},
		"without flow":            {100, 55, 0, 0, 55, true},
		"falls off":               {100, 55, 1.5, 8, 43, true},
		"too little to hold down": {50, 55, 0, 0, 50 - water.Pressure(2)/psi, false},
	} {
		got, problems := build(c.source, c.set, c.droop, c.demand).Solve()
		assert.Empty(t, problems, name)
		assert.InDelta(t, c.want, got.Nodes[2].Pressure/psi, 0.01, name)
		assert.Equal(t, c.holding, got.Links[1].Holding, name)
	}
	// the same chain fed from a second main behind the regulator: below its
	// setting, both give; above it, the regulator shuts
	for _, second := range []float64{50, 54, 60} {
		net := build(100, 55, 0, 8)
		net.Nodes = append(net.Nodes, hydraulics.Node{Height: 2, Source: true, Head: 2 + water.Head(second*psi)})
		net.Links = append(net.Links, tube(4, 3, 30, 0.785))
		got, problems := net.Solve()
		assert.Empty(t, problems)
		assert.Less(t, got.Misfit, 1e-5)
		assert.Less(t, got.Imbalance, 1e-8)
		if second == 60 {
			assert.True(t, got.Links[1].Closed)
			assert.Zero(t, got.Links[1].Flow)
			assert.InDelta(t, 8*gpm, got.Nodes[4].Supply, 1e-8)
			assert.Greater(t, got.Nodes[2].Pressure/psi, 55.0)
			continue
		}
		assert.True(t, got.Links[1].Holding)
		assert.InDelta(t, 55, got.Nodes[2].Pressure/psi, 0.001)
		assert.Positive(t, got.Links[1].Flow)
		assert.InDelta(t, 8*gpm, got.Links[1].Flow+got.Links[3].Flow, 1e-8)
	}
}

// A regulator with an open bypass cannot hold; two regulators side by side
// share; regulators in a row and one in a ring settle.
func TestRegulatorsInLoops(t *testing.T) {
	reg := func(from, to int, set float64) hydraulics.Link {
		return hydraulics.Link{From: from, To: to, Regulator: true, Set: set * psi}
	}
	node, last := hydraulics.Node{}, hydraulics.Node{Demand: 10 * gpm}
	main := hydraulics.Node{Source: true, Head: 70}
	for name, c := range map[string]struct {
		nodes   []hydraulics.Node
		links   []hydraulics.Link
		holding []bool // by link
	}{
		"bypass": {[]hydraulics.Node{main, node, node, last},
			[]hydraulics.Link{tube(0, 1, 30, 1.025), reg(1, 2, 50), tube(1, 2, 5, 0.785), tube(2, 3, 30, 1.025)},
			[]bool{false, false, false, false}},
		"side by side": {[]hydraulics.Node{main, node, node, last},
			[]hydraulics.Link{tube(0, 1, 30, 1.025), reg(1, 2, 50), reg(1, 2, 50), tube(2, 3, 30, 1.025)},
			[]bool{false, true, true, false}},
		"unequal side by side": {[]hydraulics.Node{main, node, node, last},
			[]hydraulics.Link{tube(0, 1, 30, 1.025), reg(1, 2, 50), reg(1, 2, 40), tube(2, 3, 30, 1.025)},
			[]bool{false, true, false, false}},
		"in a row between two mains": {[]hydraulics.Node{main, node, node, last, {Source: true, Head: 25}},
			[]hydraulics.Link{reg(0, 1, 60), reg(1, 2, 40), tube(2, 3, 30, 0.785), tube(4, 3, 30, 0.785)},
			[]bool{true, true, false, false}},
		"in a ring": {[]hydraulics.Node{main, node, node, last},
			[]hydraulics.Link{tube(0, 1, 10, 1.025), tube(1, 2, 40, 0.785), reg(2, 3, 20), tube(1, 3, 400, 0.545)},
			[]bool{false, false, true, false}},
	} {
		got, problems := hydraulics.Network{Nodes: c.nodes, Links: c.links}.Solve()
		assert.Empty(t, problems, name)
		assert.Less(t, got.Imbalance, 1e-8, name)
		assert.Less(t, got.Misfit, 1e-5, name)
		for i, want := range c.holding {
			assert.Equal(t, want, got.Links[i].Holding, "%s, link %d", name, i)
			if want {
				to := c.links[i].To
				assert.InDelta(t, c.links[i].Set/psi, got.Nodes[to].Pressure/psi, 0.001, name)
			}
		}
		if name == "side by side" {
			assert.InDelta(t, got.Links[1].Flow, got.Links[2].Flow, 1e-8)
		}
		if name == "unequal side by side" {
			assert.Zero(t, got.Links[2].Flow)
			assert.True(t, got.Links[2].Closed)
		}
	}
}

// Fixed losses jump at no flow: a pair of double checks side by side, one of
// them behind a resistance that a small flow can pay.
func TestFixedLossInLoop(t *testing.T) {
	for _, demand := range []float64{0, 0.001, 1, 10, 40} {
		net := hydraulics.Network{
			Nodes: []hydraulics.Node{{Source: true, Head: 40}, {}, {Demand: demand * gpm}},
			Links: []hydraulics.Link{
				{From: 0, To: 1, Check: true, Fixed: 5 * psi, Bore: 0.785 * inch, Length: 1, C: 140},
				{From: 0, To: 1, Check: true, Fixed: 4 * psi, Bore: 0.545 * inch, Length: 1, C: 140},
				tube(1, 2, 10, 1.025),
			},
		}
		got, problems := net.Solve()
		require.Empty(t, problems, demand)
		assert.Less(t, got.Imbalance, 1e-8)
		assert.Less(t, got.Misfit, 1e-5)
		assert.InDelta(t, demand*gpm, got.Links[0].Flow+got.Links[1].Flow, 1e-8)
		if demand == 1 {
			assert.Less(t, got.Links[0].Flow, 1e-6, "the cheaper way carries it alone")
		}
		if demand == 40 {
			assert.Greater(t, got.Links[0].Flow, got.Links[1].Flow)
		}
	}
}

func TestCheckInLoop(t *testing.T) {
	// a ring whose long side would run backwards through the check
	net := hydraulics.Network{
		Nodes: []hydraulics.Node{{Source: true, Head: 40}, {Demand: 2 * gpm}, {Demand: 2 * gpm}},
		Links: []hydraulics.Link{tube(0, 1, 10, 0.785), tube(1, 2, 10, 0.785), {From: 2, To: 0, Check: true, Length: 10, Bore: 0.02, C: 140}},
	}
	got, problems := net.Solve()
	require.Empty(t, problems)
	assert.True(t, got.Links[2].Closed)
	assert.Zero(t, got.Links[2].Flow)
	assert.InDelta(t, 4*gpm, got.Links[0].Flow, 1e-8)
	// turned round it opens
	net.Links[2].From, net.Links[2].To = 0, 2
	got, problems = net.Solve()
	require.Empty(t, problems)
	assert.False(t, got.Links[2].Closed)
	assert.Positive(t, got.Links[2].Flow)
}

func TestNetworkProblems(t *testing.T) {
	source, tap := hydraulics.Node{Source: true, Head: 30}, hydraulics.Node{Demand: gpm}
	check := func(from, to int) hydraulics.Link { return hydraulics.Link{From: from, To: to, Check: true} }
	for name, c := range map[string]struct {
		nodes []hydraulics.Node
		links []hydraulics.Link
		want  []hydraulics.NetworkProblem
		fed   []bool
	}{
		"nothing": {},
		"apart": {[]hydraulics.Node{source, tap, tap}, []hydraulics.Link{tube(1, 2, 1, 1)},
			[]hydraulics.NetworkProblem{{Kind: hydraulics.Unreached, Nodes: []int{1, 2}}}, []bool{true, false, false}},
		"loop alone": {[]hydraulics.Node{source, tap, tap}, []hydraulics.Link{tube(1, 2, 1, 1), tube(2, 1, 1, 1)},
			[]hydraulics.NetworkProblem{{Kind: hydraulics.LoopUnsupplied, Nodes: []int{1, 2}}}, []bool{true, false, false}},
		"check the wrong way": {[]hydraulics.Node{source, tap, tap, tap, tap}, []hydraulics.Link{check(1, 0), tube(1, 2, 1, 1), tube(0, 3, 1, 1), tube(2, 4, 1, 1), tube(4, 2, 1, 1)},
			[]hydraulics.NetworkProblem{{Kind: hydraulics.Blocked, Nodes: []int{1, 2, 4}, Links: []int{0}}}, []bool{true, false, false, true, false}},
		"fed back against a check": {[]hydraulics.Node{source, {Demand: -gpm}}, []hydraulics.Link{check(0, 1)},
			[]hydraulics.NetworkProblem{{Kind: hydraulics.Blocked, Nodes: []int{1}, Links: []int{0}}}, []bool{true, false}},
		"bad numbers": {[]hydraulics.Node{source, {Demand: math.NaN()}, tap, {Source: true, Head: math.Inf(1)}},
			[]hydraulics.Link{tube(0, 1, 1, 1), tube(0, 2, -1, 1), tube(0, 9, 1, 1), tube(0, 2, 1, 1), {From: 0, To: 2, Length: 1}, tube(2, 2, 1, 1)},
			[]hydraulics.NetworkProblem{
				{Kind: hydraulics.BadNode, Nodes: []int{1, 3}}, {Kind: hydraulics.BadLink, Links: []int{1, 2, 4, 5}},
				{Kind: hydraulics.Unreached, Nodes: []int{3}},
			}, []bool{true, true, true, false}},
		"beyond reckoning": {[]hydraulics.Node{source, tap, tap}, []hydraulics.Link{{From: 0, To: 1, Square: 1e80}, {From: 1, To: 2, Square: 2.3e79}, {From: 0, To: 2, Square: 7.7e78}},
			[]hydraulics.NetworkProblem{{Kind: hydraulics.NotConverged, Nodes: []int{0, 1, 2}, Links: []int{0, 1, 2}}}, []bool{true, true, true}},
		"past all numbers": {[]hydraulics.Node{source, tap, {Demand: 1e300}}, []hydraulics.Link{{From: 0, To: 1, Square: 1e308, Length: 1e300, Bore: 1e-300}, {From: 0, To: 1, Regulator: true, Set: math.NaN()}, tube(0, 2, 1, 1)},
			[]hydraulics.NetworkProblem{
				{Kind: hydraulics.BadNode, Nodes: []int{2}}, {Kind: hydraulics.BadLink, Links: []int{0, 1}},
				{Kind: hydraulics.Unreached, Nodes: []int{1}},
			}, []bool{true, false, true}},
	} {
		got, problems := hydraulics.Network{Nodes: c.nodes, Links: c.links}.Solve()
		assert.Equal(t, c.want, problems, name)
		require.Len(t, got.Nodes, len(c.nodes))
		for i, fed := range c.fed {
			assert.Equal(t, fed, got.Nodes[i].Reached, "%s, node %d", name, i)
			if !fed {
				assert.Zero(t, got.Nodes[i], name)
			}
		}
		for _, link := range got.Links {
			assert.False(t, math.IsNaN(link.Flow+link.Loss+link.Velocity), name)
		}
	}
}

// A demand that the main cannot push up is a pressure below zero, not an error.
func TestPressureBelowZeroIsAValue(t *testing.T) {
	net := hydraulics.Network{
		Nodes: []hydraulics.Node{{Source: true, Head: 10}, {Height: 12, Demand: gpm}},
		Links: []hydraulics.Link{tube(0, 1, 30, 0.545)},
	}
	got, problems := net.Solve()
	assert.Empty(t, problems)
	assert.Less(t, got.Nodes[1].Pressure, -19000.0)
	assert.True(t, got.Nodes[1].Reached)
}

// A mesh past all buildings is refused before it takes memory or time; what
// hangs on it is told too, and the rest is solved.
func TestTooTangled(t *testing.T) {
	net := grid(160)
	tangled := len(net.Nodes)
	net.Nodes = append(net.Nodes, hydraulics.Node{}, hydraulics.Node{Source: true, Head: 30}, hydraulics.Node{Demand: gpm})
	net.Links = append(net.Links, tube(tangled-1, tangled, 1, 1), tube(tangled+1, tangled+2, 1, 1))
	got, problems := net.Solve()
	require.Len(t, problems, 2)
	assert.Equal(t, hydraulics.TooTangled, problems[0].Kind)
	assert.Len(t, problems[0].Nodes, tangled)
	assert.Equal(t, []int{tangled}, problems[1].Nodes)
	assert.False(t, got.Nodes[tangled].Reached)
	assert.True(t, got.Nodes[tangled+2].Reached)
}
