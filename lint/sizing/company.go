package sizing

import "crownweir/grammar/system"

// tally counts the fixtures of one room that count otherwise in company.
type tally struct {
	washers, closets, lavatories, baths, seen int
	over                                      bool // a closet over 1.6 gallons
}

// flow is what reaches a node: the plain sum, what settled company changed it
// by, and the rooms of which more may join further down.
type flow struct {
	plain   Load
	settled float64
	open    map[*system.Room]*tally
}

func (f *flow) merge(o *flow) {
	f.plain = f.plain.plus(o.plain)
	f.settled += o.settled
	if len(f.open) < len(o.open) {
		f.open, o.open = o.open, f.open
	}
	for r, t := range o.open {
		f.tally(r).plus(*t)
	}
	o.open = nil
}

func (f *flow) tally(r *system.Room) *tally {
	if f.open == nil {
		f.open = map[*system.Room]*tally{}
	}
	t := f.open[r]
	if t == nil {
		t = &tally{}
		f.open[r] = t
	}
	return t
}

func (t *tally) plus(o tally) {
	t.washers += o.washers
	t.closets += o.closets
	t.lavatories += o.lavatories
	t.baths += o.baths
	t.seen += o.seen
	t.over = t.over || o.over
}

// companies tells the rooms in which fixtures may count otherwise together,
// and how many of their fixtures do.
func (l *Ledger) companies() map[*system.Room]int {
	out := map[*system.Room]int{}
	for _, p := range l.Sys.Points {
		if p.Kind == system.Fixture && len(p.Node.DrainOut) > 0 {
			if t, ok := l.counts(p); ok {
				out[p.Room] += t.seen
			}
		}
	}
	return out
}

// counts tells how a fixture counts in company.
func (l *Ledger) counts(p *system.Point) (tally, bool) {
	if _, written := p.Attr("units"); written || p.Room == nil {
		return tally{}, false
	}
	if p.Word == "clothes-washer" {
		least := l.Book.Number("battery-least")
		return tally{washers: 1, seen: 1}, least.OK && l.washer[p.Room] >= int(least.Value)
	}
	if !l.Book.Flag("bathroom-groups") || l.Occupancy(p) != "private" {
		return tally{}, false
	}
	switch p.Word {
	case "water-closet":
		return tally{closets: 1, seen: 1, over: l.Row(p) != "water-closet"}, true
	case "lavatory":
		return tally{lavatories: 1, seen: 1}, true
	case "bathtub", "tub-shower", "shower":
		return tally{baths: 1, seen: 1}, true
	}
	return tally{}, false
}

// add notes a fixture that counts otherwise in company.
func (f *flow) add(l *Ledger, rooms map[*system.Room]int, p *system.Point) {
	if len(rooms) == 0 {
		return
	}
	if t, ok := l.counts(p); ok {
		f.tally(p.Room).plus(t)
	}
}

// total is the sum with all company reckoned; a room that is complete is
// settled on the way.
func (f *flow) total(l *Ledger, rooms map[*system.Room]int) Load {
	out := f.plain
	for r, t := range f.open {
		d := l.inCompany(*t)
		if t.seen >= rooms[r] {
			f.settled += d
			delete(f.open, r)
			continue
		}
		out.Units += d
	}
	out.Units += f.settled
	return out
}

// inCompany is what a room's fixtures on one drain add to or take from the
// plain sum.
func (l *Ledger) inCompany(t tally) float64 {
	table, d := l.Book.Table("fixture-units"), 0.0
	if least := l.Book.Number("battery-least"); least.OK && t.washers >= int(least.Value) {
		d += float64(t.washers) * (table.At("clothes-washer battery", "private").Value - table.At("clothes-washer", "private").Value)
	}
	if n := min(t.closets, t.lavatories, t.baths); n > 0 {
		whole, closet := table.At("bathroom-group", "private"), table.At("water-closet", "private")
		if t.over {
			whole, closet = table.At("bathroom-group over 1.6", "private"), table.At("water-closet over 1.6", "private")
		}
		lav, bath := table.At("lavatory", "private"), table.At("bathtub", "private")
		if whole.OK && closet.OK && lav.OK && bath.OK {
			d -= float64(n) * max(0, closet.Value+lav.Value+bath.Value-whole.Value)
		}
	}
	return d
}
