package codebook_test

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lint/codebook"
)

const city = `# Invented ordinance.
[amendment]
title = "Mossbridge plumbing ordinance"
section = "MMC 15.24"
over = "upc-2021"

[numbers]
vent-rise = 8
closets-3in-horizontal = { value = 4, section = "MMC 15.24.070" }

[flags]
admittance-valves = true

[tables.trap-arm.rows]
"1-1/2" = { max = 48 }

[tables.fixture-units]
section = "MMC 15.24.020"
[tables.fixture-units.rows]
urinal = { private = 3, public = { value = 4, section = "MMC 15.24.021" } }

[tables.interceptor-required.rows]
dishwasher = "grease"

[rules]
low-vent-turn = "MMC 15.24"
`

func TestAmendmentSetsSingleCells(t *testing.T) {
	base := load(t, "upc-2021")
	before := base.Tally()
	book, problems := base.Amend("city.toml", []byte(city))
	require.Empty(t, problems)
	assert.Equal(t, []string{"city.toml"}, book.Amended)

	rise := book.Number("vent-rise")
	assert.Equal(t, codebook.Cell{
		Value: 8, Unit: "in", Section: "MMC 15.24", Source: "Mossbridge plumbing ordinance", Amended: "city.toml", OK: true,
	}, rise)
	assert.Equal(t, "MMC 15.24.070", book.Number("closets-3in-horizontal").Section)
	assert.True(t, book.Flag("admittance-valves"))
	assert.Equal(t, 48.0, book.Table("trap-arm").BySize(1.5, "max").Value)
	assert.Equal(t, "MMC 15.24", book.Table("trap-arm").BySize(1.5, "max").Section)
	assert.Equal(t, "MMC 15.24.020", book.Table("fixture-units").At("urinal", "private").Section)
	assert.Equal(t, "MMC 15.24.021", book.Table("fixture-units").At("urinal", "public").Section)
	word, cell := book.Table("interceptor-required").Word("dishwasher", "interceptor")
	assert.Equal(t, "grease", word)
	assert.Equal(t, "city.toml", cell.Amended)
	section, _ := book.Section("low-vent-turn")
	assert.Equal(t, "MMC 15.24", section)

	// What the file does not name stays as it was.
	assert.Equal(t, base.Table("trap-arm").At("1-1/2", "min"), book.Table("trap-arm").At("1-1/2", "min"))
	assert.Equal(t, base.Table("fixture-units").At("urinal", "assembly"), book.Table("fixture-units").At("urinal", "assembly"))
	assert.Same(t, base.Table("drain-units"), book.Table("drain-units"))
	tally := book.Tally()
	assert.Equal(t, 7, tally.Amended)
	assert.Equal(t, before.Limits+1, tally.Limits)

	// The book below is as it was.
	assert.Equal(t, before, base.Tally())
	assert.Equal(t, 6.0, base.Number("vent-rise").Value)
	assert.Equal(t, 42.0, base.Table("trap-arm").BySize(1.5, "max").Value)
	assert.False(t, base.Flag("admittance-valves"))
	assert.Empty(t, base.Amended)
}

func TestAmendmentsLieOverEachOther(t *testing.T) {
	base := load(t, "upc-2021")
	county, problems := base.Amend("county.toml", []byte("[amendment]\nsection = \"CC 1\"\n[numbers]\nvent-rise = 8\ncloset-side = 16\n"))
	require.Empty(t, problems)
	town, problems := county.Amend("town.toml", []byte("[amendment]\nsection = \"TC 2\"\n[numbers]\nvent-rise = 9\n"))
	require.Empty(t, problems)
	assert.Equal(t, []string{"county.toml", "town.toml"}, town.Amended)
	assert.Equal(t, "town.toml", town.Number("vent-rise").Amended)
	assert.Equal(t, "county.toml", town.Number("closet-side").Amended)
	assert.Equal(t, 8.0, county.Number("vent-rise").Value)
}

func TestAmendmentBringsInALimitOfAnotherFamily(t *testing.T) {
	book, problems := load(t, "upc-2021").Amend("city.toml", []byte(`[amendment]
section = "X 1"
[numbers]
admittance-above-branch = 4
[tables.single-stack.rows]
4 = { low = 225 }
[rules]
admittance-valve-limits = "X 1"
`))
	require.Empty(t, problems)
	assert.Equal(t, 4.0, book.Number("admittance-above-branch").Value)
	assert.Equal(t, "in", book.Number("admittance-above-branch").Unit)
	assert.Equal(t, 225.0, book.Table("single-stack").BySize(4, "low").Value)
	_, ok := book.Section("admittance-valve-limits")
	assert.True(t, ok)
}

func TestFaultyAmendments(t *testing.T) {
	for _, c := range []struct {
		name, text   string
		line, column int
		want         string
	}{
		{"unknown number", "[amendment]\nsection = \"1\"\n[numbers]\nvent-rize = 8\n", 4, 1, "the book's list of numbers does not know the key \"vent-rize\"; did you mean vent-rise"},
		{"unknown table", "[amendment]\nsection = \"1\"\n[tables.trap-arms.rows]\n2 = { max = 1 }\n", 3, 9, "did you mean trap-arm"},
		{"unknown row", "[amendment]\nsection = \"1\"\n[tables.trap-arm.rows]\nwide = { max = 1 }\n", 4, 1, "table trap-arm does not know the key \"wide\""},
		{"misspelt kind", "[amendment]\nsection = \"1\"\n[tables.fixture-units.rows]\nurinol = { private = 1 }\n", 4, 1, "did you mean urinal"},
		{"unknown column", "[amendment]\nsection = \"1\"\n[tables.trap-arm.rows]\n2 = { maxx = 1 }\n", 4, 7, "did you mean max"},
		{"no section", "[numbers]\nvent-rise = 8\n", 2, 13, "names no section of the local law"},
		{"other unit", "[amendment]\nsection = \"1\"\n[numbers]\nvent-rise = { value = 1, unit = \"ft\" }\n", 4, 33, "write the value in \"in\""},
		{"other book", "[amendment]\nsection = \"1\"\nover = \"ipc-2021\"\n", 3, 8, "the file amends ipc-2021 and the plan is judged by upc-2021"},
		{"new columns", "[amendment]\nsection = \"1\"\n[tables.trap-arm]\ncolumns = [\"best\"]\n", 4, 1, "take columns out"},
		{"a row's name", "[amendment]\nsection = \"1\"\n[tables.supply-units.rows]\n\"30-45 3/4 1\" = { meter = 2 }\n", 4, 27, "names the row and cannot be amended"},
		{"a book's head", "[book]\ntitle = \"x\"\n", 1, 2, "the file does not know the key \"book\""},
		{"no TOML", "[numbers\n", 1, 9, "this line is no TOML"},
	} {
		t.Run(c.name, func(t *testing.T) {
			base := load(t, "upc-2021")
			book, problems := base.Amend("city.toml", []byte(c.text))
			require.NotNil(t, book)
			require.NotEmpty(t, problems)
			assert.Contains(t, problems[0].Message, c.want)
			assert.Equal(t, [2]int{c.line, c.column}, [2]int{problems[0].Line, problems[0].Column})
		})
	}
}

func TestWhatIsRightIsAppliedBesideWhatIsWrong(t *testing.T) {
	book, problems := load(t, "upc-2021").Amend("city.toml", []byte("[amendment]\nsection = \"1\"\n[numbers]\nvent-rize = 8\nvent-rise = 8\n"))
	assert.Len(t, problems, 1)
	assert.Equal(t, 8.0, book.Number("vent-rise").Value)
}

func TestAFloodOfFaultsIsCutShort(t *testing.T) {
	var text strings.Builder
	text.WriteString("[numbers]\n")
	for i := range 100_000 {
		text.WriteString("a" + strconv.Itoa(i) + "=1\n")
	}
	_, problems := load(t, "upc-2021").Amend("city.toml", []byte(text.String()))
	assert.Len(t, problems, 200)
}

func TestHugeAmendmentIsRefused(t *testing.T) {
	base := load(t, "upc-2021")
	book, problems := base.Amend("city.toml", []byte(strings.Repeat("# much\n", 200_000)))
	require.Len(t, problems, 1)
	assert.Contains(t, problems[0].Message, "at most 1048576")
	assert.Equal(t, base.Tally(), book.Tally())
}

// Whatever the bytes, amending ends, says where what is wrong, and leaves the
// book below alone.
func FuzzAmend(f *testing.F) {
	f.Add([]byte(city))
	f.Add([]byte("[numbers]\nvent-rise = { value = \"1/3\" }\n"))
	f.Add([]byte("[tables.support.rows]\n\"pex to 1\" = [1, 2]\nhdpe = [\"-\", \"no limit\", \"3?\"]\n"))
	f.Add([]byte("a.b.c = [[[[[[{}]]]]]]\n[[x]]\n"))
	f.Add([]byte("\"\\u00e9\" = '''\n'''\n[tables.\"é\"]\nrows = 3\n"))
	f.Add([]byte("[numbers]\r\nvent-rise = 1e999\r\n"))
	base, err := codebook.Load("upc-2021")
	if err != nil {
		f.Fatal(err)
	}
	before := base.Tally()
	f.Fuzz(func(t *testing.T, data []byte) {
		book, problems := base.Amend("fuzz.toml", data)
		require.NotNil(t, book)
		lines := strings.Count(string(data), "\n") + 1
		for _, p := range problems {
			require.NotEmpty(t, p.Message)
			require.GreaterOrEqual(t, p.Line, 1)
			require.LessOrEqual(t, p.Line, lines)
			require.GreaterOrEqual(t, p.Column, 1)
		}
		for e := range book.Cells() {
			require.True(t, e.Cell.OK)
			if len(problems) == 0 && e.Cell.Amended != "" {
				require.NotEmpty(t, e.Cell.Section)
			}
		}
		require.Equal(t, before, base.Tally())
	})
}
