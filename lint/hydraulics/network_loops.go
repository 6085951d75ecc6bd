package hydraulics

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// headKnown stands in slot for a node whose head is given.
const headKnown = -1

// loops solves one group: its sources, or the node by which the tree comes in,
// hold their heads; all other heads and all flows are unknown. With every check,
// regulator and fixed loss taken one way the flows are settled, which Newton's
// method never fails at where losses grow without a jump; then those that stand
// wrong are changed, at first all of them, and one by one where that goes round
// in circles.
//
// A regulator that holds is a link from a head of its own, its set pressure,
// and its flow is a demand on the node before it: that flow depends on heads
// behind it, so it is solved beside the matrix, which stays symmetric.
func (s *solver) loops(members []int) {
	c := s.newCore(members)
	if c.effort(0) > workInTurn {
		c.lose(TooTangled, members)
		return
	}
	c.band, c.right = make([]float64, len(c.rows)*(c.width+1)), make([]float64, len(c.rows))
	for round, started := 1, s.turns; s.turns-started < turnsInAll; round++ {
		settled, trouble := c.settle()
		if trouble != "" {
			c.lose(trouble, members)
			return
		}
		if !c.change(round) {
			c.finish()
			if !settled {
				c.giveUp(NotConverged, members)
			}
			return
		}
	}
	c.finish()
	c.giveUp(NotConverged, members)
}

// settle takes turns until the flows have settled: each takes every link's loss
// as a straight line at its present flow and solves the nodes' balances for
// heads, which give the next flows. Trouble is why there is nothing to go on with.
func (c *core) settle() (settled bool, trouble ProblemKind) {
	for turn := 1; turn <= mostTurns; turn++ {
		holding := c.regulators()
		work := c.effort(len(holding))
		if c.work += work; work > workInTurn || c.work > workInAll {
			return false, TooTangled
		}
		if !c.assemble() || !c.solve(holding) {
			return false, NotConverged
		}
		c.turns++
		if c.advance(turn) {
			return true, ""
		}
	}
	return false, ""
}

// effort is about how many multiplications a turn takes: the band is factored,
// solved for every regulator that holds, and their own equations are solved.
func (c *core) effort(holding int) float64 {
	n, w, m := float64(len(c.rows)), float64(c.width+1), float64(holding)
	return n*w*w + 4*n*w*m + m*m*m
}

// core is a group of loops at work.
type core struct {
	*solver
	links []int // of the group
	rows  []int // node by row
	width int   // of the band beside the diagonal
	band  []float64
	right []float64
	flow  []float64 // by place in links
	next  []float64
	ways  []way
}

func (s *solver) newCore(members []int) *core {
	c := &core{solver: s}
	group := s.group[members[0]]
	var unknown []int
	for _, node := range members {
		s.slot[node] = headKnown
		switch {
		case s.nodes[node].Source:
			s.heads[node] = s.nodes[node].Head
		case s.first[group] != node:
			s.slot[node] = len(unknown)
			unknown = append(unknown, node)
		}
		for _, end := range s.ends[s.start[node]:s.start[node+1]] {
			if s.laws[end.link].from == node && s.group[end.other] == group {
				c.links = append(c.links, end.link)
			}
		}
	}
	c.rows = s.narrow(unknown, group)
	for row, node := range c.rows {
		s.slot[node] = row
	}
	for _, k := range c.links {
		a, b := s.slot[s.laws[k].from], s.slot[s.laws[k].to]
		if a != headKnown && b != headKnown {
			c.width = max(c.width, a-b, b-a)
		}
	}
	c.flow, c.next = make([]float64, len(c.links)), make([]float64, len(c.links))
	c.ways = make([]way, len(c.links))
	for i, k := range c.links {
		c.flow[i] = s.laws[k].guess()
	}
	return c
}

// narrow orders nodes so that linked ones stand close: breadth first from a far
// end, poorer neighbours first, and turned round.
//
// Source: E. Cuthill and J. McKee, 1969, reversed as A. George has it, 1971.
func (s *solver) narrow(unknown []int, group int) []int {
	neighbours := func(node int) []int {
		var list []int
		for _, end := range s.ends[s.start[node]:s.start[node+1]] {
			if s.group[end.other] == group && s.slot[end.other] != headKnown {
				list = append(list, end.other)
			}
		}
		return list
	}
	degree := func(node int) int { return s.start[node+1] - s.start[node] }
	seen := make(map[int]int, len(unknown)) // the sweep that saw a node
	sweeps := 0
	sweep := func(from int) []int {
		sweeps++
		list := []int{from}
		seen[from] = sweeps
		for at := 0; at < len(list); at++ {
			near := neighbours(list[at])
			sort.Slice(near, func(a, b int) bool {
				if degree(near[a]) != degree(near[b]) {
					return degree(near[a]) < degree(near[b])
				}
				return near[a] < near[b]
			})
			for _, node := range near {
				if seen[node] != sweeps {
					seen[node] = sweeps
					list = append(list, node)
				}
			}
		}
		return list
	}
	var order []int
	for _, node := range unknown {
		if seen[node] == 0 {
			far := sweep(node)
			order = append(order, sweep(far[len(far)-1])...)
		}
	}
	for i, j := 0, len(order)-1; i < j; i, j = i+1, j-1 {
		order[i], order[j] = order[j], order[i]
	}
	return order
}

// line is a link's loss as a straight line at its present flow: the flow will
// be offset + ease times the heads' difference.
func (c *core) line(i int) (offset, ease float64) {
	lost, slope := c.loss(i, c.flow[i])
	return c.flow[i] - lost/slope, 1 / slope
}

// assemble builds the balances of the nodes. It is false where a number has
// left what can be reckoned with.
func (c *core) assemble() bool {
	for i := range c.band {
		c.band[i] = 0
	}
	for row, node := range c.rows {
		c.right[row] = -c.load[node]
	}
	for i, k := range c.links {
		law := &c.laws[k]
		offset, ease := c.line(i)
		if !within(math.MaxFloat64, offset, ease) || ease <= 0 {
			return false
		}
		from, to := c.slot[law.from], c.slot[law.to]
		if c.ways[i] == hold {
			if to != headKnown {
				c.band[to*(c.width+1)] += ease
				c.right[to] += offset + ease*law.set
			}
			continue
		}
		if from != headKnown {
			c.band[from*(c.width+1)] += ease
			c.right[from] -= offset
			if to == headKnown {
				c.right[from] += ease * c.heads[law.to]
			}
		}
		if to != headKnown {
			c.band[to*(c.width+1)] += ease
			c.right[to] += offset
			if from == headKnown {
				c.right[to] += ease * c.heads[law.from]
			}
		}
		if from != headKnown && to != headKnown {
			c.band[min(from, to)*(c.width+1)+max(from, to)-min(from, to)] -= ease
		}
	}
	return true
}

// solve finds heads and next flows of this turn, beside the regulators that hold.
func (c *core) solve(holding []int) bool {
	n := len(c.rows)
	heads := c.right
	if n > 0 {
		// not by package mat, whose factor also weighs its own condition, at four
		// times the cost: how well heads hold shows in the misfit that is reported
		band := blas64.SymmetricBand{Uplo: blas.Upper, N: n, K: c.width, Data: c.band, Stride: c.width + 1}
		factor, ok := lapack64.Pbtrf(band)
		if !ok {
			return false
		}
		lapack64.Pbtrs(factor, blas64.General{Rows: n, Cols: 1, Data: heads, Stride: 1})
		if !c.regulated(factor, heads, holding) {
			return false
		}
	}
	for row, node := range c.rows {
		c.heads[node] = heads[row]
		if !within(math.MaxFloat64, c.heads[node]) {
			return false
		}
	}
	for i, k := range c.links {
		offset, ease := c.line(i)
		c.next[i] = offset + ease*(c.before(i)-c.heads[c.laws[k].to])
	}
	return true
}

// solved takes a poorly conditioned system as solved: how well shows in the
// misfit that is reported.
func solved(err error) bool {
	_, poor := err.(mat.Condition)
	return err == nil || poor
}

// regulators are the links that hold and draw from a node whose head is not
// known.
func (c *core) regulators() []int {
	var holding []int
	for i := range c.links {
		if c.ways[i] == hold && c.slot[c.laws[c.links[i]].from] != headKnown {
			holding = append(holding, i)
		}
	}
	return holding
}

// regulated corrects heads for the flows that holding regulators draw from the
// nodes before them.
func (c *core) regulated(factor blas64.TriangularBand, heads []float64, holding []int) bool {
	if len(holding) == 0 {
		return true
	}
	n, m := len(c.rows), len(holding)
	pulls := mat.NewDense(n, m, nil) // what a flow of one through each does to every head
	for j, i := range holding {
		pulls.Set(c.slot[c.laws[c.links[i]].from], j, 1)
	}
	lapack64.Pbtrs(factor, pulls.RawMatrix())
	matrix, right := mat.NewDense(m, m, nil), mat.NewVecDense(m, nil)
	for row, i := range holding {
		law := &c.laws[c.links[i]]
		offset, ease := c.line(i)
		matrix.Set(row, row, 1)
		to := c.slot[law.to]
		if to == headKnown {
			right.SetVec(row, offset+ease*(law.set-c.heads[law.to]))
			continue
		}
		right.SetVec(row, offset+ease*(law.set-heads[to]))
		for j := range holding {
			matrix.Set(row, j, matrix.At(row, j)-ease*pulls.At(to, j))
		}
	}
	flows := mat.NewVecDense(m, nil)
	if !solved(flows.SolveVec(matrix, right)) {
		return false
	}
	for row := range heads {
		for j := range holding {
			heads[row] -= pulls.At(row, j) * flows.AtVec(j)
		}
	}
	return true
}

// advance takes the next flows and says whether they have settled.
func (c *core) advance(turn int) bool {
	largest, change, misfit := 0.0, 0.0, 0.0
	for i, k := range c.links {
		next := c.next[i]
		lost, _ := c.loss(i, next)
		largest = math.Max(largest, math.Abs(next))
		change = math.Max(change, math.Abs(next-c.flow[i]))
		misfit = math.Max(misfit, math.Abs(c.before(i)-lost-c.heads[c.laws[k].to]))
	}
	settled := turn > 1 && misfit <= headSettled && change <= flowSettled*largest+flowNothing
	for i := range c.links {
		if next := c.next[i]; settled || turn <= calmAfter {
			c.flow[i] = next
		} else {
			c.flow[i] = (c.flow[i] + next) / 2
		}
	}
	return settled
}

// finish hands the flows over; what would leak back through a check is none.
func (c *core) finish() {
	for i, k := range c.links {
		c.flows[k], c.holding[k], c.closed[k] = c.flow[i], c.ways[i] == hold, c.ways[i] == shut
		if c.laws[k].oneWay && (c.closed[k] || c.flow[i] < 0) {
			c.flows[k] = 0
		}
	}
}

// lose gives up a group of which nothing is known.
func (c *core) lose(kind ProblemKind, members []int) {
	c.giveUp(kind, members)
	c.blocked[c.group[members[0]]] = true
}

func (c *core) giveUp(kind ProblemKind, members []int) {
	nodes := append([]int(nil), members...)
	links := append([]int(nil), c.links...)
	sort.Ints(nodes)
	sort.Ints(links)
	c.complain(kind, nodes, links)
}
