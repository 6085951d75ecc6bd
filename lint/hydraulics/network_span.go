package hydraulics

import "sort"

// ground is the rank of what all sources stand on.
const ground = -1

// span walks the network from the sources, depth first, and parts it into
// groups: two nodes are in one group where two ways without a common link lead
// from one to the other. All sources stand on one ground, so that two of them
// joined by pipe make a loop. A group of one node has no loop; what joins
// groups is a tree.
func (s *solver) span() {
	n := len(s.nodes)
	s.index()
	s.strays(s.reach())
	s.index()
	s.via, s.group, s.rank = make([]int, n), make([]int, n), make([]int, n)
	for i := range s.nodes {
		s.via[i], s.group[i], s.rank[i] = noParent, noParent, noParent
	}
	// low is the earliest rank that a node and those below it lead back to by
	// another way than the one they were reached by.
	low := make([]int, n)
	next := make([]int, n) // of a node, the place in ends to look at next
	parent := make([]int, n)
	visit := func(node, via, from int) {
		s.via[node], parent[node], s.rank[node], low[node] = via, from, len(s.order), len(s.order)
		if s.nodes[node].Source && via != fromGround {
			low[node] = ground
		}
		next[node] = s.start[node]
		s.order = append(s.order, node)
	}
	for i, source := range s.nodes {
		if !source.Source || s.via[i] != noParent {
			continue
		}
		visit(i, fromGround, noParent)
		for at := i; at != noParent; {
			up := parent[at]
			if next[at] == s.start[at+1] {
				if up != noParent {
					low[up] = min(low[up], low[at])
				}
				at = up
				continue
			}
			end := s.ends[next[at]]
			next[at]++
			switch {
			case end.link == s.via[at]:
			case s.via[end.other] != noParent:
				low[at] = min(low[at], s.rank[end.other])
			default:
				visit(end.other, end.link, at)
				at = end.other
			}
		}
	}
	s.first = []int{noParent} // the ground's own group, whose first is no node
	for _, node := range s.order {
		up := 0
		if p := parent[node]; p != noParent {
			up = s.group[p]
		}
		if low[node] < s.rank[node] {
			s.group[node] = up
			continue
		}
		s.group[node] = len(s.first)
		s.first = append(s.first, node)
	}
	s.wanted, s.blocked = make([]float64, len(s.first)), make([]bool, len(s.first))
}

// index lists the usable links at every node.
func (s *solver) index() {
	s.start = make([]int, len(s.nodes)+1)
	for i, law := range s.laws {
		if s.usable[i] {
			s.start[law.from+1]++
			s.start[law.to+1]++
		}
	}
	for i := range s.nodes {
		s.start[i+1] += s.start[i]
	}
	s.ends = make([]half, s.start[len(s.nodes)])
	fill := append([]int(nil), s.start...)
	for i, law := range s.laws {
		if s.usable[i] {
			s.ends[fill[law.from]], s.ends[fill[law.to]] = half{i, law.to}, half{i, law.from}
			fill[law.from]++
			fill[law.to]++
		}
	}
}

// reach finds what sources feed, checks and regulators being passed one way.
func (s *solver) reach() []bool {
	fed := make([]bool, len(s.nodes))
	var list []int
	for i, node := range s.nodes {
		if node.Source {
			fed[i] = true
			list = append(list, i)
		}
	}
	for at := 0; at < len(list); at++ {
		for _, end := range s.ends[s.start[list[at]]:s.start[list[at]+1]] {
			law := &s.laws[end.link]
			if !fed[end.other] && !(law.oneWay && law.from != list[at]) {
				fed[end.other] = true
				list = append(list, end.other)
			}
		}
	}
	return fed
}

// strays complains of what no source feeds, part by part, and takes its links
// out.
func (s *solver) strays(fed []bool) {
	seen := make([]bool, len(s.nodes))
	for i := range s.nodes {
		if fed[i] || seen[i] {
			continue
		}
		part := []int{i}
		var shut []int // checks that lead out of the part
		seen[i] = true
		halves := 0
		for at := 0; at < len(part); at++ {
			for _, end := range s.ends[s.start[part[at]]:s.start[part[at]+1]] {
				s.usable[end.link] = false
				if fed[end.other] {
					s.closed[end.link] = true
					shut = append(shut, end.link)
					continue
				}
				halves++
				if !seen[end.other] {
					seen[end.other] = true
					part = append(part, end.other)
				}
			}
		}
		sort.Ints(part)
		sort.Ints(shut)
		kind := Unreached
		switch {
		case len(shut) > 0:
			kind = Blocked
		case halves/2 >= len(part):
			kind = LoopUnsupplied
		}
		s.complain(kind, part, shut)
	}
}

// gather adds up what every group and all below it draw, from the far ends
// towards the sources. Water fed in behind a check has nowhere to go: its
// groups are cut off.
func (s *solver) gather() {
	for i, node := range s.nodes {
		s.load[i] = node.Demand
	}
	for i := len(s.order) - 1; i >= 0; i-- {
		node := s.order[i]
		group := s.group[node]
		s.wanted[group] += s.load[node]
		if s.first[group] != node || s.via[node] < 0 {
			continue
		}
		// node is the first of its group: all below has been added up
		link, draw := s.via[node], s.wanted[group]
		law := &s.laws[link]
		up, flow := law.from, draw
		if law.to != node {
			up, flow = law.to, 0-draw
		}
		if law.oneWay && flow < -stillFlow {
			s.closed[link], s.blocked[group] = true, true
			continue
		}
		s.flows[link] = flow
		s.load[up] += draw
	}
}

// descend walks from the sources down: heads along the tree, loops group by
// group as the first of their nodes is come to.
func (s *solver) descend() {
	members := make([][]int, len(s.first))
	for _, node := range s.order {
		members[s.group[node]] = append(members[s.group[node]], node)
	}
	cut := map[int][]int{} // by the link that shut them off, or byLoops
	var cuts []int
	shutBy := make([]int, len(s.first))
	for group := range shutBy {
		shutBy[group] = byLoops
	}
	if len(members[0]) > 0 {
		s.loops(members[0])
	}
	for group := 1; group < len(s.first); group++ {
		node := s.first[group]
		link := s.via[node]
		switch {
		case link == fromGround:
			s.heads[node] = s.nodes[node].Head
		default:
			up := s.laws[link].from + s.laws[link].to - node
			if s.blocked[s.group[up]] {
				s.blocked[group], shutBy[group] = true, shutBy[s.group[up]]
				s.flows[link] = 0
			} else if s.blocked[group] {
				shutBy[group] = link
				cuts = append(cuts, link)
			} else {
				s.heads[node] = s.below(link, up, node)
			}
			if s.blocked[group] {
				cut[shutBy[group]] = append(cut[shutBy[group]], members[group]...)
				continue
			}
		}
		if len(members[group]) > 1 {
			s.loops(members[group])
		}
	}
	for _, link := range cuts {
		sort.Ints(cut[link])
		s.complain(Blocked, cut[link], []int{link})
	}
	sort.Ints(cut[byLoops])
	s.complain(NotConverged, cut[byLoops], nil)
}

// byLoops stands for loops without an answer in the place of a link that shuts
// off what hangs on them.
const byLoops = -1

// below is the head at a node under a link of the tree.
func (s *solver) below(link, up, node int) float64 {
	law := &s.laws[link]
	lost, _ := law.loss(s.flows[link])
	if law.to != node {
		return s.heads[up] + lost
	}
	head := s.heads[up] - lost
	if law.regulator {
		if most := law.set - law.droop*s.flows[link]; most < head {
			s.holding[link] = true
			return most
		}
	}
	return head
}
