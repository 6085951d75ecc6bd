package hydraulics

import "math"

// StackFlow is the flow in cubic metres a second that an upright stack of a
// bore (metres) carries when the water that clings to its wall fills a share
// of its area: q = 27.8 r^(5/3) d^(8/3), q in gallons a minute, d in inches.
// Printed tables take r as 1/4, 7/24 or 1/3.
//
// Source: Wyly and Eaton, Capacities of Stacks in Sanitary Drainage Systems
// for Buildings, NBS Monograph 31, 1961; formula and citation from memory.
func StackFlow(bore, share float64) float64 {
	if bore <= 0 || share <= 0 {
		return 0
	}
	return 27.8 * math.Pow(share, 5.0/3) * math.Pow(bore/Inch, 8.0/3) * GallonsPerMinute
}

// TerminalVelocity is the velocity in metres a second at which water in a
// stack no longer falls faster, wall and air holding it back: v = 3.0
// (q/d)^(2/5) ft/s, q in gallons a minute, d in inches. Flow is in cubic metres
// a second, bore in metres.
//
// Source: Wyly and Eaton, NBS Monograph 31, 1961; from memory.
func TerminalVelocity(flow, bore float64) float64 {
	if bore <= 0 || flow <= 0 {
		return 0
	}
	return 3.0 * math.Pow(flow/GallonsPerMinute/(bore/Inch), 0.4) * Foot
}

// TerminalLength is the fall in metres below a branch after which water has
// reached a terminal velocity in metres a second: l = 0.052 v^2, in feet and
// ft/s.
//
// Source: Wyly and Eaton, NBS Monograph 31, 1961; from memory.
func TerminalLength(velocity float64) float64 {
	v := velocity / Foot
	return 0.052 * v * v * Foot
}
