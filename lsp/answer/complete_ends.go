package answer

import (
	"strings"

	"crownweir/grammar/system"
	"crownweir/lint/venting"
)

// suits tells how well a point suits a role, 0 where it does not, and why.
func (k *cursor) suits(role string, c *candidate) (rank int, why string) {
	q := c.point
	end, kind, _ := strings.Cut(role, " ")
	switch {
	case c.typical != "":
		return 600, ""
	case q == nil && role == "":
		return 500, ""
	case q == nil:
		return 0, ""
	case role == "":
		return 100, ""
	case end == "leg" && (pass(q) || q.Kind >= system.ExistingDrain):
		return 200, ""
	case end == "leg":
		return 0, ""
	case end == "from":
		return k.begins(kind, q)
	}
	return k.ends(kind, q)
}

// circles tells whether a run to a point would end where it begins, or lead
// waste there in a circle.
func (k *cursor) circles(role string, q, from *system.Point) bool {
	if from.Node == q.Node {
		return true
	}
	switch role {
	case "to drain", "to discharge":
		return k.leadsTo(q.Node, from.Node)
	case "to sewer":
		return q.Kind != system.Outfall && q.Kind != system.ExistingDrain && k.leadsTo(q.Node, from.Node)
	}
	return false
}

// begins ranks a point that a run of a kind may begin at.
func (k *cursor) begins(kind string, q *system.Point) (int, string) {
	n := q.Node
	drained, vented := len(n.DrainIn)+len(n.DrainOut) > 0, len(n.VentIn)+len(n.VentOut) > 0
	watered := len(n.WaterIn)+len(n.WaterOut) > 0
	switch kind {
	case "drain":
		switch {
		case q.Kind == system.Fixture && len(n.DrainOut) == 0 && q.Fixture.NeedsDrain:
			return 1, "no drain yet"
		case endless(q) && len(n.DrainIn) > 0:
			return 2, "nothing leaves it yet"
		case q.Kind == system.Fixture || pass(q) && (drained || !watered && !vented) || q.Kind == system.Interceptor:
			return 20, ""
		}
	case "sewer":
		switch {
		case endless(q) && len(n.DrainIn) > 0:
			return 1, "nothing leaves it yet"
		case pass(q) && drained:
			return 20, ""
		}
	case "vent":
		switch {
		case k.wantsVent(q):
			return 1, "on the arm of a trap without a vent"
		case pass(q) && len(n.VentIn) > 0 && len(n.VentOut) == 0 && !drained:
			return 2, "nothing leaves it yet"
		case pass(q) && (drained || vented) || q.Kind == system.Ejector:
			return 20, ""
		}
	case "service":
		switch {
		case q.Kind == system.Main || q.Kind == system.ExistingSupply:
			return 1, ""
		case pass(q) && watered:
			return 20, ""
		}
	case "cold":
		switch {
		case pass(q) && len(n.WaterIn) > 0 || q.Kind == system.Manifold || q.Kind == system.Main || q.Kind == system.ExistingSupply:
			return 10 + len(n.WaterOut), ""
		}
	case "hot", "return":
		switch {
		case q.Kind == system.Heater || q.Kind == system.Manifold:
			return 1, ""
		case pass(q) && onWater(q, system.Hot):
			return 10, ""
		}
	case "discharge":
		if q.Kind == system.Ejector {
			return 1, ""
		}
	case "indirect":
		switch {
		case q.Kind == system.Fixture && len(n.DrainOut) == 0 && q.Fixture.NeedsDrain:
			return 1, "no drain yet"
		case q.Kind == system.Fixture || q.Kind == system.Heater:
			return 20, ""
		}
	}
	return 0, ""
}

// ends ranks a point that a run of a kind may end at.
func (k *cursor) ends(kind string, q *system.Point) (int, string) {
	n := q.Node
	drained, vented := len(n.DrainIn)+len(n.DrainOut) > 0, len(n.VentIn)+len(n.VentOut) > 0
	watered := len(n.WaterIn)+len(n.WaterOut) > 0
	switch kind {
	case "drain", "discharge":
		switch {
		case q.Kind == system.Interceptor || q.Kind == system.Ejector || q.Kind == system.ExistingDrain || q.Kind == system.ExistingStack:
			return 5, ""
		case pass(q) && len(n.DrainOut) > 0:
			return 2, "flows on"
		case pass(q) && (drained || !vented && !watered):
			return 10, ""
		case q.Kind == system.Outfall:
			return 30, ""
		}
	case "sewer":
		switch {
		case q.Kind == system.Outfall:
			return 1, ""
		case q.Kind == system.ExistingDrain || pass(q) && drained:
			return 10, ""
		}
	case "vent":
		switch {
		case q.Kind == system.Terminal && len(n.VentIn) == 0:
			return 1, "no vent ends there yet"
		case q.Kind == system.Terminal || q.Kind == system.ExistingVent:
			return 2, ""
		case pass(q) && vented && len(n.VentOut) > 0:
			return 5, "a vent goes on"
		case pass(q) && !drained && !watered:
			return 10, ""
		}
	case "cold", "hot":
		hot := kind == "hot"
		switch {
		case q.Kind == system.Fixture && (hot && q.Fixture.NeedsHot || !hot && q.Fixture.NeedsCold):
			if !fed(q, hot) {
				return 1, "no " + kind + " water yet"
			}
			return 20, ""
		case !hot && q.Kind == system.Heater || q.Kind == system.Manifold:
			return 3, ""
		case q.Kind == system.Fixture && q.Word == "equipment":
			return 6, ""
		case pass(q) && !drained && !vented:
			return 10, ""
		}
	case "service":
		if pass(q) && !drained && !vented {
			return 1, ""
		}
	case "return":
		if q.Kind == system.Heater {
			return 1, ""
		}
		if pass(q) && watered {
			return 10, ""
		}
	case "indirect":
		switch {
		case q.Kind == system.Fixture && (q.Word == "floor-sink" || q.Word == "floor-drain" || q.Word == "service-sink"):
			return 1, "a receptor"
		case q.Kind == system.Fixture && (q.Word == "kitchen-sink" || q.Word == "laundry-tub"):
			return 2, "a receptor"
		case pass(q) && drained:
			return 20, ""
		}
	}
	return 0, ""
}

// pass: a point that pipes may pass: a junction or a fitting.
func pass(q *system.Point) bool { return q.Kind == system.Junction || q.Kind == system.Fitting }

// endless: waste arrives and nothing takes it on.
func endless(q *system.Point) bool {
	return pass(q) && len(q.Node.DrainOut) == 0 && q.Node.Find(system.Outfall) == nil && q.Node.Find(system.ExistingDrain) == nil && q.Node.Find(system.ExistingStack) == nil
}

func fed(q *system.Point, hot bool) bool {
	for _, p := range q.Node.WaterIn {
		if (p.Kind() == system.Hot) == hot {
			return true
		}
	}
	return false
}

// wantsVent: a trap that is not vented passes the point on its arm.
func (k *cursor) wantsVent(q *system.Point) bool {
	if k.c == nil {
		return false
	}
	if k.bare == nil {
		k.bare = map[*system.Node]bool{}
		for _, arm := range k.c.Vents.Arms {
			if arm.Status != venting.Unvented && arm.Status != venting.STrap {
				continue
			}
			for _, s := range arm.Walk {
				k.bare[s.Pipe.To] = true
			}
		}
	}
	return k.bare[q.Node]
}

// leadsTo tells whether the drains from one node reach another.
func (k *cursor) leadsTo(from, to *system.Node) bool {
	if k.above == nil {
		k.above = make([]bool, len(k.system().Nodes))
		for next := []*system.Node{to}; len(next) > 0; {
			n := next[len(next)-1]
			next = next[:len(next)-1]
			for n.ID >= len(k.above) {
				k.above = append(k.above, false)
			}
			if k.above[n.ID] {
				continue
			}
			k.above[n.ID] = true
			for _, p := range n.DrainIn {
				next = append(next, p.From)
			}
		}
	}
	return from.ID < len(k.above) && k.above[from.ID]
}
