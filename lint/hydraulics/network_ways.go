package hydraulics

import "math"

// way is how a link is taken for a while.
type way uint8

const (
	open  way = iota // by its law; a fixed loss taken whole
	back             // likewise, water running from To to From
	still            // so little runs that a fixed loss is not taken whole
	shut             // a check or regulator that water would run through backwards
	hold             // a regulator at its set pressure
)

// change takes links that stand wrong the other way; false where none does.
func (c *core) change(round int) bool {
	changed := false
	for i, k := range c.links {
		law := &c.laws[k]
		if !law.oneWay && law.fixed == 0 {
			continue
		}
		if to := c.rightWay(i, law); to != c.ways[i] {
			c.ways[i], changed = to, true
			switch {
			case to == still:
				c.flow[i] = 0
			case to == back:
				c.flow[i] = math.Min(c.flow[i], -law.guess())
			case to != shut:
				c.flow[i] = math.Max(c.flow[i], law.guess())
			}
			if round > allAtOnce {
				return true
			}
		}
	}
	return changed
}

// rightWay is how a link should stand at these heads and flows.
func (c *core) rightWay(i int, law *law) way {
	now, before, behind, flow := c.ways[i], c.heads[law.from], c.heads[law.to], c.flow[i]
	running := now
	if now == hold || now == shut {
		running = open
	}
	if law.fixed > 0 {
		switch {
		case now == shut, running == open && flow < fixedFrom*(1-fixedGrace), running == back && flow > -fixedFrom*(1-fixedGrace):
			running = still
		case running == still && flow > fixedFrom:
			running = open
		case running == still && flow < -fixedFrom:
			running = back
		}
	}
	if now == shut {
		most := before
		if law.regulator {
			most = math.Min(most, law.set)
		}
		switch {
		case most <= behind+headGrace:
			return shut
		case most < before:
			return hold
		}
		return running
	}
	if law.oneWay && flow < -flowGrace {
		if law.fixed > 0 && now == open {
			return still
		}
		return shut
	}
	if !law.regulator {
		return running
	}
	lost, _ := law.loss(flow)
	held, through := law.set-law.droop*flow, before-lost
	switch {
	case held < through-headGrace:
		return hold
	case now == hold && held <= through+headGrace:
		return hold
	}
	return running
}

// loss is what a link loses at a flow, as it is taken now.
func (c *core) loss(i int, flow float64) (lost, slope float64) {
	law := &c.laws[c.links[i]]
	switch c.ways[i] {
	case shut:
		return shutSlope * flow, shutSlope
	case hold:
		return law.droop * flow, law.droop
	}
	lost, slope = law.friction(flow)
	switch {
	case law.fixed == 0:
	case c.ways[i] == open:
		lost += law.fixed
	case c.ways[i] == back:
		lost -= law.fixed
	default:
		lost, slope = lost+flow*law.fixed/fixedFrom, slope+law.fixed/fixedFrom
	}
	return lost, slope
}

// before is the head from which a link loses it.
func (c *core) before(i int) float64 {
	law := &c.laws[c.links[i]]
	if c.ways[i] == hold {
		return law.set
	}
	return c.heads[law.from]
}
