package hydraulics_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"crownweir/lint/hydraulics"
)

// outletTree is a tower's supply: a main, risers, and outlets on branches.
func outletTree(outlets int) hydraulics.Network {
	r := rand.New(rand.NewPCG(1, 2))
	net := hydraulics.Network{Nodes: []hydraulics.Node{{Source: true, Head: 90}}}
	add := func(parent int, demand, bore float64) int {
		net.Nodes = append(net.Nodes, hydraulics.Node{Height: 60 * r.Float64(), Demand: demand})
		last := len(net.Nodes) - 1
		net.Links = append(net.Links, hydraulics.Link{From: parent, To: last, Length: 1 + 4*r.Float64(), Bore: bore, C: 140, Minor: 2})
		return last
	}
	riser := 0
	for i := range outlets {
		if i%8 == 0 {
			riser = add(riser, 0, 0.1)
		}
		branch := add(riser, 0, 0.02)
		add(branch, 2e-5, 0.0138)
	}
	return net
}

// grid is a square mesh of pipes fed at one corner.
func grid(side int, darcy bool) hydraulics.Network {
	r := rand.New(rand.NewPCG(3, 4))
	var net hydraulics.Network
	for i := range side * side {
		net.Nodes = append(net.Nodes, hydraulics.Node{Height: 5 * r.Float64(), Demand: 1e-4 * r.Float64()})
		link := hydraulics.Link{To: i, Length: 5 + 5*r.Float64(), Bore: 0.02 + 0.08*r.Float64()}
		if darcy {
			link.Rough = 1.5e-6
		} else {
			link.C = 140
		}
		if i%side > 0 {
			link.From = i - 1
			net.Links = append(net.Links, link)
		}
		if i >= side {
			link.From = i - side
			net.Links = append(net.Links, link)
		}
	}
	net.Nodes[0] = hydraulics.Node{Source: true, Head: 60}
	return net
}

func BenchmarkNetwork(b *testing.B) {
	for _, c := range []struct {
		name string
		net  hydraulics.Network
	}{
		{"tree of 4000 outlets", outletTree(4000)},
		{"grid 30x30", grid(30, false)},
		{"grid 30x30, Darcy", grid(30, true)},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				got, problems := c.net.Solve()
				require.Empty(b, problems)
				require.Less(b, got.Misfit, 1e-5)
				b.ReportMetric(float64(got.Iterations), "turns")
			}
		})
	}
}
