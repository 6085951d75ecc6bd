package catalog

import "crownweir/grammar/quantity"

// Materials lists the pipe materials.
func Materials() []string {
	return []string{
		"abs", "pvc", "pvc-80", "cast-iron", "copper-dwv", "galvanized",
		"copper-k", "copper-l", "copper-m", "pex", "pe-rt", "cpvc", "hdpe", "clay",
	}
}

// SupplySizes are the nominal sizes that supply pipe is laid in, rising. 5/8 in
// tube is made, and bought for heating and cold-room work alone (common
// practice).
func SupplySizes() []quantity.Size {
	return []quantity.Size{0.375, 0.5, 0.75, 1, 1.25, 1.5, 2, 2.5, 3, 4}
}

// Bore is the inside diameter of a pipe in metres, by material and nominal
// size, with the standard it is taken from. ok is false for a size that the
// material is not made in, or for which no figure is known.
func Bore(material string, size quantity.Size) (metres float64, standard string, ok bool) {
	for _, set := range bores[material] {
		if inches, found := set.inches[size]; found {
			return inches * metresPerInch, set.standard, true
		}
	}
	return 0, "", false
}

// boreRange is a set of sizes of one material that share a source.
type boreRange struct {
	standard string
	inches   map[quantity.Size]float64 // inside diameter by nominal size
}

// bores is read only. Plastic drain pipe takes the average bore, not the
// outside less two least walls; tubing to SDR 9 and 11 takes the bore at the
// least wall.
var bores = map[string][]boreRange{
	"abs": {{"ASTM D2661 schedule 40, average bore", schedule40Average}},
	"pvc": {
		{"ASTM D2665 schedule 40, average bore", schedule40Average},
		{"schedule 40, makers' average bore, from memory", map[quantity.Size]float64{
			0.5: 0.602, 0.75: 0.804, 1: 1.029,
		}},
	},
	"pvc-80": {{"ASTM D1785 schedule 80", map[quantity.Size]float64{
		0.5: 0.546, 0.75: 0.742, 1: 0.957, 1.25: 1.278, 1.5: 1.500, 2: 1.939,
		2.5: 2.323, 3: 2.900, 4: 3.826,
	}}},
	"cast-iron": {{"CISPI 301, ASTM A888 hubless", map[quantity.Size]float64{
		1.5: 1.50, 2: 1.96, 3: 2.96, 4: 3.94, 5: 4.94, 6: 5.94, 8: 7.94,
		10: 10.00, 12: 11.94, 15: 15.11,
	}}},
	"copper-dwv": {
		// 3 in: the table prints 3.030; outside less two walls is 3.035.
		{"ASTM B306", map[quantity.Size]float64{
			1.25: 1.295, 1.5: 1.541, 2: 2.041, 3: 3.035, 4: 4.009, 5: 4.981, 6: 5.959,
		}},
		{"ASTM B306, from memory", map[quantity.Size]float64{8: 7.907}},
	},
	"galvanized": {
		{"ASTM A53 schedule 40", map[quantity.Size]float64{
			0.5: 0.622, 0.75: 0.824, 1: 1.049, 1.25: 1.380, 1.5: 1.610, 2: 2.067,
			2.5: 2.469, 3: 3.068, 4: 4.026, 5: 5.047, 6: 6.065, 8: 7.981, 10: 10.020, 12: 11.938,
		}},
		{"ASTM A53 schedule 40, from memory", map[quantity.Size]float64{0.375: 0.493}},
	},
	"copper-k": {
		{"ASTM B88 type K", map[quantity.Size]float64{
			0.375: 0.402, 0.5: 0.527, 0.625: 0.652, 0.75: 0.745, 1: 0.995, 1.25: 1.245,
			1.5: 1.481, 2: 1.959, 2.5: 2.435, 3: 2.907, 4: 3.857,
		}},
		{"ASTM B88 type K, from memory", map[quantity.Size]float64{5: 4.805, 6: 5.741}},
	},
	"copper-l": {
		// 4 in: one handbook prints a wall of 0.114; the standard has 0.110.
		{"ASTM B88 type L", map[quantity.Size]float64{
			0.375: 0.430, 0.5: 0.545, 0.625: 0.666, 0.75: 0.785, 1: 1.025, 1.25: 1.265,
			1.5: 1.505, 2: 1.985, 2.5: 2.465, 3: 2.945, 4: 3.905,
		}},
		{"ASTM B88 type L, from memory", map[quantity.Size]float64{5: 4.875, 6: 5.845}},
	},
	"copper-m": {
		{"ASTM B88 type M", map[quantity.Size]float64{
			0.375: 0.450, 0.5: 0.569, 0.75: 0.811, 1: 1.055, 1.25: 1.291,
			1.5: 1.527, 2: 2.009, 2.5: 2.495, 3: 2.981, 4: 3.935,
		}},
		{"ASTM B88 type M, from memory", map[quantity.Size]float64{5: 4.907, 6: 5.881}},
	},
	"pex":   {{"ASTM F876 SDR 9, bore at least wall", sdr9}},
	"pe-rt": {{"ASTM F2623 SDR 9, bore at least wall, from memory", sdr9}},
	"cpvc": {{"ASTM D2846 SDR 11, bore at least wall", map[quantity.Size]float64{
		0.5: 0.489, 0.75: 0.715, 1: 0.921, 1.25: 1.125, 1.5: 1.329, 2: 1.739,
	}}},
	"hdpe": {
		{"ASTM D2737 SDR 9, from memory", map[quantity.Size]float64{
			0.75: 0.681, 1: 0.875, 1.25: 1.069, 1.5: 1.263, 2: 1.653,
		}},
		{"nominal size; no standard bore known", map[quantity.Size]float64{
			3: 3, 4: 4, 6: 6, 8: 8, 10: 10, 12: 12,
		}},
	},
	"clay": {{"nominal size; clay pipe is made to it", map[quantity.Size]float64{
		3: 3, 4: 4, 6: 6, 8: 8, 10: 10, 12: 12, 15: 15,
	}}},
}

var schedule40Average = map[quantity.Size]float64{
	1.25: 1.364, 1.5: 1.592, 2: 2.049, 2.5: 2.445, 3: 3.042, 4: 3.998, 5: 5.017,
	6: 6.031, 8: 7.943, 10: 9.976, 12: 11.890,
}

var sdr9 = map[quantity.Size]float64{
	0.375: 0.360, 0.5: 0.485, 0.625: 0.584, 0.75: 0.681, 1: 0.875, 1.25: 1.069,
	1.5: 1.263, 2: 1.653,
}
