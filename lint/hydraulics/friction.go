package hydraulics

import "math"

// Velocity is the mean velocity in metres a second of a flow (cubic metres a
// second) that fills a bore (metres).
func Velocity(flow, bore float64) float64 {
	if bore <= 0 {
		return 0
	}
	return flow / (math.Pi / 4 * bore * bore)
}

// Powers and factor of Hazen and Williams's formula in metres and seconds.
const (
	hazenFactor    = 10.66683
	hazenFlowPower = 1.852
	hazenBorePower = 4.871
)

// HazenWilliamsLoss is the head in metres of water that a flow (cubic metres a
// second) loses in a pipe of coefficient c, bore and length (metres): h = 10.67
// L q^1.852 / (C^1.852 d^4.8704). It holds for water at common temperatures. A
// flow below zero runs the other way and its loss is below zero. 0 without bore
// or coefficient.
//
// Source: Williams and Hazen, Hydraulic Tables, 1905; the SI form of textbooks,
// from memory. In feet and cubic feet a second it is 4.727 L q^1.852 /
// (C^1.852 d^4.871), as Rossman, EPANET 2 Users Manual, 2000, has it. The form
// that pipe tables print, 0.2083 (100/C)^1.852 q^1.852 / d^4.8655, loses 0.4 to
// 1.5 % more in bores of 3/8 to 3 in.
func HazenWilliamsLoss(flow, c, bore, length float64) float64 {
	if bore <= 0 || c <= 0 {
		return 0
	}
	loss := hazenFactor * length * math.Pow(math.Abs(flow)/c, hazenFlowPower) / math.Pow(bore, hazenBorePower)
	return math.Copysign(loss, flow)
}

// SmoothLoss is the friction in pascals of new copper with recessed joints by
// the formula behind the friction charts that codes print: q = 4.57 p^0.546
// d^2.64, q in gallons a minute, p in psi a hundred feet, d in inches. Flow is
// in cubic metres a second, bore and length in metres. It loses 12 to 25 % more
// than Hazen-Williams at 140 to 150: as a check beside it, or where a chart is
// to be met.
//
// Source: NBS BMS79, Water-Distributing Systems for Buildings, 1941; formula
// from memory, it gives the rows of 77 Ill. Adm. Code 890 App. A Table N.
func SmoothLoss(flow, bore, length float64) float64 {
	if bore <= 0 {
		return 0
	}
	q, d := math.Abs(flow)/GallonsPerMinute, bore/Inch
	psi := math.Pow(q/(4.57*math.Pow(d, 2.64)), 1/0.546)
	return math.Copysign(psi*PoundsPerSquareInch/(100*Foot)*length, flow)
}

// Coefficient is Hazen and Williams's C of a pipe material, with where it is
// from.
type Coefficient struct {
	C      float64
	Source string
	Memory bool // from memory, not seen in a source
}

// CoefficientOf is Hazen and Williams's C of a material by the catalogue's
// word; aged where metal has stood in use, which tells on steel and iron only.
// ok is false for a material that carries no water here.
func CoefficientOf(material string, aged bool) (Coefficient, bool) {
	if old, ok := agedCoefficients[material]; aged && ok {
		return old, true
	}
	c, ok := coefficients[material]
	return c, ok
}

// coefficients is read only. Copper stands at 140 within a printed 130 to 150:
// published friction tables of types K and L give that number back. Plastics
// stand at 150, as the printed tables of schedule 40 plastic do.
var coefficients = map[string]Coefficient{
	"copper-k":   {140, "copper friction tables of an irrigation text, types K and L; handbooks 130 to 150", false},
	"copper-l":   {140, "copper friction tables of an irrigation text, types K and L; handbooks 130 to 150", false},
	"copper-m":   {140, "copper friction tables of an irrigation text, types K and L; handbooks 130 to 150", false},
	"pex":        {150, "handbook figure for plastic; a published PEX table gives 149 to 156 back", true},
	"pe-rt":      {150, "handbook figure for plastic, as PEX", true},
	"cpvc":       {150, "77 Ill. Adm. Code 906 App. A Exhibit I, schedule 40 plastic", false},
	"pvc":        {150, "77 Ill. Adm. Code 906 App. A Exhibit I, schedule 40 plastic", false},
	"pvc-80":     {150, "77 Ill. Adm. Code 906 App. A Exhibit I, schedule 40 plastic", false},
	"hdpe":       {150, "handbook figure for plastic; an engineering page prints 140", true},
	"galvanized": {120, "Hazen-Williams coefficients of an engineering page, new steel", false},
	"cast-iron":  {100, "Hazen-Williams coefficients of an engineering page, old iron", false},
}

// agedCoefficients is read only.
var agedCoefficients = map[string]Coefficient{
	"galvanized": {100, "Hazen-Williams coefficients of an engineering page, design figure for steel in use", false},
}

// Wall is the height of a pipe wall's roughness, with where it is from.
type Wall struct {
	Rough  float64 // metres
	Source string
	Memory bool // from memory, not seen in a source
}

// WallOf is the roughness of a material's wall by the catalogue's word, for
// Darcy and Weisbach. ok is false for a material that carries no water here.
func WallOf(material string) (Wall, bool) {
	feet, ok := map[string]float64{
		"copper-k": drawnWall, "copper-l": drawnWall, "copper-m": drawnWall,
		"pex": drawnWall, "pe-rt": drawnWall, "cpvc": drawnWall, "pvc": drawnWall, "pvc-80": drawnWall, "hdpe": drawnWall,
		"galvanized": galvanizedWall, "cast-iron": castIronWall,
	}[material]
	return Wall{feet * Foot, "textbook table beside Moody's chart", true}, ok
}

// Roughness of walls in feet: the table beside L. F. Moody's chart, 1944; from
// memory.
const (
	drawnWall      = 0.000005 // drawn copper and brass, plastic
	galvanizedWall = 0.0005
	castIronWall   = 0.00085
)

// Reynolds is the Reynolds number of a velocity (metres a second) in a bore
// (metres), by kinematic viscosity (square metres a second).
func Reynolds(velocity, bore, viscosity float64) float64 { return velocity * bore / viscosity }

// Reynolds numbers up to which flow stays laminar, and from which it is
// turbulent.
const (
	laminarUpTo   = 2000
	turbulentFrom = 4000
)

// FrictionFactor is Darcy's f and how fast it changes with the Reynolds number:
// 64/Re up to 2000; from 4000 by Swamee and Jain, f = 0.25 / log10(e/(3.7 D) +
// 5.74/Re^0.9)²; in between, where a pipe may do either, the cubic that meets
// both with the same value and slope, so that a network never sees a step.
// relative is the wall's roughness over the bore. f is 0 without flow.
//
// Swamee and Jain's form stands for Colebrook's equation: for walls up to 0.05 of
// the bore its f lies from 0.7 % under that equation's root to 3.2 % over it.
//
// Sources: Swamee and Jain, Explicit Equations for Pipe-Flow Problems, 1976,
// textbook form from memory; the cubic as Dunlop's in Rossman, EPANET 2 Users
// Manual, 2000, from memory.
func FrictionFactor(reynolds, relative float64) (f, slope float64) {
	switch {
	case !(reynolds > 0):
		return 0, 0
	case reynolds <= laminarUpTo:
		return 64 / reynolds, -64 / (reynolds * reynolds)
	case reynolds >= turbulentFrom:
		return swameeJain(reynolds, relative)
	}
	const width = turbulentFrom - laminarUpTo
	f0, s0 := 64.0/laminarUpTo, -64.0/(laminarUpTo*laminarUpTo)
	f1, s1 := swameeJain(turbulentFrom, relative)
	t := (reynolds - laminarUpTo) / width
	a := (s0+s1)*width - 2*(f1-f0) // Hermite's cubic: f0 + s0 w t + b t² + a t³
	b := 3*(f1-f0) - (2*s0+s1)*width
	return f0 + t*(s0*width+t*(b+t*a)), (s0*width + t*(2*b+t*3*a)) / width
}

// roughestWall is the relative roughness at which a wall would close the bore.
const roughestWall = 0.5

func swameeJain(reynolds, relative float64) (f, slope float64) {
	film := 5.74 / math.Pow(reynolds, 0.9)
	arg := math.Min(math.Max(relative, 0), roughestWall)/3.7 + film
	log := math.Log10(arg)
	f = 0.25 / (log * log)
	return f, f * 1.8 * film / (math.Ln10 * log * arg * reynolds)
}

// DarcyWeisbachLoss is the head in metres of water that a flow (cubic metres a
// second) loses in a pipe of bore and length (metres) whose wall is rough
// (metres), at a kinematic viscosity (square metres a second): h = f (L/D) v²
// / 2g, f by FrictionFactor. A flow below zero has a loss below zero. 0 without
// bore or viscosity.
//
// Source: Darcy and Weisbach; textbook form, from memory.
func DarcyWeisbachLoss(flow, rough, bore, length, viscosity float64) float64 {
	if bore <= 0 || viscosity <= 0 {
		return 0
	}
	v := Velocity(math.Abs(flow), bore)
	f, _ := FrictionFactor(Reynolds(v, bore, viscosity), rough/bore)
	return math.Copysign(f*length/bore*v*v/(2*Gravity), flow)
}

// MinorLoss is the head in metres of water that a fitting of resistance k
// takes from a flow (cubic metres a second) in a bore (metres): k velocity
// heads, k v²/2g. A flow below zero has a loss below zero.
func MinorLoss(flow, k, bore float64) float64 {
	v := Velocity(math.Abs(flow), bore)
	return math.Copysign(k*v*v/(2*Gravity), flow)
}
