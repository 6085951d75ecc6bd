package sizing

import "crownweir/grammar/system"

// Contributors lists the fixtures that load a pipe with what each brings, at
// most `most` of them, nearest first. What wastes indirectly into a receptor
// that counts it already brings nothing of its own.
func (l *Ledger) Contributors(p *system.Pipe, most int) []Share {
	var out []Share
	seen := map[*system.Node]bool{}
	queue := []*system.Node{p.From}
	for len(queue) > 0 && len(out) < most {
		n := queue[0]
		queue = queue[1:]
		if seen[n] {
			continue
		}
		seen[n] = true
		receptor := false
		for _, q := range n.Points {
			switch q.Kind {
			case system.Fixture:
				out = append(out, l.Received(q))
				receptor = true
			case system.ExistingDrain, system.ExistingStack:
				if load := l.existing(q); load.Units > 0 {
					out = append(out, Share{Point: q, Load: load, Note: "as written"})
				}
			}
		}
		for _, in := range n.DrainIn {
			if in.Kind() == system.Indirect && receptor {
				continue
			}
			if e := in.From.Find(system.Ejector); e != nil && in.Kind() == system.Discharge {
				out = append(out, Share{Point: e, Load: l.pipes[in.ID], Note: "its flow, continuous"})
				continue
			}
			queue = append(queue, in.From)
		}
	}
	return out
}
