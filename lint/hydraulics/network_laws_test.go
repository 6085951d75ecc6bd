package hydraulics_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lint/hydraulics"
)

// randomNetwork is a network with anything in it, by a seed.
func randomNetwork(seed uint64) hydraulics.Network {
	r := rand.New(rand.NewPCG(seed, 7))
	n := 2 + r.IntN(40)
	net := hydraulics.Network{Nodes: make([]hydraulics.Node, n)}
	for i := range net.Nodes {
		node := &net.Nodes[i]
		node.Height = 20 * r.Float64()
		if r.IntN(3) > 0 {
			node.Demand = 10 * gpm * r.Float64()
		}
		if i == 0 || r.IntN(20) == 0 {
			*node = hydraulics.Node{Source: true, Head: 35 + 30*r.Float64()}
		}
	}
	link := func(a, b int) {
		bores := []float64{0.545, 0.785, 1.025, 1.505, 2.065}
		l := hydraulics.Link{From: a, To: b, Length: 0.3 + 20*r.Float64(), Bore: bores[r.IntN(len(bores))] * inch}
		if r.IntN(2) == 0 {
			l.C = 100 + 50*r.Float64()
		} else {
			l.Rough = []float64{0, 1.5e-6, 1.5e-4}[r.IntN(3)]
		}
		switch r.IntN(14) {
		case 0:
			l.Minor = 10 * r.Float64()
		case 1:
			l.Square = 15 * psi / (900 * gpm * gpm)
		case 2:
			l.Fixed = 5 * psi
		case 3:
			l.Check = true
		case 4:
			l.Regulator, l.Set = true, (20+50*r.Float64())*psi
			l.Droop = float64(r.IntN(2)) * psi / gpm
		case 5:
			l = hydraulics.Link{From: a, To: b}
		}
		net.Links = append(net.Links, l)
	}
	for i := 1; i < n; i++ {
		if r.IntN(30) > 0 {
			link(r.IntN(i), i)
		}
	}
	for range r.IntN(n) {
		if a, b := r.IntN(n), r.IntN(n); a != b {
			link(a, b)
		}
	}
	return net
}

// Within what laws are held: cubic metres a second, metres, and a share of the
// loss.
const (
	stillness = 1e-7
	evenness  = 1e-3
	evenShare = 2e-3
	openedBy  = 1e-5 // metres before a check that open it
)

// brokenLaws names the laws of a network that heads and flows break. It knows
// the published losses and nothing of how an answer was found, so that any
// solver's can be asked.
func brokenLaws(net hydraulics.Network, got hydraulics.Solution) []string {
	var broken []string
	say := func(format string, args ...any) { broken = append(broken, fmt.Sprintf(format, args...)) }
	balance := make([]float64, len(net.Nodes))
	water := net.Water
	if water.Density == 0 {
		water = water60()
	}
	for i, l := range net.Links {
		q := got.Links[i].Flow
		balance[l.From] -= q
		balance[l.To] += q
		if !got.Nodes[l.From].Reached || !got.Nodes[l.To].Reached {
			continue
		}
		before, behind := got.Nodes[l.From].Head, got.Nodes[l.To].Head
		lost := hydraulics.MinorLoss(q, l.Minor, l.Bore) + water.Head(l.Square)*q*math.Abs(q)
		switch {
		case l.Length == 0:
			lost += 0.01 * q
		case l.C > 0:
			lost += hydraulics.HazenWilliamsLoss(q, l.C, l.Bore, l.Length)
		default:
			lost += hydraulics.DarcyWeisbachLoss(q, l.Rough, l.Bore, l.Length, water.Viscosity)
		}
		least, most := lost, lost // of a fixed loss all is taken, or as much as stops the flow
		if fixed := water.Head(l.Fixed); fixed > 0 {
			const whole = 1e-6 // cubic metres a second
			least += math.Copysign(fixed, q-whole)
			most += math.Copysign(fixed, q+whole)
		}
		close := evenness + evenShare*math.Max(math.Abs(least), math.Abs(most))
		oneWay := l.Check || l.Regulator
		held := math.Inf(1)
		if l.Regulator {
			held = net.Nodes[l.To].Height + water.Head(l.Set) - water.Head(l.Droop)*q
		}
		switch {
		case oneWay && q < -stillness:
			say("link %d runs back at %.2g gpm", i, -q/gpm)
		case oneWay && q <= stillness:
			if open := math.Min(before-most, held) - behind; open > openedBy {
				say("link %d is shut before a head of %.2g m", i, open)
			}
		case behind > math.Min(before-least, held)+close:
			say("link %d has %.2g m too much behind it", i, behind-math.Min(before-least, held))
		case behind < math.Min(before-most, held)-close:
			say("link %d has %.2g m too little behind it", i, math.Min(before-most, held)-behind)
		}
	}
	for i, n := range net.Nodes {
		if miss := balance[i] - n.Demand; got.Nodes[i].Reached && !n.Source && math.Abs(miss) > stillness {
			say("node %d gets %.2g gpm that nobody draws", i, miss/gpm)
		}
	}
	return broken
}

// A law that is broken is seen, one by one.
func TestBrokenLawsAreSeen(t *testing.T) {
	net := pipework(5, true, false)
	got, problems := net.Solve()
	require.Empty(t, problems)
	require.Empty(t, brokenLaws(net, got))
	bend := func(change func(s *hydraulics.Solution)) []string {
		s := got
		s.Nodes, s.Links = slices.Clone(got.Nodes), slices.Clone(got.Links)
		change(&s)
		return brokenLaws(net, s)
	}
	assert.NotEmpty(t, bend(func(s *hydraulics.Solution) { s.Nodes[1].Head += 0.1 }))
	assert.NotEmpty(t, bend(func(s *hydraulics.Solution) { s.Nodes[1].Head -= 0.1 }))
	assert.NotEmpty(t, bend(func(s *hydraulics.Solution) { s.Links[0].Flow *= 1.01 }))
	check := hydraulics.Network{
		Nodes: []hydraulics.Node{{Source: true, Head: 30}, {}},
		Links: []hydraulics.Link{{From: 0, To: 1, Check: true}},
	}
	heads := func(behind, flow float64) hydraulics.Solution {
		return hydraulics.Solution{
			Nodes: []hydraulics.NodeState{{Head: 30, Reached: true}, {Head: behind, Reached: true}},
			Links: []hydraulics.LinkState{{Flow: flow}},
		}
	}
	assert.Empty(t, brokenLaws(check, heads(31, 0)))
	assert.Equal(t, []string{"link 0 is shut before a head of 1 m"}, brokenLaws(check, heads(29, 0)))
	check.Nodes[1].Demand = -gpm
	assert.Equal(t, []string{"link 0 runs back at 1 gpm"}, brokenLaws(check, heads(31, -gpm)))
	check.Nodes[1].Demand = gpm
	check.Links[0] = hydraulics.Link{From: 0, To: 1, Regulator: true, Set: water60().Pressure(20)}
	assert.Empty(t, brokenLaws(check, heads(20, gpm)))
	assert.Equal(t, []string{"link 0 has 1 m too much behind it"}, brokenLaws(check, heads(21, gpm)))
	assert.Equal(t, []string{"link 0 has 1 m too little behind it"}, brokenLaws(check, heads(19, gpm)))
}

// Whatever the network: every fed node's flows add up to its demand, every
// open link loses what its ends' heads differ by (so the losses around every
// loop add up to nothing), no check runs backwards, and no regulator lets more
// than its setting through.
func TestNetworkLaws(t *testing.T) {
	loops, holding, shut := 0, 0, 0
	for seed := range uint64(3000) {
		net := randomNetwork(seed)
		got, problems := net.Solve()
		name := fmt.Sprintf("seed %d", seed)
		for _, p := range problems {
			if p.Kind != hydraulics.Unreached && p.Kind != hydraulics.Blocked && p.Kind != hydraulics.LoopUnsupplied {
				assert.Fail(t, string(p.Kind), name)
			}
		}
		if got.Iterations > 0 {
			loops++
		}
		assert.Empty(t, brokenLaws(net, got), name)
		assert.Less(t, got.Imbalance, 1e-7, name)
		assert.Less(t, got.Misfit, 1e-4, name)
		balance := make([]float64, len(net.Nodes))
		for i, link := range net.Links {
			state := got.Links[i]
			balance[link.From] += state.Flow
			balance[link.To] -= state.Flow
			if link.Check || link.Regulator {
				assert.GreaterOrEqual(t, state.Flow, 0.0, name)
			}
			if state.Closed {
				shut++
				assert.Zero(t, state.Flow, name)
			}
			if state.Holding {
				holding++
				want := link.Set - link.Droop*state.Flow
				assert.InDelta(t, want, got.Nodes[link.To].Pressure, 20, name)
				assert.GreaterOrEqual(t, state.Loss, -1e-4, name)
			}
		}
		for i, node := range net.Nodes {
			if got.Nodes[i].Reached && !node.Source {
				assert.InDelta(t, -node.Demand, balance[i], 1e-7, name)
			}
		}
	}
	assert.Greater(t, loops, 1000, "networks with loops among them")
	assert.Greater(t, holding, 100, "regulators that hold among them")
	assert.Greater(t, shut, 100, "checks that shut among them")
}

// Numbers no plan should hold: no panic, no hang, and no answer that is not a
// number.
func TestHostileNetworks(t *testing.T) {
	for seed := range uint64(2000) {
		r := rand.New(rand.NewPCG(seed, 3))
		net := randomNetwork(seed)
		odd := func() float64 {
			return []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, 0, math.MaxFloat64, -math.MaxFloat64, 5e-324, 1e30, 1e-30, 1e9}[r.IntN(11)]
		}
		if len(net.Links) == 0 {
			continue
		}
		for range 1 + r.IntN(6) {
			node, link := &net.Nodes[r.IntN(len(net.Nodes))], &net.Links[r.IntN(len(net.Links))]
			numbers := []*float64{
				&node.Height, &node.Demand, &node.Head, &link.Length, &link.Bore, &link.C, &link.Rough, &link.Minor, &link.Square,
				&link.Fixed, &link.Set, &link.Droop, &net.Water.Density, &net.Water.Viscosity,
			}
			*numbers[r.IntN(len(numbers))] = odd()
			if r.IntN(5) == 0 {
				link.From = r.IntN(60) - 10
			}
		}
		got, _ := net.Solve()
		for _, n := range got.Nodes {
			assert.False(t, math.IsNaN(n.Head+n.Pressure+n.Supply), "seed %d", seed)
		}
		for _, l := range got.Links {
			assert.False(t, math.IsNaN(l.Flow+l.Loss+l.Velocity), "seed %d", seed)
		}
	}
}
