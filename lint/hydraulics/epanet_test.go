package hydraulics_test

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lint/hydraulics"
)

// outsideNetwork is a network in the form that testdata/epanet/compare.mjs reads.
type outsideNetwork struct {
	Nodes     []outsideNode `json:"nodes"`
	Links     []outsideLink `json:"links"`
	Darcy     bool          `json:"darcy"`
	Viscosity float64       `json:"viscosity"`
}

type outsideNode struct {
	Height float64 `json:"height"`
	Demand float64 `json:"demand"`
	Source bool    `json:"source"`
	Head   float64 `json:"head"`
}

type outsideLink struct {
	From      int     `json:"from"`
	To        int     `json:"to"`
	Length    float64 `json:"length"`
	Bore      float64 `json:"bore"`
	C         float64 `json:"c"`
	Rough     float64 `json:"rough"`
	Minor     float64 `json:"minor"`
	Check     bool    `json:"check"`
	Regulator bool    `json:"regulator"`
	Set       float64 `json:"set"` // metres of water
}

// outside writes a network for the other solver. That takes no meter and no
// bare link: what a meter loses becomes resistance of its bore.
func outside(net hydraulics.Network, darcy bool) outsideNetwork {
	out := outsideNetwork{Darcy: darcy, Viscosity: net.Water.Viscosity}
	for _, n := range net.Nodes {
		out.Nodes = append(out.Nodes, outsideNode(n))
	}
	for _, l := range net.Links {
		minor := l.Minor + net.Water.Head(l.Square)/hydraulics.MinorLoss(1, 1, l.Bore)
		// its Hazen-Williams, 4.727 C^-1.852 d^-4.871 q^1.852 in feet, loses 0.7 to
		// 1.5 % less than the form printed in tables: C makes up for it
		there := 4.727 * math.Pow(1/foot, 3*1.852-4.871) * math.Pow(l.Bore, -4.871)
		c := l.C * math.Pow(there/hydraulics.HazenWilliamsLoss(1, 1, l.Bore, 1), 1/1.852)
		out.Links = append(out.Links, outsideLink{
			From: l.From, To: l.To, Length: l.Length, Bore: l.Bore, C: c, Rough: l.Rough,
			Minor: minor, Check: l.Check, Regulator: l.Regulator, Set: net.Water.Head(l.Set),
		})
	}
	return out
}

// pipework is a building's supply by a seed: a tree of 10 to 150 nodes or a mesh
// of 3 by 3 to 9 by 9, with a meter behind the main, here and there a check, a
// regulator at its head or a second main.
func pipework(seed uint64, mesh, darcy bool) hydraulics.Network {
	r := rand.New(rand.NewPCG(seed, 11))
	net := hydraulics.Network{Water: hydraulics.WaterAt(10 + 50*r.Float64())}
	main := 45 + 25*r.Float64()
	net.Nodes = []hydraulics.Node{{Source: true, Head: main}, {}, {}}
	wall := []float64{1.5e-4, 4.6e-5, 1.5e-6}[r.IntN(3)]
	if mesh {
		wall = 1.5e-4 // in smooth pipe the two factors lie 2 % apart
	}
	pipe := func(from, to int, bore float64) hydraulics.Link {
		l := hydraulics.Link{From: from, To: to, Length: 1 + 9*r.Float64(), Bore: bore * inch, Minor: 3 * r.Float64()}
		if darcy {
			l.Rough = wall
		} else {
			l.C = 100 + 50*r.Float64()
		}
		return l
	}
	meter := pipe(0, 1, 2.067)
	meter.Square = 20 * psi / (160 * 160 * gpm * gpm)
	net.Links = []hydraulics.Link{meter}
	if r.IntN(2) == 0 {
		net.Links = append(net.Links, hydraulics.Link{From: 1, To: 2, Bore: 2.067 * inch, Regulator: true, Set: net.Water.Pressure(35 + 5*r.Float64())})
	} else {
		net.Links = append(net.Links, pipe(1, 2, 2.067))
	}
	add := func() int {
		net.Nodes = append(net.Nodes, hydraulics.Node{Height: 8 * r.Float64()})
		return len(net.Nodes) - 1
	}
	var ends []int
	if mesh {
		side := 3 + r.IntN(7)
		first := len(net.Nodes)
		for i := range side * side {
			node := add()
			ends = append(ends, node)
			if i%side > 0 {
				net.Links = append(net.Links, pipe(node-1, node, 1+r.Float64()))
			}
			if i >= side {
				net.Links = append(net.Links, pipe(node, node-side, 1+r.Float64()))
			}
		}
		net.Links = append(net.Links, pipe(2, first, 2.067))
		if !darcy && r.IntN(2) == 0 {
			net.Nodes = append(net.Nodes, hydraulics.Node{Source: true, Head: 25 + 25*r.Float64()})
			second := pipe(len(net.Nodes)-1, ends[len(ends)-1], 1.5)
			second.Check = true
			net.Links = append(net.Links, second)
		}
	} else {
		grown := []int{2}
		for range 10 + r.IntN(140) {
			parent := grown[len(grown)-1-r.IntN(min(len(grown), 6))]
			node := add()
			net.Links = append(net.Links, pipe(parent, node, 1.5+r.Float64()))
			net.Links[len(net.Links)-1].Check = r.IntN(20) == 0
			grown = append(grown, node)
			ends = append(ends, node)
		}
	}
	total := (10 + 50*r.Float64()) * gpm
	if mesh {
		total *= 2 // clear of the range between laminar and turbulent
	}
	for _, node := range ends {
		net.Nodes[node].Demand = 2 * r.Float64() * total / float64(len(ends))
	}
	return net
}

// modules is the folder that the other solver is installed in.
func modules(t *testing.T) string {
	t.Helper()
	folder := os.Getenv("CROWNWEIR_EPANET")
	if folder == "" {
		folder = filepath.Join("testdata", "epanet", "node_modules")
	}
	if _, err := exec.LookPath("node"); err != nil {
		t.Skip("node is not installed: the comparison with another solver is left out")
	}
	if _, err := os.Stat(filepath.Join(folder, "epanet-js")); err != nil {
		t.Skip("epanet-js is not installed in " + folder + ": the comparison with another solver is left out")
	}
	return folder
}

// EPANET, the public-domain solver of street mains, finds the same flows and
// pressures within half a percent. The programs share nothing. Its Darcy factor is
// Swamee and Jain's, up to 3 % off Colebrook's, which is all that parts flows
// in meshes by more than two tenths of a percent.
func TestBesideEPANET(t *testing.T) {
	folder := modules(t)
	var nets []hydraulics.Network
	var asked []outsideNetwork
	for seed := range uint64(80) {
		mesh, darcy := seed%2 == 1, seed%4 >= 2
		net := pipework(seed, mesh, darcy)
		nets, asked = append(nets, net), append(asked, outside(net, darcy))
	}
	input, err := json.Marshal(asked)
	require.NoError(t, err)
	command := exec.Command("node", filepath.Join("testdata", "epanet", "compare.mjs"), folder)
	var said bytes.Buffer
	command.Stdin, command.Stderr = bytes.NewReader(input), &said
	output, err := command.Output()
	require.NoError(t, err, said.String())
	var found []struct{ Heads, Flows []float64 }
	require.NoError(t, json.Unmarshal(output, &found))
	require.Len(t, found, len(nets))

	var worstFlow, worstPressure [2]float64 // by Hazen-Williams, by Darcy
	holding, shut := 0, 0
	for i, net := range nets {
		got, problems := net.Solve()
		require.Empty(t, problems, "network %d", i)
		law := i % 4 / 2
		largest := 0.0
		for _, flow := range found[i].Flows {
			largest = math.Max(largest, math.Abs(flow))
		}
		for k, flow := range found[i].Flows {
			// a share of the link's flow, or of a tenth of the largest where it carries less
			off := math.Abs(got.Links[k].Flow-flow) / math.Max(math.Abs(flow), largest/10)
			assert.Less(t, off, 0.005, "network %d, link %d: %v here, %v there", i, k, got.Links[k].Flow, flow)
			worstFlow[law] = math.Max(worstFlow[law], off)
			if got.Links[k].Holding {
				holding++
			}
			if got.Links[k].Closed {
				shut++
			}
		}
		for k, head := range found[i].Heads {
			pressure := head - net.Nodes[k].Height
			off := math.Abs(got.Nodes[k].Head-head) / math.Max(math.Abs(pressure), 1)
			assert.Less(t, off, 0.005, "network %d, node %d: %v here, %v there", i, k, got.Nodes[k].Head, head)
			worstPressure[law] = math.Max(worstPressure[law], off)
		}
	}
	assert.Greater(t, holding, 10, "regulators that hold among them")
	assert.Greater(t, shut, 3, "checks that shut among them")
	for law, name := range []string{"Hazen-Williams", "Darcy"} {
		t.Logf("%s, %d networks, farthest apart: flows %.3f %%, pressures %.3f %%", name, len(nets)/2, 100*worstFlow[law], 100*worstPressure[law])
	}
}
