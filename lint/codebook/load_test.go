package codebook

import (
	"errors"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const goodHead = "[book]\ntitle = \"Test 2020\"\nedition = 2020\nfamily = \"test\"\n"

// loadText reads a book of one topic file.
func loadText(topic string) (*Book, error) {
	return loadFrom(fstest.MapFS{
		"b/sources.toml":    {Data: []byte("KC = \"a county\"\nXX = \"another\"\n")},
		"b/common.toml":     {Data: []byte("[rules]\nopen-geometry = \"\"\n")},
		"b/test/book.toml":  {Data: []byte(goodHead)},
		"b/test/topic.toml": {Data: []byte(topic)},
	}, "b", "test", nil)
}

func TestBadFilesAreRefusedWithTheirPlace(t *testing.T) {
	for _, c := range []struct{ name, topic, want string }{
		{"unknown top key", "[tables]\n[numbres]\n", "b/test/topic.toml:2:2: the file does not know the key \"numbres\"; did you mean numbers"},
		{"unknown key of a number", "[numbers]\nx = { value = 1, unit = \"in\", source = \"KC\", sectoin = \"1\" }\n",
			"b/test/topic.toml:2:46: number x does not know the key \"sectoin\"; did you mean section"},
		{"unknown unit", "[numbers]\nx = { value = 1, unit = \"furlong\", source = \"KC\" }\n", "b/test/topic.toml:2:25: \"furlong\" is no unit"},
		{"no source", "[numbers]\nx = { value = 1, unit = \"in\", section = \"1\" }\n", "topic.toml:2:5: x names no source; write source = \"...\" or memory = true"},
		{"source not listed", "[numbers]\nx = { value = 1, unit = \"in\", source = \"ZZ\" }\n", "\"ZZ\" is no source of the list"},
		{"value of the wrong shape", "[numbers]\nx = { value = true, unit = \"in\", source = \"KC\" }\n", "topic.toml:2:15: x is true or false; write a number"},
		{"negative", "[numbers]\nx = { value = -1, unit = \"in\", source = \"KC\" }\n", "topic.toml:2:15: x is -1; a limit lies between 0 and 1e9"},
		{"not a number", "[numbers]\nx = { value = nan, unit = \"in\", source = \"KC\" }\n", "a limit lies between 0 and 1e9"},
		{"unknown key of a table", "[tables.x]\ncolumns = [\"a\"]\ncolunms = [\"b\"]\n", "topic.toml:3:1: table x does not know the key \"colunms\"; did you mean columns"},
		{"too few cells", "[tables.x]\nsource = \"KC\"\ncolumns = [\"a\", \"b\"]\n[tables.x.rows]\n3 = [1]\n", "topic.toml:5:"},
		{"unknown column", "[tables.x]\nsource = \"KC\"\ncolumns = [\"abc\"]\n[tables.x.rows]\n3 = { abd = 1 }\n", "topic.toml:5:7: row 3 of table x does not know the key \"abd\"; did you mean abc"},
		{"table without rows", "[tables.x]\nsource = \"KC\"\ncolumns = [\"a\"]\n", "table x has no rows"},
		{"column twice", "[tables.x]\ncolumns = [\"a\", \"a\"]\n", "column \"a\" of table x stands twice"},
		{"word for a number", "[tables.x]\nsource = \"KC\"\ncolumns = [\"a\"]\n[tables.x.rows]\n3 = [\"many\"]\n", "topic.toml:5:6: a of row \"3\" of table x is \"many\"; write a number"},
		{"row twice", "[tables.x]\nsource = \"KC\"\ncolumns = [\"a\"]\n[tables.x.rows]\n3 = 1\n3 = 2\n", "topic.toml:6:1: 3 stands twice"},
		{"header twice", "[numbers]\n[numbers]\n", "topic.toml:2:2: [numbers] stands twice"},
		{"list of tables", "[[numbers]]\n", "[[numbers]] is a list of tables; write [numbers]"},
		{"rule that is no text", "[rules]\nlong-vent = 3\n", "topic.toml:2:13: long-vent is a number; write a text"},
		{"not TOML", "[numbers]\nx = {\n", "this line is no TOML"},
		{"columns in code points", "[numbers]\n\"é\" = { value = 1, unit = \"é\", source = \"KC\" }\n", "topic.toml:2:27: \"é\" is no unit"},
		{"not UTF-8", "# \xff\n", "topic.toml:1:1: the file is not UTF-8"},
		{"flag that is a number", "[flags]\nx = { value = 1, source = \"KC\" }\n", "topic.toml:2:15: x is a number; write true or false"},
		{"row of no columns", "[tables.x]\n[tables.x.rows]\n3 = 1\n", "row \"3\" of table x is a number"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := loadText(c.topic)
			require.Error(t, err)
			var file *FileError
			require.True(t, errors.As(err, &file))
			assert.Equal(t, "b/test/topic.toml", file.File)
			assert.Contains(t, err.Error(), c.want)
			for _, p := range file.Problems {
				assert.Positive(t, p.Line)
				assert.Positive(t, p.Column)
			}
		})
	}
}

func TestGoodFile(t *testing.T) {
	book, err := loadText(`
[tables.x]
title = "x"
section = "Table 1"
source = "KC"
unit = "units"
units = { far = "ft" }
columns = ["near", "far"]
words = ["may"]
memory = ["2"]
sources = { 3 = "XX" }
[tables.x.rows]
2 = [1, 2, "yes"]
3 = [{ value = 3, section = "9" }, "4?", "no?"]
4 = ["-", "no limit", "-"]
[flags]
f = { value = true, section = "2", source = "KC", title = "f" }
`)
	require.NoError(t, err)
	x := book.Table("x")
	assert.Equal(t, Cell{Value: 2, Unit: "ft", Section: "Table 1", Source: "from memory", Memory: true, OK: true}, x.At("2", "far"))
	assert.Equal(t, Cell{Value: 3, Unit: "units", Section: "9", Source: "XX", OK: true}, x.At("3", "near"))
	assert.True(t, x.At("3", "far").Memory)
	word, cell := x.Word("3", "may")
	assert.Equal(t, "no", word)
	assert.True(t, cell.Memory)
	assert.False(t, x.At("4", "near").OK)
	assert.True(t, x.At("4", "far").Unlimited)
	assert.True(t, book.Flag("f"))
	section, ok := book.Section("open-geometry")
	assert.True(t, ok)
	assert.Empty(t, section)
	assert.Equal(t, Tally{Limits: 8, FromMemory: 5}, book.Tally())
}

func TestBooksOverEachOtherInARing(t *testing.T) {
	_, err := loadFrom(fstest.MapFS{
		"b/sources.toml": {},
		"b/common.toml":  {},
		"b/a/book.toml":  {Data: []byte(goodHead + "over = \"c\"\n")},
		"b/c/book.toml":  {Data: []byte(goodHead + "over = \"a\"\n")},
	}, "b", "a", nil)
	assert.ErrorContains(t, err, "laid over")
}

func TestRemoval(t *testing.T) {
	files := fstest.MapFS{
		"b/sources.toml":     {},
		"b/common.toml":      {Data: []byte("[rules]\nlong-vent = \"1\"\nlow-vent-turn = \"2\"\n")},
		"b/below/book.toml":  {Data: []byte(goodHead)},
		"b/above/book.toml":  {Data: []byte(goodHead + "over = \"below\"\n[remove]\nrules = [\"long-vent\"]\n")},
		"b/broken/book.toml": {Data: []byte(goodHead + "over = \"below\"\n[remove]\nrules = [\"no-such\"]\n")},
	}
	book, err := loadFrom(files, "b", "above", nil)
	require.NoError(t, err)
	_, ok := book.Section("long-vent")
	assert.False(t, ok)
	assert.Equal(t, []string{"low-vent-turn"}, book.RuleNames())
	_, err = loadFrom(files, "b", "broken", nil)
	assert.ErrorContains(t, err, "b/broken/book.toml:7:10: the book below has no \"no-such\" among its rules")
}
