package rule_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lint"
)

// seen puts found lines before the plan's first run.
func seen(lines string) change {
	const first = "service M to s1 1\": "
	return change{first, "inspection rough-in on 2026-11-02\n" + lines + "\n" + first}
}

const trunkValve = "valve full-port, north 30'"

func TestSupplyTable(t *testing.T) {
	runVariants(t, []variant{
		{name: "a tagged pipe is one finding with the worst value", example: "small-supply", which: "good",
			changes: []change{{`s1 1": meter`, `s1 1/2" as W-1: meter`}, {`cold s1 to c1 3/4":`, `cold s1 to c1 3/8" as W-1:`}},
			rule:    "small-supply", subjects: []string{"W-1"}, says: "carries 8 supply units"},
		{name: "a service under the least, where a calculation governs", example: "small-supply", which: "bad",
			changes: []change{{"default stop", "default stop\nmethod engineered"}}, rule: "small-supply", subjects: []string{"M to s1"}, says: `service M to s1 is 1/2"; 3/4" is the least`},
		{name: "a service under the least, where the table allows it", example: "small-supply", which: "bad",
			changes: []change{{"cold s1 to HB 1/2\": west 10', up to suit\n", ""}}, rule: "small-supply", subjects: []string{"M to s1"}, says: `make it 3/4"`},
		{name: "existing pipe is not corrected", example: "small-supply", which: "bad",
			changes: []change{{`service M to s1 1/2":`, `service M to s1 1/2" existing:`}}, rule: "small-supply"},
		{name: "measured on site", example: "small-supply", which: "good",
			changes: []change{seen(`found service M to s1 size 1/2"`)}, rule: "small-supply", subjects: []string{"M to s1"}},
		{name: "a way without a length", example: "small-supply", which: "good",
			changes: []change{{"north 30'", "north to suit"}}, rule: "small-supply", subjects: []string{"M"}, says: "length of M to s1", severity: lint.Caution},
		{name: "too little pressure for the table", example: "small-supply", which: "good",
			changes: []change{{"62psi", "33psi"}}, rule: "small-supply", subjects: []string{"M"}, says: "33 psi at M less 9.5 ft of height to SH leave 28.3 psi; the supply table begins at 30", severity: lint.Caution},
		{name: "farther than the table", example: "small-supply", which: "good",
			changes: []change{{"north 30'", "north 1000'"}}, rule: "small-supply", subjects: []string{"M"}, says: "the supply table ends at 1000", severity: lint.Caution},
		{name: "a regulator leaves its share", example: "small-supply", which: "good",
			changes: []change{{"62psi", "90psi"}, {`s1 1":`, `s1 3/4":`}, {"north 30'", "regulator 50psi strainer, north 130'"}},
			rule:    "small-supply", subjects: []string{"M to s1"}, says: "35.3 psi and 159 ft allow 6"},
		{name: "a regulator on a branch is none of the house's", example: "small-supply", which: "good",
			changes: []change{{"cold s1 to HB 1/2\": west", "cold s1 to HB 1/2\": regulator 36psi strainer, west"}}, rule: "small-supply"},
		{name: "a regulator set above the street takes nothing", example: "small-supply", which: "good",
			changes: []change{{"62psi", "40psi"}, {"north 30'", "regulator 75psi strainer, north 30'"}}, rule: "small-supply"},
		{name: "IPC lengthens the way for fittings", example: "small-supply", which: "good",
			changes: []change{{"upc-2021", "ipc-2021"}, {`s1 1":`, `s1 3/4":`}, {"north 30'", "north 70'"}}, rule: "small-supply", subjects: []string{"M to s1"}, says: "118 ft allow 6.5"},
		{name: "a height that nothing settles", example: "small-supply", which: "good",
			changes: []change{{"LV lavatory in bath", "LV equipment in bath water-units 1"}}, rule: "small-supply", subjects: []string{"M"}, says: "height of LV", severity: lint.Caution},
		{name: "one fixture's own pipe is judged by its kind", example: "small-supply", which: "good",
			changes: []change{{"SH shower in bath", "SH shower in bath water-units 30"}, {`s1 1":`, `s1 1-1/4":`}, {`s1 to c1 3/4"`, `s1 to c1 1-1/4"`}, {`c1 to WH 3/4"`, `c1 to WH 1"`}, {`h1 3/4"`, `h1 1"`}}, rule: "small-supply"},
		{name: "units that nobody tells", example: "small-supply", which: "good",
			changes: []change{{"LV lavatory in bath", "LV equipment in bath supply 20\" protected air-gap"}}, rule: "small-supply", severity: lint.Caution,
			subjects: []string{"M to s1"}, says: "the supply units of LV are not written"},
		{name: "units asked for", example: "small-supply", which: "good",
			changes: []change{{"LV lavatory in bath", "LV equipment in bath supply 20\" protected air-gap water-units unknown"}}, rule: "small-supply"},
		{name: "units that the plan writes", example: "small-supply", which: "good",
			changes: []change{{"LV lavatory in bath", "LV equipment in bath supply 20\" protected air-gap water-units 1"}}, rule: "small-supply"},
		{name: "a circle is not sized by the table", example: "small-supply", which: "bad",
			changes: []change{{"cold c1 to LV", "cold c1 to s1 3/4\": over 8'\ncold c1 to LV"}, {`s1 1/2":`, `s1 3/4":`}, {"WC water-closet in bath", "WC water-closet in bath water-units 40"}},
			rule:    "small-supply", subjects: []string{"M"}, says: "supply pipes from M close a circle", severity: lint.Caution},
	})
}

func TestFixtureSupplies(t *testing.T) {
	const line = `cold s1 to c1 3/4": east 8'`
	manifold := []change{{"upc-2021", "ipc-2021"}, {"fixture WC", "manifold c1 in bath\nfixture WC"}, {`SH 1/2": north 6', up to suit
cold`, `SH 3/8": north 6', up to suit
cold`}}
	runVariants(t, []variant{
		{name: "IPC takes 3/8 for a closet", example: "small-fixture-supply", which: "bad", changes: []change{{"upc-2021", "ipc-2021"}}, rule: "small-fixture-supply"},
		{name: "a flushometer asks an inch", example: "small-fixture-supply", which: "good",
			changes: []change{{"WC water-closet in bath", "WC water-closet in bath flush valve 1.6gal"}}, rule: "small-fixture-supply", subjects: []string{"s1 to WC"}, says: `1"`},
		{name: "IPC's connector of 30 inches", example: "small-fixture-supply", which: "good",
			changes: []change{{"upc-2021", "ipc-2021"}, {`cold c1 to SH 1/2": north 6'`, "cold c1 to sh 1/2\": north 6'\ncold sh to SH 3/8\": north 2'"}, {"sh to SH 3/8\": north 2', up to suit", "sh to SH 3/8\": up 2'"}},
			rule:    "small-fixture-supply"},
		{name: "without it UPC asks the size to the end", example: "small-fixture-supply", which: "good",
			changes: []change{{`cold c1 to SH 1/2": north 6', up to suit`, "cold c1 to sh 1/2\": north 6'\ncold sh to SH 3/8\": up 2'"}}, rule: "small-fixture-supply", subjects: []string{"sh to SH"}},
		{name: "IPC's line from a manifold", example: "small-fixture-supply", which: "good", changes: manifold, rule: "small-fixture-supply"},
		{name: "too far from the manifold", example: "small-fixture-supply", which: "good",
			changes: append(append([]change{}, manifold...), change{"SH 3/8\": north 6'", "SH 3/8\": north 60'"}), rule: "small-fixture-supply", subjects: []string{"c1 to SH"}},
		{name: "too little pressure for it", example: "small-fixture-supply", which: "good",
			changes: append(append([]change{}, manifold...), change{"62psi", "34psi"}), rule: "small-fixture-supply", subjects: []string{"c1 to SH"}},
		{name: "words that begin with a vowel", example: "missing-arrester", which: "good",
			changes: []change{{`IM 1/2"`, `IM 3/8"`}}, rule: "small-fixture-supply", subjects: []string{"c1 to IM"}, says: "an ice maker asks"},
		{name: "the trunk is not judged by kind", example: "small-fixture-supply", which: "good",
			changes: []change{{line, strings.Replace(line, "3/4", "3/8", 1)}}, rule: "small-fixture-supply"},
	})
}

func TestPressureAndVelocity(t *testing.T) {
	runVariants(t, []variant{
		{name: "the lowest outlet decides", example: "high-pressure", which: "bad",
			changes: []change{{"96psi", "79psi"}, {"main M at -3'", "main M at 10'"}, {"up 3'6\"", "down 9'6\""}}, rule: "high-pressure", subjects: []string{"M"}, says: "83 psi"},
		{name: "what climbs enough is under the limit", example: "high-pressure", which: "bad",
			changes: []change{{"96psi", "81psi"}}, rule: "high-pressure"},
		{name: "an outlet before the regulator", example: "high-pressure", which: "good",
			changes: []change{{"regulator 60psi strainer, ", ""}, {`cold s1 to c1 3/4":`, `cold s1 to c1 3/4": regulator 60psi strainer,`}}, rule: "high-pressure", subjects: []string{"M"}},
		{name: "a regulator set too high", example: "high-pressure", which: "good",
			changes: []change{{"regulator 60psi", "regulator 85psi"}}, rule: "high-pressure", subjects: []string{"M to s1"}, says: "is set to 85 psi"},
		{name: "found without the regulator", example: "high-pressure", which: "good",
			changes: []change{seen("found service M to s1 without regulator")}, rule: "high-pressure", subjects: []string{"M"}},
		{name: "a main of unknown height", example: "high-pressure", which: "bad",
			changes: []change{{"main M at -3' 96psi", "main M 96psi"}, {"up 3'6\"", "up to suit"}}, rule: "high-pressure", subjects: []string{"M"}, says: "height of M", severity: lint.Caution},
		{name: "the table stands for the velocity", example: "fast-water", which: "bad",
			changes: []change{{"method engineered", "method table"}}, rule: "fast-water"},
		{name: "hot water is held to less", example: "fast-water", which: "good",
			changes: []change{{`hot WH to h1 3/4"`, `hot WH to h1 1/2"`}}, rule: "fast-water", subjects: []string{"WH to h1"}, says: "5 ft/s is the most"},
		{name: "one line answers for every pipe", example: "fast-water", which: "bad",
			changes: []change{{"default water copper-l\n", ""}}, rule: "fast-water", subjects: []string{"M to s1"}, says: "material of the water pipes", severity: lint.Caution},
	})
}

func TestShutoffs(t *testing.T) {
	runVariants(t, []variant{
		{name: "a valve behind the first branch is too late", example: "missing-shutoff", which: "bad",
			changes: []change{{`cold s1 to c1 3/4":`, `cold s1 to c1 3/4": valve full-port,`}}, rule: "missing-shutoff", subjects: []string{"M"}},
		{name: "a valve past a change of size", example: "missing-shutoff", which: "bad",
			changes: []change{{"north 30', up 3'6\"", "north 10'\nservice s0 to s1 3/4\": valve gate, north 20', up 3'6\""}, {"M to s1", "M to s0"}}, rule: "missing-shutoff"},
		{name: "a stop is no full-way valve", example: "missing-shutoff", which: "good",
			changes: []change{{trunkValve, "valve stop, north 30'"}}, rule: "missing-shutoff", subjects: []string{"M"}},
		{name: "found without it", example: "missing-shutoff", which: "good",
			changes: []change{seen("found service M to s1 without valve")}, rule: "missing-shutoff", subjects: []string{"M"}},
		{name: "no default, no stops", example: "missing-shutoff", which: "good",
			changes: []change{{"default stop\n", ""}}, rule: "missing-shutoff", subjects: []string{"WC", "LV"}, says: "write `valve stop`"},
		{name: "a check valve stops nobody", example: "missing-shutoff", which: "good",
			changes: []change{{"default stop\n", ""}, {`cold s1 to WC 1/2":`, `cold s1 to WC 1/2": valve check,`}, {`LV lavatory in bath`, `LV lavatory in bath existing`}}, rule: "missing-shutoff", subjects: []string{"WC"}},
		{name: "the default yields to the site", example: "missing-shutoff", which: "good",
			changes: []change{seen("found cold s1 to WC without valve")}, rule: "missing-shutoff", subjects: []string{"WC"}},
		{name: "IPC asks one at a bibb", example: "missing-shutoff", which: "good", changes: []change{{"upc-2021", "ipc-2021"}}, rule: "missing-shutoff", subjects: []string{"HB"}},
		{name: "and at a public shower", example: "missing-shutoff", which: "good",
			changes: []change{{"upc-2021", "ipc-2021"}, {"HB hose-bibb in yard", "HB lavatory in yard"}, {"SH shower in bath", "SH shower in bath public"}}, rule: "missing-shutoff", subjects: []string{"SH"}},
		{name: "the heater", example: "missing-shutoff", which: "good",
			changes: []change{{`WH 3/4": valve full-port, east`, `WH 3/4": east`}}, rule: "missing-shutoff", subjects: []string{"WH"}},
		{name: "a flat's valve must stand before all of it", example: "missing-shutoff", which: "good",
			changes: []change{{"dwelling baths 1 bedrooms 2", "dwelling A baths 1 bedrooms 2\ndwelling B baths 1 bedrooms 1"}, {"room bath on ground", "room bath on ground of A"}, {"room yard on ground", "room yard on ground of B"},
				{`cold s1 to HB 1/2": west 10'`, "cold s1 to y1 1/2\": valve gate, west 8'\ncold y1 to HB 1/2\": west 2'"}, {`cold s1 to c1 3/4":`, `cold s1 to c1 3/4": valve full-port,`}},
			rule: "missing-shutoff", subjects: []string{"A"}, says: "no valve of its own before WC"},
	})
}

func TestProtection(t *testing.T) {
	const plain = "HB hose-bibb in yard protected hose-vacuum-breaker"
	runVariants(t, []variant{
		{name: "on the pipe", example: "missing-backflow", which: "bad",
			changes: []change{{`HB 1/2": west 10', up to suit`, `HB 1/2": west 10', up to suit, vacuum-breaker`}}, rule: "missing-backflow"},
		{name: "a double check is for low hazards", example: "missing-backflow", which: "good",
			changes: []change{{plain, "HB hose-bibb in yard protected double-check"}}, rule: "missing-backflow", subjects: []string{"HB"}, says: "double check of HB does not do against a high hazard"},
		{name: "and does for one written so", example: "missing-backflow", which: "good",
			changes: []change{{plain, "HB hose-bibb in yard hazard low protected double-check"}}, rule: "missing-backflow"},
		{name: "a chair may press back", example: "missing-backflow", which: "good",
			changes: []change{{plain, "HB dental-unit in yard protected atmospheric-vacuum"}}, rule: "missing-backflow", subjects: []string{"HB"}, says: "may press back"},
		{name: "a spray on any fixture", example: "missing-backflow", which: "good",
			changes: []change{{"LV lavatory in bath", "LV service-sink in bath spout hand-spray"}}, rule: "missing-backflow", subjects: []string{"LV"}, says: "protected atmospheric-vacuum"},
		{name: "one supply protected, one not", example: "missing-backflow", which: "good",
			changes: []change{{"LV lavatory in bath", "LV service-sink in bath spout hose-thread"}, {"cold c1 to LV 1/2\":", "cold c1 to LV 1/2\": vacuum-breaker,"}}, rule: "missing-backflow", subjects: []string{"LV"}},
		{name: "found without it", example: "missing-backflow", which: "good", changes: []change{seen("found HB without vacuum-breaker")}, rule: "missing-backflow", subjects: []string{"HB"}},
		{name: "unknown is not told", example: "missing-backflow", which: "good", changes: []change{{plain, "HB hose-bibb in yard protected unknown"}}, rule: "missing-backflow"},
		{name: "existing work", example: "missing-backflow", which: "bad", changes: []change{{"HB hose-bibb in yard", "HB hose-bibb in yard existing"}}, rule: "missing-backflow"},
		{name: "a strainer behind the regulator", example: "missing-strainer", which: "bad",
			changes: []change{{"regulator 60psi,", "regulator 60psi, strainer,"}}, rule: "missing-strainer", subjects: []string{"M to s1"}},
		{name: "a strainer before it", example: "missing-strainer", which: "bad", changes: []change{{"regulator 60psi,", "strainer, regulator 60psi,"}}, rule: "missing-strainer"},
		{name: "a large regulator needs none", example: "missing-strainer", which: "bad", changes: []change{{`s1 1":`, `s1 1-1/2":`}}, rule: "missing-strainer"},
		{name: "found without its strainer", example: "missing-strainer", which: "good", changes: []change{seen("found service M to s1 without strainer")}, rule: "missing-strainer", subjects: []string{"M to s1"}},
		{name: "IPC has no such rule", example: "missing-strainer", which: "bad", changes: []change{{"upc-2021", "ipc-2021"}}, rule: "missing-strainer"},
		{name: "both supplies of a washer, one finding", example: "missing-arrester", which: "bad",
			changes: []change{{"LV lavatory in bath", "LV clothes-washer in bath"}, {"IM ice-maker in bath", "IM lavatory in bath"}}, rule: "missing-arrester", subjects: []string{"LV"}},
		{name: "an arrester found missing", example: "missing-arrester", which: "good", changes: []change{seen("found cold c1 to IM without arrester")}, rule: "missing-arrester", subjects: []string{"IM"}},
	})
}

func TestHeaters(t *testing.T) {
	const first = "first-hour 55gal"
	runVariants(t, []variant{
		{name: "a tank on the cold side", example: "missing-expansion-control", which: "bad",
			changes: []change{{`WH 3/4": valve full-port, east`, `WH 3/4": valve full-port, expansion-tank, east`}}, rule: "missing-expansion-control"},
		{name: "a tank before the check valve is on the wrong side", example: "missing-expansion-control", which: "bad",
			changes: []change{{"valve full-port, valve check", "valve full-port, expansion-tank, valve check"}}, rule: "missing-expansion-control", subjects: []string{"WH"}},
		{name: "a heater without storage", example: "missing-expansion-control", which: "bad", changes: []change{{" storage 40gal", ""}}, rule: "missing-expansion-control"},
		{name: "found without its tank", example: "missing-expansion-control", which: "good", changes: []change{seen("found WH without expansion-tank")}, rule: "missing-expansion-control", subjects: []string{"WH"}},
		{name: "found without its relief valve", example: "missing-relief", which: "good", changes: []change{seen("found WH without relief")}, rule: "missing-relief", subjects: []string{"WH"}},
		{name: "a relief valve in the pipe", example: "missing-relief", which: "bad", changes: []change{{`hot WH to h1 3/4": `, `hot WH to h1 3/4": relief-valve, `}}, rule: "missing-relief"},
		{name: "a rating nobody wrote", example: "small-heater", which: "good", changes: []change{{first, ""}}, rule: "small-heater", subjects: []string{"WH"}, says: "first-hour rating of WH", severity: lint.Caution},
		{name: "a rating asked for", example: "small-heater", which: "good", changes: []change{{first, "first-hour unknown"}}, rule: "small-heater"},
		{name: "bedrooms nobody wrote", example: "small-heater", which: "good", changes: []change{{" bedrooms 2", ""}}, rule: "small-heater", subjects: []string{"WH"}, says: "the number of bedrooms of the dwelling is not written", severity: lint.Caution},
		{name: "two baths and a half", example: "small-heater", which: "good", changes: []change{{"baths 1 bedrooms 2", "baths 2.5 bedrooms 3"}}, rule: "small-heater", subjects: []string{"WH"}, says: "62 is the least for 2.5 baths and 3 bedrooms"},
		{name: "a rating found on the label", example: "small-heater", which: "good", changes: []change{seen("found WH first-hour 48gal")}, rule: "small-heater", subjects: []string{"WH"}},
		{name: "IPC sets none", example: "small-heater", which: "bad", changes: []change{{"upc-2021", "ipc-2021"}}, rule: "small-heater"},
	})
}

func TestScald(t *testing.T) {
	runVariants(t, []variant{
		{name: "a cold shower scalds nobody", example: "missing-scald-control", which: "bad",
			changes: []change{{"hot h1 to SH 1/2\": north 6', up to suit\n", ""}}, rule: "missing-scald-control"},
		{name: "a control to be told", example: "missing-scald-control", which: "good", changes: []change{{"control pressure-balance", "control unknown"}}, rule: "missing-scald-control"},
		{name: "a tub without a limit", example: "hot-limit", which: "good",
			changes: []change{{"LV lavatory in bath public limit 110F", "LV bathtub in bath"}}, rule: "hot-limit", subjects: []string{"LV"}, says: "120 °F is the most"},
		{name: "IPC's public lavatory", example: "hot-limit", which: "good", changes: []change{{"upc-2021", "ipc-2021"}, {"110F", "115F"}}, rule: "hot-limit", subjects: []string{"LV"}, says: "limited to 115 °F; 110 °F"},
		{name: "measured too hot", example: "hot-limit", which: "good", changes: []change{seen("found LV limit 130F")}, rule: "hot-limit", subjects: []string{"LV"}, says: "130 °F"},
		{name: "a private lavatory has none", example: "hot-limit", which: "bad", changes: []change{{"in bath public", "in bath"}}, rule: "hot-limit"},
		{name: "found reversed", example: "reversed-hot-cold", which: "good", changes: []change{seen("found LV hot right")}, rule: "reversed-hot-cold", subjects: []string{"LV"}},
		{name: "not looked at yet", example: "reversed-hot-cold", which: "bad", changes: []change{{"hot right", "hot unknown"}}, rule: "reversed-hot-cold"},
	})
}

// What a found line decides is told at that line, and no edit of the plan
// puts it right.
func TestSupplyFoundLines(t *testing.T) {
	for _, c := range []struct{ rule, line string }{
		{"small-supply", `found service M to s1 size 1/2"`},
		{"small-fixture-supply", `found cold s1 to WC size 3/8"`},
		{"missing-shutoff", "found service M to s1 without valve"},
		{"missing-strainer", "found service M to s1 without strainer"},
		{"missing-backflow", "found HB without vacuum-breaker"},
		{"missing-expansion-control", "found WH without expansion-tank"},
		{"missing-relief", "found WH without relief"},
		{"small-heater", "found WH first-hour 48gal"},
		{"hot-limit", "found LV limit 130F"},
		{"reversed-hot-cold", "found LV hot right"},
	} {
		t.Run(c.rule, func(t *testing.T) {
			v := variant{example: c.rule, which: "good", changes: []change{seen(c.line)}}
			src := v.source(t)
			found := checkPlan(src, c.rule).Findings
			require.Len(t, found, 1)
			f := found[0]
			assert.Equal(t, "found", f.Basis)
			assert.Equal(t, strings.Count(src[:strings.Index(src, c.line)], "\n")+1, f.Start.Line, "at the found line")
			assert.Empty(t, f.Fixes)
		})
	}
}

// The fix of a finding satisfies its rule.
func TestSupplyFixes(t *testing.T) {
	for _, name := range []string{"small-supply", "small-fixture-supply", "fast-water", "missing-shutoff", "missing-strainer", "missing-backflow",
		"missing-arrester", "missing-expansion-control", "missing-relief", "missing-scald-control", "hot-limit"} {
		t.Run(name, func(t *testing.T) {
			src := example(t, name, "bad")
			found := checkPlan(src, name).Findings
			require.Len(t, found, 1)
			require.NotEmpty(t, found[0].Fixes)
			edits := found[0].Fixes[0].Edits
			for i := len(edits) - 1; i >= 0; i-- {
				src = src[:edits[i].StartByte] + edits[i].Text + src[edits[i].EndByte:]
			}
			assert.Empty(t, checkPlan(src, "").Findings, src)
		})
	}
}
