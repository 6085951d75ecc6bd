package grammar

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// plan makes a realistic plan of n lines, all of them distinct.
func plan(n int) string {
	lines := []string{
		`plan "Quillfeather Lane, house 14"`, `code upc-2021`, `default drain abs`, `default fall 1/4`,
		`level ground at 0'`, `level upper at 9'6"`, `roof at 20'`, `main M at -3' 62psi`, `outfall SEW at -6' manhole -2'`,
	}
	for i := 0; len(lines) < n; i++ {
		lines = append(lines,
			fmt.Sprintf(`room bath-%d on ground use restroom ceiling 8'`, i),
			fmt.Sprintf(`fixture WC%d water-closet in bath-%d side 16" front 25" centres 30"`, i, i),
			fmt.Sprintf(`fixture LV%d lavatory in bath-%d side 15" front 24" hot left`, i, i),
			fmt.Sprintf(`fixture SH%d shower in bath-%d floor 36" by 36" control pressure-balance limit 120F`, i, i),
			fmt.Sprintf(`terminal V%d roof rise 12" opening 12' above 3' lot-line 4'`, i),
			fmt.Sprintf(`fitting k%d sanitary-tee at -1'6"`, i),
			fmt.Sprintf(`drain LV%d to k%d 1-1/2" abs as D-%d: trap, west 2'6" strap 32", down to -14"`, i, i, i),
			fmt.Sprintf(`drain WC%d to k%d 3": down 8", north 1'6" fall 1/4, enters side`, i, i),
			fmt.Sprintf(`vent k%d to V%d 1-1/2": up to 44", east 6', quarter-bend, up to roof`, i, i),
			fmt.Sprintf(`cold S%d to LV%d 1/2" pex: up 8' strap 32" near recessed-light 9", south 6', valve stop  # stub`, i, i),
			fmt.Sprintf(`hot PM to LV%d 1/2" pex: over 31', valve stop`, i),
			fmt.Sprintf(`sewer k%d to SEW 4" abs: cleanout two-way, east 30' drop 9" buried 18" trench T%d`, i, i),
		)
	}
	return strings.Join(lines[:n], "\n") + "\n"
}

func TestThePlanOfTheBenchmarksIsClean(t *testing.T) {
	f := Parse("a.weir", plan(2000))
	require.Empty(t, problemsText(f))
	require.Len(t, f.Statements, 2000)
}

// History, on one core of an AMD EPYC shared with other work:
//
//	Parse2000   6.5 ms, 32,000 allocations: runs and points read by hand, the rest by reflection
//	Parse2000   4.4 ms, 30,000 allocations: a leaf sizes its tokens once
//	Edit2000    1.1 ms; EditTop2000 2.1 ms: statements above an edit are shared, those below are moved
func BenchmarkParse2000(b *testing.B) {
	source := plan(2000)
	b.ReportAllocs()
	b.SetBytes(int64(len(source)))
	for b.Loop() {
		Parse("a.weir", source)
	}
}

// BenchmarkEdit2000 edits a line in the middle of a plan that the cache knows.
func BenchmarkEdit2000(b *testing.B) { benchmarkEdit(b, 2000, 1000) }

// BenchmarkEditTop2000 moves every line of the plan but the first.
func BenchmarkEditTop2000(b *testing.B) { benchmarkEdit(b, 2000, 0) }

func BenchmarkEdit50000(b *testing.B) { benchmarkEdit(b, 50_000, 25_000) }

func benchmarkEdit(b *testing.B, lines, at int) {
	list := strings.Split(plan(lines), "\n")
	before, after := strings.Join(list[:at], "\n"), strings.Join(list[at+1:], "\n")
	if at > 0 {
		before += "\n"
	}
	c := NewCache()
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		n++
		ParseCached(c, "a.weir", before+fmt.Sprintf("note \"%s\"\n", strings.Repeat("x", n%40))+after)
	}
}

func BenchmarkFormat2000(b *testing.B) {
	f := Parse("a.weir", plan(2000))
	b.ReportAllocs()
	for b.Loop() {
		Format(f)
	}
}
