package main

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// scheduled is a plan with something for every schedule: a sink
// without a cleanout, a vent that turns low, and too little area.
const scheduled = `plan "Plover Reach 2, cottage"
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
drain LV to p1 1-1/2": trap, south 2'
vent p1 to V1 2" as V-1: up to roof
drain p1 to p2 2": down to p2
drain WC to p2 3": down 10", north 1'6"
drain p2 to b1 3" as D-1: down to -2', cleanout, east 10'
drain KS to k1 1-1/2": trap, east 2'6"
vent k1 to V2 1-1/2" as V-2: up to 38", east 6', up to roof
drain k1 to b1 2" as D-2: down to suit, north 6'
sewer b1 to SEW 3": cleanout, east 20'
`

// few keeps the closing lines of goldens apart from rules that they do not
// show.
const few = "undersized-drain,flat-drain,small-vent,long-vent,low-vent-turn,short-vent-area,missing-cleanout,small-trap"

func TestSchedules(t *testing.T) {
	start := here(t)
	folder(t, map[string]string{"a.weir": scheduled})
	for _, c := range []struct{ kind, format string }{
		{"drains", "text"}, {"vents", "text"}, {"cleanouts", "text"}, {"fixtures", "text"}, {"verdicts", "text"},
		{"vents", "csv"}, {"vents", "markdown"}, {"vents", "json"},
	} {
		name := "schedule." + c.kind + "." + c.format
		t.Run(name, func(t *testing.T) {
			got := command(t, theLibrary(), "", "schedule", "a.weir", c.kind, "--only", few, "--format", c.format)
			assert.Empty(t, got.stderr)
			assert.Equal(t, statusClean, got.status, "a table is no judgement, whatever stands in it")
			golden(t, start, name, got.stdout)
		})
	}
	t.Run("stdin", func(t *testing.T) {
		got := command(t, theLibrary(), scheduled, "schedule", "-", "drains", "--stdin-name", "a.weir", "--only", few)
		golden(t, start, "schedule.drains.text", got.stdout)
	})
	t.Run("to a file", func(t *testing.T) {
		got := command(t, theLibrary(), "", "schedule", "a.weir", "drains", "-o", "out.csv", "--format", "csv")
		assert.Equal(t, outcome{"", "", statusClean}, got)
	})
}

func TestScheduleMisuse(t *testing.T) {
	folder(t, map[string]string{"a.weir": scheduled, "sub/b.weir": scheduled, "sub/c.weir": scheduled, "latin.weir": "# caf\xe9\n"})
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"schedule", "a.weir", "drain"}, `schedule has no "drain"; did you mean "drains"; use drains, vents, water, pressure, hot-wait, cleanouts, fixtures or verdicts`},
		{[]string{"schedule", "a.weir", "drains", "--format", "cvs"}, `--format has no "cvs"; did you mean "csv"; use text, csv, markdown or json`},
		{[]string{"schedule", "a.weir", "drains", "--code", "upc-2020"}, `--code has no "upc-2020"; did you mean "upc-2021"`},
		{[]string{"schedule", "sub", "drains"}, "sub: holds 2 plans; name one of them"},
		{[]string{"schedule", "none.weir", "drains"}, "none.weir: does not exist; check the name"},
		{[]string{"schedule", "latin.weir", "drains"}, "latin.weir: is not UTF-8 at byte 5; save it as UTF-8"},
	} {
		got := command(t, theLibrary(), "", c.args...)
		assert.Equal(t, statusMisused, got.status, c.args)
		assert.Empty(t, got.stdout, c.args)
		assert.True(t, strings.HasPrefix(got.stderr, "crownweir: "+c.want), "%v: %s", c.args, got.stderr)
	}
	// a library that hands out no case has nothing to lay out
	assert.Equal(t, "crownweir: a.weir: was not judged to its end\n", crownweir(t, "", "schedule", "a.weir", "drains").stderr)
}

// The plan's folder decides the book, and a city's file is named in the sheet.
func TestScheduleHeedsSettings(t *testing.T) {
	folder(t, map[string]string{
		"a.weir": scheduled, "crownweir.toml": "code = \"ipc-2021\"\namend = [\"city.toml\"]\n",
		"city.toml": "[amendment]\ntitle = \"Mossbridge ordinance\"\nsection = \"MMC 15\"\n[numbers]\nvent-rise = 8\n",
	})
	got := command(t, theLibrary(), "", "schedule", "a.weir", "vents")
	assert.Contains(t, got.stdout, "IPC 2021 (ipc-2021, edition 2021), amended by city.toml; ")
	assert.Contains(t, got.stdout, `3'8"`, "36 in of rim and 8 in more")
}

func TestCodesAgainst(t *testing.T) {
	start := here(t)
	folder(t, map[string]string{"a.weir": scheduled})
	for _, format := range []string{"text", "markdown", "json"} {
		t.Run(format, func(t *testing.T) {
			got := command(t, theLibrary(), "", "codes", "--against", "ipc-2021", "a.weir", "--only", few, "--format", format)
			assert.Empty(t, got.stderr)
			assert.Equal(t, statusClean, got.status)
			golden(t, start, "codes-against."+format, got.stdout)
		})
	}
	t.Run("stdin", func(t *testing.T) {
		got := command(t, theLibrary(), scheduled, "codes", "--against", "ipc-2021", "-", "--stdin-name", "a.weir", "--only", few)
		golden(t, start, "codes-against.text", got.stdout)
	})
	t.Run("the other way round", func(t *testing.T) {
		var one, other struct {
			Tables []struct{ Rows []map[string]any }
		}
		require.NoError(t, json.Unmarshal([]byte(command(t, theLibrary(), "", "codes", "a.weir", "--against", "ipc-2021", "--format", "json").stdout), &one))
		require.NoError(t, json.Unmarshal([]byte(command(t, theLibrary(), "", "codes", "a.weir", "--code", "ipc-2021", "--against", "upc-2021", "--format", "json").stdout), &other))
		assert.NotEmpty(t, one.Tables[0].Rows)
		assert.Equal(t, one.Tables[0].Rows, other.Tables[0].Rows)
	})
}

func TestCodesAgainstMisuse(t *testing.T) {
	folder(t, map[string]string{"a.weir": scheduled})
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"codes", "a.weir"}, "codes judges a plan by two books; name the second with --against"},
		{[]string{"codes", "--against", "ipc-2021"}, "--against needs a plan; name one"},
		{[]string{"codes", "--against", "ipc-2020", "a.weir"}, `--against has no "ipc-2020"; did you mean `},
		{[]string{"codes", "--against", "upc-2021", "a.weir"}, "--against upc-2021: that book judges the plan already; name another"},
		{[]string{"codes", "--code", "ipc-2021"}, "codes lists the books as they are; name a plan and --against BOOK to judge it"},
		{[]string{"codes", "--against", "ipc-2021", "none.weir"}, "none.weir: does not exist; check the name"},
	} {
		got := command(t, theLibrary(), "", c.args...)
		assert.Equal(t, statusMisused, got.status, c.args)
		assert.Empty(t, got.stdout, c.args)
		assert.True(t, strings.HasPrefix(got.stderr, "crownweir: "+c.want), "%v: %s", c.args, got.stderr)
	}
}
