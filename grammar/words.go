package grammar

import (
	"strings"
	"sync"

	"crownweir/grammar/catalog"
)

// statementForms is the form of every statement, as messages quote it, in the
// order of the notation.
var statementForms = [...]struct{ keyword, form string }{
	{"plan", `plan "TITLE"`},
	{"code", `code BOOK [amended by "FILE"]`},
	{"occupancy", `occupancy private|public|assembly`},
	{"scope", `scope drainage|vents|water...`},
	{"default", `default drain|vent|water MATERIAL, default fall GRADE or default stop`},
	{"method", `method table|engineered`},
	{"climate", `climate winter TEMPERATURE`},
	{"dwelling", `dwelling [NAME] [baths N] [bedrooms N]`},
	{"include", `include "FILE"`},
	{"note", `note "TEXT" [on NAME]`},
	{"building", `building NAME`},
	{"level", `level NAME at HEIGHT [every LENGTH] [of BUILDING]`},
	{"roof", `roof [NAME] at HEIGHT [of BUILDING]`},
	{"room", `room NAME [on LEVEL] [use USE] [of DWELLING] [private|public|assembly] [ceiling LENGTH]`},
	{"fixture", `fixture NAME KIND [ATTRIBUTE...]`},
	{"main", `main NAME [at HEIGHT] [PRESSURE] [flow FLOW residual PRESSURE]`},
	{"outfall", `outfall NAME [at HEIGHT] [manhole LENGTH] [sewer|septic]`},
	{"terminal", `terminal NAME roof [ROOF] [rise LENGTH] [opening LENGTH] [above LENGTH] [lot-line LENGTH], or terminal NAME admittance`},
	{"heater", `heater NAME [in ROOM] [ATTRIBUTE...]`},
	{"manifold", `manifold NAME [in ROOM] [at HEIGHT]`},
	{"ejector", `ejector NAME [in ROOM] [inlet LENGTH] [ATTRIBUTE...]`},
	{"interceptor", `interceptor NAME KIND [at HEIGHT] [volume VOLUME] [flow FLOW] [trapped]`},
	{"fitting", `fitting NAME [KIND] [at HEIGHT] [invert HEIGHT] [rolled DEGREES] [on-back]`},
	{"object", `object NAME KIND [in ROOM] [at X,Y,Z]`},
	{"existing", `existing drain|stack|supply|vent NAME SIZE [at HEIGHT] [ATTRIBUTE...], or existing vents SIZE...`},
	{"drain", ``}, {"sewer", ``}, {"vent", ``}, {"service", ``}, {"cold", ``},
	{"hot", ``}, {"return", ``}, {"discharge", ``}, {"indirect", ``},
	{"typical", `typical NAME`},
	{"end", `end`},
	{"place", `place TYPICAL as NAME [in ROOM] [on LEVEL] [at X,Y] [every DIRECTION LENGTH] [opposite-hand] [facing DIRECTION]`},
	{"except", `except COPY STATEMENT, or except COPY no KEYWORD NAME [to NAME]`},
	{"meet", `meet NAME NAME...`},
	{"inspection", `inspection STAGE [on DATE]`},
	{"found", `found SUBJECT [ATTRIBUTE...] [with WORD] [without WORD] [on DATE]`},
	{"test", `test drainage|vents|sewer|supply|water water|air HEAD for TIME held|lost [on DATE]`},
	{"waive", `waive RULE on SUBJECT because "REASON" [approved "RECORD"] [until DATE]`},
}

const runShape = " FROM to TO [SIZE] [MATERIAL] [as TAG] [existing] [system CLAIM] [: ITEM, ITEM, ...]"

// itemClass tells how an item of a run is read.
type itemClass uint8

const (
	itemUnknown itemClass = iota
	itemPlumb             // up, down
	itemSlant             // up-east …
	itemLevel             // north …
	itemOver
	itemDevice
	itemTurn
	itemPicksUp
	itemEnters
)

// vocabulary is the closed lists, indexed for the parser. It is built once and
// never written to again.
type vocabulary struct {
	keywords    []string
	forms       map[string]string
	items       map[string]itemClass
	materials   []string
	isMaterial  map[string]bool
	claims      []string
	fixtureKind map[string]string // word or short form to canonical
	fixtures    []string
	foundWith   []string
	allWords    []string // what may stand after a run's ends

	devicesAndTurns, itemsAndFittings []string
}

var words = sync.OnceValue(func() *vocabulary {
	v := &vocabulary{
		forms: map[string]string{}, items: map[string]itemClass{}, isMaterial: map[string]bool{},
		fixtureKind: map[string]string{}, materials: catalog.Materials(), claims: catalog.Claims(),
	}
	for _, s := range statementForms {
		v.keywords = append(v.keywords, s.keyword)
		if s.form == "" {
			s.form = s.keyword + runShape
		}
		v.forms[s.keyword] = s.form
	}
	for _, d := range catalog.Directions() {
		switch {
		case d == "up" || d == "down":
			v.addItem(d, itemPlumb)
		case strings.Contains(d, "-"):
			v.addItem(d, itemSlant)
		default:
			v.addItem(d, itemLevel)
		}
	}
	v.addItem("over", itemOver)
	for _, w := range catalog.Devices() {
		v.addItem(w, itemDevice)
	}
	for _, w := range catalog.Turns() {
		v.addItem(w, itemTurn)
	}
	v.addItem("picks-up", itemPicksUp)
	v.addItem("enters", itemEnters)
	v.devicesAndTurns = append(catalog.Devices(), catalog.Turns()...)
	v.itemsAndFittings = append(v.itemsAndFittings, catalog.Fittings()...)
	for _, m := range v.materials {
		v.isMaterial[m] = true
	}
	v.allWords = append([]string{"as", "existing", "system"}, v.materials...)
	for _, f := range catalog.FixtureKinds() {
		v.fixtures = append(v.fixtures, f.Name)
		v.fixtureKind[f.Name] = f.Name
		if f.Short != "" {
			v.fixtureKind[f.Short] = f.Name
		}
	}
	v.foundWith = append(append(append(v.foundWith, catalog.Fittings()...), catalog.Turns()...), catalog.Devices()...)
	v.foundWith = append(v.foundWith, "plate", "relief", "barrier", "insulated", "disposer", "on-back", "trapped")
	return v
})

func (v *vocabulary) addItem(word string, class itemClass) {
	v.items[word] = class
	v.itemsAndFittings = append(v.itemsAndFittings, word)
}

// Keywords lists the first words of statements, in the order of the notation.
func Keywords() []string { return append([]string(nil), words().keywords...) }

// StatementForm is the form of the statement that begins with keyword, "" for
// another word.
func StatementForm(keyword string) string { return words().forms[keyword] }

func isSystem(word string) bool {
	switch word {
	case "drain", "sewer", "vent", "service", "cold", "hot", "return", "discharge", "indirect":
		return true
	}
	return false
}

func isPointKeyword(word string) bool {
	switch word {
	case "fixture", "main", "outfall", "terminal", "heater", "manifold", "ejector", "interceptor", "fitting", "object", "existing":
		return true
	}
	return false
}
