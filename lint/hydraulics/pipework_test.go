package hydraulics_test

import (
	"math"
	"math/rand/v2"

	"crownweir/lint/hydraulics"
)

// pipework is a building's supply by a seed: a main, a meter, a backflow
// device, a regulator or none, and behind them a tree or a grid of floors up to
// 20 m above the main, with checks, regulators of single zones and a second main
// here and there. Numbers lie within what buildings have: 4 to 80 gpm, pipes
// sized for what they carry, smooth and rough walls side by side.
func pipework(seed uint64, looped, darcy bool) hydraulics.Network {
	b := builder{Rand: rand.New(rand.NewPCG(seed, 11)), darcy: darcy}
	b.net.Water = hydraulics.WaterAt(10 + 50*b.Float64())
	b.net.Nodes = []hydraulics.Node{{Source: true, Head: 45 + 25*b.Float64()}}
	b.total = 4 * math.Pow(20, b.Float64()) * gpm
	house := b.entrance(0)
	var points []int
	if looped {
		points = b.grid(house)
	} else {
		points = b.tree(house)
	}
	if b.one(2) {
		b.net.Nodes = append(b.net.Nodes, hydraulics.Node{Source: true, Head: 20 + 35*b.Float64()})
		b.net.Links[b.pipe(len(b.net.Nodes)-1, points[b.IntN(len(points))], b.total)].Check = true
	}
	return b.net
}

type builder struct {
	*rand.Rand
	net   hydraulics.Network
	total float64 // drawn in the whole building
	darcy bool
}

func (b *builder) one(in int) bool { return b.IntN(in) == 0 }

func (b *builder) node(height, demand float64) int {
	b.net.Nodes = append(b.net.Nodes, hydraulics.Node{Height: height, Demand: demand})
	return len(b.net.Nodes) - 1
}

// demands is what n points draw that share the total, a quarter of them nothing.
func (b *builder) demands(n int) []float64 {
	list := make([]float64, n)
	for i := range list {
		if !b.one(4) {
			list[i] = 8.0 / 3 * b.Float64() * b.total / float64(n)
		}
	}
	return list
}

// pipe lays 0.3 to 12 m of a bore in which a flow runs at 0.8 to 2.5 m/s, and
// returns its place.
func (b *builder) pipe(from, to int, flow float64) int {
	speed := 0.8 + 1.7*b.Float64()
	bores := []float64{0.545, 0.785, 1.025, 1.265, 1.505, 1.985, 2.465, 2.945}
	at := 0
	for at < len(bores)-1 && hydraulics.Velocity(flow, bores[at]*inch) > speed {
		at++
	}
	l := hydraulics.Link{From: from, To: to, Length: 0.3 + 11.7*b.Float64(), Bore: bores[at] * inch}
	if b.one(2) {
		l.Minor = 10 * b.Float64()
	}
	smooth := b.one(2)
	switch {
	case b.darcy && smooth:
		l.Rough = 1.5e-6
	case b.darcy:
		l.Rough = 1.5e-4
	case smooth:
		l.C = 140 + 10*b.Float64()
	default:
		l.C = 100 + 20*b.Float64()
	}
	b.net.Links = append(b.net.Links, l)
	return len(b.net.Links) - 1
}

func (b *builder) regulator(from, to int, head float64) {
	b.net.Links = append(b.net.Links, hydraulics.Link{From: from, To: to, Bore: 2.067 * inch, Regulator: true, Set: b.net.Water.Pressure(head)})
}

// entrance leads from the main through a meter, half the time a backflow device
// and half the time a regulator.
func (b *builder) entrance(main int) int {
	at := b.node(0, 0)
	size := 1.5
	if b.total > 50*gpm {
		size = 2
	}
	meter, _ := hydraulics.DiscMeter(size)
	b.net.Links[b.pipe(main, at, b.total)].Square = meter.Square()
	if b.one(2) {
		from := at
		at = b.node(0, 0)
		b.net.Links = append(b.net.Links, hydraulics.Link{From: from, To: at, Fixed: (3 + 5*b.Float64()) * psi})
	}
	if b.one(2) {
		from := at
		at = b.node(0, 0)
		b.regulator(from, at, 25+15*b.Float64())
	}
	house := b.node(0, 0)
	b.pipe(at, house, b.total)
	return house
}

// tree grows 10 to 150 points, each from one of the youngest few.
func (b *builder) tree(house int) []int {
	demands := b.demands(10 + b.IntN(140))
	parents := make([]int, len(demands)) // place in demands, -1 for the house
	drawn := append([]float64(nil), demands...)
	for i := range demands {
		parents[i] = i - 1 - b.IntN(min(i+1, 6))
	}
	for i := len(drawn) - 1; i >= 0; i-- {
		if p := parents[i]; p >= 0 {
			drawn[p] += drawn[i]
		}
	}
	var points []int
	for i, demand := range demands {
		parent := house
		if p := parents[i]; p >= 0 {
			parent = points[p]
		}
		height := b.net.Nodes[parent].Height
		if b.one(6) {
			height = 20 * b.Float64()
		}
		if drawn[i] > 0 && b.one(30) {
			from := parent
			parent = b.node(height, 0.1*gpm) // locked between two valves it would have no pressure of its own
			b.regulator(from, parent, 15+20*b.Float64())
		}
		node := b.node(height, demand)
		b.net.Links[b.pipe(parent, node, drawn[i])].Check = b.one(20)
		points = append(points, node)
	}
	return points
}

// grid is a mesh of 3 by 3 to 9 by 9, thinned, that is fed at a corner. Its
// checks lead away from there, so that every point can be reached.
func (b *builder) grid(house int) []int {
	wide, high := 3+b.IntN(7), 3+b.IntN(7)
	storey := 20 / float64(high) * b.Float64()
	var points []int
	for i, demand := range b.demands(wide * high) {
		across, up := i%wide > 0, i >= wide
		node := b.node(float64(i/wide)*storey, demand)
		points = append(points, node)
		drop := b.IntN(12) // 0 and 1 thin the mesh, where another way leads on
		var laid []int
		if across && (drop != 0 || !up) {
			laid = append(laid, b.pipe(node-1, node, b.total/(1+9*b.Float64())))
		}
		if up && (drop != 1 || !across) {
			laid = append(laid, b.pipe(node-wide, node, b.total/(1+9*b.Float64())))
		}
		for _, link := range laid {
			b.net.Links[link].Check = b.one(15)
		}
	}
	b.pipe(house, points[0], b.total)
	return points
}
