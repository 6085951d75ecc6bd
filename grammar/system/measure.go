package system

// Length is the developed length of the pipe in metres; whole is false where
// a leg's length is not known (the sum then leaves it out) or no leg is written.
func (p *Pipe) Length() (metres float64, whole bool) {
	whole = len(p.Parts) > 0
	for i := range p.Parts {
		pt := &p.Parts[i]
		if !pt.IsLeg() {
			continue
		}
		if !pt.Length.Known() {
			whole = false
			continue
		}
		metres += pt.Length.V
	}
	return metres, whole
}

// Posture of the pipe where all its legs lie alike; ok is false where they do
// not, or none is written.
func (p *Pipe) Posture() (Posture, bool) {
	posture, seen := LevelLeg, false
	for i := range p.Parts {
		if pt := &p.Parts[i]; pt.IsLeg() {
			if seen && pt.Posture != posture {
				return posture, false
			}
			posture, seen = pt.Posture, true
		}
	}
	return posture, seen
}

// FirstLeg and LastLeg are the pipe's end legs; nil where none is written.
func (p *Pipe) FirstLeg() *Part {
	for i := range p.Parts {
		if p.Parts[i].IsLeg() {
			return &p.Parts[i]
		}
	}
	return nil
}

// LastLeg is the leg by which the pipe arrives.
func (p *Pipe) LastLeg() *Part {
	for i := len(p.Parts) - 1; i >= 0; i-- {
		if p.Parts[i].IsLeg() {
			return &p.Parts[i]
		}
	}
	return nil
}

// Drop is how far a leg descends in the direction of flow, in metres.
func (p *Part) Drop() Num {
	switch {
	case !p.IsLeg():
		return Num{0, Derived}
	case p.Posture == LevelLeg && p.Fall.Known() && p.Length.Known():
		return Num{p.Fall.V * p.Length.V, p.Fall.Origin}
	case p.Posture == Upright && p.Length.Known():
		return Num{-p.Dir[2] * p.Length.V, p.Length.Origin}
	}
	return Num{}
}

// Serves is the one level whose fixtures a node of the drains serves; many is
// true where there are several, and level nil where there is none.
func (n *Node) Serves() (level *Level, many bool) {
	if l := n.served[DWV]; l != manyLevels {
		return l, false
	}
	return nil, true
}

// Floor is the elevation of a point's finished floor in metres above the datum.
func (p *Point) Floor() float64 {
	if p.Level == nil {
		return 0
	}
	return p.Level.Elevation
}

// Rim is the flood rim of a fixture above the datum, written or usual.
func (p *Point) Rim() Num {
	if q, ok := p.Qty("rim"); ok {
		origin := Written
		if _, found := p.FoundAt["rim"]; found {
			origin = Found
		}
		return Num{p.Floor() + q.SI, origin}
	}
	if p.Fixture.Rim.OK {
		return Num{p.Floor() + p.Fixture.Rim.Metres, Usual}
	}
	return Num{}
}
