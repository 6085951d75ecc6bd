package rule

// pumped lists the rules of what lies too low to drain by itself: backwater
// valves and ejectors.
func pumped() []Rule {
	return []Rule{
		{Name: "low-fixture", Family: "Drainage", Severity: Correction, Title: "Low fixture without a backwater valve",
			Why:      "When the public sewer backs up, it stands as high as the cover of the next manhole. A fixture whose rim lies lower is where it comes out, inside the building.",
			Computed: "Each fixture's flood rim is compared with the cover of the upstream manhole that the outfall writes; below it, a backwater valve must stand on its way. What is pumped is free; where no manhole is written nothing is judged.",
			Needs:    []string{"manhole", "rim"}, Judge: lowFixture},
		{Name: "shared-backwater-valve", Family: "Drainage", Severity: Correction, Title: "Backwater valve that also takes high fixtures",
			Why:      "While the valve holds the sewer back, whatever is used upstream of it has no way out and fills the low rooms from inside.",
			Computed: "Upstream of each backwater valve the fixtures are looked at whose rim stands above the cover of the upstream manhole; where the book goes by the floor, those on a floor below the cover may stay.",
			Needs:    []string{"manhole", "rim"}, Judge: sharedBackwater},
		{Name: "small-ejector", Family: "Drainage", Severity: Correction, Title: "Ejector or its discharge too small",
			Why:      "A pump that lifts less than a closet's flush, or whose inlet or discharge stops solids, blocks and leaves the sump to overflow.",
			Computed: "Flow, solids and discharge size of an ejector that takes closets or urinals are compared with the least, each by itself; a single dwelling has limits of its own.",
			Needs:    []string{"flow", "solids", "size"}, Judge: smallEjector},
		{Name: "unvented-ejector", Family: "Drainage", Severity: Correction, Title: "Ejector sump without a proper vent",
			Why:      "Every inflow drives foul air out of a closed sump and every pumping draws air in. Without a vent both go through the traps.",
			Computed: "The sump has a vent of its own that leads to open air, of the least size, and where the book has a table, no longer than its size and the pump's flow allow.",
			Needs:    []string{"vent at the ejector"}, Judge: unventedEjector},
		{Name: "missing-ejector-valve", Family: "Drainage", Severity: Correction, Title: "Ejector discharge without its valves",
			Why:      "Without a check valve the riser empties back into the sump after every run; without a full-way valve the pump cannot be taken out without the house's waste coming down.",
			Computed: "A check valve and a full-way valve stand in `discharge-valves` or as devices on the discharge.",
			Needs:    []string{"discharge-valves"}, Judge: missingEjectorValve},
		{Name: "low-ejector-entry", Family: "Drainage", Severity: Correction, Title: "Pumped discharge that does not enter from the top",
			Why:      "A pump's jet that enters a level drain from the side or from below fills it from wall to wall and drives waste up the drain and into its branches.",
			Computed: "Where the discharge enters a level drain its last leg comes down, or it says `enters top`.",
			Needs:    []string{"legs"}, Judge: lowEjectorEntry},
		{Name: "needless-pumping", Family: "Drainage", Severity: Caution, Title: "Fixture pumped that could drain by gravity",
			Why:      "A pump fails with the power, and then every fixture on it is out of use. What stands high enough drains by itself.",
			Computed: "From the head of each fixture's drain the least fall over the whole level way to the sump and on along the discharge is taken off; what is left is compared with the height of the drain that the discharge enters. Judged only where all of these are known.",
			Needs:    []string{"heights", "legs"}, Judge: needlessPumping},
	}
}
