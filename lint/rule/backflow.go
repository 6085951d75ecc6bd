package rule

import (
	"fmt"
	"strings"

	"crownweir/grammar/system"
	"crownweir/lint/codebook"
)

// backflowAsk is what a fixture's supply must be protected by.
type backflowAsk struct {
	hazard, device string
	back           bool // the device must hold against pressure from behind
	cell           codebook.Cell
}

// backflowAsk reads the book for a fixture's kind and its spout; looked is
// true where the kind is on the list, whatever its spout.
func (c *Case) backflowAsk(f *system.Point) (ask backflowAsk, asked, looked bool) {
	a, _ := f.Attr("spout")
	spout := a.Text()
	t, row := c.Book.Table("protection"), f.Word
	when, _ := t.Word(row, "when")
	looked = when != ""
	if !looked || when != "always" && when != spout {
		if t, row = c.Book.Table("protected-spouts"), spout; !t.Has(spout) {
			return backflowAsk{}, false, looked
		}
	}
	ask.hazard, ask.cell = t.Word(row, "hazard")
	ask.device, _ = t.Word(row, "device")
	back, _ := t.Word(row, "backpressure")
	ask.back = back == "yes"
	if h, ok := f.Attr("hazard"); ok && h.Text() != "" {
		ask.hazard = h.Text()
	}
	return ask, true, true
}

// protects tells whether a device is good enough.
func (c *Case) protects(device string, ask backflowAsk) bool {
	t := c.Book.Table("backflow")
	hazard, _ := t.Word(device, "hazard")
	back, _ := t.Word(device, "backpressure")
	return (hazard == "high" || hazard != "" && hazard == ask.hazard) && (back == "yes" || !ask.back)
}

// grade is the device of the backflow table that a part of a run is, or "".
func grade(pt *system.Part) string {
	switch {
	case pt.IsDevice("vacuum-breaker"):
		return "atmospheric-vacuum"
	case pt.IsDevice("backflow"):
		return pt.DeviceKind()
	case pt.IsDevice("air-gap"):
		return "air-gap"
	}
	return ""
}

// backflowWords are the devices whose absence a found line may tell.
var backflowWords = []string{"vacuum-breaker", "backflow", "air-gap"}

// foundWithout is the found line that takes a device away which could have
// been the one.
func foundWithout(at map[string]system.Loc, prefix, device string) (system.Loc, bool) {
	for _, w := range backflowWords {
		loc, ok := at[prefix+w]
		if !ok {
			continue
		}
		vacuum := strings.Contains(device, "vacuum")
		if device == "" || w == device || w == "vacuum-breaker" && vacuum || w == "backflow" && device != "air-gap" {
			return loc, true
		}
	}
	return system.Loc{}, false
}

func missingBackflow(c *Case) {
	if !c.Sys.Header.Water {
		return
	}
	for _, f := range c.Sys.Points {
		if f.Kind != system.Fixture || f.Existing || len(f.Node.WaterIn) == 0 {
			continue
		}
		ask, asked, looked := c.backflowAsk(f)
		switch a, _ := f.Attr("protected"); {
		case !asked && looked:
			c.complies(f.Name)
		case !asked:
		case a.Unknown():
			c.use(ask.cell)
			c.say(Judgement{Answer: Undecided, Subject: f.Name, Asked: true})
		default:
			c.backflow(f, ask, a.Text())
		}
	}
}

func (c *Case) backflow(f *system.Point, ask backflowAsk, device string) {
	section := c.use(ask.cell)
	at, lost := foundWithout(f.Without, "", device)
	written := device != "" && device != "none"
	if written && !lost && c.protects(device, ask) {
		c.complies(f.Name)
		return
	}
	onPipes, site, gone := c.pipesProtect(f, ask)
	if onPipes {
		c.complies(f.Name)
		return
	}
	j := Judgement{Answer: Breaks, Subject: f.Name, Copy: f.Copy, Loc: f.Loc, Section: section,
		Message: fmt.Sprintf("%s %s has no protection against backflow", f.Fixture.Title, f.Name),
		Remedy:  fmt.Sprintf("write `protected %s` on it", ask.device), Fixes: addAttr(f, "protected "+ask.device)}
	switch {
	case lost || !written && gone:
		if !lost {
			at = site
		}
		j.lost(at, true)
	case device != "":
		j.Loc, j.Basis = attrLoc(f, "protected")
		j.Fixes = nil
		if j.Basis != "found" {
			j.Fixes = []Fix{{Title: "write `protected " + ask.device + "` on it", Edits: []Edit{{j.Loc, "protected " + ask.device}}}}
		}
		if written {
			threat := ask.hazard + " hazard"
			if ask.back {
				threat += " that may press back"
			}
			j.Message = fmt.Sprintf("%s of %s does not do against %s", strings.ReplaceAll(device, "-", " "), f.Name, article(threat))
		}
	}
	c.say(j)
}

// pipesProtect tells whether every supply of a fixture passes a device that
// protects enough, past the last branch; gone is true where a found line says
// that one is missing.
func (c *Case) pipesProtect(f *system.Point, ask backflowAsk) (ok bool, at system.Loc, gone bool) {
	all := len(f.Node.WaterIn) > 0
	for _, in := range f.Node.WaterIn {
		has := false
		for _, p := range alone(in) {
			if loc, lost := foundWithout(p.Run.FoundAt, "without ", ""); lost {
				at, gone = loc, true
				continue
			}
			for i := range p.Parts {
				has = has || c.protects(grade(&p.Parts[i]), ask)
			}
			if _, added := p.Run.FoundAt["with vacuum-breaker"]; added {
				has = has || c.protects("atmospheric-vacuum", ask)
			}
		}
		all = all && has
	}
	return all, at, gone
}
