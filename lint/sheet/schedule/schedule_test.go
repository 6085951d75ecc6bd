package schedule_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lint"
	"crownweir/lint/sheet/closing"
	"crownweir/lint/sheet/schedule"
)

func check(t *testing.T, plan string, opts lint.Options) *lint.Report {
	t.Helper()
	r := lint.Check(context.Background(), fstest.MapFS{"a.weir": {Data: []byte(plan)}}, "a.weir", opts)
	require.Empty(t, r.Unread)
	return r
}

func scenario(t *testing.T, name string) *lint.Report {
	t.Helper()
	r := lint.Check(context.Background(), os.DirFS(filepath.Join("..", "..", "..", "testdata", "scenarios")), name, lint.Options{})
	require.Empty(t, r.Unread)
	return r
}

func sheet(t *testing.T, kind string, r *lint.Report) schedule.Sheet {
	t.Helper()
	s, ok := schedule.Make(kind, "a.weir", r)
	require.True(t, ok)
	for _, table := range s.Tables {
		for _, row := range table.Rows {
			require.Len(t, row, len(table.Columns), table.Name)
		}
	}
	assert.Equal(t, closing.Caution, s.Closing[len(s.Closing)-1])
	return s
}

// rows finds the rows in which columns hold texts.
func rows(t *testing.T, table schedule.Table, want map[string]string) []map[string]schedule.Cell {
	t.Helper()
	var out []map[string]schedule.Cell
	for _, row := range table.Rows {
		cells, ok := map[string]schedule.Cell{}, true
		for i, c := range table.Columns {
			cells[c.Name] = row[i]
			if text, asked := want[c.Name]; asked && text != row[i].Text {
				ok = false
			}
		}
		if ok {
			out = append(out, cells)
		}
	}
	return out
}

// The answer keys of invented buildings, worked out apart from the program:
// units, closets and developed length in feet of each drain.
func TestDrainsByTheirKeys(t *testing.T) {
	type key struct{ units, closets, feet float64 }
	for plan, keys := range map[string]map[string]key{
		"s01-quillfeather.weir": {
			"D-10": {22, 3, 36}, "D-11": {13, 2, 10.5}, "D-21": {7, 1, 3.0 + 4.0/12}, "D-22": {4, 0, 3.0 + 10.0/12}, "D-24": {2, 0, 5},
			"D-23": {2, 0, 2.5}, "D-31": {6, 1, 5.5}, "D-32": {3, 0, 5.0 + 10.0/12}, "D-33": {1, 0, 2.0 + 4.0/12}, "D-34": {1, 0, 3},
			"D-40": {5, 0, 24}, "D-41": {2, 0, 3.0 + 8.0/12}, "D-42": {3, 0, 3.0 + 4.0/12}, "D-51": {4, 1, 4.0 + 4.0/12}, "D-52": {1, 0, 3}, "D-53": {1, 0, 3.0 + 4.0/12},
		},
		"s02-marrowfield.weir": {"D-1": {17, 2, 28}, "D-2": {30, 4, 22}, "D-A2": {4, 0, 11}, "D-A4": {6, 1, 4.0 + 2.0/12}, "D-B8": {1, 0, 4.5}},
	} {
		table := sheet(t, "drains", scenario(t, plan)).Tables[0]
		for tag, want := range keys {
			got := rows(t, table, map[string]string{"tag": tag})
			require.NotEmpty(t, got, "%s %s", plan, tag)
			units, closets, feet := 0.0, 0.0, 0.0
			for _, row := range got {
				units, closets = max(units, row["load"].Number), max(closets, row["closets"].Number)
				feet += row["length"].Number
			}
			assert.Equal(t, want.units, units, "%s %s units", plan, tag)
			assert.Equal(t, want.closets, closets, "%s %s closets", plan, tag)
			assert.InDelta(t, want.feet, feet, 1.0/12, "%s %s feet", plan, tag)
		}
	}
}

const cottage = `plan "Plover Reach 2, cottage"
code upc-2021
default drain abs
default fall 1/4
level ground at 0'
roof at 12'
room bath on ground
room kitchen on ground
outfall SEW at -5'
terminal V1 roof rise 12" opening 12'
terminal V2 roof rise 12" opening 12'
fixture WC water-closet in bath side 18" front 26"
fixture LV lavatory in bath
fixture KS kitchen-sink in kitchen
fixture HB hose-bibb in kitchen
drain LV to p1 1-1/2": trap, south 2'
vent p1 to V1 2" as V-1: up to roof
drain p1 to p2 2": down to p2
drain WC to p2 3": down 10", north 1'6"
drain p2 to b1 3" as D-1: down to -2', cleanout, east 10'
drain KS to k1 1-1/2": trap, east 2'6"
vent k1 to V2 1-1/2" as V-2: up to 38", east 22', up to roof
drain k1 to b1 1-1/2" as D-2: down to suit, north 6'
sewer b1 to SEW 3": cleanout, east 20'
scope drainage vents
`

func TestDrains(t *testing.T) {
	table := sheet(t, "drains", check(t, cottage, lint.Options{})).Tables[0]
	sewer := rows(t, table, map[string]string{"from": "b1", "to": "SEW"})
	require.Len(t, sewer, 1)
	for column, want := range map[string]float64{"size": 3, "length": 20, "fall": 0.25, "load": 6, "closets": 1, "limit": 35, "most closets": 3, "spare": 29, "required": 3} {
		assert.Equal(t, want, sewer[0][column].Number, column)
	}
	assert.Equal(t, "building sewer", sewer[0]["posture"].Text)
	assert.Equal(t, "default", sewer[0]["fall from"].Text)
	// the sink asks a 2 in branch, though its units would do with less
	for _, row := range rows(t, table, map[string]string{"tag": "D-2"}) {
		assert.Equal(t, 2.0, row["required"].Number, row["posture"].Text)
	}
	arm := rows(t, table, map[string]string{"from": "KS"})
	require.Len(t, arm, 1)
	assert.Equal(t, "trap arm", arm[0]["posture"].Text)
	assert.Equal(t, schedule.Cell{}, arm[0]["limit"], "an arm is held to its trap, not to the table")
}

func TestDrainsThatAreNotKnown(t *testing.T) {
	table := sheet(t, "drains", check(t, "level ground at 0'\nroom r on ground\noutfall SEW at -5'\nfixture LV lavatory in r\nfixture E equipment in r units unknown\n"+
		"drain LV to p1 ?: trap, south 2'\ndrain E to p1 2\": trap, east 2'\ndrain p1 to p2 2\"\nsewer p2 to SEW 3\": east 20'\n", lint.Options{})).Tables[0]
	assert.Equal(t, "?", rows(t, table, map[string]string{"from": "LV"})[0]["size"].Text)
	blind := rows(t, table, map[string]string{"from": "p1", "to": "p2"})[0]
	assert.Equal(t, "not drawn", blind["posture"].Text)
	assert.Equal(t, "not written", blind["length"].Text)
	assert.Equal(t, "1 or more", rows(t, table, map[string]string{"from": "p2"})[0]["load"].Text)
}

func TestVents(t *testing.T) {
	s := sheet(t, "vents", check(t, cottage, lint.Options{}))
	require.Len(t, s.Tables, 2)
	row := rows(t, s.Tables[0], map[string]string{"tag": "V-2"})[0]
	// the arm falls 5/8 in from the trap at 16 in; up to 38 in, 22 ft level, and 1 ft over the roof at 12 ft
	for column, want := range map[string]float64{"serves": 2, "needed": 1.5, "longest way": (22.625 + 264 + 106 + 12) / 12, "way limit": 60, "level": 22, "level limit": 20, "first turn": 38, "turn limit": 42} {
		assert.InDelta(t, want, row[column].Number, 0.01, column)
	}
	row = rows(t, s.Tables[0], map[string]string{"tag": "V-1"})[0]
	assert.Equal(t, 4.0, row["serves"].Number)
	assert.Equal(t, 1.0, row["closets"].Number)
	assert.Equal(t, "none", row["first turn"].Text)
	area := s.Tables[1]
	assert.InDelta(t, 3.1416, rows(t, area, map[string]string{"terminal": "V1"})[0]["area"].Number, 1e-3)
	assert.InDelta(t, 1.7671, rows(t, area, map[string]string{"terminal": "V2"})[0]["area"].Number, 1e-3)
	assert.InDelta(t, 4.9087, rows(t, area, map[string]string{"terminal": "total"})[0]["area"].Number, 1e-3)
	assert.InDelta(t, 7.0686, rows(t, area, map[string]string{"terminal": "required sewer"})[0]["area"].Number, 1e-3)
	assert.InDelta(t, -2.1598, rows(t, area, map[string]string{"terminal": "spare"})[0]["area"].Number, 1e-3)

	s = sheet(t, "vents", check(t, cottage, lint.Options{Book: "ipc-2021"}))
	assert.Empty(t, rows(t, s.Tables[1], map[string]string{"terminal": "required sewer"}), "that book asks none")
	assert.Contains(t, strings.Join(s.Tables[1].Notes, "\n"), "IPC 2021 asks no vent area through the roof")
}

func TestCleanouts(t *testing.T) {
	table := sheet(t, "cleanouts", check(t, cottage, lint.Options{})).Tables[0]
	row := rows(t, table, map[string]string{"tag": "D-2"})[0]
	assert.Equal(t, []string{"none", "due", "5' or longer", "breaks", "KS"},
		[]string{row["cleanout"].Text, row["due"].Text, row["why"].Text, row["answer"].Text, row["serves"].Text})
	row = rows(t, table, map[string]string{"tag": "D-1"})[0]
	assert.Equal(t, []string{"present", "due", "complies"}, []string{row["cleanout"].Text, row["due"].Text, row["answer"].Text})
	row = rows(t, sheet(t, "cleanouts", check(t, strings.Replace(cottage, "north 6'", "north 3'", 1), lint.Options{})).Tables[0], map[string]string{"tag": "D-2"})[0]
	assert.Equal(t, "serves KS", row["why"].Text, "a short line is exempt unless it serves a sink")
	row = rows(t, sheet(t, "cleanouts", check(t, strings.NewReplacer("north 6'", "north 3'", "kitchen-sink", "bathtub").Replace(cottage), lint.Options{})).Tables[0], map[string]string{"tag": "D-2"})[0]
	assert.Equal(t, []string{"exempt", "under 5'", "complies"}, []string{row["due"].Text, row["why"].Text, row["answer"].Text})
}

func TestFixtures(t *testing.T) {
	table := sheet(t, "fixtures", check(t, strings.Replace(cottage, "lavatory in bath", `lavatory in bath public rim 33" trap 1-1/2"`, 1), lint.Options{})).Tables[0]
	row := rows(t, table, map[string]string{"tag": "KS"})[0]
	for column, want := range map[string]float64{"units": 2, "trap": 1.5, "trap required": 1.5, "outlet": 16, "rim": 36} {
		assert.Equal(t, want, row[column].Number, column)
	}
	assert.Equal(t, "kitchen-sink, private", row["row"].Text)
	assert.Equal(t, "Table 702.1", row["section"].Text)
	row = rows(t, table, map[string]string{"tag": "LV"})[0]
	assert.Equal(t, []string{"public", `1-1/2" by its maker`, `2'9"`}, []string{row["occupancy"].Text, row["trap required"].Text, row["rim"].Text})
	assert.Equal(t, "its own", rows(t, table, map[string]string{"tag": "WC"})[0]["trap"].Text)
	row = rows(t, table, map[string]string{"tag": "HB"})[0]
	assert.Equal(t, []string{"", "", "no drain"}, []string{row["units"].Text, row["trap"].Text, row["note"].Text})
	assert.Equal(t, 6.0, rows(t, table, map[string]string{"tag": "total"})[0]["units"].Number)
}

func TestVerdicts(t *testing.T) {
	r := check(t, cottage, lint.Options{})
	table := sheet(t, "verdicts", r).Tables[0]
	counts := lint.Count{}
	for _, row := range rows(t, table, nil) {
		n := int(row["count"].Number)
		switch row["answer"].Text {
		case "complies":
			counts.Complies += n
		case "breaks":
			counts.Breaks += n
		case "undecided":
			counts.Undecided += n
		}
	}
	assert.Equal(t, closing.Sum(r.Verdicts), counts, "the sheet adds up to its closing line")
	row := rows(t, table, map[string]string{"rule": "low-vent-turn", "subject": "V-2"})[0]
	assert.Equal(t, []string{"breaks", "38", "42", "least", "in"},
		[]string{row["answer"].Text, row["measured"].Text, row["limit"].Text, row["limit is"].Text, row["unit"].Text})
	table = sheet(t, "verdicts", check(t, strings.Replace(cottage, `1-1/2" as D-2`, "as D-2", 1), lint.Options{})).Tables[0]
	row = rows(t, table, map[string]string{"rule": "undersized-drain", "answer": "undecided"})[0]
	assert.Equal(t, "size of D-2", row["missing"].Text)
}

func TestAgainst(t *testing.T) {
	plan := strings.Replace(cottage, "terminal V2 roof", "terminal V2 admittance in kitchen #", 1)
	upc, ipc := check(t, plan, lint.Options{Book: "upc-2021"}), check(t, plan, lint.Options{Book: "ipc-2021"})
	s, ok := schedule.Against("a.weir", upc, ipc)
	require.True(t, ok)
	table := s.Tables[0]
	row := rows(t, table, map[string]string{"rule": "short-vent-area"})
	require.Len(t, row, 1, "one book asks it and it breaks")
	assert.Equal(t, []string{"SEW", "breaks", "not asked"}, []string{row[0]["subject"].Text, row[0]["upc-2021"].Text, row[0]["ipc-2021"].Text})
	assert.Equal(t, "least 7.07", row[0]["upc-2021 limit"].Text)
	for _, r := range rows(t, table, nil) {
		assert.NotEqual(t, r["upc-2021"].Text, r["ipc-2021"].Text, "only what differs")
		pair := []string{r["upc-2021"].Text, r["ipc-2021"].Text}
		assert.False(t, pair[0] == "not asked" && pair[1] == "complies" || pair[1] == "not asked" && pair[0] == "complies")
	}
	assert.Contains(t, s.Closing[0], "upc-2021: ")
	assert.Contains(t, s.Closing[1], "ipc-2021: ")
	same, ok := schedule.Against("a.weir", upc, upc)
	require.True(t, ok)
	assert.Empty(t, same.Tables[0].Rows)
	assert.Contains(t, strings.Join(same.Tables[0].Notes, "\n"), "agree on this plan")
	_, ok = schedule.Against("a.weir", upc, &lint.Report{})
	assert.False(t, ok)
}

func TestMakeRefuses(t *testing.T) {
	_, ok := schedule.Make("drains", "a.weir", &lint.Report{})
	assert.False(t, ok, "nothing was judged")
	_, ok = schedule.Make("drians", "a.weir", check(t, cottage, lint.Options{}))
	assert.False(t, ok)
	assert.Error(t, schedule.Write(&bytes.Buffer{}, "pdf", schedule.Sheet{}))
}

func write(t *testing.T, format string, s schedule.Sheet) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, schedule.Write(&b, format, s))
	return b.String()
}

// Every format tells the same rows and closes with the caution.
func TestFormats(t *testing.T) {
	r := check(t, cottage, lint.Options{})
	for _, kind := range schedule.Kinds() {
		s := sheet(t, kind, r)
		n := 0
		for _, table := range s.Tables {
			n += len(table.Rows)
		}
		for _, format := range schedule.Formats() {
			assert.Contains(t, write(t, format, s), closing.Caution, "%s %s", kind, format)
		}
		reader := csv.NewReader(strings.NewReader(write(t, "csv", s)))
		records, err := reader.ReadAll()
		require.NoError(t, err, "every record is as wide")
		assert.Greater(t, len(records), n)
		var doc struct {
			Schedule string
			Tables   []struct {
				Columns []struct{ Key string }
				Rows    []map[string]any
			}
		}
		require.NoError(t, json.Unmarshal([]byte(write(t, "json", s)), &doc))
		assert.Equal(t, kind, doc.Schedule)
		for i, table := range doc.Tables {
			assert.Len(t, table.Rows, len(s.Tables[i].Rows))
			keys := map[string]bool{}
			for _, c := range table.Columns {
				assert.False(t, keys[c.Key], "%s twice in %s", c.Key, kind)
				keys[c.Key] = true
			}
			for _, row := range table.Rows {
				assert.Len(t, row, len(table.Columns))
			}
		}
		for _, line := range strings.Split(write(t, "text", s), "\n") {
			assert.Equal(t, strings.TrimRight(line, " "), line)
		}
	}
}

// What a plan says can neither steer a terminal, break a table nor become a
// spreadsheet's formula.
func TestFormatsAreHarmless(t *testing.T) {
	s := schedule.Sheet{Kind: "x", Plan: "a\x1b[31m.weir", Tables: []schedule.Table{{
		Columns: []schedule.Column{{Name: "a"}},
		Rows:    [][]schedule.Cell{{{Text: "=1+1"}}, {{Text: "one\ntwo | <b>"}}, {{Text: "-2", Number: -2, IsNumber: true}}, {{Text: "@x, \"y\""}}},
	}}}
	assert.NotContains(t, write(t, "text", s), "\x1b")
	assert.NotContains(t, write(t, "text", s), "one\n")
	assert.Contains(t, write(t, "markdown", s), `| one`+"\uFFFD"+`two \| &lt;b&gt; |`)
	out := write(t, "csv", s)
	assert.Contains(t, out, "'=1+1\n")
	assert.Contains(t, out, "\n-2\n", "a number stays one")
	assert.Contains(t, out, `"'@x, ""y"""`)
}
