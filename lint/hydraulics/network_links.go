package hydraulics

import "math"

// law is how a link loses head, made ready for many turns. Metres of water and
// cubic metres a second.
type law struct {
	from, to int
	area     float64 // square metres of the bore

	hazen  float64 // Hazen and Williams's loss at a flow of one
	square float64 // metres over the flow squared: fittings, meters
	fixed  float64 // metres
	least  float64 // metres over the flow, of a link without friction

	// Darcy and Weisbach
	darcy    float64 // loss at a flow of one and f of one; 0 where Hazen and Williams are taken
	relative float64 // wall over bore
	reynolds float64 // at a flow of one

	oneWay, regulator bool
	set               float64 // head in metres over the datum that a regulator holds
	droop             float64 // metres over the flow
}

// Numbers of the method, not of nature.
const (
	mostOfNode  = 1e9   // metres, or cubic metres a second
	mostOfLaw   = 1e90  // metres at a flow of one
	leastSlope  = 1e-2  // metres over cubic metres a second: 0.01 mm at a litre a second
	leastDroop  = 1e-2  // the same, of a regulator that holds: 0.01 mm at a litre a second
	shutSlope   = 1e10  // of a check that is pushed back: a leak of 3e-9 at 30 m
	gentleFlow  = 1e-7  // cubic metres a second, under which power laws go on in a straight line
	fixedFrom   = 1e-6  // cubic metres a second from which a fixed loss is taken whole
	stillFlow   = 1e-12 // cubic metres a second, rounding left over where demands cancel
	startSpeed  = 0.3   // metres a second, a first guess
	startFlow   = 1e-4  // cubic metres a second, a first guess where there is no bore
	mostTurns   = 60    // with every link taken one way
	turnsInAll  = 1200  // of one group of loops
	workInTurn  = 5e8   // multiplications: a mesh of 149 by 149, a fifth of a second
	workInAll   = 1e10  // of all groups: some seconds, so that no plan hangs
	allAtOnce   = 12    // rounds in which all checks and regulators may change; then one at a time
	calmAfter   = 20    // turns after which steps are halved
	flowSettled = 1e-8  // share of the largest flow
	flowNothing = 1e-9  // cubic metres a second
	headSettled = 1e-7  // metres
	headGrace   = 1e-6  // metres by which a check or regulator must be wrong to change
	fixedGrace  = 1e-4  // share of fixedFrom, likewise
	flowGrace   = 1e-8  // cubic metres a second, likewise
)

// usable says whether a link's numbers and ends can be reckoned with.
func (l Link) usable(nodes int) bool {
	if l.From < 0 || l.From >= nodes || l.To < 0 || l.To >= nodes || l.From == l.To {
		return false
	}
	for _, x := range []float64{l.Length, l.Bore, l.C, l.Rough, l.Minor, l.Square, l.Fixed, l.Droop} {
		if !within(math.MaxFloat64, x) || x < 0 {
			return false
		}
	}
	if (l.Length > 0 || l.Minor > 0) && l.Bore == 0 {
		return false
	}
	return l.Bore == 0 || l.Rough <= roughestWall*l.Bore
}

// sound says whether this can be a liquid: a thousandfold either way of water.
func (w Water) sound() bool {
	return w.Density > 1 && w.Density < 1e6 && w.Viscosity > 1e-9 && w.Viscosity < 1e-3
}

// usable says whether a law stays among numbers whatever flows.
func (l *law) usable() bool {
	return within(mostOfLaw, l.area, l.hazen, l.square, l.fixed, l.darcy, l.relative, l.reynolds, l.droop) && within(mostOfNode, l.set)
}

func (l Link) law(water Water, heightTo float64) law {
	out := law{
		from: l.From, to: l.To, area: math.Pi / 4 * l.Bore * l.Bore,
		square: water.Head(l.Square), fixed: water.Head(l.Fixed),
		oneWay: l.Check || l.Regulator, regulator: l.Regulator,
	}
	if l.Regulator {
		out.set, out.droop = heightTo+water.Head(l.Set), leastDroop+water.Head(l.Droop)
	}
	if l.Minor > 0 {
		out.square += MinorLoss(1, l.Minor, l.Bore)
	}
	switch {
	case l.Length == 0:
		out.least = leastSlope
	case l.C > 0:
		out.hazen = HazenWilliamsLoss(1, l.C, l.Bore, l.Length)
	default:
		v := Velocity(1, l.Bore)
		out.darcy = l.Length / l.Bore * v * v / (2 * Gravity)
		out.relative = l.Rough / l.Bore
		out.reynolds = Reynolds(v, l.Bore, water.Viscosity)
	}
	return out
}

// loss is what a flow loses from From to To, a check being taken as open, and
// how steeply that grows.
func (l *law) loss(flow float64) (head, slope float64) {
	head, slope = l.friction(flow)
	if q := math.Abs(flow); l.fixed > 0 && q < fixedFrom {
		return head + l.fixed*flow/fixedFrom, slope + l.fixed/fixedFrom
	}
	return head + math.Copysign(l.fixed, flow), slope
}

// friction is the same without a fixed loss. The slope is never nought.
func (l *law) friction(flow float64) (head, slope float64) {
	q := math.Abs(flow)
	head, slope = l.least*q+l.square*q*q, l.least+2*l.square*q
	switch {
	case l.hazen == 0:
	case q <= gentleFlow:
		line := l.hazen * math.Pow(gentleFlow, hazenFlowPower-1)
		head, slope = head+line*q, slope+line
	default:
		power := l.hazen * math.Pow(q, hazenFlowPower-1)
		head, slope = head+power*q, slope+hazenFlowPower*power
	}
	if l.darcy > 0 {
		re := l.reynolds * q
		if re <= laminarUpTo { // f q² with f = 64/Re: a straight line through nought
			line := l.darcy * 64 / l.reynolds
			head, slope = head+line*q, slope+line
		} else {
			f, fSlope := FrictionFactor(re, l.relative)
			head += l.darcy * f * q * q
			slope += l.darcy * q * (2*f + re*fSlope)
		}
	}
	return math.Copysign(head, flow), slope
}

// guess is a first flow.
func (l *law) guess() float64 {
	if l.area > 0 {
		return startSpeed * l.area
	}
	return startFlow
}
