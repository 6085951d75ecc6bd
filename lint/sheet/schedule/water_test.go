package schedule_test

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lint"
	"crownweir/lint/pressure"
	"crownweir/lint/sheet/schedule"
)

func flats(t *testing.T, o pressure.Options) *lint.Report {
	t.Helper()
	r := lint.Check(context.Background(), os.DirFS(filepath.Join("..", "..", "..", "testdata", "plans")), "three-flats-ipc.weir", lint.Options{Reckoning: o})
	require.Empty(t, r.Unread)
	return r
}

// Three flats of 5.7 units are 17.1, which IPC Table E103.3(3) reads at its
// next row, 18.8 gpm at 18 units.
func TestWaterSchedule(t *testing.T) {
	s := sheet(t, "water", flats(t, pressure.Options{}))
	row := rows(t, s.Tables[0], map[string]string{"from": "M", "to": "r0"})
	require.Len(t, row, 1)
	assert.InDelta(t, 17.1, row[0]["load"].Number, 1e-9)
	assert.InDelta(t, 18.8, row[0]["flow"].Number, 1e-9)
	assert.InDelta(t, 0.4085*18.8/(1.265*1.265), row[0]["velocity"].Number, 0.01, "V = 0.4085 q/d^2, W 5")
	assert.Equal(t, "Table E103.3(3)", row[0]["flow by"].Text)
	lone := rows(t, s.Tables[0], map[string]string{"to": "WC1"})
	require.Len(t, lone, 1)
	assert.InDelta(t, 3, lone[0]["flow"].Number, 1e-9, "a closet's own flow, IPC Table 604.3")

	other := sheet(t, "water", flats(t, pressure.Options{Demand: pressure.Binomial, Friction: pressure.Darcy}))
	row = rows(t, other.Tables[0], map[string]string{"from": "M", "to": "r0"})
	assert.Less(t, row[0]["flow"].Number, 18.8)
	assert.Equal(t, "exact enumeration", row[0]["flow by"].Text)
	assert.Contains(t, other.Tables[0].Notes[1], "Darcy")
}

// The way to the critical outlet is told step by step: every "left" is the one
// before less what its part takes, and the last is the spare of the outlets' table.
func TestPressureSchedule(t *testing.T) {
	s := sheet(t, "pressure", flats(t, pressure.Options{}))
	require.Len(t, s.Tables, 2)
	worst := rows(t, s.Tables[0], map[string]string{"outlet": "SH3", "side": "hot"})
	require.Len(t, worst, 1)
	way := s.Tables[1]
	assert.Equal(t, "way to SH3, hot", way.Name)
	last, takes := len(way.Columns)-1, len(way.Columns)-2
	for i := 1; i < len(way.Rows); i++ {
		assert.InDelta(t, way.Rows[i-1][last].Number-way.Rows[i][takes].Number, way.Rows[i][last].Number, 2e-4, way.Rows[i][0].Text)
	}
	assert.InDelta(t, worst[0]["spare"].Number, way.Rows[len(way.Rows)-1][last].Number, 1e-4)
	assert.Negative(t, worst[0]["spare"].Number)
	for _, row := range s.Tables[0].Rows {
		assert.GreaterOrEqual(t, row[7].Number, worst[0]["spare"].Number, row[0].Text)
	}
}

func TestHotWaitSchedule(t *testing.T) {
	s := sheet(t, "hot-wait", flats(t, pressure.Options{}))
	row := rows(t, s.Tables[0], map[string]string{"outlet": "SH1"})
	require.Len(t, row, 1)
	assert.Equal(t, "H1", row[0]["from"].Text)
	assert.InDelta(t, 50, row[0]["most length"].Number, 1e-9)
	assert.InDelta(t, row[0]["gallons"].Number*60/row[0]["flow"].Number, row[0]["wait"].Number, 0.05)
	var out bytes.Buffer
	require.NoError(t, schedule.Write(&out, "json", s))
	assert.True(t, json.Valid(out.Bytes()))
}

// What is not known is said, and nothing is told as left.
func TestWaterSchedulesOfHalfAPlan(t *testing.T) {
	r := check(t, "scope water\nlevel ground at 0'\nroom bath on ground\nmain M at 0'\nfixture LV lavatory in bath\nheater WH in bath\ncold M to LV 1/2\"\nhot WH to LV\n", lint.Options{})
	s := sheet(t, "pressure", r)
	row := rows(t, s.Tables[0], map[string]string{"outlet": "LV", "side": "cold"})
	require.Len(t, row, 1)
	assert.Equal(t, "static pressure of M", row[0]["waits for"].Text)
	assert.Equal(t, "not known", row[0]["left"].Text)
	assert.Empty(t, row[0]["spare"].Text)
	require.Len(t, s.Tables, 1, "no way is told as the critical one")
	w := sheet(t, "hot-wait", r)
	for _, row := range w.Tables[0].Rows {
		assert.NotEmpty(t, row[len(row)-1].Text)
	}
	sheet(t, "water", r)
}
