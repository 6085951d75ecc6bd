package answer

import (
	"fmt"
	"math"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/quantity"
	"crownweir/grammar/system"
)

// quantity converts a measure, and tells what a leg of that measure comes to.
func (h *hover) quantity(s placed, pt part) {
	h.out.para("%s", convert(pt.qty))
	if pt.attr != nil {
		if form := attrForm(s, pt); form != "" {
			h.out.line("`%s`%s", form, dash(meaningOfAttr(pt.attr.Key)))
		}
	}
	if r, ok := s.Statement.(*grammar.Run); ok && pt.item != nil && pt.item.Kind == grammar.Leg {
		h.leg(s, r, pt.item)
	}
}

func dash(s string) string {
	if s == "" {
		return ""
	}
	return ": " + s
}

// convert prints a measure in the units of both systems.
func convert(v quantity.Value) string {
	var out []string
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	switch v.Kind {
	case quantity.Length:
		add("%s", length(v.SI))
		add("%s in", number(v.Inches(), 3))
		add("%s ft", number(v.Feet(), 3))
		add("%s mm", number(v.SI*1000, 0))
		if math.Abs(v.SI) >= 1 {
			add("%s m", number(v.SI, 3))
		}
	case quantity.Grade:
		add("%s", quantity.FormatGrade(v.SI))
		add("%s %%", number(v.SI*100, 2))
		add("%s°", number(math.Atan(v.SI)*180/math.Pi, 2))
		add("%s mm/m", number(v.SI*1000, 1))
	case quantity.Pressure:
		add("%s psi", number(v.PSI(), 2))
		add("%s kPa", number(v.SI/1000, 1))
		add("%s bar", number(v.SI/1e5, 3))
		add("%s ft of water", number(v.SI/waterWeight/foot, 1))
	case quantity.Flow:
		add("%s gpm", number(v.GPM(), 2))
		add("%s L/s", number(v.SI*1000, 3))
		add("%s L/min", number(v.SI*60000, 2))
	case quantity.Volume:
		add("%s gal", number(v.Gallons(), 2))
		add("%s L", number(v.SI*1000, 1))
	case quantity.Temperature:
		add("%s °F", number(v.Fahrenheit(), 1))
		add("%s °C", number(v.SI, 1))
	case quantity.Duration:
		add("%s min", number(v.Minutes(), 1))
		add("%s s", number(v.SI, 0))
	case quantity.Number:
		add("%s", number(v.SI, 3))
	default:
		return ""
	}
	first := strings.TrimSpace(v.Canonical())
	if first != "" && first != out[0] {
		out = append([]string{first}, out...)
	}
	return "**" + out[0] + "**" + equals(out[1:])
}

// waterWeight is pascals in a metre of water at 4 °C: 1000 kg/m³ by the
// standard gravity of ISO 80000-3, 9.80665 m/s².
const waterWeight = 9806.65

func equals(list []string) string {
	if len(list) == 0 {
		return ""
	}
	return " = " + strings.Join(list, " = ")
}

// leg tells where a leg lies, as it was worked out.
func (h *hover) leg(s placed, r *grammar.Run, it *grammar.Item) {
	p, pt := h.partOf(s, r, it)
	if pt == nil {
		return
	}
	dwv := !p.Kind().Water()
	if pt.Length.Known() && it.By != grammar.ByLength {
		h.out.line("%s long, %s", length(pt.Length.V), from(pt.Length))
	}
	if !pt.Length.Known() {
		h.out.line("its length is not known")
	}
	if pt.Posture == system.LevelLeg && dwv {
		switch {
		case !pt.Fall.Known():
			h.out.line("its fall is not known")
		case p.Kind() == system.Vent && pt.Fall.V == 0:
			h.out.line("lies level, without fall back to its drain")
		case pt.Fall.V < 0:
			h.out.line("climbs against the flow, %s", from(pt.Fall))
		default:
			h.out.line("fall %s, %s", quantity.FormatGrade(pt.Fall.V), from(pt.Fall))
		}
		if d := pt.Drop(); d.Known() && d.V != 0 {
			word := "drops"
			if p.Kind() == system.Vent {
				word = "rises"
			}
			h.out.line("%s %s over its length", word, length(d.V))
		}
	}
	if pt.Z0.Known() && pt.Z1.Known() {
		h.out.line("from elevation %s to %s", length(pt.Z0.V), length(pt.Z1.V))
	}
	if n := len(h.facts.runsOf(s)); n > 1 {
		h.out.line("told for %s, one of %d", p.Run.Name(), n)
	}
}

// partOf finds an item as placed, in the first copy.
func (h *hover) partOf(s placed, r *grammar.Run, it *grammar.Item) (*system.Pipe, *system.Part) {
	for _, run := range h.facts.runsOf(s) {
		for _, p := range run.Pipes {
			for i := range p.Parts {
				if pt := &p.Parts[i]; pt.Item.Span == it.Span {
					return p, pt
				}
			}
		}
	}
	return nil, nil
}

// attrForm is the form of the attribute a part belongs to.
func attrForm(s placed, pt part) string {
	owner := s.Keyword()
	if pt.item != nil && pt.item.Kind == grammar.Device {
		owner = pt.item.Word.Text
		if owner == "interceptor" {
			return ""
		}
	}
	for _, a := range grammar.AttrSpecs(owner) {
		if a.Key == pt.attr.Key && !a.Positional {
			return a.Form
		}
	}
	return ""
}
