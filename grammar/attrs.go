package grammar

import (
	"strings"
	"sync"

	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
)

// AttrSpec is one attribute a statement, a leg or a device may carry. The
// tables of them are what the parser reads by, what its messages quote and
// what completion offers.
type AttrSpec struct {
	Key        string        // canonical word, Attr.Key
	Form       string        // as the notation writes it: `flush tank|valve [VOLUME]`
	Positional bool          // stands without its key: `meter 3/4"`
	Required   bool          // its statement or device is nothing without it
	Repeats    bool          // may stand more than once
	Words      []string      // the closed list of its first word, where it has one
	Quantity   quantity.Kind // of its first quantity, None where it has none

	operands []operandForm
}

type operandKind uint8

const (
	wantWord    operandKind = iota // any word
	wantChoice                     // a word of words
	wantName                       // a name
	wantLiteral                    // exactly words[0]
	wantQty                        // a quantity of kind
	wantSize                       // a nominal size, or `?`
)

type operandForm struct {
	kind     operandKind
	words    []string
	quantity quantity.Kind
	optional bool
	many     bool
}

// attrTable is the attributes of one statement, leg or device.
type attrTable struct {
	specs  []AttrSpec
	byWord map[string]int // key, or a word of a positional closed list
	byKind [quantity.Number + 1]int
	words  []string // everything byWord accepts, in table order
}

// find looks a word up.
func (t *attrTable) find(word string) *AttrSpec {
	if i, ok := t.byWord[word]; ok {
		return &t.specs[i]
	}
	return nil
}

// bare is the positional spec that takes a quantity of that kind.
func (t *attrTable) bare(kind quantity.Kind) *AttrSpec {
	if i := t.byKind[kind]; i > 0 {
		return &t.specs[i-1]
	}
	return nil
}

// newTable reads forms: `side LEN` is keyed; `=kind full-port|gate` is
// positional under that key; a leading `!` marks it required, `*` repeated.
func newTable(forms ...string) *attrTable {
	t := &attrTable{byWord: map[string]int{}}
	for _, form := range forms {
		var s AttrSpec
		for form[0] == '!' || form[0] == '*' {
			s.Required, s.Repeats = s.Required || form[0] == '!', s.Repeats || form[0] == '*'
			form = form[1:]
		}
		fields := strings.Fields(form)
		s.Key, s.Form = fields[0], form
		if s.Positional = strings.HasPrefix(form, "="); s.Positional {
			s.Key, s.Form = fields[0][1:], strings.Join(fields[1:], " ")
		}
		for _, field := range fields[1:] {
			o := operand(field)
			if o.kind == wantChoice && s.Words == nil {
				s.Words = o.words
			}
			if s.Quantity == quantity.None {
				s.Quantity = o.quantity
			}
			s.operands = append(s.operands, o)
		}
		t.specs = append(t.specs, s)
		at := len(t.specs) - 1
		switch {
		case !s.Positional:
			t.addWord(s.Key, at)
		case s.Quantity != quantity.None:
			t.byKind[s.Quantity] = at + 1
		default:
			for _, word := range s.Words {
				t.addWord(word, at)
			}
		}
	}
	return t
}

func (t *attrTable) addWord(word string, at int) {
	if _, ok := t.byWord[word]; !ok {
		t.byWord[word] = at
		t.words = append(t.words, word)
	}
}

func operand(field string) operandForm {
	var o operandForm
	if strings.HasPrefix(field, "[") {
		o.optional = true
		field = strings.Trim(field, "[]")
	}
	if strings.HasSuffix(field, "...") {
		o.many = true
		field = strings.TrimSuffix(field, "...")
	}
	switch field {
	case "LEN":
		o.kind, o.quantity = wantQty, quantity.Length
	case "SIZE":
		o.kind, o.quantity = wantSize, quantity.Length
	case "GRADE":
		o.kind, o.quantity = wantQty, quantity.Grade
	case "PRESSURE":
		o.kind, o.quantity = wantQty, quantity.Pressure
	case "FLOW":
		o.kind, o.quantity = wantQty, quantity.Flow
	case "VOLUME":
		o.kind, o.quantity = wantQty, quantity.Volume
	case "TEMP":
		o.kind, o.quantity = wantQty, quantity.Temperature
	case "N":
		o.kind, o.quantity = wantQty, quantity.Number
	case "NAME":
		o.kind = wantName
	case "WORD":
		o.kind = wantWord
	default:
		o.kind, o.words = wantChoice, strings.Split(field, "|")
		if len(o.words) == 1 {
			o.kind = wantLiteral
		}
	}
	return o
}

func choice(words []string) string { return strings.Join(words, "|") }

// tables holds every attribute table by statement keyword, device word,
// `leg` and `found`.
type tables map[string]*attrTable

var attrTables = sync.OnceValue(func() tables {
	occupancy := "=occupancy " + choice(catalog.Occupancies())
	marks := []string{
		"plate", "*strap LEN", "*through stud|joist 2x4|2x6|2x8|2x10|2x12", "*hole LEN", "*edge LEN",
		"*near WORD LEN", "buried LEN", "trench NAME", "shelf LEN", "outside", "insulated",
	}
	points := map[string][]string{
		"fixture": {
			"in NAME", "rim LEN", "outlet LEN", "supply LEN", "head LEN", "trap SIZE", "tail SIZE", "units N", "water-units N",
			"flow FLOW", "flush tank|valve [VOLUME]", "side LEN", "centres LEN", "front LEN", "floor LEN by LEN", "limit TEMP",
			"control " + choice(catalog.Controls()), "hot left|right", "compartments N", "apart LEN",
			"protected " + choice(catalog.Protections()), "spout " + choice(catalog.Spouts()), "waste " + choice(catalog.Wastes()),
			"hazard low|high", "primer", "disposer", "existing", occupancy,
		},
		"main":        {"in NAME", "=pressure PRESSURE", "flow FLOW", "residual PRESSURE"},
		"outfall":     {"in NAME", "manhole LEN", "=kind sewer|septic"},
		"terminal":    {"in NAME", "roof [NAME]", "admittance", "rise LEN", "opening LEN", "above LEN", "lot-line LEN"},
		"heater":      {"in NAME", "storage VOLUME", "temperature TEMP", "first-hour VOLUME", "flow FLOW", "relief", "expansion-tank"},
		"manifold":    {"in NAME"},
		"ejector":     {"in NAME", "inlet LEN", "flow FLOW", "solids LEN", "discharge-valves " + choice(catalog.ValveKinds()) + "..."},
		"interceptor": {"in NAME", "volume VOLUME", "flow FLOW", "trapped", "=kind " + choice(catalog.Interceptors())},
		"fitting":     {"in NAME", "rolled N", "on-back", "=kind " + choice(catalog.Fittings())},
		"object":      {"in NAME"},
		"existing":    {"in NAME", "*=size SIZE", "=pressure PRESSURE", "units N", "water-units N", "closets N", "spare N"},
	}
	t := tables{
		"leg":             newTable(marks...),
		"dwelling":        newTable("baths N", "bedrooms N"),
		"trap":            newTable("=size SIZE", "barrier"),
		"cleanout":        newTable("two-way", "wall", "floor", "grade", "=size SIZE", "clear LEN", "reach LEN"),
		"valve":           newTable("!=kind " + choice(catalog.ValveKinds())),
		"meter":           newTable("!=size SIZE"),
		"regulator":       newTable("!=pressure PRESSURE", "strainer"),
		"backflow":        newTable("!=kind " + choice(catalog.BackflowKinds())),
		"air-gap":         newTable("=length LEN"),
		"interceptor run": newTable("!=kind " + choice(catalog.Interceptors())),
		"loss":            newTable("!=pressure PRESSURE"),
		"bare device":     newTable(),
	}
	// A found line takes any attribute of a point, and these of a run.
	found := []string{"size SIZE", "fall GRADE", "length LEN", "arm LEN", "=pressure PRESSURE"}
	seen := map[string]bool{"size": true, "kind": true, "pressure": true}
	for _, key := range []string{"fixture", "main", "outfall", "terminal", "heater", "ejector", "interceptor", "fitting", "existing"} {
		found = appendNew(found, seen, points[key])
	}
	found = appendNew(found, seen, marks)
	t["found"] = newTable(found...)
	for key, forms := range points {
		t[key] = newTable(forms...)
	}
	return t
})

func appendNew(to []string, seen map[string]bool, forms []string) []string {
	for _, form := range forms {
		key := strings.TrimLeft(strings.Fields(form)[0], "!*=")
		if !seen[key] {
			seen[key] = true
			to = append(to, form)
		}
	}
	return to
}

// deviceTable is the settings of a device.
func (t tables) deviceTable(word string) *attrTable {
	if word == "interceptor" {
		word = "interceptor run"
	}
	if found, ok := t[word]; ok {
		return found
	}
	return t["bare device"]
}

// AttrSpecs lists what a statement takes after its name, in the order of the
// notation: for a run the marks of its legs; for a device word its settings;
// for `found` everything that can be measured. Nil for other words.
func AttrSpecs(keyword string) []AttrSpec {
	t := attrTables()
	if isSystem(keyword) {
		keyword = "leg"
	}
	table, ok := t[keyword]
	if !ok {
		return nil
	}
	return append([]AttrSpec(nil), table.specs...)
}
