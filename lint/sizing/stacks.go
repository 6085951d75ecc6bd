package sizing

import (
	"sort"

	"crownweir/grammar/system"
)

// leastStack is the height from which an upright drain counts as a stack
// where it passes no storey's floor: a common storey, by practice.
const leastStack = 2.0 // metres

// Branch is a drain that joins a stack above its base.
type Branch struct {
	Pipe  *system.Pipe
	At    *system.Node
	Floor float64 // the storey it drains, metres above the datum
	Known bool    // that storey is known
}

// Stack is an upright run of drain with its offsets, from its top to its base.
// The last pipe may go on level beyond the base.
type Stack struct {
	Pipes    []*system.Pipe // in the direction of flow
	Height   float64        // metres, of its upright legs together
	Branches []Branch       // from the top down
	Floors   []float64      // storeys in which branches join, metres above the datum, rising: its branch intervals

	own []float64 // storeys of fixtures that discharge straight into it
}

// BaseHeight is where the stack's last upright leg ends, above the datum.
func (s *Stack) BaseHeight() system.Num {
	last := s.Pipes[len(s.Pipes)-1]
	for i := len(last.Parts) - 1; i >= 0; i-- {
		if pt := &last.Parts[i]; pt.IsLeg() && pt.Posture == system.Upright {
			return pt.Z1
		}
	}
	return system.Num{}
}

// PassesStorey tells whether the stack takes waste from a floor that stands a
// storey or more above its base: a stack in the sense of its name, and no drop
// from a floor to the drain below it.
func (s *Stack) PassesStorey() bool {
	if len(s.Floors) == 0 {
		return false
	}
	if base := s.BaseHeight(); base.Known() {
		return s.Floors[len(s.Floors)-1]-base.V >= leastStack
	}
	return len(s.Floors) > 1
}

// stackInfo is what is known of an upright stretch of pipe.
type stackInfo struct {
	height    float64 // metres, of the whole upright stretch through its nodes
	intervals int     // storeys in which a branch joins
	below     bool    // a stack stands further downstream
}

// aboveStack: the waste of this pipe still passes a stack downstream, so that
// it is a branch of that stack and no branch of the building drain.
func (l *Ledger) aboveStack(p *system.Pipe) bool {
	return l.info[p.ID].below
}

// stackOf tells whether an upright pipe is part of a stack, and of a tall one.
func (l *Ledger) stackOf(p *system.Pipe) (stack, tall bool) {
	i := l.info[p.ID]
	short := l.Book.Number("stack-short-intervals")
	stack = i.height >= leastStack
	return stack, stack && short.OK && float64(i.intervals) > short.Value+eps
}

// Stacks lists the stacks of the system, in the order of flow of their tops.
func (l *Ledger) Stacks() []*Stack {
	return l.stacks
}

// findStacks measures every upright stretch: its height over all the pipes
// that continue it, and the storeys in which branches join it.
func (l *Ledger) findStacks() {
	l.info = make([]stackInfo, len(l.Sys.Pipes))
	chain := make([]*Stack, len(l.Sys.Pipes))
	var all []*Stack
	order := l.Sys.DrainOrder()
	for _, n := range order {
		for _, p := range n.DrainOut {
			if !p.Kind().Sanitary() {
				continue
			}
			h, upright := uprightOf(p)
			if !upright {
				continue
			}
			var s *Stack
			first := firstUpright(p)
			from := l.continued(n, p, chain)
			if first && from != nil && chain[from.ID].Pipes[len(chain[from.ID].Pipes)-1] == from {
				s = chain[from.ID]
			} else {
				s, from = &Stack{}, nil
				all = append(all, s)
			}
			chain[p.ID] = s
			s.Pipes = append(s.Pipes, p)
			s.Height += h
			if !first {
				continue // it begins level: what meets it there joins no stack
			}
			for _, f := range n.Points {
				if f.Kind == system.Fixture && f.Level != nil {
					s.own = append(s.own, f.Level.Elevation)
				}
			}
			for _, in := range n.DrainIn {
				if in != from && in.Kind() != system.Indirect {
					b := Branch{Pipe: in, At: n}
					b.Floor, b.Known = l.storeyOf(in)
					s.Branches = append(s.Branches, b)
				}
			}
		}
	}
	for _, s := range all {
		s.intervals()
		for _, p := range s.Pipes {
			l.info[p.ID].height, l.info[p.ID].intervals = s.Height, len(s.Floors)
		}
		if s.Height >= leastStack {
			l.stacks = append(l.stacks, s)
		}
	}
	below := make([]bool, len(l.Sys.Nodes))
	for i := len(order) - 1; i >= 0; i-- {
		n := order[i]
		for _, p := range n.DrainOut {
			b := below[p.To.ID]
			l.info[p.ID].below = b || l.info[p.ID].height >= leastStack && !firstUpright(p)
			if b || l.info[p.ID].height >= leastStack {
				below[n.ID] = true
			}
		}
	}
}

// continued is the pipe whose stack goes on in p: the one of the same tag,
// else the upright one that has come down furthest. A level end goes on only
// within one tag: that is an offset.
func (l *Ledger) continued(n *system.Node, p *system.Pipe, chain []*Stack) *system.Pipe {
	var best *system.Pipe
	better := func(in *system.Pipe) bool {
		if best == nil {
			return true
		}
		if a, b := in.Line == p.Line, best.Line == p.Line; a != b {
			return a
		}
		return chain[in.ID].Height > chain[best.ID].Height+eps
	}
	for _, in := range n.DrainIn {
		if chain[in.ID] == nil || !endsUpright(in) && (in.Run.Tag == "" || in.Run.Tag != p.Run.Tag) {
			continue
		}
		if better(in) {
			best = in
		}
	}
	return best
}

// intervals counts the storeys in which branches join.
func (s *Stack) intervals() {
	all := s.own
	for _, b := range s.Branches {
		if b.Known {
			all = append(all, b.Floor)
		}
	}
	sort.Float64s(all)
	for i, f := range all {
		if i == 0 || f > all[i-1]+eps {
			s.Floors = append(s.Floors, f)
		}
	}
}

// storeyOf is the storey a branch drains: that of its fixtures, else the
// lowest floor that stands above its end.
func (l *Ledger) storeyOf(branch *system.Pipe) (floor float64, ok bool) {
	level, many := branch.From.Serves()
	if level != nil && !many {
		return level.Elevation, true
	}
	z := branch.To.Pos[system.DWV][2]
	if !many || !z.Known() || len(l.floors) == 0 {
		return 0, false
	}
	for _, f := range l.floors {
		if f >= z.V-eps {
			return f, true
		}
	}
	return l.floors[len(l.floors)-1], true
}

// weirOf is the part from which a pipe is drain: behind its last trap.
func weirOf(p *system.Pipe) int {
	for i := len(p.Parts) - 1; i >= 0; i-- {
		if p.Parts[i].IsDevice("trap") {
			return i + 1
		}
	}
	return 0
}

func uprightOf(p *system.Pipe) (height float64, any bool) {
	for i := weirOf(p); i < len(p.Parts); i++ {
		if pt := &p.Parts[i]; pt.IsLeg() && pt.Posture == system.Upright {
			any = true
			if d := pt.Drop(); d.Known() {
				height += d.V
			}
		}
	}
	return height, any
}

// firstUpright: behind its trap, if it has one, the pipe begins upright.
func firstUpright(p *system.Pipe) bool {
	for i := weirOf(p); i < len(p.Parts); i++ {
		if p.Parts[i].IsLeg() {
			return p.Parts[i].Posture == system.Upright
		}
	}
	return false
}

func endsUpright(p *system.Pipe) bool {
	f := p.LastLeg()
	return f != nil && f.Posture == system.Upright
}
