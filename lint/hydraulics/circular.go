// Package hydraulics holds the formulas of water in pipes, each with its
// source: circular pipes that run partly full, stacks, water under pressure
// (its friction, its fittings and meters, its demand at peak) and networks of
// pipes with or without loops.
//
// It refuses to know plans, codes and limits: numbers in, numbers out, in SI
// units throughout. Units of the trade stand only inside a formula that was
// published in them.
package hydraulics

import "math"

// Units in which formulas were published, in SI.
const (
	Foot             = 0.3048              // metres
	Inch             = 0.0254              // metres
	GallonsPerMinute = 0.003785411784 / 60 // cubic metres a second
	Gravity          = 9.80665             // metres a second squared
)

// Section is the wetted part of a circular pipe's bore.
type Section struct {
	Depth  float64 // metres, from the invert
	Area   float64 // square metres
	Wetted float64 // metres of the bore's circumference under water
}

// Radius is the hydraulic radius in metres: area over wetted circumference.
func (s Section) Radius() float64 {
	if s.Wetted <= 0 {
		return 0
	}
	return s.Area / s.Wetted
}

// AtDepth is the section of a bore (metres) filled to a share of its height,
// 0 to 1; a share outside that is taken to its nearer end. Geometry of the
// circle's segment.
func AtDepth(bore, share float64) Section {
	share = math.Min(math.Max(share, 0), 1)
	angle := 2 * math.Acos(1-2*share) // at the centre, between the two ends of the surface
	return Section{
		Depth:  share * bore,
		Area:   bore * bore / 8 * (angle - math.Sin(angle)),
		Wetted: bore * angle / 2,
	}
}

// AtArea is the section of a bore (metres) of which a share of the area, 0 to
// 1, is under water. A quarter of the area stands at three tenths of the
// height: tables that print "one quarter full" mean now one, now the other.
func AtArea(bore, share float64) Section {
	share = math.Min(math.Max(share, 0), 1)
	whole := math.Pi / 4 * bore * bore
	low, high := 0.0, 1.0
	for range 60 { // halves the bracket each time: past the last bit of a float64
		mid := (low + high) / 2
		if AtDepth(bore, mid).Area < share*whole {
			low = mid
		} else {
			high = mid
		}
	}
	return AtDepth(bore, (low+high)/2)
}

// Manning is the mean velocity in metres a second of a section that runs
// partly full without pressure: v = R^(2/3) S^(1/2) / n, with R in metres, S
// the fall in metres a metre and n the roughness. 0 without fall or roughness.
//
// Source: R. Manning, 1891; in feet the factor is 1.486 over n, as cast-iron
// gravity flow tables print it.
func Manning(s Section, slope, n float64) float64 {
	if slope <= 0 || n <= 0 {
		return 0
	}
	return math.Pow(s.Radius(), 2.0/3) * math.Sqrt(slope) / n
}

// ManningFlow is the flow in cubic metres a second at Manning's velocity.
func ManningFlow(s Section, slope, n float64) float64 { return Manning(s, slope, n) * s.Area }

// ManningSlope is the fall in metres a metre at which a section runs at a
// velocity in metres a second: Manning's formula solved for S.
func ManningSlope(s Section, velocity, n float64) float64 {
	r := math.Pow(s.Radius(), 2.0/3)
	if r <= 0 {
		return math.Inf(1)
	}
	return math.Pow(velocity*n/r, 2)
}

// Roughness is Manning's n of a pipe material, with where it is from.
type Roughness struct {
	N      float64
	Source string
	Memory bool // from memory, not seen in a source
}

// RoughnessOf is Manning's n of a material by the catalogue's word. ok is
// false for a material that no drain is made of here.
func RoughnessOf(material string) (Roughness, bool) {
	r, ok := roughness[material]
	return r, ok
}

// Smoothest is the least roughness of any drain material.
func Smoothest() Roughness { return roughness["pvc"] }

// roughness is read only.
var roughness = map[string]Roughness{
	"cast-iron":  {0.012, "cast-iron gravity flow tables; flow charts of the 2013 California code", false},
	"galvanized": {0.012, "flow charts of the 2013 California code, which name no material", false},
	"abs":        {0.009, "handbook figure for plastic", true},
	"pvc":        {0.009, "handbook figure for plastic", true},
	"pvc-80":     {0.009, "handbook figure for plastic", true},
	"hdpe":       {0.009, "handbook figure for plastic", true},
	"copper-dwv": {0.010, "handbook figure for smooth brass", true},
	"copper-k":   {0.010, "handbook figure for smooth brass", true},
	"copper-l":   {0.010, "handbook figure for smooth brass", true},
	"copper-m":   {0.010, "handbook figure for smooth brass", true},
	"clay":       {0.013, "handbook figure for vitrified clay sewers", true},
}
