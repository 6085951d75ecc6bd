package quantity

import "strconv"

// Inches is a Length in inches.
func (v Value) Inches() float64 { return clean(v.SI / metresPerInch) }

// Feet is a Length in feet.
func (v Value) Feet() float64 { return clean(v.SI / metresPerFoot) }

// Metres is a Length in metres.
func (v Value) Metres() float64 { return v.SI }

// PSI is a Pressure in pounds-force per square inch.
func (v Value) PSI() float64 { return clean(v.SI / pascalsPerPSI) }

// GPM is a Flow in US gallons a minute.
func (v Value) GPM() float64 { return clean(v.SI / (cubicPerGallon / secondsPerMin)) }

// Gallons is a Volume in US gallons.
func (v Value) Gallons() float64 { return clean(v.SI / cubicPerGallon) }

// Fahrenheit is a Temperature in degrees Fahrenheit.
func (v Value) Fahrenheit() float64 { return clean(v.SI*1.8 + 32) }

// Minutes is a Duration in minutes.
func (v Value) Minutes() float64 { return clean(v.SI / secondsPerMin) }

// InchesPerFoot is a Grade in inches of rise per foot of run.
func (v Value) InchesPerFoot() float64 { return clean(v.SI * inchesPerFootN) }

// Negated is the value with its sign turned; Text stays as written.
func (v Value) Negated() Value {
	v.SI = -v.SI
	return v
}

// FromInches makes a Length of inches.
func FromInches(inches float64) Value { return FromMetres(inches * metresPerInch) }

// FromFeet makes a Length of feet.
func FromFeet(feet float64) Value { return FromMetres(feet * metresPerFoot) }

// FromMetres makes a Length of metres; its Text is feet and inches.
func FromMetres(metres float64) Value {
	return Value{Kind: Length, SI: metres, Text: FormatLength(metres)}
}

// FromInchesPerFoot makes a Grade of inches of rise per foot of run.
func FromInchesPerFoot(n float64) Value {
	return Value{Kind: Grade, SI: n / inchesPerFootN, Text: gradeNumber(n) + `"/ft`}
}

// FromPSI makes a Pressure of pounds-force per square inch.
func FromPSI(psi float64) Value {
	return Value{Kind: Pressure, SI: psi * pascalsPerPSI, Text: plainNumber(psi) + "psi"}
}

// FromGPM makes a Flow of US gallons a minute.
func FromGPM(gpm float64) Value {
	return Value{Kind: Flow, SI: gpm * cubicPerGallon / secondsPerMin, Text: plainNumber(gpm) + "gpm"}
}

// FromGallons makes a Volume of US gallons.
func FromGallons(gallons float64) Value {
	return Value{Kind: Volume, SI: gallons * cubicPerGallon, Text: plainNumber(gallons) + "gal"}
}

// FromFahrenheit makes a Temperature of degrees Fahrenheit.
func FromFahrenheit(degrees float64) Value {
	return Value{Kind: Temperature, SI: (degrees - 32) / 1.8, Text: plainNumber(degrees) + "F"}
}

// FromNumber makes a bare number.
func FromNumber(n float64) Value { return Value{Kind: Number, SI: n, Text: plainNumber(n)} }

// plainNumber prints with at most four decimals.
func plainNumber(n float64) string {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(n, 'f', 4, 64), 64)
	return strconv.FormatFloat(r, 'f', -1, 64)
}

var kindNames = [...]string{
	None: "nothing", Length: "a length", Grade: "a fall", Pressure: "a pressure", Flow: "a flow",
	Volume: "a volume", Temperature: "a temperature", Duration: "a time", Number: "a number",
}

// String names the kind as a message says it: `a length`.
func (k Kind) String() string {
	if int(k) < len(kindNames) {
		return kindNames[k]
	}
	return "nothing"
}
