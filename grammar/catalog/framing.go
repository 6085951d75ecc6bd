package catalog

// FramingDepth is the dressed depth of a stud or joist in metres, by its
// nominal size ("2x6" is 5-1/2 in deep).
func FramingDepth(word string) (metres float64, ok bool) {
	inches, ok := framingDepths[word]
	return inches * metresPerInch, ok
}

// Studs lists the studs that a pipe may go through.
func Studs() []string { return []string{"2x4", "2x6"} }

// Joists lists the joists that a pipe may go through.
func Joists() []string { return []string{"2x8", "2x10", "2x12"} }

// framingDepths is read only; dressed sizes of the American softwood lumber
// standard, from memory, in inches.
var framingDepths = map[string]float64{"2x4": 3.5, "2x6": 5.5, "2x8": 7.25, "2x10": 9.25, "2x12": 11.25}
