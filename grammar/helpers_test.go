package grammar

import (
	"testing"

	"github.com/stretchr/testify/require"

	"crownweir/grammar/quantity"
)

func ref(first, last string) Ref { return Ref{First: Word{Text: first}, Last: Word{Text: last}} }

func TestRangesOfNames(t *testing.T) {
	for _, c := range []struct {
		first, last string
		want        []string
	}{
		{"S1", "S3", []string{"S1", "S2", "S3"}},
		{"S3", "S1", []string{"S3", "S2", "S1"}},
		{"l9", "l11", []string{"l9", "l10", "l11"}},
		{"F12.ba", "F10.ba", []string{"F12.ba", "F11.ba", "F10.ba"}},
		{"a1b2", "a1b3", []string{"a1b2", "a1b3"}},
		{"x08", "x10", []string{"x08", "x09", "x10"}},
		{"k1", "", []string{"k1"}},
	} {
		got, ok := ref(c.first, c.last).Names()
		require.True(t, ok, c)
		require.Equal(t, c.want, got)
	}
	for _, c := range [][2]string{
		{"S1", "S1"}, {"S1", "T3"}, {"S1a2", "S2a3"}, {"S", "T"}, {"S1", "S10001"}, {"S1", "S1000000"}, {"S1", "S99999999999999999999"}, {"x8", "x010"}, {"", ""}, {"l3", "m12"},
	} {
		_, ok := ref(c[0], c[1]).Names()
		require.False(t, ok, c)
	}
	long, ok := ref("S1", "S10000").Names()
	require.True(t, ok)
	require.Len(t, long, 10_000)
	require.Equal(t, "S1..S3", ref("S1", "S3").String())
	require.Equal(t, "k1", ref("k1", "").String())
}

func TestAttributes(t *testing.T) {
	f := Parse("a.weir", `fixture A shower floor 36" by 34" trap ? side unknown flush tank 1.28gal trap 2" primer`)
	p := f.Statements[0].(*Point)
	get := func(key string) Attr {
		a, ok := FindAttr(p.Attrs, key)
		require.True(t, ok, key)
		return a
	}
	q, ok := get("floor").Qty()
	require.True(t, ok)
	require.Equal(t, 36.0, q.Inches())
	require.Len(t, get("floor").Values, 2)
	require.True(t, get("trap").Solve())
	require.True(t, get("side").Unknown())
	_, ok = get("side").Qty()
	require.False(t, ok)
	require.Equal(t, "tank", get("flush").Text())
	q, ok = get("flush").Qty()
	require.True(t, ok)
	require.Equal(t, quantity.Volume, q.Kind)
	require.Empty(t, get("primer").Text())
	_, ok = FindAttr(p.Attrs, "rim")
	require.False(t, ok)
	size, ok := Parse("a.weir", `existing drain BD 100mm`).Statements[0].(*Point).Attrs[0].Size()
	require.True(t, ok)
	require.Equal(t, quantity.Size(4), size)
}

func TestEveryStatementHasAForm(t *testing.T) {
	for _, keyword := range Keywords() {
		require.NotEmpty(t, StatementForm(keyword), keyword)
	}
	require.Empty(t, StatementForm("water-closet"))
}

func TestAttrSpecs(t *testing.T) {
	for _, keyword := range []string{"fixture", "main", "outfall", "terminal", "heater", "manifold", "ejector", "interceptor", "fitting", "object", "existing", "drain", "hot", "trap", "cleanout", "valve", "meter", "regulator", "backflow", "loss", "found", "dwelling"} {
		require.NotEmpty(t, AttrSpecs(keyword), keyword)
	}
	require.Nil(t, AttrSpecs("plan"))
	for _, s := range AttrSpecs("fixture") {
		if s.Key == "control" {
			require.Equal(t, []string{"pressure-balance", "thermostatic", "combination"}, s.Words)
			return
		}
	}
	t.Fatal("a fixture has a control")
}

func TestNearest(t *testing.T) {
	list := []string{"sanitary-tee", "pex", "drain", "vent", "abs", "to"}
	for word, want := range map[string]string{
		"snaitary-tee": "sanitary-tee", "pxe": "pex", "Drain": "drain", "dran": "drain", "zzz": "", "": "", "a": "", "sewer": "", "ot": "to",
	} {
		require.Equal(t, want, Nearest(word, list), word)
	}
}

func TestMapper(t *testing.T) {
	source := "ab\r\nü𝄞x\n\nlast"
	m := NewMapper(source)
	require.Equal(t, 4, m.Lines())
	require.Equal(t, []string{"ab", "ü𝄞x", "", "last", ""}, []string{m.LineText(1), m.LineText(2), m.LineText(3), m.LineText(4), m.LineText(5)})
	line, column := m.Position(len("ab\r\nü𝄞"))
	require.Equal(t, []int{2, 3}, []int{line, column})
	line, column = m.PositionUTF16(len("ab\r\nü𝄞"))
	require.Equal(t, []int{1, 3}, []int{line, column})
	line, column = m.Position(len(source) + 9)
	require.Equal(t, []int{4, 5}, []int{line, column})
	line, column = m.Position(-1)
	require.Equal(t, []int{1, 1}, []int{line, column})
	require.Equal(t, len("ab"), m.Offset(1, 99))
	require.Equal(t, len(source), m.Offset(9, 1))
	require.Equal(t, 0, m.Offset(0, 5))
	for i, r := range source {
		if r == '\n' || r == '\r' {
			continue
		}
		require.Equal(t, i, m.Offset(m.Position(i)))
		require.Equal(t, i, m.OffsetUTF16(m.PositionUTF16(i)))
		require.Equal(t, i, m.OffsetUTF8(m.PositionUTF8(i)))
	}
}
