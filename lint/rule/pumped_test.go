package rule_test

import (
	"testing"

	"crownweir/lint"
)

func TestEjectors(t *testing.T) {
	const pump = "flow 20gpm solids 2\" discharge-valves check full-port"
	runVariants(t, []variant{
		{name: "three facts, three findings", example: "small-ejector", which: "good",
			changes: []change{{pump, "flow 10gpm solids 3/4\" discharge-valves check full-port"}, {`discharge E1 to d1 3"`, `discharge E1 to d1 1-1/2"`}},
			rule:    "small-ejector", subjects: []string{"E1", "E1", "E1"}, says: "passes solids of 3/4\""},
		{name: "outside dwellings the limits are larger", example: "small-ejector", which: "good",
			changes: []change{{"occupancy private", "occupancy public"}, {"solids 2\"", "solids 1-1/2\""}, {`discharge E1 to d1 3"`, `discharge E1 to d1 2"`}},
			rule:    "small-ejector", subjects: []string{"E1", "E1"}},
		{name: "a dwelling may do with less", example: "small-ejector", which: "good",
			changes: []change{{"solids 2\"", "solids 1-1/2\""}, {`discharge E1 to d1 3"`, `discharge E1 to d1 2"`}}, rule: "small-ejector"},
		{name: "a flow that is not written", example: "small-ejector", which: "good",
			changes: []change{{"flow 20gpm ", ""}}, rule: "small-ejector", subjects: []string{"E1"}, says: "flow of E1", severity: lint.Caution},
		{name: "nothing is asked of a pump without closets", example: "small-ejector", which: "bad",
			changes: []change{{"WC1 water-closet", "WC1 shower"}}, rule: "small-ejector"},
		{name: "IPC rates the flow by the discharge", example: "small-ejector", which: "good",
			changes: []change{{"upc-2021", "ipc-2021"}}, rule: "small-ejector", subjects: []string{"E1"}, says: "46 gpm"},
		{name: "a vent too small for a sump", example: "unvented-ejector", which: "good",
			changes: []change{{`vent E1 to v1 2"`, `vent E1 to v1 1-1/4"`}}, rule: "unvented-ejector", subjects: []string{"E1"}, says: "1-1/2\" is the least"},
		{name: "IPC's table goes by flow and length", example: "unvented-ejector", which: "good",
			changes: []change{{"upc-2021", "ipc-2021"}, {"flow 20gpm", "flow 100gpm"}, {`vent E1 to v1 2"`, `vent E1 to v1 1-1/2"`}, {"up to 44\", west 4'", "up to 44\", west 30'"}},
			rule:    "unvented-ejector", subjects: []string{"E1"}, says: "at 100 gpm that size may be 25'"},
		{name: "valves in the discharge count", example: "missing-ejector-valve", which: "bad",
			changes: []change{{" discharge-valves full-port", ""}, {`discharge E1 to d1 3": `, `discharge E1 to d1 3": valve check, valve gate, `}}, rule: "missing-ejector-valve"},
		{name: "a stop is no full-way valve", example: "missing-ejector-valve", which: "bad",
			changes: []change{{"discharge-valves full-port", "discharge-valves check stop"}}, rule: "missing-ejector-valve", subjects: []string{"E1"}, says: "no full-way valve"},
		{name: "found without its valves", example: "missing-ejector-valve", which: "good",
			changes: []change{{"fitting d0", "inspection final on 2026-11-02\nfound E1 without valve\nfitting d0"}}, rule: "missing-ejector-valve", subjects: []string{"E1"}, says: "no check valve and no full-way valve"},
		{name: "enters top overrides the leg", example: "low-ejector-entry", which: "bad",
			changes: []change{{`up to 1'6" below ground, north 6'`, `up to 1'6" below ground, north 6', enters top`}}, rule: "low-ejector-entry"},
		{name: "enters heel too", example: "low-ejector-entry", which: "good",
			changes: []change{{`north 6', down 4"`, `north 6', down 4", enters heel`}}, rule: "low-ejector-entry", subjects: []string{"E1 to d1"}, says: "from the heel"},
		{name: "IPC does not ask for it", example: "low-ejector-entry", which: "bad",
			changes: []change{{"upc-2021", "ipc-2021"}}, rule: "low-ejector-entry"},
		{name: "without heights nothing is judged needless", example: "needless-pumping", which: "bad",
			changes: []change{{`north 6', down 4"`, "over to suit"}}, rule: "needless-pumping"},
	})
}

func TestBackwater(t *testing.T) {
	runVariants(t, []variant{
		{name: "no manhole, nothing to say", example: "low-fixture", which: "bad",
			changes: []change{{" manhole -1'", ""}}, rule: "low-fixture"},
		{name: "an unknown manhole is counted, not told", example: "low-fixture", which: "bad",
			changes: []change{{"manhole -1'", "manhole unknown"}}, rule: "low-fixture"},
		{name: "found without its valve", example: "low-fixture", which: "good",
			changes: []change{{"sewer p4", "inspection final on 2026-11-02\nfound drain p2 to p3 without backwater-valve\nsewer p4"}},
			rule:    "low-fixture", subjects: []string{"WC1", "LV1"}},
		{name: "an existing closet is not corrected", example: "low-fixture", which: "bad",
			changes: []change{{"front 25\"", "front 25\" existing"}}, rule: "low-fixture", subjects: []string{"LV1"}},
		{name: "pumped fixtures are free", example: "small-ejector", which: "good",
			changes: []change{{"outfall SEW at -4'", "outfall SEW at -4' manhole -1'"}}, rule: "low-fixture"},
		{name: "a high rim on the low floor may pass the valve", example: "shared-backwater-valve", which: "good",
			changes: []change{{"LV1 lavatory in bath", "LV1 lavatory in bath rim 40\""}}, rule: "shared-backwater-valve"},
		{name: "existing drains through the valve", example: "shared-backwater-valve", which: "good",
			changes: []change{{"fixture LV2", "existing drain BD 3\" units 6 closets 1\ndrain BD to p2 3\": east 4'\nfixture LV2"}},
			rule:    "shared-backwater-valve", subjects: []string{"p2 to p3"}, says: "existing BD", severity: lint.Caution},
	})
}
