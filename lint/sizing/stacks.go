package sizing

import "crownweir/grammar/system"

// leastStack is the height from which an upright drain counts as a stack
// where it passes no storey's floor: a common storey, by practice.
const leastStack = 2.0 // metres

// stackInfo is what is known of an upright stretch of pipe.
type stackInfo struct {
	height    float64 // metres, of the whole upright stretch through its nodes
	intervals int     // storeys in which a branch joins
	below     bool    // a stack stands further downstream
}

// aboveStack: the waste of this pipe still passes a stack downstream, so that
// it is a branch of that stack and no branch of the building drain.
func (l *Ledger) aboveStack(p *system.Pipe) bool {
	l.findStacks()
	return l.info[p.ID].below
}

// stackOf tells whether an upright pipe is part of a stack, and of a tall one.
func (l *Ledger) stackOf(p *system.Pipe) (stack, tall bool) {
	l.findStacks()
	i := l.info[p.ID]
	return i.height >= leastStack, i.height >= leastStack && i.intervals > 3
}

// findStacks measures every upright stretch: its height over all the pipes
// that continue it, and the storeys in which branches join it.
func (l *Ledger) findStacks() {
	if l.info != nil {
		return
	}
	l.info = make([]stackInfo, len(l.Sys.Pipes))
	chain := make([]int, len(l.Sys.Pipes)) // index of the stretch
	for i := range chain {
		chain[i] = -1
	}
	type stretch struct {
		height float64
		joins  map[*system.Level]bool
		count  int
	}
	var all []stretch
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
			id := -1
			if firstUpright(p) {
				for _, in := range n.DrainIn {
					if chain[in.ID] >= 0 && endsUpright(in) {
						id = chain[in.ID]
						break
					}
				}
			}
			if id < 0 {
				all = append(all, stretch{joins: map[*system.Level]bool{}})
				id = len(all) - 1
			}
			chain[p.ID] = id
			s := &all[id]
			s.height += h
			for _, in := range n.DrainIn {
				if !endsUpright(in) {
					if level, many := in.From.Serves(); level != nil && !many {
						s.joins[level] = true
					} else {
						s.count++
					}
				}
			}
		}
	}
	for id, c := range chain {
		if c >= 0 {
			l.info[id].height = all[c].height
			l.info[id].intervals = len(all[c].joins)
		}
	}
	below := make([]bool, len(l.Sys.Nodes))
	for i := len(order) - 1; i >= 0; i-- {
		n := order[i]
		for _, p := range n.DrainOut {
			b := below[p.To.ID]
			l.info[p.ID].below = b || l.info[p.ID].height >= leastStack && !endsUprightOnly(p)
			if b || l.info[p.ID].height >= leastStack {
				below[n.ID] = true
			}
		}
	}
}

func uprightOf(p *system.Pipe) (height float64, any bool) {
	for i := range p.Parts {
		if pt := &p.Parts[i]; pt.IsLeg() && pt.Posture == system.Upright {
			any = true
			if d := pt.Drop(); d.Known() {
				height += d.V
			}
		}
	}
	return height, any
}

func firstUpright(p *system.Pipe) bool {
	f := p.FirstLeg()
	return f != nil && f.Posture == system.Upright
}

func endsUpright(p *system.Pipe) bool {
	f := p.LastLeg()
	return f != nil && f.Posture == system.Upright
}

// endsUprightOnly: the pipe's level legs, if any, come after its upright ones.
func endsUprightOnly(p *system.Pipe) bool {
	return firstUpright(p)
}
