// Package quantity reads and prints the measures of a plumbing plan: lengths,
// pipe sizes, falls, pressures, flows, volumes, temperatures and times.
//
// A Value holds its measure in SI units inside and keeps the writer's own
// text. The package knows units and how the trade writes them; it refuses to
// know pipes, codes or where in a file a text stood.
package quantity

// Kind tells what a Value measures.
type Kind uint8

const (
	None Kind = iota
	Length
	Grade
	Pressure
	Flow
	Volume
	Temperature
	Duration
	Number
)

// Value is one measure as written.
//
// SI holds metres (Length), rise per run (Grade), pascals (Pressure), cubic
// metres a second (Flow), cubic metres (Volume), degrees Celsius
// (Temperature), seconds (Duration) or the bare number (Number).
type Value struct {
	Kind Kind
	SI   float64
	Text string // as written
}

// Size is a nominal pipe size in inches (1.5 is 1-1/2"); 0 is no size. It
// says nothing of the bore.
type Size float64
