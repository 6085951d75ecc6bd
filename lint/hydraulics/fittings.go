package hydraulics

import "sort"

// Fitting is a kind of pipe fitting or valve that takes pressure from water.
type Fitting string

// Fittings of water pipe.
const (
	QuarterBend     Fitting = "quarter bend" // 90 degrees
	EighthBend      Fitting = "eighth bend"  // 45 degrees
	TeeRun          Fitting = "tee, run"
	TeeBranch       Fitting = "tee, branch"
	Coupling        Fitting = "coupling"
	GateValve       Fitting = "gate valve"
	BallValve       Fitting = "ball valve"
	CheckValve      Fitting = "swing check valve"
	GlobeValve      Fitting = "globe valve"
	AngleValve      Fitting = "angle valve"
	PlugCock        Fitting = "plug or balancing cock"
	CompressionStop Fitting = "compression stop"
)

// Family is a way of making fittings, by which their losses differ.
type Family string

// Families of fittings.
const (
	Threaded    Family = "threaded"            // rough joints, steel
	Recessed    Family = "recessed threaded"   // smooth bore through the joint
	Streamlined Family = "streamlined solder"  // copper tube
	Wrought     Family = "wrought"             // by the Illinois table
	Cast        Family = "cast"                // by the Illinois table
	Screwed     Family = "screwed schedule 40" // by lengths over bore
	Plastic     Family = "plastic socket"      // by lengths over bore
)

// FamilyOf is the usual family of fittings of a pipe material by the
// catalogue's word. ok is false for a material that carries no water here.
func FamilyOf(material string) (Family, bool) {
	switch material {
	case "copper-k", "copper-l", "copper-m":
		return Streamlined, true
	case "galvanized":
		return Threaded, true
	case "pex", "pe-rt", "cpvc", "pvc", "pvc-80", "hdpe":
		return Plastic, true
	}
	return "", false
}

// Equivalent is the length of straight pipe that loses as much as a fitting.
type Equivalent struct {
	Length float64 // metres
	Source string
	Memory bool // from memory, not seen in a source
}

// EquivalentLength is the length of pipe that a fitting of a family stands for,
// at a nominal size in inches: from the family's table, in a straight line
// between printed sizes, or, where the family has no row or size for it, by
// LengthByRatio on the pipe's bore (metres; 0 where it is not known). ok is
// false where neither knows it.
func EquivalentLength(fitting Fitting, family Family, inches, bore float64) (Equivalent, bool) {
	for _, t := range fittingTables {
		row, printed := t.feet[fitting]
		if t.family != family || !printed {
			continue
		}
		if feet, ok := alongRow(t.sizes, row, inches); ok {
			return Equivalent{feet * Foot, t.source, t.memory}, true
		}
	}
	return LengthByRatio(fitting, bore)
}

// alongRow reads a row at a size; notPrinted cells and sizes outside it are none.
func alongRow(sizes, row []float64, inches float64) (float64, bool) {
	i := sort.SearchFloat64s(sizes, inches)
	if i == len(row) || row[i] == notPrinted {
		return 0, false
	}
	if sizes[i] == inches {
		return row[i], true
	}
	if i == 0 || row[i-1] == notPrinted {
		return 0, false
	}
	share := (inches - sizes[i-1]) / (sizes[i] - sizes[i-1])
	return row[i-1] + share*(row[i]-row[i-1]), true
}

// LengthByRatio is the length of pipe that a fitting stands for as a multiple
// of the bore (metres). ok is false for a fitting without a ratio.
//
// Source: 2018 IRC Table A.2.2 for bends and the branch of a tee (its own lines
// are screwed schedule 40); others as pipe-flow handbooks print them, from
// memory.
func LengthByRatio(fitting Fitting, bore float64) (Equivalent, bool) {
	r, ok := ratios[fitting]
	if !ok || bore <= 0 {
		return Equivalent{}, false
	}
	return Equivalent{r.bores * bore, r.source, r.memory}, true
}

const (
	ratioPrinted  = "lengths over bore of 2018 IRC Table A.2.2"
	ratioHandbook = "lengths over bore of pipe-flow handbooks"
)

// ratios is read only.
var ratios = map[Fitting]struct {
	bores  float64
	source string
	memory bool
}{
	EighthBend:  {14, ratioPrinted, false},
	QuarterBend: {30, ratioPrinted, false},
	TeeBranch:   {60, ratioPrinted, false},
	TeeRun:      {20, ratioHandbook, true},
	Coupling:    {2, ratioHandbook, true},
	BallValve:   {3, ratioHandbook, true},
	GateValve:   {8, ratioHandbook, true},
	PlugCock:    {18, ratioHandbook, true},
	CheckValve:  {100, ratioHandbook, true},
	AngleValve:  {150, ratioHandbook, true},
	GlobeValve:  {340, ratioHandbook, true},
}

// notPrinted marks a cell that a table leaves out.
const notPrinted = -1

type fittingTable struct {
	family Family
	source string
	memory bool
	sizes  []float64 // nominal, inches
	feet   map[Fitting][]float64
}

var (
	sizesFromHalf         = []float64{0.5, 0.75, 1, 1.25, 1.5, 2, 2.5, 3, 4}
	sizesFromThreeEighths = []float64{0.375, 0.5, 0.75, 1, 1.25, 1.5, 2, 2.5, 3, 4}
)

// threadedFeet is the table of threaded fittings by nominal size, in feet;
// recessed ones take half. Source: UPC Table A 104.4(1) and IPC Table E103.3(5),
// from memory.
var threadedFeet = map[Fitting][]float64{
	QuarterBend: {1, 2, 2.5, 3, 4, 5, 7, 8, 10, 14},
	EighthBend:  {0.6, 1.2, 1.5, 1.8, 2.4, 3, 4, 5, 6, 8},
	TeeRun:      {0.3, 0.6, 0.8, 0.9, 1.2, 1.5, 2, 2.5, 3, 4},
	TeeBranch:   {1.5, 3, 4, 5, 6, 7, 10, 12, 15, 21},
	GateValve:   {0.2, 0.4, 0.5, 0.6, 0.8, 1, 1.3, 1.6, 2, 2.7},
	PlugCock:    {notPrinted, 0.8, 1.1, 1.5, 1.9, 2.2, 3, 3.7, 4.5, notPrinted},
	CheckValve:  {notPrinted, 5.6, 8.4, 11.2, 14, 16.8, 22.4, 28, 33.6, notPrinted},
	GlobeValve:  {8, 15, 20, 25, 35, 45, 55, 65, 80, 125},
	AngleValve:  {4, 8, 12, 15, 18, 22, 28, 34, 40, 55},
}

// fittingTables is read only.
var fittingTables = []fittingTable{
	{Threaded, "UPC Table A 104.4(1) and IPC Table E103.3(5)", true, sizesFromThreeEighths, threadedFeet},
	{Recessed, "half of UPC Table A 104.4(1) and IPC Table E103.3(5)", true, sizesFromThreeEighths, halved(threadedFeet)},
	// Dashes of the copper table at small sizes mean a loss too small to count.
	{Streamlined, "IPC Table E103.3(6) and Copper Tube Handbook", true, sizesFromHalf, map[Fitting][]float64{
		QuarterBend: {1, 2, 2.5, 3, 4, 5.5, 7, 9, 12.5},
		EighthBend:  {0.5, 0.5, 1, 1, 1.5, 2, 2.5, 3.5, 5},
		TeeBranch:   {2, 3, 4.5, 5.5, 7, 9, 12, 15, 21},
		TeeRun:      {0, 0, 0, 0.5, 0.5, 0.5, 0.5, 1, 1},
		Coupling:    {0, 0, 0, 0.5, 0.5, 0.5, 0.5, 1, 1},
		BallValve:   {0, 0, 0, 0.5, 0.5, 0.5, 0.5, 1, 1},
		CheckValve:  {2, 3, 4.5, 5.5, 6.5, 9, 11.5, 14.5, 18.5},
	}},
	{Wrought, illinois, false, sizesFromHalf[:8], withValves(map[Fitting][]float64{
		EighthBend:  {0.5, 0.5, 1, 1, 2, 2, 3, 4},
		QuarterBend: {0.5, 1, 2, 2, 2, 2, 2, 3},
		TeeRun:      {0.5, 0.5, 0.5, 0.5, 1, 1, 2, notPrinted},
		TeeBranch:   {1, 2, 3, 4, 5, 7, 9, notPrinted},
	})},
	{Cast, illinois, false, sizesFromHalf[:8], withValves(map[Fitting][]float64{
		EighthBend:  {0.5, 1, 2, 2, 3, 5, 8, 11},
		QuarterBend: {1, 2, 4, 5, 8, 11, 14, 18},
		TeeRun:      {0.5, 0.5, 0.5, 1.5, 1, 2, 2, 2}, // printed so, 1.5 at 1-1/4 in
		TeeBranch:   {2, 3, 5, 7, 9, 12, 16, 20},
	})},
	{Screwed, "2018 IRC Table A.2.2", false, sizesFromHalf, map[Fitting][]float64{
		EighthBend:  {0.73, 0.96, 1.22, 1.61, 1.88, 2.41, 2.88, 3.58, 4.70},
		QuarterBend: {1.55, 2.06, 2.62, 3.45, 4.02, 5.17, 6.16, 7.67, 10.1},
		TeeBranch:   {3.10, 4.12, 5.24, 6.90, 8.04, 10.3, 12.3, 15.3, 20.2},
	}},
}

const illinois = "77 Ill. Adm. Code 890 App. A Table Q"

// withValves adds the rows of the Illinois table that hold for either make. Its
// globe valves start at 1-1/4 in, its stops end at 1 in.
func withValves(feet map[Fitting][]float64) map[Fitting][]float64 {
	feet[CompressionStop] = []float64{13, 21, 30, notPrinted, notPrinted, notPrinted, notPrinted, notPrinted}
	feet[GlobeValve] = []float64{notPrinted, notPrinted, notPrinted, 53, 66, 90, notPrinted, notPrinted}
	feet[GateValve] = []float64{notPrinted, notPrinted, 1, 1, 2, 2, 2, 2}
	return feet
}

func halved(feet map[Fitting][]float64) map[Fitting][]float64 {
	half := make(map[Fitting][]float64, len(feet))
	for fitting, row := range feet {
		for _, f := range row {
			if f != notPrinted {
				f /= 2
			}
			half[fitting] = append(half[fitting], f)
		}
	}
	return half
}
