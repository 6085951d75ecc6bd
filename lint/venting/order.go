package venting

import "sort"

// sortWays puts ways in a fixed order: by the pipe that comes first, by size.
func sortWays(ways []Way) {
	sort.SliceStable(ways, func(i, j int) bool {
		if ways[i].First.ID != ways[j].First.ID {
			return ways[i].First.ID < ways[j].First.ID
		}
		return ways[i].Size < ways[j].Size
	})
}
