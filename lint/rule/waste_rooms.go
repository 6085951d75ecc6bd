package rule

import (
	"fmt"
	"strings"

	"crownweir/grammar/catalog"
	"crownweir/grammar/system"
)

// byRoom lists the fixtures of each room.
func (c *Case) byRoom() map[*system.Room][]*system.Point {
	rooms := map[*system.Room][]*system.Point{}
	for _, f := range c.Sys.Points {
		if f.Kind == system.Fixture && f.Room != nil {
			rooms[f.Room] = append(rooms[f.Room], f)
		}
	}
	return rooms
}

func count(fixtures []*system.Point, kind string) int {
	n := 0
	for _, f := range fixtures {
		if f.Word == kind {
			n++
		}
	}
	return n
}

// shut names what a room is where nobody minds a receptor; "" for others.
func shut(r *system.Room, fixtures []*system.Point) string {
	switch {
	case r.Use == "restroom" || count(fixtures, "water-closet")+count(fixtures, "urinal") > 0:
		return "a restroom"
	case r.Use != "":
		return ""
	}
	name := strings.ToLower(r.Name[strings.LastIndexByte(r.Name, '.')+1:])
	for _, part := range strings.FieldsFunc(name, func(c rune) bool { return c == '-' || c == '_' || c >= '0' && c <= '9' }) {
		switch part {
		case "closet", "cupboard", "storeroom":
			return "a " + part
		}
	}
	return ""
}

func misplacedReceptor(c *Case) {
	allowed := c.Book.FlagCell("receptor-in-restroom")
	if !allowed.OK || c.Book.Flag("receptor-in-restroom") {
		return
	}
	rooms := c.byRoom()
	for _, f := range c.Sys.Points {
		if f.Kind != system.Fixture || f.Existing || f.Room == nil {
			continue
		}
		var into *system.Pipe
		washers := true
		for _, p := range f.Node.DrainIn {
			if p.Kind() != system.Indirect {
				continue
			}
			into = p
			g := p.From.Find(system.Fixture)
			washers = washers && g != nil && g.Word == "clothes-washer" && g.Room == f.Room
		}
		if f.Word != "floor-sink" && into == nil {
			continue
		}
		section := c.use(allowed)
		what := shut(f.Room, rooms[f.Room])
		if what == "" || into != nil && washers {
			c.complies(f.Name)
			continue
		}
		j := Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: f.Loc, Section: section,
			Message: fmt.Sprintf("receptor %s stands in %s, %s", f.Name, f.Room.Name, what),
			Remedy:  "set it where it is in view and ventilated, outside restrooms and closets",
			Related: []Related{{f.Room.Loc, "the room"}}}
		if into != nil {
			j.Message = fmt.Sprintf("%s takes the indirect waste %s and stands in %s, %s", f.Name, into.Run.Subject(), f.Room.Name, what)
			j.Related = append(j.Related, Related{endsLoc(into.Run), "the indirect waste"})
		}
		c.say(j)
	}
}

// roomCopy is the placed typical that a room belongs to; nil where none.
func (c *Case) roomCopy(r *system.Room) *system.Copy {
	i := strings.LastIndexByte(r.Name, '.')
	if i < 0 {
		return nil
	}
	for _, k := range c.Sys.Copies {
		if k.Name == r.Name[:i] {
			return k
		}
	}
	return nil
}

func missingFloorDrain(c *Case) {
	table := c.Book.Table("floor-drain-rooms")
	closets := c.Book.Number("floor-drain-closets")
	if table == nil || !c.Sys.Header.Drainage {
		return
	}
	rooms := c.byRoom()
	for _, r := range c.Sys.Rooms {
		fixtures := rooms[r]
		fresh := false
		for _, f := range fixtures {
			fresh = fresh || !f.Existing && len(f.Node.DrainOut) > 0
		}
		if !fresh || c.dwellingRoom(r) {
			continue
		}
		has := count(fixtures, "floor-drain")+count(fixtures, "floor-sink") > 0
		asked, told := false, false
		for _, row := range table.Rows {
			when, cell := table.Word(row.Key, "when")
			why := ""
			soil := count(fixtures, "water-closet")
			switch _, kind := catalog.FixtureKind(row.Key); {
			case when == "two-closets":
				if n := soil + count(fixtures, "urinal"); soil > 0 && closets.OK && float64(n) >= closets.Value {
					why = fmt.Sprintf("it has %s, and from %.0f on a room outside dwellings has one", closetCount(soil, n-soil), closets.Value)
				}
			case kind:
				if f := c.directOf(fixtures, row.Key); f != nil {
					why = fmt.Sprintf("%s in it drains directly, and one stands beside such a %s", f.Name, f.Fixture.Title)
				}
			case r.Use == row.Key:
				why = fmt.Sprintf("its use is %s, and such a room outside dwellings has one", r.Use)
			}
			if why == "" {
				continue
			}
			asked = true
			section := c.use(cell)
			if has || told {
				continue
			}
			told = true
			if f := c.homeless(r); f != nil {
				c.undecided(r.Name, c.roomCopy(r), f.Loc, "room of "+f.Name, fmt.Sprintf("write `in %s` on it where it stands there", r.Name[strings.LastIndexByte(r.Name, '.')+1:]))
				continue
			}
			c.say(Judgement{Answer: Breaks, Subject: r.Name, Copy: c.roomCopy(r), Loc: r.Loc, Section: section,
				Message: fmt.Sprintf("room %s has no floor drain; %s", r.Name, why),
				Remedy:  fmt.Sprintf("write `fixture FD floor-drain in %s` and its drain", r.Name)})
		}
		if asked && !told {
			c.complies(r.Name)
		}
	}
}

// homeless is a floor drain or sink without a room that may stand in this one.
func (c *Case) homeless(r *system.Room) *system.Point {
	for _, f := range c.Sys.Points {
		if f.Kind == system.Fixture && f.Room == nil && (f.Word == "floor-drain" || f.Word == "floor-sink") && (f.Level == nil || f.Level == r.Level) {
			return f
		}
	}
	return nil
}

func closetCount(closets, urinals int) string {
	s := fmt.Sprintf("%d %s", closets, plural(closets, "closet", "closets"))
	if urinals > 0 {
		s += fmt.Sprintf(" and %d %s", urinals, plural(urinals, "urinal", "urinals"))
	}
	return s
}

// directOf is a new fixture of a kind whose waste meets the drains without a break.
func (c *Case) directOf(fixtures []*system.Point, kind string) *system.Point {
	for _, f := range fixtures {
		if f.Word != kind || f.Existing {
			continue
		}
		for _, p := range f.Node.DrainOut {
			if w := c.parting(f, p); !w.gap && !w.brk {
				return f
			}
		}
	}
	return nil
}
