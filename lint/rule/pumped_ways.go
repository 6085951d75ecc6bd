package rule

import (
	"math"

	"crownweir/grammar"
	"crownweir/grammar/system"
)

// touch is within what two heights count as one: half a sixteenth of an inch.
const touch = 0.0008

// siteDevice finds a device on a pipe as it is built: a found line on its run
// may add it or say that it is missing. part is -1 where a found line adds it.
// at is the found line that decides, where found.
func siteDevice(p *system.Pipe, words ...string) (part int, ok bool, at system.Loc, found bool) {
	for _, w := range words {
		if loc, gone := p.Run.FoundAt["without "+w]; gone {
			at, found = loc, true
			continue
		}
		for i := range p.Parts {
			if p.Parts[i].IsDevice(w) {
				return i, true, system.Loc{}, false
			}
		}
		if loc, added := p.Run.FoundAt["with "+w]; added {
			return -1, true, loc, true
		}
	}
	return 0, false, at, found
}

// pointAttrFix replaces a written quantity of a point's attribute.
func pointAttrFix(p *system.Point, key, text string) []Fix {
	if _, ok := p.FoundAt[key]; ok {
		return nil
	}
	a, ok := p.Attr(key)
	if !ok {
		return nil
	}
	for _, v := range a.Values {
		if v.Kind == grammar.OperandQty && v.Span.End > v.Span.Start {
			return []Fix{{Title: "write " + key + " " + text, Edits: []Edit{{system.Loc{File: p.File, Span: v.Span}, text}}}}
		}
	}
	return nil
}

// appendItem writes an item at the end of a run.
func appendItem(r *system.Run, item string) []Fix {
	st := r.Stmt
	at, text := st.Span.End, ": "+item
	if n := len(st.Items); n > 0 {
		at, text = st.Items[n-1].Span.End, ", "+item
	}
	if at <= 0 {
		return nil
	}
	return []Fix{{Title: "write `" + item + "` at its end", Edits: []Edit{{system.Loc{File: r.File, Span: grammar.Span{Start: at, End: at}}, text}}}}
}

// wayOut is where waste goes from a place.
type wayOut struct {
	outfall *system.Point
	rest    *system.Point // the existing drain or stack it leaves the plan by
	ejector *system.Point // the pump that lifts it on its way
	valve   *system.Pipe  // the first that holds a backwater valve
}

// waysOut follows every node's waste to the end, from the outfalls upwards.
func (c *Case) waysOut() []wayOut {
	ways := make([]wayOut, len(c.Sys.Nodes))
	order := c.Sys.DrainOrder()
	for i := len(order) - 1; i >= 0; i-- {
		n := order[i]
		if n.Circle {
			continue
		}
		w := &ways[n.ID]
		if o := n.Find(system.Outfall); o != nil {
			w.outfall = o
			continue
		}
		if len(n.DrainOut) > 0 {
			*w = along(ways, n.DrainOut[0])
		} else if w.rest = n.Find(system.ExistingDrain); w.rest == nil {
			w.rest = n.Find(system.ExistingStack)
		}
		if e := n.Find(system.Ejector); e != nil {
			w.ejector, w.valve = e, nil
		}
	}
	return ways
}

// along is the way out from the head of a pipe.
func along(ways []wayOut, p *system.Pipe) wayOut {
	w := ways[p.To.ID]
	if _, ok, _, _ := siteDevice(p, "backwater-valve"); ok {
		w.valve = p
	}
	return w
}

// fixturesUp lists the fixtures whose waste reaches a node through pipes that
// pass the filter, and the existing drains and stacks among its sources.
func fixturesUp(n *system.Node, through func(*system.Pipe) bool) (fixtures, existing []*system.Point) {
	seen := map[*system.Node]bool{n: true}
	for queue := []*system.Node{n}; len(queue) > 0; queue = queue[1:] {
		at := queue[0]
		for _, p := range at.Points {
			switch p.Kind {
			case system.Fixture:
				fixtures = append(fixtures, p)
			case system.ExistingDrain, system.ExistingStack:
				existing = append(existing, p)
			}
		}
		for _, p := range at.DrainIn {
			if !seen[p.From] && (through == nil || through(p)) {
				seen[p.From] = true
				queue = append(queue, p.From)
			}
		}
	}
	return fixtures, existing
}

// discharge follows what an ejector pumps to the place where it joins a drain.
func discharge(e *system.Point) (pipes []*system.Pipe, end *system.Node) {
	next := func(n *system.Node) *system.Pipe {
		for _, p := range n.DrainOut {
			if p.Kind() == system.Discharge {
				return p
			}
		}
		return nil
	}
	seen := map[*system.Node]bool{}
	for n := e.Node; n != nil && !seen[n]; {
		seen[n] = true
		p := next(n)
		if p == nil || n != e.Node && n.Find(system.Ejector) != nil {
			break
		}
		pipes, end = append(pipes, p), p.To
		n = p.To
	}
	return pipes, end
}

// ejectors lists the pumps that take anything and are new work.
func (c *Case) ejectors() []*system.Point {
	var out []*system.Point
	for _, p := range c.Sys.Points {
		if p.Kind == system.Ejector && (len(p.Node.DrainIn) > 0 || len(p.Node.DrainOut) > 0) {
			out = append(out, p)
		}
	}
	return out
}

func heightInches(metres float64) float64 { return round(metres/0.0254, 3) }

// levelLengths adds up the level legs of pipes, in metres.
func levelLengths(pipes []*system.Pipe) (metres float64, known bool) {
	for _, p := range pipes {
		if p.FirstLeg() == nil {
			return 0, false
		}
		for i := range p.Parts {
			pt := &p.Parts[i]
			if !pt.IsLeg() {
				continue
			}
			if !pt.Length.Known() {
				return 0, false
			}
			metres += pt.Length.V * math.Hypot(pt.Dir[0], pt.Dir[1])
			if math.IsNaN(pt.Dir[0]) {
				metres += pt.Length.V
			}
		}
	}
	return metres, true
}
