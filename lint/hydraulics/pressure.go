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

// HazenWilliams is the friction in metres of water a metre of full pipe: h =
// 0.2083 (100/C)^1.852 q^1.852 / d^4.8655 feet in a hundred, q in gallons a
// minute, d in inches, C the pipe's coefficient (150 plastic, 130 to 150
// copper, 100 to 120 galvanised steel). Flow is in cubic metres a second, bore
// in metres. It holds for water at common temperatures.
//
// Source: the form that irrigation and pipe tables print; it agrees with
// 4.52 q^1.85 / (C^1.85 d^4.87) psi a foot within 1 %.
func HazenWilliams(flow, bore, c float64) float64 {
	if bore <= 0 || c <= 0 || flow <= 0 {
		return 0
	}
	q, d := flow/GallonsPerMinute, bore/Inch
	return 0.2083 * math.Pow(100/c, 1.852) * math.Pow(q, 1.852) / math.Pow(d, 4.8655) / 100
}

// Reynolds is the Reynolds number of a velocity (metres a second) in a bore
// (metres), by kinematic viscosity (square metres a second).
func Reynolds(velocity, bore, viscosity float64) float64 { return velocity * bore / viscosity }

// laminarUpTo is the Reynolds number up to which flow stays laminar.
const laminarUpTo = 2000

// FrictionFactor is Darcy's f: 64/Re while the flow is laminar, else by
// Colebrook, 1/sqrt f = -2 log10(e/(3.7 D) + 2.51/(Re sqrt f)). relative is
// the wall's roughness over the bore. 0 without flow.
//
// Source: Colebrook, 1939; textbook form, from memory.
func FrictionFactor(reynolds, relative float64) float64 {
	switch {
	case reynolds <= 0:
		return 0
	case reynolds < laminarUpTo:
		return 64 / reynolds
	}
	// Swamee and Jain's explicit form starts within 3 % of the root; each turn
	// then gains about a digit.
	root := 1 / math.Sqrt(0.25/math.Pow(math.Log10(relative/3.7+5.74/math.Pow(reynolds, 0.9)), 2))
	for range 20 {
		root = -2 * math.Log10(relative/3.7+2.51*root/reynolds)
	}
	return 1 / (root * root)
}

// Darcy is the friction in metres of water a metre of full pipe: h = f v^2 /
// (2 g D). Flow is in cubic metres a second, bore and wall roughness in metres,
// viscosity kinematic in square metres a second.
//
// Source: Darcy and Weisbach; textbook form, from memory.
func Darcy(flow, bore, rough, viscosity float64) float64 {
	if bore <= 0 || flow <= 0 || viscosity <= 0 {
		return 0
	}
	v := Velocity(flow, bore)
	return FrictionFactor(Reynolds(v, bore, viscosity), rough/bore) * v * v / (2 * Gravity * bore)
}
