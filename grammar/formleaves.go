package grammar

import (
	"strings"

	"github.com/alecthomas/participle/v2"
	plex "github.com/alecthomas/participle/v2/lexer"

	"crownweir/grammar/catalog"
)

// The leaves that only runs and points have.
type (
	systemLeaf   struct{ Word }
	materialLeaf struct{ Word }
	claimLeaf    struct{ Word }
	solveLeaf    struct{ Word }
	pointLeaf    struct{ Word }
	existingLeaf struct{ Word }
	kindLeaf     struct{ Word }
	sizeLeaf     struct{ Qty }
	itemLeaf     struct{ Item }
	attrLeaf     struct{ Attr }
)

func (l *systemLeaf) Parse(lex *plex.PeekingLexer) error {
	return (*accessLeaf)(l).oneOf(lex, catalog.Systems()...)
}

func (l *materialLeaf) Parse(lex *plex.PeekingLexer) error {
	return (*accessLeaf)(l).oneOf(lex, catalog.Materials()...)
}

func (l *claimLeaf) Parse(lex *plex.PeekingLexer) error {
	return (*accessLeaf)(l).oneOf(lex, catalog.Claims()...)
}

func (l *existingLeaf) Parse(lex *plex.PeekingLexer) error {
	return (*accessLeaf)(l).oneOf(lex, "drain", "stack", "supply", "vent")
}

func (l *pointLeaf) Parse(lex *plex.PeekingLexer) error {
	return leaf(lex, func(r *reader) bool {
		if t := r.peek(); t.kind != tokWord || !isPointKeyword(t.text) || t.text == "existing" {
			return false
		}
		l.Word = r.next().word()
		return true
	})
}

func (l *solveLeaf) Parse(lex *plex.PeekingLexer) error {
	return leaf(lex, func(r *reader) bool {
		if r.peek().kind != tokSolve {
			return false
		}
		l.Word = r.next().word()
		return true
	})
}

func (l *sizeLeaf) Parse(lex *plex.PeekingLexer) error {
	return leaf(lex, func(r *reader) (ok bool) {
		if t := r.peek(); t.kind != tokWord || isName(t.text) {
			return false
		}
		l.Qty, ok = r.size(r.stmt)
		return ok
	})
}

func (l *itemLeaf) Parse(lex *plex.PeekingLexer) error {
	return leaf(lex, func(r *reader) (ok bool) {
		l.Item, ok = r.item()
		return ok
	})
}

// Parse reads an attribute by the table of the statement's keyword.
func (l *attrLeaf) Parse(lex *plex.PeekingLexer) error {
	return leaf(lex, func(r *reader) bool {
		table := attrTables()[r.stmt]
		if table == nil {
			return false
		}
		a := attrReader{reader: r, table: table, owner: r.stmt}
		if !a.take() || len(a.out) == 0 {
			return false
		}
		l.Attr = a.out[0]
		return true
	})
}

// Parse reads the kind of a fixture or an object; those of other points are
// attributes.
func (l *kindLeaf) Parse(lex *plex.PeekingLexer) error {
	return leaf(lex, func(r *reader) bool {
		p := &Point{}
		switch r.stmt {
		case "fixture":
			if !r.fixtureKind(p) {
				return false
			}
			l.Word = p.Kind
			return true
		case "object":
			if t := r.peek(); t.kind == tokWord && isName(t.text) && !isReserved(t.text) {
				l.Word = r.next().word()
				return true
			}
		}
		return false
	})
}

// Grammar is the notation's grammar in EBNF, as the statement forms have it.
// What the leaves read (names, quantities, attributes, items) is told by
// StatementForm and AttrSpecs.
func Grammar() string {
	var b strings.Builder
	for _, form := range []string{
		ebnf[planForm](), ebnf[codeForm](), ebnf[occupancyForm](), ebnf[scopeForm](), ebnf[defaultForm](), ebnf[methodForm](),
		ebnf[climateForm](), ebnf[includeForm](), ebnf[noteForm](), ebnf[buildingForm](), ebnf[levelForm](), ebnf[roofForm](),
		ebnf[roomForm](), ebnf[pointForm](), ebnf[runForm](), ebnf[meetForm](), ebnf[placeForm](), ebnf[typicalForm](),
		ebnf[inspectionForm](), ebnf[testForm](), ebnf[waiveForm](),
	} {
		b.WriteString(form + "\n")
	}
	return b.String()
}

func ebnf[F any]() string {
	text := participle.MustBuild[F](participle.Lexer(definition{})).String()
	text = strings.ReplaceAll(text, "Leaf", "")
	return strings.ReplaceAll(text, "Form", "")
}
