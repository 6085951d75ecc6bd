package catalog

// FixtureKind finds a kind by its word or short form.
func FixtureKind(word string) (Fixture, bool) {
	i, ok := kindByWord[word]
	if !ok {
		return Fixture{}, false
	}
	return kinds[i], true
}

// FixtureKinds lists every kind in the order of the table of usual heights;
// kinds that have no usual height come last.
func FixtureKinds() []Fixture { return append([]Fixture(nil), kinds...) }

// Rank is the place of a kind in the table of usual heights, counted from 0;
// an earlier kind keeps its height where two usual heights meet. A word that
// is no kind ranks after all kinds.
func Rank(kind string) int {
	if i, ok := kindByWord[kind]; ok {
		return i
	}
	return len(kinds)
}

// FixtureWords lists the canonical names and the short forms, names first.
func FixtureWords() []string {
	words := make([]string, 0, len(kinds)+10)
	for _, k := range kinds {
		words = append(words, k.Name)
	}
	for _, k := range kinds {
		if k.Short != "" {
			words = append(words, k.Short)
		}
	}
	return words
}

// in is a usual height in inches.
func in(inches float64) Height { return Height{Metres: inches * metresPerInch, OK: true} }

// none is where the trade has no usual height.
var none Height

// need tells which services a kind must have before it can work.
type need uint8

const (
	drain need = 1 << iota
	cold
	hot
	all = drain | cold | hot
)

func kind(name, short, title string, needs need, outlet, supply, rim, head Height) Fixture {
	return Fixture{
		Name: name, Short: short, Title: title,
		Outlet: outlet, Supply: supply, Rim: rim, Head: head,
		NeedsDrain: needs&drain != 0, NeedsCold: needs&cold != 0, NeedsHot: needs&hot != 0,
	}
}

func (f Fixture) inFloor() Fixture     { f.FloorSet = true; return f }
func (f Fixture) trapBuiltIn() Fixture { f.OwnTrap = true; return f }

// kinds is read only. Its order is the order in which usual heights yield.
var kinds = []Fixture{
	kind("lavatory", "lav", "lavatory", all, in(18), in(21), in(32), none),
	kind("kitchen-sink", "ks", "kitchen sink", all, in(16), in(20), in(36), none),
	kind("laundry-tub", "", "laundry tub", all, in(15), in(21), in(34), none),
	kind("clothes-washer", "cw", "clothes washer", all, in(36), in(42), in(36), none),
	// A domestic dishwasher is piped with hot water alone; its drain may be
	// an indirect run through an air gap.
	kind("dishwasher", "dw", "dishwasher", drain|hot, in(8), in(6), none, none),
	kind("water-closet", "wc", "water closet", drain|cold, in(0), in(7), in(15), none).inFloor().trapBuiltIn(),
	kind("bidet", "", "bidet", all, in(6), in(7), in(15), none).trapBuiltIn(),
	kind("urinal", "ur", "urinal", drain|cold, in(18), in(46), in(24), none).trapBuiltIn(),
	kind("bathtub", "tub", "bathtub", all, in(-2), in(28), in(16), in(78)),
	kind("tub-shower", "", "tub and shower", all, in(-2), in(28), in(16), in(78)),
	kind("shower", "sh", "shower", all, in(-2), in(44), in(3), in(78)),
	kind("floor-drain", "fd", "floor drain", drain, in(0), none, in(0), none).inFloor(),
	kind("floor-sink", "", "floor sink", drain, in(0), none, in(0), none).inFloor(),
	kind("service-sink", "", "service sink", all, in(0), in(38), in(10), none),
	kind("bar-sink", "", "bar sink", all, in(18), in(21), in(34), none),
	kind("hand-sink", "", "hand sink", all, in(18), in(21), in(34), none),
	kind("sink", "", "sink", all, in(18), in(21), in(34), none),
	kind("prep-sink", "", "prep sink", all, in(18), in(21), in(34), none),
	kind("three-compartment-sink", "", "three-compartment sink", all, in(14), in(16), in(34), none),
	kind("drinking-fountain", "", "drinking fountain", drain|cold, in(20), in(20), in(36), none),
	kind("hose-bibb", "hb", "hose bibb", cold, none, in(20), none, none),
	// A domestic ice maker has no drain; one with a bin drain writes it.
	kind("ice-maker", "", "ice maker", cold, none, in(42), none, none),

	kind("food-waste-disposer", "", "food waste disposer", drain, none, none, none, none),
	kind("dental-unit", "", "dental unit", drain|cold, none, none, none, none),
	kind("shampoo-sink", "", "shampoo sink", all, none, none, none, none),
	// A softener backwashes to a drain and is fed with cold water.
	kind("water-softener", "", "water softener", drain|cold, none, none, none, none),
	// Any machine: what it needs is what is drawn to it.
	kind("equipment", "", "equipment", 0, none, none, none, none),
}

var kindByWord = indexKinds()

func indexKinds() map[string]int {
	index := make(map[string]int, 2*len(kinds))
	for i, k := range kinds {
		index[k.Name] = i
		if k.Short != "" {
			index[k.Short] = i
		}
	}
	return index
}
