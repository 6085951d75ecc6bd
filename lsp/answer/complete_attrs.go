package answer

import (
	"slices"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
)

// point offers what follows in a line that makes a point.
func (k *cursor) point(words []token) {
	keyword := words[0].text
	rest := words[1:]
	if keyword == "existing" {
		switch {
		case len(words) == 1:
			k.words("choice", []string{"drain", "stack", "supply", "vent", "vents"}, nil)
			return
		case words[1].text == "vents":
			return
		}
		rest = words[2:]
	}
	if len(rest) == 0 { // its name
		if keyword == "fixture" {
			return
		}
		k.add(0, Item{Label: k.free(pointStem(keyword)), Kind: "name", Detail: "a name that is free"})
		return
	}
	if len(rest) == 1 && k.pointKinds(keyword) {
		return
	}
	var fx *catalog.Fixture
	if keyword == "fixture" {
		for _, t := range rest[1:] {
			if found, ok := catalog.FixtureKind(t.text); ok {
				fx = &found
				break
			}
		}
	}
	switch last(rest, 0) {
	case "at", "invert":
		return
	case "above", "below":
		k.symbols(levels, "place")
		return
	}
	if k.attrValue(keyword, keyword, rest[1:]) {
		return
	}
	k.attrs(keyword, rest[1:], fx)
	if keyword != "terminal" && keyword != "object" {
		k.words("attribute", []string{"at"}, rest)
	}
	if keyword == "object" {
		k.words("attribute", []string{"at"}, rest)
	}
}

func pointStem(keyword string) string {
	switch keyword {
	case "terminal":
		return "V"
	case "heater":
		return "WH"
	case "manifold":
		return "PM"
	case "fitting":
		return "k"
	}
	return strings.ToUpper(keyword[:1])
}

// pointKinds offers the kinds that stand right after a name. True where
// nothing else may.
func (k *cursor) pointKinds(keyword string) bool {
	switch keyword {
	case "fixture":
		for i, fx := range catalog.FixtureKinds() {
			k.add(10+i, Item{Label: fx.Name, Kind: "kind", Detail: k.kindDetail(fx)})
		}
		return true
	case "object":
		if k.c != nil {
			for i, row := range k.c.Book.Table("heat-clearance").Rows {
				k.add(i, Item{Label: row.Key, Kind: "kind"})
			}
		}
		return true
	case "interceptor":
		k.words("kind", catalog.Interceptors(), nil)
		return true
	case "fitting":
		k.words("fitting", catalog.Fittings(), nil)
	case "terminal":
		k.words("choice", []string{"roof", "admittance"}, nil)
		return true
	}
	return false
}

// kindDetail is a kind's load and least trap in the plan's book.
func (k *cursor) kindDetail(fx catalog.Fixture) string {
	var out []string
	if k.c != nil {
		t := k.c.Book.Table("fixture-units")
		occupancy := k.c.Sys.Header.Occupancy
		if c := t.At(fx.Name, occupancy); c.OK {
			out = append(out, units(c.Value))
		}
		if c := t.At(fx.Name, "trap"); c.OK && !fx.OwnTrap {
			out = append(out, "trap "+quantity.FormatSize(quantity.Size(c.Value)))
		}
	}
	if fx.Short != "" {
		out = append(out, "short "+fx.Short)
	}
	return strings.Join(out, ", ")
}

// attrs offers the attributes, settings or marks of an owner that are not
// written yet and make sense for the kind.
func (k *cursor) attrs(owner string, have []token, fx *catalog.Fixture) {
	k.key = owner
	if k.attrValue(owner, owner, have) {
		return
	}
	for i, a := range grammar.AttrSpecs(owner) {
		if a.Positional {
			if !slices.ContainsFunc(have, func(t token) bool { return slices.Contains(a.Words, t.text) }) && !(a.Key == "kind" && owner == "fitting" && len(have) > 0) {
				k.wordsFrom(400, "choice", a.Words, nil)
			}
			continue
		}
		if written(have, a.Key) && !a.Repeats || fx != nil && !sensible(a.Key, *fx) {
			continue
		}
		detail := meaningOfAttr(a.Key)
		if say, ok := meanings()[owner+" "+a.Key]; ok {
			detail = say
		}
		if a.Form != a.Key {
			detail = a.Form + dash(detail)
		}
		k.add(100+i, Item{Label: a.Key, Kind: "attribute", Detail: detail})
	}
}

// sensible tells whether an attribute says something of a kind of fixture.
func sensible(key string, fx catalog.Fixture) bool {
	shower := fx.Head.OK
	closet := slices.Contains([]string{"water-closet", "bidet", "urinal"}, fx.Name)
	sink := strings.HasSuffix(fx.Name, "sink") || fx.Name == "laundry-tub" || fx.Name == "lavatory"
	drained := fx.NeedsDrain || fx.Name == "equipment" || fx.Name == "ice-maker"
	watered := fx.NeedsCold || fx.NeedsHot || fx.Name == "equipment"
	switch key {
	case "rim":
		return drained
	case "outlet", "units":
		return drained
	case "trap", "tail":
		return drained && !fx.OwnTrap
	case "supply", "water-units":
		return watered
	case "head", "control":
		return shower
	case "limit", "hot":
		return fx.NeedsHot
	case "flush":
		return fx.Name == "water-closet" || fx.Name == "urinal"
	case "side", "front":
		return closet || fx.Name == "lavatory"
	case "centres":
		return closet || sink
	case "floor":
		return fx.Name == "shower"
	case "compartments", "apart":
		return sink
	case "spout":
		return sink || fx.Name == "hose-bibb"
	case "waste":
		return drained && !closet
	case "primer":
		return fx.FloorSet && fx.Name != "water-closet"
	case "disposer":
		return strings.HasSuffix(fx.Name, "sink")
	case "protected", "hazard":
		return watered
	case "flow":
		return watered || drained
	}
	return true
}

// attrValue offers the value that the last word before the place asks for;
// true where it asks for one.
func (k *cursor) attrValue(owner, keyword string, have []token) bool {
	prev := last(have, 0)
	if owner == "leg" {
		owner = "drain"
	}
	for _, a := range grammar.AttrSpecs(owner) {
		if a.Key != prev || a.Positional {
			continue
		}
		_, form, more := strings.Cut(a.Form, " ")
		if !more {
			return false
		}
		if strings.HasPrefix(form, "[") && prev != "roof" { // it may be left out
			return false
		}
		switch {
		case prev == "in":
			k.symbols(rooms, "place")
		case prev == "roof":
			k.symbols(roofs, "place")
			return false
		case prev == "trench":
			k.symbols(trenches, "name")
		case prev == "near" && k.c != nil:
			for i, row := range k.c.Book.Table("heat-clearance").Rows {
				k.add(i, Item{Label: row.Key, Kind: "choice"})
			}
		case len(a.Words) > 0:
			k.key = prev
			k.words("choice", a.Words, nil)
		default:
			k.usualValue(keyword, prev)
		}
		if prev == "in" || prev == "trench" {
			return true
		}
		k.add(900, Item{Label: "unknown", Kind: "choice", Detail: "asked, and not known yet"})
		return true
	}
	// the second word of `through stud 2x4`
	if last(have, 1) == "through" {
		switch prev {
		case "stud":
			k.words("choice", catalog.Studs(), nil)
			return true
		case "joist":
			k.words("choice", catalog.Joists(), nil)
			return true
		}
	}
	return false
}

// usualValue offers a measure that the trade or the book knows for an
// attribute: the usual height, the least allowed.
func (k *cursor) usualValue(keyword, key string) {
	if keyword != "fixture" {
		return
	}
	var fx catalog.Fixture
	for _, t := range k.before {
		if found, ok := catalog.FixtureKind(t.text); ok {
			fx = found
		}
	}
	for word, h := range map[string]catalog.Height{"rim": fx.Rim, "outlet": fx.Outlet, "supply": fx.Supply, "head": fx.Head} {
		if word == key && h.OK {
			k.add(0, Item{Label: length(h.Metres), Kind: "measure", Detail: "usual for a " + fx.Title})
		}
	}
	if k.c == nil {
		return
	}
	least := map[string]string{"side": "-side", "front": "-front", "centres": "-centres"}
	if tail, ok := least[key]; ok && (fx.Name == "water-closet" || fx.Name == "urinal") {
		stem := "closet"
		if fx.Name == "urinal" {
			stem = "urinal"
		}
		if c := k.c.Book.Number(stem + tail); c.OK {
			k.add(0, Item{Label: length(c.Metres()), Kind: "measure", Detail: "the least allowed" + cite(c)})
		}
	}
	if key == "limit" {
		if c := k.c.Book.Table("hot-limit").At(fx.Name, "public"); c.OK {
			k.add(0, Item{Label: number(c.Value, 0) + "F", Kind: "measure", Detail: "the hottest allowed in public use" + cite(c)})
		}
	}
	if key == "trap" {
		if c := k.c.Book.Table("fixture-units").At(fx.Name, "trap"); c.OK {
			k.add(0, Item{Label: quantity.FormatSize(quantity.Size(c.Value)), Kind: "size", Detail: "the least of its kind" + cite(c)})
		}
	}
}
