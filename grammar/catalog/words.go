package catalog

// Each list is a fresh copy in the order in which the notation gives it.

// Fittings lists the fittings that stand at points.
func Fittings() []string {
	return []string{
		"sanitary-tee", "wye", "combination", "double-sanitary-tee", "double-wye",
		"double-fixture-fitting", "vent-tee", "tapped-tee", "test-tee", "closet-flange", "reducer",
	}
}

// Turns lists the fittings written between two legs.
func Turns() []string {
	return []string{
		"quarter-bend", "long-sweep", "short-sweep", "eighth-bend", "sixteenth-bend",
		"closet-bend", "return-bend",
	}
}

// Devices lists the first words of devices in a run.
func Devices() []string {
	return []string{
		"trap", "cleanout", "valve", "meter", "regulator", "backflow", "vacuum-breaker",
		"arrester", "softener", "filter", "strainer", "backwater-valve", "expansion-tank",
		"relief-valve", "flange", "air-gap", "air-break", "primer", "interceptor", "loss",
	}
}

// Systems lists the first words of runs.
func Systems() []string {
	return []string{
		"drain", "sewer", "vent", "service", "cold", "hot", "return", "discharge", "indirect",
	}
}

// Claims lists the vent methods that a run may claim after `system`.
func Claims() []string {
	return []string{"circuit", "combination", "single-stack", "waste-stack", "wet", "island"}
}

// RoomUses lists the uses of a room.
func RoomUses() []string {
	return []string{"food", "laundry", "restroom", "clinic", "salon", "plant"}
}

// Occupancies lists who uses a fixture.
func Occupancies() []string { return []string{"private", "public", "assembly"} }

// Interceptors lists what an interceptor holds back.
func Interceptors() []string {
	return []string{"grease", "solids", "lint", "hair", "plaster", "oil", "sand", "amalgam"}
}

// Wastes lists what a fixture's waste may carry.
func Wastes() []string {
	return []string{"food", "grease", "plaster", "lint", "hair", "oil", "sand", "amalgam"}
}

// ValveKinds lists the kinds of valve.
func ValveKinds() []string { return []string{"full-port", "gate", "stop", "check"} }

// BackflowKinds lists the assemblies that a `backflow` device may be.
func BackflowKinds() []string {
	return []string{"double-check", "reduced-pressure", "pressure-vacuum", "atmospheric-vacuum"}
}

// Protections lists the values of a fixture's `protected`.
func Protections() []string {
	return []string{
		"hose-vacuum-breaker", "atmospheric-vacuum", "pressure-vacuum", "air-gap",
		"double-check", "reduced-pressure", "none",
	}
}

// Spouts lists the values of a fixture's `spout`.
func Spouts() []string { return []string{"hose-thread", "hand-spray", "plain"} }

// Controls lists the values of a fixture's `control`.
func Controls() []string { return []string{"pressure-balance", "thermostatic", "combination"} }

// CleanoutKinds lists the kinds of cleanout.
func CleanoutKinds() []string { return []string{"two-way", "wall", "floor", "grade"} }

// Directions lists the directions of a leg: level ones, plumb ones, and the
// slanting ones at 45 degrees. `over`, a level way not told, is none.
func Directions() []string {
	level := []string{
		"north", "south", "east", "west", "northeast", "northwest", "southeast", "southwest",
	}
	all := append(append([]string(nil), level...), "up", "down")
	for _, plumb := range []string{"up", "down"} {
		for _, way := range level {
			all = append(all, plumb+"-"+way)
		}
	}
	return all
}
