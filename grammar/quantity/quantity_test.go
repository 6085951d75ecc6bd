package quantity

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const inch = 0.0254

func TestParse(t *testing.T) {
	for _, c := range []struct {
		text string
		kind Kind
		si   float64
	}{
		{`18"`, Length, 18 * inch}, {`1-1/2"`, Length, 1.5 * inch}, {`3/4"`, Length, 0.75 * inch}, {`2'`, Length, 24 * inch},
		{`2'6"`, Length, 30 * inch}, {`2'6-1/2"`, Length, 30.5 * inch}, {`2'3/4"`, Length, 24.75 * inch}, {`2'-6"`, Length, 30 * inch},
		{`2.5'`, Length, 30 * inch}, {`30in`, Length, 30 * inch}, {`2.5ft`, Length, 30 * inch}, {`600mm`, Length, 0.6},
		{`40cm`, Length, 0.4}, {`1.2m`, Length, 1.2}, {`0'`, Length, 0}, {`-1'8"`, Length, -20 * inch}, {`-14"`, Length, -14 * inch},
		{`-600mm`, Length, -0.6}, {`2′6½″`, Length, 30.5 * inch}, {`½″`, Length, 0.5 * inch}, {`−3’`, Length, -36 * inch}, {`1½"`, Length, 1.5 * inch},
		{`2'6.5"`, Length, 30.5 * inch}, {`1.25"`, Length, 1.25 * inch},
		{`1/4`, Grade, 1.0 / 48}, {`1/8`, Grade, 1.0 / 96}, {`1/4"/ft`, Grade, 1.0 / 48}, {`1/4in/ft`, Grade, 1.0 / 48}, {`2%`, Grade, 0.02},
		{`20mm/m`, Grade, 0.02}, {`-1/4`, Grade, -1.0 / 48}, {`1-1/2"/ft`, Grade, 0.125}, {`¼`, Grade, 1.0 / 48},
		{`62psi`, Pressure, 62 * 6894.757293168361}, {`430kPa`, Pressure, 430e3}, {`4.3bar`, Pressure, 430e3},
		{`1.8gpm`, Flow, 1.8 * 3.785411784e-3 / 60}, {`0.11L/s`, Flow, 0.11e-3},
		{`50gal`, Volume, 50 * 3.785411784e-3}, {`190L`, Volume, 0.19}, {`120F`, Temperature, 48.888888888888886}, {`49C`, Temperature, 49},
		{`-10F`, Temperature, -23.333333333333332}, {`15min`, Duration, 900}, {`3`, Number, 3}, {`0.5`, Number, 0.5}, {`-2`, Number, -2}, {`45`, Number, 45},
	} {
		v, ok := Parse(c.text)
		require.True(t, ok, c.text)
		require.Equal(t, c.kind, v.Kind, c.text)
		require.InDelta(t, c.si, v.SI, 1e-12*math.Max(1, math.Abs(c.si)), c.text)
		require.Equal(t, c.text, v.Text)
	}
}

func TestWrongFormsAreNone(t *testing.T) {
	for _, text := range []string{
		"", "-", `"`, "'", "abc", "2x8", "2026-11-02", `2'6`, `2.5'6"`, `1-1/2`, `1-3/2"`, `1/0"`, `1/4'`, `3/4psi`, `2''`, `6"2'`, `1..2"`,
		`.5"`, `5."`, `1,5"`, `--3"`, `3 "`, ` 3"`, `3" `, `62PSI`, `1/2/3"`, `1-"`, `1-2"`, "3e5", "0x10", "NaN", "Inf", "1234567890123", "1234567890123'",
		"½½″", `2'-`, `2'--6"`, "5ft6in", "+3", "3½psi", strings.Repeat("1", 50), "²\"", "\xff", "4'\xff",
	} {
		v, ok := Parse(text)
		require.False(t, ok, "%q", text)
		require.Zero(t, v, "%q", text)
	}
}

func TestConversions(t *testing.T) {
	read := func(text string) Value {
		v, ok := Parse(text)
		require.True(t, ok, text)
		return v
	}
	require.Equal(t, 74.0, read(`6'2"`).Inches())
	require.Equal(t, 2.5, read(`30in`).Feet())
	require.Equal(t, 0.6, read(`600mm`).Metres())
	require.Equal(t, 62.0, read(`62psi`).PSI())
	require.InDelta(t, 62.366, read(`430kPa`).PSI(), 1e-3)
	require.Equal(t, 1.8, read(`1.8gpm`).GPM())
	require.Equal(t, 120.0, read(`120F`).Fahrenheit())
	require.Equal(t, 120.2, read(`49C`).Fahrenheit())
	require.Equal(t, 0.25, read(`1/4`).InchesPerFoot())
	require.Equal(t, 0.24, read(`2%`).InchesPerFoot())
	require.Equal(t, 50.0, read(`50gal`).Gallons())
	require.Equal(t, 15.0, read(`15min`).Minutes())
	require.Equal(t, 1.5, read(`-1-1/2"`).Negated().Inches())
}

func TestMadeValuesReadBack(t *testing.T) {
	for _, v := range []Value{
		FromInches(74), FromInches(1.5), FromInches(-20), FromFeet(5), FromMetres(0.6096), FromInchesPerFoot(0.25), FromInchesPerFoot(-0.125),
		FromPSI(62.5), FromGPM(1.8), FromGallons(50), FromFahrenheit(-10), FromNumber(2.5),
	} {
		back, ok := Parse(v.Text)
		require.True(t, ok, v.Text)
		require.Equal(t, v.Kind, back.Kind, v.Text)
		require.InDelta(t, v.SI, back.SI, 1e-9*math.Max(1, math.Abs(v.SI)), v.Text)
	}
}

func TestSizes(t *testing.T) {
	for text, want := range map[string]Size{
		`1/2"`: 0.5, `3/4"`: 0.75, `1"`: 1, `1-1/4"`: 1.25, `1-1/2"`: 1.5, `2"`: 2, `2-1/2"`: 2.5, `3"`: 3, `4"`: 4, `5"`: 5, `6"`: 6, `8"`: 8,
		`10"`: 10, `12"`: 12, `15"`: 15, `3/8"`: 0.375, `1'`: 12, `1.5in`: 1.5, `1½″`: 1.5,
		`10mm`: 0.375, `15mm`: 0.5, `20mm`: 0.75, `25mm`: 1, `32mm`: 1.25, `40mm`: 1.5, `50mm`: 2, `65mm`: 2.5, `75mm`: 3, `80mm`: 3, `100mm`: 4,
		`125mm`: 5, `150mm`: 6, `200mm`: 8, `250mm`: 10, `300mm`: 12, `375mm`: 15, `5cm`: 2, `0.1m`: 4,
	} {
		got, ok := ParseSize(text)
		require.True(t, ok, text)
		require.Equal(t, want, got, text)
	}
	for _, text := range []string{`7"`, `50.8mm`, `51mm`, `-2"`, `0"`, `2psi`, `1/4`, "x", `1-1/3"`} {
		_, ok := ParseSize(text)
		require.False(t, ok, text)
	}
	for i, s := range Sizes() {
		require.True(t, i == 0 || s > Sizes()[i-1])
		back, ok := ParseSize(s.String())
		require.True(t, ok, s.String())
		require.Equal(t, s, back)
	}
}

func TestPrinting(t *testing.T) {
	for inches, want := range map[float64]string{
		74: `6'2"`, 42: `3'6"`, 60: `5'`, 30: `2'6"`, 18: `18"`, 1.5: `1-1/2"`, 0: `0"`, 24: `2'`, 23.99: `2'`, 23.9: `23-7/8"`, -20: `-20"`,
		-30.5: `-2'6-1/2"`, 0.75: `3/4"`, 0.01: `0"`, -0.01: `0"`, 24.0625: `2'1/16"`, 23.97: `2'`, 1e6: `83333'4"`,
	} {
		require.Equal(t, want, FormatLength(inches*inch), "%v in", inches)
	}
	require.Equal(t, "?", FormatLength(math.NaN()))
	require.Equal(t, `1-1/2"`, FormatSize(1.5))
	require.Equal(t, `3/8"`, FormatSize(0.375))
	for ratio, want := range map[float64]string{
		1.0 / 48: "1/4 in/ft", 1.0 / 96: "1/8 in/ft", 1.0 / 12: "1 in/ft", 0.02: "0.24 in/ft", -1.0 / 48: "-1/4 in/ft", 0: "0 in/ft", 0.125: "1-1/2 in/ft",
	} {
		require.Equal(t, want, FormatGrade(ratio))
	}
}

func TestCanonical(t *testing.T) {
	for text, want := range map[string]string{
		`2′6½″`: `2'6-1/2"`, `½″`: `1/2"`, `−3’`: `-3'`, `2'6"`: `2'6"`, `1.50m`: `1.50m`, `¼`: `1/4`, `1⁄4`: `1/4`,
	} {
		v, ok := Parse(text)
		require.True(t, ok, text)
		require.Equal(t, want, v.Canonical())
		back, ok := Parse(v.Canonical())
		require.True(t, ok)
		require.Equal(t, v.SI, back.SI)
	}
}

func FuzzParse(f *testing.F) {
	for _, text := range []string{`2'6-1/2"`, `2′6½″`, "62psi", "1/4\"/ft", "-10F", "0.11L/s", "", "1-", "½"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		v, ok := Parse(text)
		if !ok {
			require.Zero(t, v)
			return
		}
		require.NotEqual(t, None, v.Kind)
		require.False(t, math.IsNaN(v.SI) || math.IsInf(v.SI, 0))
		back, ok := Parse(v.Canonical())
		require.True(t, ok, v.Canonical())
		require.Equal(t, v.Kind, back.Kind)
		require.Equal(t, v.SI, back.SI)
		require.Equal(t, v.Canonical(), back.Canonical())
		if v.Kind == Length {
			near, ok := Parse(FormatLength(v.SI))
			require.True(t, ok, FormatLength(v.SI))
			if math.Abs(v.SI) < 1e6 {
				require.InDelta(t, v.SI, near.SI, inch/32+1e-9)
			}
			if s, ok := v.Size(); ok {
				again, ok := ParseSize(FormatSize(s))
				require.True(t, ok)
				require.Equal(t, s, again)
			}
		}
	})
}

func BenchmarkParse(b *testing.B) {
	texts := []string{`1-1/2"`, `2'6"`, "62psi", "1/4", "water-closet", `18"`}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		Parse(texts[i%len(texts)])
	}
}
