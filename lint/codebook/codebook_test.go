package codebook_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
	"crownweir/lint/codebook"
)

func load(t *testing.T, name string) *codebook.Book {
	t.Helper()
	book, err := codebook.Load(name)
	require.NoError(t, err)
	return book
}

func TestShippedBooks(t *testing.T) {
	want := map[string]struct {
		title, family string
		edition       int
	}{
		"upc-2021": {"UPC 2021", "upc", 2021}, "upc-2015": {"UPC 2015", "upc", 2015}, "upc-2012": {"UPC 2012", "upc", 2012},
		"ipc-2021": {"IPC 2021", "ipc", 2021}, "ipc-2015": {"IPC 2015", "ipc", 2015}, "ipc-2012": {"IPC 2012", "ipc", 2012},
	}
	assert.Len(t, codebook.Names(), len(want))
	for _, name := range codebook.Names() {
		book := load(t, name)
		assert.Equal(t, name, book.Name)
		assert.Equal(t, want[name].title, book.Title)
		assert.Equal(t, want[name].family, book.Family)
		assert.Equal(t, want[name].edition, book.Edition)
		assert.Empty(t, book.Amended)
	}
}

func TestUnknownBookNamesTheNearest(t *testing.T) {
	_, err := codebook.Load("upc-2012x")
	require.Error(t, err)
	assert.Contains(t, err.Error(), "did you mean upc-2012")
	_, err = codebook.Load("roman-law")
	assert.ErrorContains(t, err, "it is one of ipc-2012, ipc-2015, ipc-2021, upc-2012")
}

func TestEveryCellNamesWhereItIsFrom(t *testing.T) {
	known := map[string]bool{}
	for _, source := range codebook.Sources() {
		assert.NotEmpty(t, source.What, source.Key)
		known[source.Key] = true
	}
	for _, name := range codebook.Names() {
		for e := range load(t, name).Cells() {
			place := strings.Join([]string{name, e.Table, e.Row, e.Column}, " / ")
			assert.True(t, e.Cell.OK, place)
			assert.NotEmpty(t, e.Title, place)
			if e.Cell.Memory {
				assert.Equal(t, "from memory", e.Cell.Source, place)
			} else {
				for _, key := range strings.Split(e.Cell.Source, ",") {
					assert.True(t, known[strings.TrimSpace(key)], "%s: %s", place, key)
				}
			}
			if e.Cell.Section == "" {
				// Good practice that no code asks for.
				assert.Contains(t, []string{"scouring-velocity", "hot-wait-volume", "dead-leg-length"}, e.Row, place)
			}
		}
	}
}

func TestTalliesAddUp(t *testing.T) {
	for _, name := range codebook.Names() {
		book := load(t, name)
		var sum codebook.Tally
		for _, table := range book.TableNames() {
			tally := book.Table(table).Tally()
			assert.Positive(t, tally.Limits, table)
			sum.Limits += tally.Limits
			sum.FromMemory += tally.FromMemory
		}
		for _, key := range book.NumberKeys() {
			sum.Limits++
			if book.Number(key).Memory {
				sum.FromMemory++
			}
		}
		for _, key := range book.FlagKeys() {
			sum.Limits++
			if book.FlagCell(key).Memory {
				sum.FromMemory++
			}
		}
		assert.Equal(t, sum, book.Tally(), name)
		assert.Less(t, sum.FromMemory, sum.Limits, name)
	}
}

func TestMissingKeysAreNotOK(t *testing.T) {
	book := load(t, "upc-2021")
	assert.False(t, book.Number("no-such-number").OK)
	assert.False(t, book.Flag("no-such-flag"))
	none := book.Table("no-such-table")
	assert.Nil(t, none)
	assert.False(t, none.At("3", "units").OK)
	assert.False(t, none.BySize(3, "units").OK)
	assert.False(t, none.ByKind("pex", 1, "horizontal").OK)
	assert.Empty(t, none.Sizes())
	_, _, ok := none.UpTo(1, "units")
	assert.False(t, ok)
	_, _, ok = none.Smallest(1, "units")
	assert.False(t, ok)
	assert.False(t, book.Table("drain-units").BySize(3.5, "horizontal").OK, "a size between two rows takes none")
	assert.False(t, book.Table("fixture-units").At("kitchen-sink", "assembly").OK, "the code leaves it empty")
}

func TestRulesAndTheirSections(t *testing.T) {
	upc, ipc := load(t, "upc-2021"), load(t, "ipc-2021")
	section, ok := upc.Section("long-trap-arm")
	assert.True(t, ok)
	assert.Equal(t, "Table 1002.2; 1002.1", section)
	section, ok = ipc.Section("long-trap-arm")
	assert.True(t, ok)
	assert.Equal(t, "909.1; Table 909.1", section)
	_, ok = ipc.Section("laundry-trap-height")
	assert.False(t, ok)
	_, ok = upc.Section("stack-base-connection")
	assert.False(t, ok)
	for _, book := range []*codebook.Book{upc, ipc} {
		section, ok = book.Section("open-geometry")
		assert.True(t, ok)
		assert.Empty(t, section)
	}
}

func TestTablesByKindKnowTheirKinds(t *testing.T) {
	for _, name := range codebook.Names() {
		book := load(t, name)
		for _, table := range []string{"fixture-units", "water-units", "fixture-supply", "outlet", "sink-branch", "protection"} {
			if book.Table(table) == nil {
				continue
			}
			for _, row := range book.Table(table).Rows {
				word, _, _ := strings.Cut(row.Key, " ")
				_, ok := catalog.FixtureKind(word)
				assert.True(t, ok || word == "bathroom-group", "%s %s: %s", name, table, row.Key)
			}
		}
		for _, turn := range catalog.Turns() {
			for _, way := range []string{"horizontal-to-vertical", "vertical-to-horizontal", "horizontal-to-horizontal"} {
				word, cell := book.Table("turns").Word(turn, way)
				assert.Contains(t, []string{"yes", "no", "a", "b", "ab"}, word, turn)
				assert.True(t, cell.OK)
			}
		}
	}
}

func TestSizedTablesRise(t *testing.T) {
	for _, c := range []struct {
		book, table string
		columns     []string
	}{
		{"upc-2021", "drain-units", []string{"vertical", "horizontal", "vertical-length"}},
		{"upc-2021", "vent-units", []string{"units", "length"}},
		{"upc-2021", "trap-arm", []string{"max"}},
		{"upc-2021", "sewer-units", []string{"1/16", "1/8", "1/4"}},
		{"upc-2021", "demand-tank", []string{"gpm"}},
		{"ipc-2021", "building-drain-units", []string{"1/16", "1/8", "1/4", "1/2"}},
		{"ipc-2021", "branch-units", []string{"branch", "branch-interval", "stack-short", "stack-tall"}},
		{"ipc-2021", "single-stack", []string{"low", "middle", "high"}},
		{"ipc-2021", "demand-tank", []string{"gpm"}},
		{"ipc-2021", "demand-valve", []string{"gpm"}},
		{"ipc-2021", "trap-arm", []string{"max"}},
	} {
		table := load(t, c.book).Table(c.table)
		require.NotEmpty(t, table.Sizes(), c.table)
		for _, column := range c.columns {
			last := 0.0
			for _, size := range table.Sizes() {
				if cell := table.BySize(size, column); cell.OK {
					assert.GreaterOrEqual(t, cell.Value, last, "%s %s %v", c.table, column, size)
					last = cell.Value
				}
			}
		}
	}
}

// A supply table never gives more over a longer pipe; two cells of the IPC's
// are suspect as they are remembered.
func TestSupplyTablesFallWithLength(t *testing.T) {
	var odd []string
	for _, name := range []string{"upc-2021", "ipc-2021"} {
		table := load(t, name).Table("supply-units")
		for _, row := range table.Rows {
			last := math.Inf(1)
			for _, length := range table.Columns {
				if value := row.Cells[length].Value; value > last {
					odd = append(odd, name+" "+row.Key+" at "+length)
				} else {
					last = value
				}
			}
		}
	}
	assert.Equal(t, []string{"ipc-2021 over-60 2 2 at 300"}, odd)
}

func TestStackVentRowsNameThemselves(t *testing.T) {
	table := load(t, "ipc-2021").Table("stack-vent")
	require.Len(t, table.Rows, 38)
	for _, row := range table.Rows {
		name := codebook.SizeKey(quantity.Size(row.Labels["stack"])) + "/" + codebook.SizeKey(quantity.Size(row.Labels["units"]))
		assert.Equal(t, row.Key, name)
	}
	assert.Equal(t, 810.0, table.At("3/21", "3").Value)
	assert.False(t, table.At("3/21", "1-1/4").OK)
	assert.True(t, table.At("10/4000", "10").Memory)
	assert.False(t, table.At("10/4000", "8").Memory)
}

func TestSizeKeysGoBothWays(t *testing.T) {
	for _, key := range []string{"1/4", "3/8", "5/16", "1", "1-1/4", "1-1/2", "2-1/2", "3", "12"} {
		size, ok := codebook.ParseSize(key)
		require.True(t, ok, key)
		assert.Equal(t, key, codebook.SizeKey(size))
	}
	for _, word := range []string{"", "a", "1/0", "-1", "1-", "water-closet", "1.5", "99999999999"} {
		_, ok := codebook.ParseSize(word)
		assert.False(t, ok, word)
	}
}

func TestSupportsByMaterialAndSize(t *testing.T) {
	upc := load(t, "upc-2021").Table("support")
	assert.Equal(t, 72.0, upc.ByKind("copper-l", 1.5, "horizontal").Value)
	assert.Equal(t, 120.0, upc.ByKind("copper-l", 2, "horizontal").Value)
	assert.Equal(t, 32.0, upc.ByKind("pex", 0.5, "horizontal").Value)
	assert.Equal(t, 48.0, upc.ByKind("abs", 3, "horizontal").Value)
	assert.False(t, upc.ByKind("clay", 4, "horizontal").OK)
	assert.Equal(t, 120.0, load(t, "ipc-2021").Table("support").ByKind("copper-l", 1.5, "horizontal").Value)
	assert.InDelta(t, 0.8128, upc.ByKind("pex", 0.5, "horizontal").Metres(), 1e-9)
}

func TestNoLimitIsLargerThanAnyLoad(t *testing.T) {
	cell := load(t, "upc-2021").Table("wet-vent-horizontal").BySize(3, "units")
	assert.True(t, cell.Unlimited)
	assert.Greater(t, cell.Value, 1e300)
	assert.False(t, math.IsInf(cell.Value, 0), "a number that JSON can write")
}

func TestEditionsDiffer(t *testing.T) {
	now, then := load(t, "upc-2021"), load(t, "upc-2012")
	assert.Equal(t, 24.0, now.Table("cleanout-clearance").BySize(3, "clear").Value)
	assert.Equal(t, 18.0, then.Table("cleanout-clearance").BySize(3, "clear").Value)
	assert.Equal(t, 12.0, then.Table("cleanout-clearance").BySize(2, "clear").Value)
	assert.Equal(t, 5.0, now.Number("cleanout-crawl-reach").Value)
	assert.Equal(t, 20.0, then.Number("cleanout-crawl-reach").Value)
	assert.Equal(t, "ft", then.Number("cleanout-crawl-reach").Unit)
	assert.Equal(t, 1.0, now.Number("wet-vent-groups").Value)
	assert.Equal(t, 2.0, then.Number("wet-vent-groups").Value)
	assert.Equal(t, "Table 313.3", now.Table("support").At("abs", "horizontal").Section)
	assert.Equal(t, "Table 313.1", then.Table("support").At("abs", "horizontal").Section)
	assert.Equal(t, "CPC13", then.Table("support").At("abs", "horizontal").Source)
	assert.Equal(t, 49.0, now.Table("first-hour").At("1.5/2", "gallons").Value)
	assert.Equal(t, 54.0, then.Table("first-hour").At("1.5/2", "gallons").Value)
	assert.Equal(t, "Appendix C", then.Number("circuit-fixtures").Section)
	assert.Equal(t, 8.0, then.Number("circuit-fixtures").Value)

	old := load(t, "ipc-2012")
	assert.Equal(t, 1.5, old.Number("shield-edge").Value)
	assert.Equal(t, 1.25, load(t, "ipc-2015").Number("shield-edge").Value)
	assert.True(t, old.Flag("cleanout-stack-base"))
	assert.False(t, load(t, "ipc-2021").Flag("cleanout-stack-base"))
	assert.Equal(t, "802.4", old.Number("standpipe-most").Section)
	assert.Equal(t, "802.3.3", load(t, "ipc-2015").Number("standpipe-most").Section)
}

// Rules ask both families the same keys, so a key means the same in each.
func TestFamiliesAgreeOnKeysAndUnits(t *testing.T) {
	upc, ipc := load(t, "upc-2021"), load(t, "ipc-2021")
	for _, key := range upc.NumberKeys() {
		if other := ipc.Number(key); other.OK {
			assert.Equal(t, upc.Number(key).Unit, other.Unit, key)
		}
	}
	for _, name := range upc.TableNames() {
		mine, other := upc.Table(name), ipc.Table(name)
		if other == nil {
			continue
		}
		for _, column := range mine.Columns {
			if slices.Contains(other.Columns, column) {
				assert.Equal(t, mine.UnitOf(column), other.UnitOf(column), "%s %s", name, column)
			}
		}
		assert.Equal(t, mine.WordColumns, other.WordColumns, name)
		assert.Equal(t, mine.LabelColumns, other.LabelColumns, name)
	}
	for _, key := range []string{"closet-side", "closet-front", "closet-drain-least", "vent-least", "vent-rise", "standpipe-most",
		"static-most", "terminal-opening-away", "shield-edge", "cleanout-spacing", "cleanout-turn"} {
		assert.True(t, upc.Number(key).OK, key)
		assert.True(t, ipc.Number(key).OK, key)
	}
}
