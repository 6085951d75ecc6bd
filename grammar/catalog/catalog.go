// Package catalog holds the words of the trade and the physical facts that
// belong to them: kinds of fixture with their usual rough-in heights, short
// forms, fittings, devices and turns, pipe materials and their bores.
//
// It refuses to know any code: no limit, no fixture unit, no section number.
package catalog

const metresPerInch = 0.0254

// Height is a usual height above the finished floor in metres; OK is false
// where the trade has none.
type Height struct {
	Metres float64
	OK     bool
}

// Fixture is a kind of fixture.
type Fixture struct {
	Name  string // canonical
	Short string // accepted short form, or ""
	// Usual heights above the floor. Outlet is where the first run begins:
	// the trap's inlet, a washer's standpipe top, the flange, the strainer.
	Outlet, Supply, Rim, Head Height
	// FloorSet: the outlet stands in the floor (flange, floor drain, floor
	// sink), so its usual height is a fact that holds.
	FloorSet bool
	// OwnTrap: the trap is part of the fixture.
	OwnTrap bool
	// Needs, for a complete plan.
	NeedsDrain, NeedsCold, NeedsHot bool
	Title                           string // "water closet", as prose says it
}
