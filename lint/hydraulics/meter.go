package hydraulics

import "sort"

// Meter is a displacement (disc) water meter.
type Meter struct {
	Inches     float64 // nominal size
	Most       float64 // cubic metres a second, safe maximum
	MostLoss   float64 // pascals at the safe maximum
	Continuous float64 // cubic metres a second all day: half the maximum, from memory
	rows       []meterRow
}

// meterRow is a printed row, in the units it was printed in.
type meterRow struct{ gpm, psi float64 }

// DiscMeter is the disc meter of a nominal size in inches (5/8 also for 5/8 by
// 3/4). ok is false for a size that is not made.
//
// Source: sheet of AWWA standard pressure losses.
func DiscMeter(inches float64) (Meter, bool) {
	rows, ok := meterRows[inches]
	if !ok {
		return Meter{}, false
	}
	last := rows[len(rows)-1]
	return Meter{
		Inches: inches, Most: last.gpm * GallonsPerMinute, MostLoss: last.psi * PoundsPerSquareInch,
		Continuous: last.gpm * GallonsPerMinute / 2, rows: rows,
	}, true
}

// Square is the meter's loss as pascals over the square of cubic metres a
// second: what the maximum loses, over the maximum squared.
func (m Meter) Square() float64 {
	if m.Most <= 0 {
		return 0
	}
	return m.MostLoss / (m.Most * m.Most)
}

// Loss is the pressure in pascals that a flow (cubic metres a second) loses in
// the meter, by the square of the flow from its safe maximum. It meets the
// printed rows within 0.2 psi from half the maximum up; past the maximum, where
// nothing is printed, charts read higher.
func (m Meter) Loss(flow float64) float64 { return m.Square() * flow * flow }

// Printed is the loss in pascals by the sheet's own rows, in a straight line
// between them and from nothing to the first. ok is false past the safe maximum.
func (m Meter) Printed(flow float64) (pascals float64, ok bool) {
	gpm := flow / GallonsPerMinute
	i := sort.Search(len(m.rows), func(i int) bool { return m.rows[i].gpm >= gpm*(1-1e-12) })
	if i == len(m.rows) || !(gpm >= 0) {
		return 0, false
	}
	low, high := meterRow{}, m.rows[i]
	if i > 0 {
		low = m.rows[i-1]
	}
	return (low.psi + (gpm-low.gpm)/(high.gpm-low.gpm)*(high.psi-low.psi)) * PoundsPerSquareInch, true
}

// meterRows is read only: nominal inches, then gallons a minute and psi; the
// last row is the safe maximum.
var meterRows = map[float64][]meterRow{
	0.625: {{1, .2}, {2, .3}, {3, .4}, {4, .6}, {5, .9}, {6, 1.3}, {7, 1.8}, {8, 2.3}, {9, 3.0}, {10, 3.7}, {11, 4.4},
		{12, 5.1}, {13, 6.1}, {14, 7.2}, {15, 8.3}, {16, 9.4}, {17, 10.7}, {18, 12.0}, {19, 13.4}, {20, 15.0}},
	0.75: {{1, .1}, {2, .2}, {3, .3}, {4, .5}, {5, .6}, {6, .7}, {7, .8}, {8, 1.0}, {9, 1.3}, {10, 1.6}, {12, 2.2}, {14, 3.1},
		{16, 4.1}, {18, 5.2}, {20, 6.5}, {22, 7.9}, {24, 9.5}, {26, 11.2}, {28, 13.0}, {30, 15.0}},
	1: {{4, .1}, {5, .2}, {6, .3}, {8, .5}, {10, .7}, {12, .9}, {14, 1.1}, {16, 1.4}, {18, 1.8}, {20, 2.2}, {22, 2.8}, {24, 3.4},
		{26, 4.0}, {28, 4.6}, {30, 5.3}, {32, 6.0}, {34, 6.9}, {36, 7.8}, {38, 8.7}, {40, 9.6}, {42, 10.6}, {44, 11.7}, {46, 12.8},
		{48, 13.9}, {50, 15.0}},
	1.5: {{16, .4}, {18, .6}, {20, .8}, {22, 1.0}, {24, 1.2}, {26, 1.4}, {28, 1.6}, {30, 1.8}, {32, 2.1}, {36, 2.7}, {40, 3.3},
		{44, 3.9}, {48, 4.5}, {50, 4.9}, {56, 6.2}, {60, 7.2}, {70, 9.8}, {80, 12.8}, {90, 16.1}, {100, 20.0}},
	2: {{30, .7}, {40, 1.3}, {50, 1.9}, {60, 2.7}, {70, 3.7}, {80, 4.9}, {90, 6.2}, {100, 7.8}, {120, 11.3}, {140, 15.1}, {160, 20.0}},
	3: {{60, 1.0}, {80, 1.6}, {100, 2.5}, {120, 3.4}, {150, 5.1}, {200, 9.0}, {240, 13.0}, {280, 17.3}, {300, 20.0}},
	4: {{80, .7}, {100, .9}, {150, 1.8}, {200, 3.2}, {300, 7.2}, {400, 13.0}, {500, 20.0}},
}

// TapSquare is the loss of a corporation tap and tee of a nominal size in
// inches as pascals over the square of cubic metres a second. ok is false for a
// size without a row.
//
// Source: IPC Table E103.3(4), from memory: each of its columns is a square law.
func TapSquare(inches float64) (float64, bool) {
	row, ok := tapRows[inches]
	flow := row.gpm * GallonsPerMinute
	if !ok {
		return 0, false
	}
	return row.psi * PoundsPerSquareInch / (flow * flow), true
}

// tapRows is read only: of each column of IPC Table E103.3(4), from memory, a row
// whose printed figures are finest.
var tapRows = map[float64]meterRow{
	0.625: {30, 12.1}, 0.75: {50, 15.9}, 1: {100, 17.94}, 1.25: {200, 30.7}, 1.5: {200, 14.5}, 2: {200, 4.48}, 3: {200, 0.84},
}

// Device is what a kind of device usually takes from the pressure at its
// design flow. The maker's figure governs where there is one.
type Device struct {
	Kind      string
	Low, High float64 // pascals
	Source    string
	Memory    bool // from memory, not seen in a source
}

// UsualLosses lists kinds of device with what they usually lose.
func UsualLosses() []Device {
	const source = "usual figures of makers' sheets"
	list := make([]Device, 0, 9)
	for _, d := range []struct {
		kind      string
		low, high float64 // psi
	}{
		{"reduced-pressure assembly", 10, 15},
		{"double check", 3, 6},
		{"pressure vacuum breaker", 3, 6},
		{"dual check", 3, 5},
		{"softener", 10, 15},
		{"whole-house filter", 3, 10},
		{"regulator fall-off", 10, 20},
		{"instantaneous heater", 5, 20},
		{"master mixing valve", 5, 10},
	} {
		list = append(list, Device{d.kind, d.low * PoundsPerSquareInch, d.high * PoundsPerSquareInch, source, true})
	}
	return list
}

// UsualLoss is what a kind of device usually loses, by the names that
// UsualLosses lists.
func UsualLoss(kind string) (Device, bool) {
	for _, d := range UsualLosses() {
		if d.Kind == kind {
			return d, true
		}
	}
	return Device{}, false
}
