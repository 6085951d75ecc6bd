package hydraulics_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"crownweir/lint/hydraulics"
)

// tower is the supply of 50 storeys with 80 outlets each. As a tree one riser
// feeds branches; looped, every storey has a ring of 40 points, fed by four risers
// that a main joins at the bottom and at the top.
func tower(looped, darcy bool) hydraulics.Network {
	const storeys, outlets, ring, risers = 50, 80, 40, 4
	r := rand.New(rand.NewPCG(1, 2))
	net := hydraulics.Network{Nodes: []hydraulics.Node{{Source: true, Head: 220}}}
	add := func(height, demand float64) int {
		net.Nodes = append(net.Nodes, hydraulics.Node{Height: height, Demand: demand})
		return len(net.Nodes) - 1
	}
	pipe := func(from, to int, length, bore float64) {
		l := hydraulics.Link{From: from, To: to, Length: length, Bore: bore, Minor: 2}
		if darcy {
			l.Rough = 1.5e-6
		} else {
			l.C = 140
		}
		net.Links = append(net.Links, l)
	}
	var below []int // a riser's point on the storey below
	for storey := range storeys {
		height := 3.5 * float64(storey)
		var points, here []int
		if looped {
			for i := range ring {
				points = append(points, add(height, 0))
				if i > 0 {
					pipe(points[i-1], points[i], 2, 0.032)
				}
			}
			pipe(points[ring-1], points[0], 2, 0.032)
			for i := range risers {
				here = append(here, points[i*ring/risers])
			}
		} else {
			here = []int{add(height, 0)}
			for at := here[0]; len(points) < ring; {
				next := add(height, 0)
				pipe(at, next, 2, 0.05)
				points, at = append(points, next), next
			}
		}
		for i, point := range here {
			switch {
			case storey > 0:
				pipe(below[i], point, 3.5, 0.15)
			case i == 0:
				pipe(0, point, 10, 0.15)
			}
			if i > 0 && (storey == 0 || storey == storeys-1) {
				pipe(here[i-1], point, 20, 0.15)
			}
		}
		below = here
		for i := range outlets {
			stop := add(height+0.5, 0)
			pipe(points[i%ring], stop, 1+2*r.Float64(), 0.0199)
			pipe(stop, add(height+1, 2e-5*r.Float64()), 0.5, 0.0138)
		}
	}
	return net
}

// grid is a square mesh of pipes fed at one corner.
func grid(side int) hydraulics.Network {
	r := rand.New(rand.NewPCG(3, 4))
	var net hydraulics.Network
	for i := range side * side {
		net.Nodes = append(net.Nodes, hydraulics.Node{Height: 5 * r.Float64(), Demand: 1e-4 * r.Float64()})
		link := hydraulics.Link{To: i, Length: 5 + 5*r.Float64(), Bore: 0.02 + 0.08*r.Float64(), C: 140}
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

// To stay under 300 ms on two cores. Tower 6 to 9 ms. With rings 10 to 16 ms in 7
// turns: it took 80 to 90 while every factor's condition was weighed too. Mesh of
// 30 by 30 4 to 9 ms.
func BenchmarkNetwork(b *testing.B) {
	for _, c := range []struct {
		name string
		net  hydraulics.Network
	}{
		{"tower of 4000 outlets", tower(false, false)},
		{"tower of 4000 outlets, rings", tower(true, false)},
		{"tower of 4000 outlets, rings, Darcy", tower(true, true)},
		{"grid 30x30", grid(30)},
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
