package hydraulics

import "math"

// Network is links between nodes in steady flow: fixed heads and demands are
// given, flows and pressures are wanted. Nodes and links are known by their
// place in the lists.
type Network struct {
	Nodes []Node
	Links []Link
	Water Water // zero, or what no water is, stands for water at 60 °F
}

// Node is a place where links meet.
type Node struct {
	Height float64 // metres, over the datum of all heads
	Demand float64 // cubic metres a second drawn here; below zero where water is fed in
	Source bool    // a main, a tank, a pump's outlet: its head is known and it gives what is asked
	Head   float64 // metres over the datum, of a source: height plus pressure in metres of water
}

// Link is a pipe, a valve or a device between two nodes. Its losses add up.
// Water may run either way unless the link is a check or a regulator. Without
// friction a link still takes a hundredth of a millimetre at a litre a second,
// so that unequal mains that are joined by nothing more have an answer.
type Link struct {
	From, To int // places in Nodes

	Length, Bore float64 // metres
	C            float64 // Hazen and Williams's coefficient of the pipe; 0 takes Darcy and Weisbach
	Rough        float64 // metres, the wall's roughness for Darcy and Weisbach; at most half the bore
	Minor        float64 // sum of resistances of fittings, in velocity heads of the bore

	Square float64 // pascals over the square of cubic metres a second: a meter, a tap
	Fixed  float64 // pascals, taken from any flow there is: a backflow device, a softener

	Check     bool    // lets water run from From to To only
	Regulator bool    // a check that holds the pressure at To down to Set
	Set       float64 // pascals at To's height, of a regulator without flow
	Droop     float64 // pascals a cubic metre a second, by which a regulator's hold falls with its flow
}

// Solution is what a network does.
type Solution struct {
	Nodes []NodeState
	Links []LinkState

	Iterations int     // turns that all groups of loops took; 0 where there is no loop
	Imbalance  float64 // cubic metres a second, the largest by which a node's flows miss its demand
	Misfit     float64 // metres, the largest by which a link's loss misses the heads at its ends
}

// NodeState is what stands at a node.
type NodeState struct {
	Head     float64 // metres over the datum
	Pressure float64 // pascals at the node's height; below zero where the demands cannot be had
	Supply   float64 // cubic metres a second that a source gives; below zero where it takes
	Reached  bool    // a source feeds it; else head and pressure are zero and mean nothing
}

// LinkState is what runs through a link.
type LinkState struct {
	Flow     float64 // cubic metres a second, from From to To
	Loss     float64 // metres of water lost from From to To; for a regulator that holds, what it takes
	Velocity float64 // metres a second, never below zero; 0 without a bore
	Closed   bool    // a check or regulator that water would run through backwards
	Holding  bool    // a regulator that holds the pressure behind it down
}

// NetworkProblem is something that keeps a network, or a part of it, from
// having a solution. The rest is solved all the same.
type NetworkProblem struct {
	Kind  ProblemKind
	Nodes []int // by rising place
	Links []int // by rising place
}

// ProblemKind is a kind of problem of a network.
type ProblemKind string

// Kinds of problem of a network.
const (
	BadNode        ProblemKind = "node without a usable number"        // left without demand, and no source
	BadLink        ProblemKind = "link without a usable number or end" // left out
	Unreached      ProblemKind = "nodes that no source reaches"        // no link leads there
	LoopUnsupplied ProblemKind = "loop without a source"               // the same, with a loop among them
	Blocked        ProblemKind = "nodes cut off by a check"            // links lead there, but not this way
	NotConverged   ProblemKind = "loops that did not settle"           // what is reported is the last turn
	TooTangled     ProblemKind = "loops too many and too tangled to solve"
)

// Solve finds the flows and pressures of a network. What hangs on the sources
// like a tree is added up and walked down, in one pass each; loops, and ways
// between sources, are solved group by group by the global gradient algorithm,
// Newton's method on heads and flows together. It reports nodes it cannot reach,
// loops that do not settle and loops past all buildings; a pressure below zero is
// a value.
//
// Source of the algorithm: E. Todini and S. Pilati, A Gradient Algorithm for
// the Analysis of Pipe Networks, 1987.
func (n Network) Solve() (Solution, []NetworkProblem) {
	if !n.Water.sound() {
		n.Water = WaterAt(sixtyFahrenheit)
	}
	s := newSolver(n)
	s.span()
	s.gather()
	s.descend()
	return s.report()
}

const sixtyFahrenheit = (60.0 - 32) / 1.8

// solver is a network at work.
type solver struct {
	nodes    []Node
	laws     []law
	water    Water
	usable   []bool // of links
	problems []NetworkProblem

	// what span finds
	start []int  // of each node, its first place in ends
	ends  []half // links as seen from each node
	order []int  // nodes that sources reach, every one after its parent
	via   []int  // of a node, the link to its parent; fromGround, noParent
	group []int  // of a node, the group of loops it is in
	first []int  // of a group, the node that comes first in order
	rank  []int  // of a node, its place in order

	load    []float64 // of a node: what it draws, and groups of the tree that hang on it
	wanted  []float64 // of a group: what it and all below it draw
	blocked []bool    // of a group: a check shuts it off

	slot    []int // of a node in loops at work, its row; headKnown where its head is known
	heads   []float64
	flows   []float64
	holding []bool
	closed  []bool
	turns   int
	work    float64 // multiplications spent on loops
}

// half is a link as one of its nodes sees it.
type half struct{ link, other int }

const (
	fromGround = -2 // a source's parent: the common ground of all sources
	noParent   = -1
)

func newSolver(n Network) *solver {
	s := &solver{
		nodes: make([]Node, len(n.Nodes)), laws: make([]law, len(n.Links)), usable: make([]bool, len(n.Links)), water: n.Water,
		load: make([]float64, len(n.Nodes)), slot: make([]int, len(n.Nodes)),
		heads: make([]float64, len(n.Nodes)), flows: make([]float64, len(n.Links)),
		holding: make([]bool, len(n.Links)), closed: make([]bool, len(n.Links)),
	}
	copy(s.nodes, n.Nodes)
	var badNodes, badLinks []int
	for i := range s.nodes {
		node := &s.nodes[i]
		if !within(mostOfNode, node.Height, node.Demand) || node.Source && !within(mostOfNode, node.Head) {
			badNodes = append(badNodes, i)
			*node = Node{}
		}
	}
	for i, link := range n.Links {
		if link.usable(len(n.Nodes)) {
			s.laws[i] = link.law(n.Water, s.nodes[link.To].Height)
			s.usable[i] = s.laws[i].usable()
		}
		if !s.usable[i] {
			badLinks = append(badLinks, i)
			s.laws[i] = law{}
		}
	}
	s.complain(BadNode, badNodes, nil)
	s.complain(BadLink, nil, badLinks)
	return s
}

func (s *solver) complain(kind ProblemKind, nodes, links []int) {
	if len(nodes)+len(links) > 0 {
		s.problems = append(s.problems, NetworkProblem{kind, nodes, links})
	}
}

// within says whether numbers are numbers and none is larger than most.
func within(most float64, numbers ...float64) bool {
	for _, x := range numbers {
		if !(math.Abs(x) <= most) {
			return false
		}
	}
	return true
}

// report turns what was found into a solution, and measures how well it holds.
func (s *solver) report() (Solution, []NetworkProblem) {
	out := Solution{Nodes: make([]NodeState, len(s.nodes)), Links: make([]LinkState, len(s.laws)), Iterations: s.turns}
	given := make([]float64, len(s.nodes)) // flow out of each node
	for i := range s.laws {
		law := &s.laws[i]
		state := LinkState{Flow: s.flows[i], Closed: s.closed[i], Holding: s.holding[i]}
		if !s.usable[i] {
			out.Links[i] = state
			continue
		}
		given[law.from] += state.Flow
		given[law.to] -= state.Flow
		if s.live(law.from) && s.live(law.to) {
			state.Loss = s.heads[law.from] - s.heads[law.to]
			if lost, _ := law.loss(state.Flow); !state.Closed && !state.Holding {
				out.Misfit = math.Max(out.Misfit, math.Abs(lost-state.Loss))
			}
		}
		if law.area > 0 {
			state.Velocity = math.Abs(state.Flow) / law.area
		}
		out.Links[i] = state
	}
	for i, node := range s.nodes {
		if !s.live(i) {
			continue
		}
		state := NodeState{Reached: true, Head: s.heads[i], Pressure: s.water.Pressure(s.heads[i] - node.Height)}
		miss := given[i] + node.Demand
		if node.Source {
			state.Supply = miss
		} else {
			out.Imbalance = math.Max(out.Imbalance, math.Abs(miss))
		}
		out.Nodes[i] = state
	}
	return out, s.problems
}

// live says whether a source feeds a node.
func (s *solver) live(node int) bool { return s.via[node] != noParent && !s.blocked[s.group[node]] }
