package rule

import (
	"fmt"

	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
	"crownweir/lint/sizing"
)

// intervalLoads judges what enters a stack in one storey, where the book sizes
// stacks by branch intervals.
func (c *Case) intervalLoads() {
	table := c.Book.Table("branch-units")
	if table == nil || !c.Book.Flag("branch-intervals") {
		return
	}
	for _, s := range c.Ledger.Stacks() {
		if !s.PassesStorey() {
			continue
		}
		sums := map[float64]float64{}
		var worst *sizing.Branch
		over := 0.0
		for i := range s.Branches {
			b := &s.Branches[i]
			size := c.stackSizeBelow(s, b.At)
			cell := table.BySize(size, "branch-interval")
			if !b.Known || !cell.OK || cell.Unlimited {
				continue
			}
			c.use(cell)
			sums[b.Floor] += c.Ledger.Of(b.Pipe).Units
			if d := sums[b.Floor] - cell.Value; d > over+eps {
				worst, over = b, d
			}
		}
		if worst == nil {
			c.complies(s.Pipes[0].Run.Subject())
			continue
		}
		size := c.stackSizeBelow(s, worst.At)
		cell := table.BySize(size, "branch-interval")
		r := c.newWork(worst.Pipe)
		if r == nil {
			continue
		}
		stack := s.Pipes[0].Line.Subject()
		j := Judgement{Answer: Breaks, Subject: r.Subject(), Copy: r.Copy, Loc: sizeLoc(r), Section: c.use(cell), Fact: "branch interval",
			Message: fmt.Sprintf("%s units enter the %s stack %s in one storey, the last by %s; one branch interval may bring %s", sizing.Trim(sums[worst.Floor]),
				quantity.FormatSize(size), stack, r.Subject(), sizing.Trim(cell.Value)),
			Measured: &Measure{round(sums[worst.Floor], 2), "units", ""}, Limit: &Measure{cell.Value, "units", "max"},
			Remedy: "enlarge the stack, or bring some of the storey's load to another"}
		for _, bigger := range table.Sizes() {
			if bc := table.BySize(bigger, "branch-interval"); bc.OK && bigger > size && bc.Value >= sums[worst.Floor]-eps {
				j.Remedy = fmt.Sprintf("make the stack %s, or bring some of the storey's load to another", quantity.FormatSize(bigger))
				break
			}
		}
		c.say(j)
	}
}

// stackSizeBelow is the size of a stack just below a node.
func (c *Case) stackSizeBelow(s *sizing.Stack, n *system.Node) quantity.Size {
	for _, p := range s.Pipes {
		if p.From == n {
			return p.Size()
		}
	}
	return s.Pipes[len(s.Pipes)-1].Size()
}
