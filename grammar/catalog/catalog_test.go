package catalog_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
)

func TestEveryKindIsFoundByItsWords(t *testing.T) {
	seen := map[string]bool{}
	for i, kind := range catalog.FixtureKinds() {
		for _, word := range []string{kind.Name, kind.Short} {
			if word == "" {
				continue
			}
			assert.False(t, seen[word], "%s stands twice", word)
			seen[word] = true
			found, ok := catalog.FixtureKind(word)
			require.True(t, ok, word)
			assert.Equal(t, kind, found)
			assert.Equal(t, i, catalog.Rank(word))
		}
		assert.NotEmpty(t, kind.Title, kind.Name)
	}
	for _, short := range []string{"wc", "lav", "ks", "dw", "cw", "tub", "sh", "fd", "hb", "ur"} {
		assert.True(t, seen[short], short)
	}
	_, ok := catalog.FixtureKind("jacuzzi-of-doom")
	assert.False(t, ok)
	assert.Greater(t, catalog.Rank("jacuzzi-of-doom"), catalog.Rank("equipment"))
}

func TestUsualHeights(t *testing.T) {
	lav, _ := catalog.FixtureKind("lavatory")
	assert.InDelta(t, 18, lav.Outlet.Metres/0.0254, 1e-9)
	assert.InDelta(t, 21, lav.Supply.Metres/0.0254, 1e-9)
	assert.InDelta(t, 32, lav.Rim.Metres/0.0254, 1e-9)
	assert.False(t, lav.Head.OK)

	bibb, _ := catalog.FixtureKind("hb")
	assert.False(t, bibb.Outlet.OK)
	assert.True(t, bibb.Supply.OK)
	assert.False(t, bibb.NeedsDrain)

	shower, _ := catalog.FixtureKind("sh")
	assert.InDelta(t, -2, shower.Outlet.Metres/0.0254, 1e-9)
	assert.InDelta(t, 78, shower.Head.Metres/0.0254, 1e-9)
}

func TestFactsOfKinds(t *testing.T) {
	var inFloor, ownTrap []string
	for _, kind := range catalog.FixtureKinds() {
		if kind.FloorSet {
			inFloor = append(inFloor, kind.Name)
		}
		if kind.OwnTrap {
			ownTrap = append(ownTrap, kind.Name)
		}
		if kind.FloorSet {
			assert.Zero(t, kind.Outlet.Metres, kind.Name)
		}
	}
	assert.Equal(t, []string{"water-closet", "floor-drain", "floor-sink"}, inFloor)
	assert.Equal(t, []string{"water-closet", "bidet", "urinal"}, ownTrap)
}

func TestKindsWithoutHeightsComeLast(t *testing.T) {
	bare := false
	for _, kind := range catalog.FixtureKinds() {
		has := kind.Outlet.OK || kind.Supply.OK || kind.Rim.OK
		assert.False(t, has && bare, "%s has heights but stands after a kind without", kind.Name)
		bare = bare || !has
	}
	assert.Less(t, catalog.Rank("lavatory"), catalog.Rank("kitchen-sink"))
	assert.Less(t, catalog.Rank("water-closet"), catalog.Rank("bathtub"))
}

// Schedule 40, copper and tubing bores as their standards print them.
func TestBores(t *testing.T) {
	for _, c := range []struct {
		material string
		size     quantity.Size
		inches   float64
	}{
		{"abs", 3, 3.042}, {"pvc", 1.5, 1.592}, {"cast-iron", 4, 3.94},
		{"copper-dwv", 3, 3.035}, {"copper-l", 0.75, 0.785}, {"copper-k", 1.25, 1.245},
		{"copper-m", 0.5, 0.569}, {"pex", 0.5, 0.485}, {"pe-rt", 1, 0.875},
		{"cpvc", 0.75, 0.715}, {"pvc-80", 2, 1.939}, {"galvanized", 1, 1.049},
		{"hdpe", 1, 0.875}, {"clay", 6, 6},
	} {
		metres, standard, ok := catalog.Bore(c.material, c.size)
		require.True(t, ok, "%s %v", c.material, c.size)
		assert.InDelta(t, c.inches*0.0254, metres, 1e-9, c.material)
		assert.NotEmpty(t, standard)
	}
	_, _, ok := catalog.Bore("abs", 0.5)
	assert.False(t, ok)
	_, _, ok = catalog.Bore("granite", 3)
	assert.False(t, ok)
}

func TestEveryMaterialHasRisingBores(t *testing.T) {
	sizes := []quantity.Size{0.375, 0.5, 0.625, 0.75, 1, 1.25, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15}
	for _, material := range catalog.Materials() {
		last, count := 0.0, 0
		for _, size := range sizes {
			if metres, _, ok := catalog.Bore(material, size); ok {
				assert.Greater(t, metres, last, "%s %v", material, size)
				// Bores stray from the nominal size by a third at most (3/8 in steel).
				assert.InEpsilon(t, float64(size)*0.0254, metres, 0.32, "%s %v", material, size)
				last = metres
				count++
			}
		}
		assert.GreaterOrEqual(t, count, 5, material)
	}
}

func TestWordListsAreCopiesWithoutRepeats(t *testing.T) {
	for name, list := range map[string]func() []string{
		"fittings": catalog.Fittings, "turns": catalog.Turns, "devices": catalog.Devices,
		"room uses": catalog.RoomUses, "interceptors": catalog.Interceptors,
		"valves": catalog.ValveKinds, "backflow": catalog.BackflowKinds,
		"directions": catalog.Directions, "materials": catalog.Materials,
		"systems": catalog.Systems, "claims": catalog.Claims, "fixtures": catalog.FixtureWords,
		"wastes": catalog.Wastes, "protections": catalog.Protections, "spouts": catalog.Spouts,
		"controls": catalog.Controls, "cleanouts": catalog.CleanoutKinds, "occupancies": catalog.Occupancies,
	} {
		first := list()
		seen := map[string]bool{}
		for _, word := range first {
			assert.False(t, seen[word], "%s: %s", name, word)
			seen[word] = true
		}
		want := list()
		first[0] = "spoilt"
		assert.Equal(t, want, list(), name)
	}
}

func TestFramingDepths(t *testing.T) {
	for _, word := range append(catalog.Studs(), catalog.Joists()...) {
		metres, ok := catalog.FramingDepth(word)
		require.True(t, ok, word)
		assert.Positive(t, metres)
	}
	metres, _ := catalog.FramingDepth("2x6")
	assert.InDelta(t, 5.5*0.0254, metres, 1e-9)
	_, ok := catalog.FramingDepth("3x3")
	assert.False(t, ok)
}
