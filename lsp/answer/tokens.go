package answer

import (
	"slices"
	"sort"

	"crownweir/grammar"
)

// A Token is one word to colour, with its type's place in TokenTypes and a bit
// for each of TokenModifiers.
type Token struct {
	Span            grammar.Span
	Type, Modifiers uint8
}

// TokenTypes lists the types of tokens.
func TokenTypes() []string { return colourNames[:] }

// TokenModifiers lists the modifiers of tokens.
func TokenModifiers() []string { return []string{"declaration"} }

// The types by their places in TokenTypes.
const (
	colourKeyword uint8 = iota
	colourComment
	colourString
	colourNumber
	colourOperator
	colourNamespace
	colourClass
	colourType
	colourEnumMember
	colourProperty
	colourFunction
	colourVariable
	colourParameter
	colourDecorator
)

var colourNames = [...]string{colourKeyword: "keyword", colourComment: "comment", colourString: "string", colourNumber: "number",
	colourOperator: "operator", colourNamespace: "namespace", colourClass: "class", colourType: "type", colourEnumMember: "enumMember",
	colourProperty: "property", colourFunction: "function", colourVariable: "variable", colourParameter: "parameter", colourDecorator: "decorator"}

// tokenTypes is the type of each role. A name's type is its space's.
var tokenTypes = [...]uint8{
	roleKeyword: colourKeyword, roleKind: colourType, roleFitting: colourType, roleMaterial: colourEnumMember, roleDevice: colourFunction,
	roleTurn: colourFunction, roleDirection: colourOperator, roleAttr: colourProperty, roleChoice: colourEnumMember, roleSize: colourNumber,
	roleSolve: colourOperator, roleQuantity: colourNumber, roleUnknown: colourOperator, roleText: colourString, roleRule: colourDecorator,
	roleDate: colourNumber, roleBook: colourEnumMember,
}

var spaceTypes = [...]uint8{points: colourVariable, levels: colourNamespace, rooms: colourNamespace, buildings: colourNamespace,
	roofs: colourNamespace, dwellings: colourNamespace, tags: colourParameter, trenches: colourParameter, typicals: colourClass}

// declared is the bit of the one modifier.
const declared = 1

// bytesPerToken is about how far tokens stand apart.
const bytesPerToken = 5

// SemanticTokens lists the words of a span of a file with what they are,
// sorted, on one line each and without overlap. An empty span takes the whole
// file.
func SemanticTokens(p *Plan, path string, span grammar.Span) []Token {
	f := p.file(path)
	if f == nil {
		return nil
	}
	if span.End <= span.Start {
		span = grammar.Span{Start: 0, End: len(f.source)}
	}
	out := make([]Token, 0, (span.End-span.Start)/bytesPerToken)
	n := p.look()
	var words []token
	for _, s := range f.within(span) {
		first := len(out)
		n.parts(s, func(pt part) {
			if pt.role == roleRange || !overlap(pt.span, span) {
				return
			}
			t := Token{Span: pt.span, Type: tokenTypes[pt.role]}
			if pt.role == roleName {
				t.Type = spaceTypes[pt.sym.space]
				if pt.sym.space == points && n.typicalOf(pt.sym) != "" {
					t.Type = colourClass
				}
			}
			if pt.decl {
				t.Modifiers = declared
			}
			out = append(out, t)
		})
		slices.SortStableFunc(out[first:], byStart)
		if _, typical := s.Statement.(*grammar.Typical); typical {
			continue // what stands in it follows
		}
		words = lexInto(words[:0], f.source, s.Pos().Start, s.Pos().End)
		last := len(out)
		for _, t := range words {
			if t.kind == tokWord && smallWord(t.text) && overlap(t.span(), span) && !begins(out[first:last], t.start) {
				out = append(out, Token{Span: t.span(), Type: colourKeyword})
			}
		}
		if len(out) > last {
			slices.SortStableFunc(out[first:], byStart)
		}
	}
	return f.tidy(f.withRemarks(out, span))
}

func byStart(a, b Token) int { return a.Span.Start - b.Span.Start }

// begins tells whether one of the tokens begins at an offset.
func begins(list []Token, start int) bool {
	for i := range list {
		if list[i].Span.Start == start {
			return true
		}
	}
	return false
}

// withRemarks merges the remarks of a span into the words between them.
func (f *file) withRemarks(list []Token, span grammar.Span) []Token {
	if len(f.parsed.Comments) == 0 {
		return list
	}
	out := make([]Token, 0, len(list)+len(f.parsed.Comments))
	i := 0
	for _, c := range f.parsed.Comments {
		if !overlap(c.Span, span) {
			continue
		}
		for i < len(list) && list[i].Span.Start < c.Span.Start {
			out = append(out, list[i])
			i++
		}
		out = append(out, Token{Span: c.Span, Type: colourComment})
	}
	return append(out, list[i:]...)
}

// smallWord tells the fixed words that stand between the parts of statements.
func smallWord(word string) bool {
	switch word {
	case "to", "at", "invert", "on", "of", "as", "in", "every", "above", "below", "suit", "no", "amended", "by", "winter", "fall", "drop", "across",
		"facing", "opposite-hand", "existing", "system", "use", "ceiling", "with", "without", "because", "approved", "until", "for", "roof":
		return true
	}
	return false
}

// within lists the statements that a span touches.
func (f *file) within(span grammar.Span) []placed {
	i := sort.Search(len(f.stmts), func(i int) bool { return f.stmts[i].Pos().Start >= span.Start })
	for i > 0 { // the one that a span begins in, and the typical around it
		i--
		if s := f.stmts[i]; s.typical == nil {
			break
		}
	}
	j := sort.Search(len(f.stmts), func(j int) bool { return f.stmts[j].Pos().Start > span.End })
	return f.stmts[min(i, j):j]
}

// tidy sorts tokens, cuts them at line ends, and drops what overlaps.
func (f *file) tidy(list []Token) []Token {
	if !slices.IsSortedFunc(list, byStart) { // an `end` stands behind what it closes
		slices.SortStableFunc(list, byStart)
	}
	out := list[:0]
	end := 0
	for _, t := range list {
		for i := t.Span.Start; i < t.Span.End; i++ {
			if c := f.source[i]; c == '\r' || c == '\n' {
				t.Span.End = i
			}
		}
		if t.Span.Start < end || t.Span.End <= t.Span.Start {
			continue
		}
		end = t.Span.End
		out = append(out, t)
	}
	return out
}
