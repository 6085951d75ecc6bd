package pressure_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/pressure"
	"crownweir/lint/sizing"
)

// tower is a building of storeys with flats of four fixtures each, on one riser
// or, ringed, on two that meet on every tenth storey.
func tower(storeys, flats int, ringed bool) string {
	var b strings.Builder
	b.WriteString("plan \"Gannet Quay\"\ncode ipc-2021\nscope water\ndefault water copper-l\nmethod engineered\nlevel ground at 0'\n")
	for s := range storeys {
		fmt.Fprintf(&b, "level l%d at %d'\nroom r%d on l%d\n", s, 10*(s+1), s, s)
	}
	b.WriteString("main M at 0' 400psi\nservice M to A0 4\": north 20'\n")
	if ringed {
		b.WriteString("service M to B0 4\": south 20'\n")
	}
	for s := range storeys {
		risers := []string{"A"}
		if ringed {
			risers = append(risers, "B")
		}
		for _, r := range risers {
			fmt.Fprintf(&b, "cold %s%d to %s%d 4\": up 10'\n", r, s, r, s+1)
		}
		if ringed && s%10 == 9 {
			fmt.Fprintf(&b, "cold A%d to B%d 3\": east 60'\n", s+1, s+1)
		}
		for f := range flats {
			fmt.Fprintf(&b, "cold %s%d to f%d-%d 1\": east %d'\n", risers[f%len(risers)], s+1, s, f, 6+4*f)
			for i, kind := range []string{"water-closet", "lavatory", "kitchen-sink", "tub-shower"} {
				fmt.Fprintf(&b, "fixture X%d-%d-%d %s in r%d\ncold f%d-%d to X%d-%d-%d 1/2\": north %d', up 20\"\n", s, f, i, kind, s, s, f, s, f, i, 3+i)
			}
		}
	}
	return b.String()
}

func benchmark(b *testing.B, plan string, outlets, grids int) {
	sys := system.BuildSource(nil, "a.weir", plan, system.Options{})
	book, err := codebook.Load("ipc-2021")
	require.NoError(b, err)
	ledger := sizing.New(sys, book)
	b.ResetTimer()
	for range b.N {
		a := pressure.New(sizing.NewSupply(ledger), pressure.Options{})
		require.Len(b, a.Outlets, outlets)
		require.Len(b, a.Grids, grids)
	}
}

// BenchmarkTower: 50 storeys, 4,000 outlets, on one riser.
func BenchmarkTower(b *testing.B) { benchmark(b, tower(50, 20, false), 4000, 0) }

// BenchmarkRingedTower: the same on two risers that meet on every tenth storey.
func BenchmarkRingedTower(b *testing.B) { benchmark(b, tower(50, 20, true), 4000, 1) }
