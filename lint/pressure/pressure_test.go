package pressure_test

import (
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar/system"
	"crownweir/lint/codebook"
	"crownweir/lint/hydraulics"
	"crownweir/lint/pressure"
	"crownweir/lint/sizing"
)

const psi = hydraulics.PoundsPerSquareInch

func analyse(t testing.TB, book, plan string, o pressure.Options) *pressure.Analysis {
	t.Helper()
	sys := system.BuildSource(nil, "a.weir", plan, system.Options{})
	b, err := codebook.Load(book)
	require.NoError(t, err)
	return pressure.New(sizing.NewSupply(sizing.New(sys, b)), o)
}

func outlet(t testing.TB, a *pressure.Analysis, name string, hot bool) *pressure.Outlet {
	t.Helper()
	for i := range a.Outlets {
		if o := &a.Outlets[i]; o.Point.Name == name && o.Hot == hot {
			return o
		}
	}
	require.Fail(t, "no outlet "+name)
	return nil
}

func run(t testing.TB, a *pressure.Analysis, from, to string) *pressure.Pipe {
	t.Helper()
	runs := a.Supply.Sys.Between(from, to)
	require.NotEmpty(t, runs, "%s to %s", from, to)
	return a.Of(runs[0].Pipes[0])
}

// single is a source, a service and one hose bibb.
func single(main, service, rest string) string {
	return "scope water\ndefault water copper-l\nlevel ground at 0'\nroom yard on ground\nmain M at 0' " + main + "\nfixture HB hose-bibb in yard supply 20' protected hose-vacuum-breaker\n" +
		"service M to s 1\": " + service + "\ncold s to HB 3/4\": " + rest + "\n"
}

// Source: IPC E103.2.2: 20 ft at 0.433 psi a foot are 8.66 psi, lost uphill and
// gained downhill.
func TestStaticHead(t *testing.T) {
	up := analyse(t, "ipc-2021", single("60psi", "north 40'", "up 20'"), pressure.Options{})
	assert.InDelta(t, 60-8.66, outlet(t, up, "HB", false).Static/psi, 1e-6)
	down := analyse(t, "ipc-2021", strings.Replace(single("60psi", "north 40'", "down 20'"), "supply 20'", "supply -20'", 1), pressure.Options{})
	assert.InDelta(t, 60+8.66, outlet(t, down, "HB", false).Static/psi, 1e-6)
}

// A hose bibb draws 5 gpm (IPC Table 604.3): what is left is the source less
// height, the 3/4 in meter's 0.6 psi at that flow (AWWA sheet), the written loss
// of the backflow device, and Hazen-Williams's friction in both pipes.
func TestWholeBudget(t *testing.T) {
	a := analyse(t, "ipc-2021", single("60psi", "meter 3/4\", backflow double-check, loss 4psi, north 40'", "up 20'"), pressure.Options{})
	o := outlet(t, a, "HB", false)
	q := 5 * hydraulics.GallonsPerMinute
	head := hydraulics.HazenWilliamsLoss(q, 140, 1.025*0.0254, 40*0.3048) +
		hydraulics.HazenWilliamsLoss(q, 140, 0.785*0.0254, 20*0.3048)
	bend, _ := hydraulics.EquivalentLength(hydraulics.QuarterBend, hydraulics.Streamlined, 0.75, 0.785*0.0254)
	head += hydraulics.HazenWilliamsLoss(q, 140, 0.785*0.0254, bend.Length)
	want := 60 - 8.66 - 0.6 - 4 - hydraulics.WaterAt((60-32)/1.8).Pressure(head)/psi
	assert.InDelta(t, want, o.Left.Least/psi, 1e-3)
	assert.Equal(t, o.Left.Least, o.Left.Most, "every loss is told")
	assert.InDelta(t, 8, o.Need/psi, 1e-9)
	assert.False(t, o.Missing.Missing())
}

// A device whose loss nobody writes leaves a range; the loss that follows it
// closes the range.
func TestUsualLosses(t *testing.T) {
	open := outlet(t, analyse(t, "ipc-2021", single("60psi", "backflow reduced-pressure, north 40'", "up 20'"), pressure.Options{}), "HB", false)
	assert.InDelta(t, 5, (open.Left.Most-open.Left.Least)/psi, 1e-6, "10 to 15 psi, makers' sheets from memory")
	told := outlet(t, analyse(t, "ipc-2021", single("60psi", "backflow reduced-pressure, loss 12psi, north 40'", "up 20'"), pressure.Options{}), "HB", false)
	assert.Equal(t, told.Left.Least, told.Left.Most)
	assert.InDelta(t, 2, (open.Left.Most-told.Left.Most)/psi, 1e-6)
	beside := outlet(t, analyse(t, "ipc-2021", single("60psi", "backflow reduced-pressure, north 40', loss 12psi", "up 20'"), pressure.Options{}), "HB", false)
	assert.InDelta(t, 12, (open.Left.Most-beside.Left.Most)/psi, 1e-6, "a loss that stands apart comes on top")
}

// A regulator holds its setting less its fall-off: by UPC 608.2 four fifths of
// it count. What rises before it is taken off before it.
func TestRegulator(t *testing.T) {
	a := analyse(t, "upc-2021", single("90psi", "up 10', regulator 60psi strainer, north 40'", "up 10'"), pressure.Options{})
	o := outlet(t, a, "HB", false)
	assert.InDelta(t, 60-10*0.43, o.Static/psi, 1e-6)
	l := run(t, a, "M", "s")
	after := l.Friction*40/50 + run(t, a, "s", "HB").Friction
	assert.InDelta(t, 48-10*0.43-after/psi, o.Left.Most/psi, 1e-3)
	low := outlet(t, analyse(t, "upc-2021", single("40psi", "regulator 60psi strainer, north 40'", "up 20'"), pressure.Options{}), "HB", false)
	assert.Less(t, low.Left.Most/psi, 40-8.6, "one set above the source raises nothing")
}

// A flow test lowers the source: the drop grows with the 1.85th power of flow.
func TestTestedMain(t *testing.T) {
	still := outlet(t, analyse(t, "ipc-2021", single("60psi", "north 40'", "up 20'"), pressure.Options{}), "HB", false)
	tested := outlet(t, analyse(t, "ipc-2021", single("60psi flow 10gpm residual 50psi", "north 40'", "up 20'"), pressure.Options{}), "HB", false)
	assert.InDelta(t, 10*math.Pow(0.5, 1.85), (still.Left.Most-tested.Left.Most)/psi, 1e-6)
	assert.Equal(t, still.Static, tested.Static, "at rest it gives what it gives")
}

// What is not told is named, and what is left at most is still reckoned.
func TestMissingFacts(t *testing.T) {
	for _, c := range []struct{ name, plan, what string }{
		{"no pressure", single("", "north 40'", "up 20'"), "static pressure of M"},
		{"no length", strings.Replace(single("60psi", "", "up 20'"), `1": `, `1"`, 1), "length of M to s"},
		{"no size", strings.Replace(single("60psi", "north 40'", "up 20'"), `to s 1":`, "to s:", 1), "size of M to s"},
		{"no material", strings.Replace(single("60psi", "north 40'", "up 20'"), "default water copper-l\n", "", 1), "material of M to s"},
		{"no meter size", single("60psi", "meter unknown, north 40'", "up 20'"), "size of the meter in M to s"},
		{"no such meter", single("60psi", "meter 8\", north 40'", "up 20'"), "loss of a 8\" meter"},
	} {
		t.Run(c.name, func(t *testing.T) {
			o := outlet(t, analyse(t, "ipc-2021", c.plan, pressure.Options{}), "HB", false)
			assert.Equal(t, c.what, o.Missing.What)
			assert.NotEmpty(t, o.Missing.Write)
			assert.True(t, math.IsInf(o.Left.Least, -1), "nothing is known to be left")
			assert.Greater(t, o.Left.Most, 0.0)
		})
	}
	held := outlet(t, analyse(t, "ipc-2021", single("60psi", "meter 8\", loss 2psi, north 40'", "up 20'"), pressure.Options{}), "HB", false)
	assert.False(t, held.Missing.Missing(), "a written loss stands for the meter")
}

// ring is a source with two ways round to one outlet.
const ring = `scope water
default water copper-l
level ground at 0'
room hall on ground
main M at 0' 60psi
fixture HB hose-bibb in hall supply 0' protected hose-vacuum-breaker
service M to a 1": north 10'
cold a to b 3/4": east 20', north 20'
cold a to c 3/4": north 20', east 20'
cold b to d 3/4": over 5'
cold c to d 3/4": over 5'
cold d to HB 3/4": north 5'
`

// Two ways of one length and size carry half of the flow each; Newton's method
// says in how many turns it settled.
func TestRingOfEqualWays(t *testing.T) {
	a := analyse(t, "ipc-2021", ring, pressure.Options{})
	require.Len(t, a.Grids, 1)
	g := a.Grids[0]
	assert.Empty(t, g.Trouble)
	assert.Greater(t, g.Iterations, 0)
	q := 5 * hydraulics.GallonsPerMinute
	assert.InEpsilon(t, q, g.Peak, 1e-9)
	// but for the tee at a, which one of them leaves straight on
	assert.InEpsilon(t, q/2, run(t, a, "b", "d").Flow.Q, 0.03)
	assert.InEpsilon(t, q, run(t, a, "b", "d").Flow.Q+run(t, a, "c", "d").Flow.Q, 1e-6)
	tree := analyse(t, "ipc-2021", strings.Replace(ring, "cold c to d 3/4\": over 5'\n", "", 1), pressure.Options{})
	require.Empty(t, tree.Grids)
	assert.Greater(t, outlet(t, a, "HB", false).Left.Least, outlet(t, tree, "HB", false).Left.Least, "the second way leaves more")
	back := analyse(t, "ipc-2021", strings.Replace(ring, "cold c to d", "cold d to c", 1), pressure.Options{})
	assert.InDelta(t, outlet(t, a, "HB", false).Left.Least/psi, outlet(t, back, "HB", false).Left.Least/psi, 0.02, "water runs where it can, whichever way the run is written")
	assert.True(t, run(t, back, "d", "c").Flow.Back)
	for _, ring := range []*pressure.Analysis{a, back} {
		o := outlet(t, ring, "HB", false)
		steps := ring.Steps(o)
		assert.InDelta(t, o.Left.Least, steps[len(steps)-1].Left, 1.5, "the steps follow the ring too")
	}
}

// A ring that lacks a fact bounds what is left by the source without friction.
func TestRingWithoutASize(t *testing.T) {
	a := analyse(t, "ipc-2021", strings.Replace(ring, `cold b to d 3/4"`, `cold b to d`, 1), pressure.Options{})
	o := outlet(t, a, "HB", false)
	assert.Equal(t, "size of b to d", o.Missing.What)
	assert.True(t, math.IsInf(o.Left.Least, -1))
	assert.LessOrEqual(t, o.Left.Most/psi, 60.0)
}

// Two mains feed what lies between them.
func TestTwoMains(t *testing.T) {
	plan := strings.Replace(ring, "cold c to d 3/4\": over 5'\n", "main N at 0' 60psi\nservice N to d 1\": east 10'\n", 1)
	a := analyse(t, "ipc-2021", plan, pressure.Options{})
	require.Len(t, a.Grids, 1)
	near, far := run(t, a, "N", "d").Flow.Q, run(t, a, "M", "a").Flow.Q
	assert.InEpsilon(t, 5*hydraulics.GallonsPerMinute, near+far, 1e-6)
	assert.Greater(t, near, far)
}

// The binomial peak tells its regime, and falls back on the curve where a kind
// has no chance in the table. Regimes: Peak Water Demand Study, 2017, as a
// research note has them; numbers from memory.
func TestBinomialPeak(t *testing.T) {
	flats := func(n int, more string) string {
		var b strings.Builder
		b.WriteString("scope water\ndefault water copper-l\nlevel ground at 0'\nroom hall on ground\nmain M at 0' 60psi\nservice M to s 3\": north 10'\n")
		for i := range n {
			fmt.Fprintf(&b, "fixture L%d lavatory in hall\nfixture T%d tub-shower in hall\nfixture W%d water-closet in hall\n", i, i, i)
			fmt.Fprintf(&b, "cold s to L%d 1/2\": up 21\"\ncold s to T%d 1/2\": up 28\"\ncold s to W%d 1/2\": up 7\"\n", i, i, i)
		}
		return b.String() + more
	}
	o := pressure.Options{Demand: pressure.Binomial}
	for _, c := range []struct {
		flats  int
		regime hydraulics.Regime
	}{{2, hydraulics.Exact}, {20, hydraulics.ModifiedWistort}, {80, hydraulics.WistortsEstimate}} {
		f := run(t, analyse(t, "upc-2021", flats(c.flats, ""), o), "M", "s").Flow
		assert.Equal(t, c.regime, f.Regime, "%d flats, Hunter's number %.2f", c.flats, f.Hunter)
		assert.InDelta(t, float64(c.flats)*(0.02+0.055+0.01), f.Hunter, 1e-9)
		assert.LessOrEqual(t, f.Q, run(t, analyse(t, "upc-2021", flats(c.flats, ""), pressure.Options{}), "M", "s").Flow.Q, "under Hunter's curve")
	}
	f := run(t, analyse(t, "upc-2021", flats(2, "fixture UR urinal in hall\ncold s to UR 3/4\": up 46\"\n"), o), "M", "s").Flow
	assert.Equal(t, "urinal", f.Fallback)
	assert.Equal(t, pressure.ByCurve, f.How)
}

// plans are the plans of testdata that draw water.
func plans(t testing.TB) map[string]*pressure.Analysis {
	out := map[string]*pressure.Analysis{}
	dir := filepath.Join("..", "..", "testdata")
	err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(name) != ".weir" {
			return err
		}
		src, err := os.ReadFile(name)
		require.NoError(t, err)
		sys := system.BuildSource(os.DirFS(filepath.Dir(name)), filepath.Base(name), string(src), system.Options{})
		if !sys.Header.Water {
			return nil
		}
		book := sys.Header.Book
		if book == "" {
			book = "upc-2021"
		}
		b, err := codebook.Load(book)
		if err != nil {
			return nil // a plan under a book that is not there
		}
		out[name] = pressure.New(sizing.NewSupply(sizing.New(sys, b)), pressure.Options{})
		return nil
	})
	require.NoError(t, err)
	require.Greater(t, len(out), 5)
	return out
}

// The parts of every budget add up to what is left, and what is left at least
// never exceeds what is left at most.
func TestBudgetsAddUp(t *testing.T) {
	looked := 0
	for name, a := range plans(t) {
		for i := range a.Outlets {
			o := &a.Outlets[i]
			assert.LessOrEqual(t, o.Left.Least, o.Left.Most+1e-6, "%s: %s", name, o.Point.Name)
			if o.Missing.Missing() || math.IsInf(o.Left.Most, 0) {
				continue
			}
			looked++
			b := a.Budget(o)
			sum := b.Source
			if b.Regulator != nil && b.Held < b.Free {
				sum = b.Held
			}
			sum -= b.Height + b.Friction
			for _, d := range b.Devices {
				sum -= d.Loss.Least
			}
			assert.InDelta(t, o.Left.Most, sum, 1, "%s: %s, pascals", name, o.Point.Name)
			assert.GreaterOrEqual(t, b.Friction, -1.0, "%s: %s", name, o.Point.Name)
			steps := a.Steps(o)
			assert.InDelta(t, o.Left.Least, steps[len(steps)-1].Left, 1.5, "%s: %s, step by step", name, o.Point.Name)
		}
	}
	assert.Greater(t, looked, 100, "outlets whose budget is known")
}

// A larger pipe leaves more at the outlet, whatever the material, the way of
// reckoning and the number of ways; a larger demand leaves less.
func TestLargerPipesLeaveMore(t *testing.T) {
	for _, o := range []pressure.Options{{}, {Friction: pressure.Darcy}, {Demand: pressure.Binomial}} {
		for _, material := range []string{"copper-l", "pex", "galvanized", "cpvc"} {
			last := math.Inf(-1)
			for _, size := range []string{"1/2", "3/4", "1", "1-1/4", "1-1/2"} {
				plan := strings.Replace(strings.ReplaceAll(ring, "copper-l", material), `cold a to b 3/4"`, `cold a to b `+size+`"`, 1)
				left := outlet(t, analyse(t, "upc-2021", plan, o), "HB", false).Left.Least
				assert.Greater(t, left, last, "%s %s, %+v", size, material, o)
				last = left
			}
		}
	}
	last := math.Inf(1)
	for _, flow := range []string{"2gpm", "5gpm", "9gpm"} {
		plan := strings.Replace(ring, "hose-bibb in hall", "hose-bibb in hall flow "+flow, 1)
		left := outlet(t, analyse(t, "upc-2021", plan, pressure.Options{}), "HB", false).Left.Least
		assert.Less(t, left, last, flow)
		last = left
	}
}
