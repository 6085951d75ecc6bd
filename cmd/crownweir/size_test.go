package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// asking is a plan whose sizes are asked for.
const asking = `plan "Plover Reach 4, cottage"   # sizes asked for
code upc-2021
default drain abs
default fall 1/4
level ground at 0'
roof at 12'
room bath on ground
room kitchen on ground
outfall SEW at -5'
terminal V1 roof rise 12" opening 12'
fixture WC water-closet in bath side 18" front 26"
fixture LV lavatory in bath
fixture KS kitchen-sink in kitchen
drain LV to p1 ?: trap ?, south 2'   # the closet's wet vent
vent p1 to V1 ? as V-1: up to roof
drain p1 to p2 ?: down to p2
drain WC to p2 ?: down 10", north 1'6"
drain p2 to b1 ? as D-1: down to -2', cleanout, east 10'
drain KS to k1 1-1/2": trap, east 2'6"
vent k1 to V1 2" as V-2: up to 44", east 6'
drain k1 to b1 ? as D-2: down to suit, cleanout, north 6'
sewer b1 to SEW ?: cleanout, east 20'
`

var answered = strings.NewReplacer(
	"LV to p1 ?: trap ?", `LV to p1 1-1/4": trap 1-1/4"`, "V1 ? as", `V1 3" as`, "p1 to p2 ?", `p1 to p2 2"`, "WC to p2 ?", `WC to p2 3"`,
	"b1 ? as D-1", `b1 3" as D-1`, "b1 ? as D-2", `b1 2" as D-2`, "SEW ?", `SEW 3"`,
).Replace(asking)

func TestSize(t *testing.T) {
	start := here(t)
	folder(t, map[string]string{"a.weir": asking})
	t.Run("the plan alone goes to stdout", func(t *testing.T) {
		got := command(t, theLibrary(), "", "size", "a.weir")
		assert.Equal(t, answered, got.stdout)
		assert.Equal(t, statusClean, got.status, got.stderr)
		assert.True(t, strings.HasPrefix(got.stderr, "8 sizes solved, 0 left open\n"), got.stderr)
		for _, line := range []string{"code book: UPC 2021 (upc-2021", "not an approval"} {
			assert.Contains(t, got.stderr, line)
		}
		assert.Equal(t, got, command(t, theLibrary(), "", "size", "a.weir", "--quiet"), "the closing lines are never left out")
	})
	t.Run("stdin", func(t *testing.T) {
		assert.Equal(t, answered, command(t, theLibrary(), asking, "size", "-").stdout)
	})
	for _, format := range []string{"text", "json", "markdown"} {
		t.Run("explained as "+format, func(t *testing.T) {
			got := command(t, theLibrary(), "", "size", "a.weir", "--explain", "--format", format, "--output", "out.weir")
			assert.Empty(t, got.stderr)
			golden(t, start, "size."+format, got.stdout)
			text, err := os.ReadFile("out.weir")
			require.NoError(t, err)
			assert.Equal(t, answered, string(text))
		})
	}
	t.Run("the explanation leaves stdout to the plan", func(t *testing.T) {
		got := command(t, theLibrary(), "", "size", "a.weir", "--explain", "--format", "json")
		assert.Equal(t, answered, got.stdout)
		assert.True(t, json.Valid([]byte(got.stderr)), got.stderr)
	})
	t.Run("by another book", func(t *testing.T) {
		got := command(t, theLibrary(), "", "size", "a.weir", "--code", "ipc-2021")
		assert.Contains(t, got.stdout, "vent p1 to V1 1-1/2\" as V-1")
		assert.Contains(t, got.stderr, "code book: IPC 2021 (ipc-2021")
	})
	t.Run("in place", func(t *testing.T) {
		got := command(t, theLibrary(), "", "size", "a.weir", "--write")
		assert.Empty(t, got.stderr)
		assert.True(t, strings.HasPrefix(got.stdout, "a.weir\n8 sizes solved, 0 left open\n"), got.stdout)
		text, err := os.ReadFile("a.weir")
		require.NoError(t, err)
		assert.Equal(t, answered, string(text))
		again := command(t, theLibrary(), "", "size", "a.weir", "--write")
		assert.True(t, strings.HasPrefix(again.stdout, "no `?` stands in the plan; --all sizes anew what is written\n"), again.stdout)
		all := command(t, theLibrary(), "", "size", "a.weir", "--write", "--all")
		assert.True(t, strings.HasPrefix(all.stdout, "a.weir\n10 sizes found anew: 1 changed, 9 as before; 0 kept as written, 0 left open\n"), all.stdout)
	})
}

// What cannot be solved, and what sizes do not mend, are told with their place
// and a remedy, and the rest is written.
func TestSizeLeavesOpen(t *testing.T) {
	start := here(t)
	folder(t, map[string]string{"a.weir": strings.Replace(strings.Replace(asking, "drain KS to k1 1-1/2\": trap, east 2'6\"", "drain KS to k1 ?: east 2'6\"", 1),
		"fixture LV lavatory in bath", "fixture LV lavatory in bath units unknown", 1)})
	got := command(t, theLibrary(), "", "size", "a.weir")
	assert.Equal(t, statusFindings, got.status)
	golden(t, start, "size-open.text", got.stderr)
	assert.Contains(t, got.stdout, `drain WC to p2 3": down`)
	assert.Contains(t, got.stdout, "drain LV to p1 ?: trap ?, south 2'")
	assert.Contains(t, got.stdout, "drain p1 to p2 ?: down to p2")
}

func TestSizeHeedsSettings(t *testing.T) {
	folder(t, map[string]string{
		"a.weir": asking, "crownweir.toml": "amend = [\"city.toml\"]\nskip = [\"small-closet-drain\", \"short-vent-area\"]\n",
		"city.toml": "[amendment]\ntitle = \"Mossbridge ordinance\"\nsection = \"MMC 15\"\n[numbers]\ncloset-drain-least = 4\n",
	})
	got := command(t, theLibrary(), "", "size", "a.weir")
	assert.Contains(t, got.stdout, `drain WC to p2 4"`, "a rule that reports leave out is no leave to size against it")
	assert.Contains(t, got.stderr, "amended by city.toml")
}

// Included files are changed with the plan, all or none.
func TestSizeWritesIncludedFiles(t *testing.T) {
	shared := filepath.Join(here(t), "..", "..", "testdata", "size", "shared")
	read := func(name string) string {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		return string(text)
	}
	plan, baths := read(filepath.Join(shared, "plan.weir")), read(filepath.Join(shared, "baths.weir"))
	solved, bathsSolved := read(filepath.Join(shared, "plan.sized")), read(filepath.Join(shared, "baths.sized"))
	folder(t, map[string]string{"p/plan.weir": plan, "p/baths.weir": baths})

	got := command(t, theLibrary(), "", "size", "p/plan.weir")
	assert.Equal(t, solved, got.stdout)
	assert.Equal(t, statusFindings, got.status)
	assert.Contains(t, got.stderr, "p/baths.weir:5:16: caution: 5 sizes of this included file are not written: the plan alone is handed out [unsized-run]\n")
	assert.Contains(t, got.stderr, "would satisfy: use --write, which changes the files it includes too")

	require.NoError(t, os.Chmod("p/baths.weir", 0o444))
	got = command(t, theLibrary(), "", "size", "p/plan.weir", "--write")
	assert.Equal(t, statusMisused, got.status)
	assert.Contains(t, got.stderr, "crownweir: p/baths.weir: may not be written; change its permissions; no file was changed\n")
	assert.Equal(t, plan, read("p/plan.weir"))
	left, err := filepath.Glob("p/.crownweir-*")
	require.NoError(t, err)
	assert.Empty(t, left, "nothing is left lying about")

	require.NoError(t, os.Chmod("p/baths.weir", 0o644))
	got = command(t, theLibrary(), "", "size", "p/plan.weir", "--write")
	assert.Equal(t, statusClean, got.status, got.stderr)
	assert.True(t, strings.HasPrefix(got.stdout, "p/plan.weir\np/baths.weir\n"), got.stdout)
	assert.Equal(t, solved, read("p/plan.weir"))
	assert.Equal(t, bathsSolved, read("p/baths.weir"))
}

func TestSizeMisuse(t *testing.T) {
	folder(t, map[string]string{"a.weir": asking, "sub/b.weir": asking, "sub/c.weir": asking, "latin.weir": "# caf\xe9\n", "empty.weir": "\n"})
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"size", "a.weir", "--format", "json"}, "--format is that of --explain; write --explain too"},
		{[]string{"size", "a.weir", "--explain", "--format", "cvs"}, `--format has no "cvs"; did you mean "csv"; use text, csv, markdown or json`},
		{[]string{"size", "a.weir", "--write", "--output", "b.weir"}, "--write changes the plan itself; leave --output out"},
		{[]string{"size", "-", "--write"}, "stdin: has no file that --write could change; leave --write out"},
		{[]string{"size", "a.weir", "--code", "upc-2020"}, `--code has no "upc-2020"; did you mean "upc-2021"`},
		{[]string{"size", "sub"}, "sub: holds 2 plans; name one of them"},
		{[]string{"size", "none.weir"}, "none.weir: does not exist; check the name"},
		{[]string{"size", "latin.weir"}, "latin.weir: is not UTF-8 at byte 5; save it as UTF-8"},
		{[]string{"size", "empty.weir"}, "empty.weir: is empty; write a plan, or start from `crownweir new`"},
	} {
		got := command(t, theLibrary(), "", c.args...)
		assert.Equal(t, statusMisused, got.status, c.args)
		assert.Empty(t, got.stdout, c.args)
		assert.True(t, strings.HasPrefix(got.stderr, "crownweir: "+c.want), "%v: %s", c.args, got.stderr)
	}
}
