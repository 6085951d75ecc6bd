package answer

import (
	"slices"
	"sort"
	"strings"

	"crownweir/grammar"
	"crownweir/grammar/system"
)

// A Token is one word to colour.
type Token struct {
	At   system.Loc
	Type string // one of TokenTypes
	// Modifiers are some of TokenModifiers.
	Modifiers []string
}

// TokenTypes lists the types of tokens.
func TokenTypes() []string {
	return []string{"keyword", "comment", "string", "number", "operator", "namespace", "class", "type", "enumMember", "property", "function", "variable", "parameter", "decorator"}
}

// TokenModifiers lists the modifiers of tokens.
func TokenModifiers() []string { return []string{"declaration"} }

// tokenTypes is the type of each role. A name's type is its space's.
var tokenTypes = map[role]string{
	roleKeyword: "keyword", roleKind: "type", roleFitting: "type", roleMaterial: "enumMember", roleDevice: "function", roleTurn: "function",
	roleDirection: "operator", roleAttr: "property", roleChoice: "enumMember", roleSize: "number", roleSolve: "operator", roleQuantity: "number",
	roleUnknown: "operator", roleText: "string", roleRule: "decorator", roleDate: "number", roleBook: "enumMember",
}

var spaceTypes = [...]string{points: "variable", levels: "namespace", rooms: "namespace", buildings: "namespace", roofs: "namespace",
	dwellings: "namespace", tags: "parameter", trenches: "parameter", typicals: "class"}

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
	var out []Token
	n := p.look()
	var words []token
	for _, s := range f.within(span) {
		first := len(out)
		n.parts(s, func(pt part) {
			if pt.role == roleRange || !overlap(pt.span, span) {
				return
			}
			t := Token{At: f.loc(pt.span), Type: tokenTypes[pt.role]}
			if pt.role == roleName {
				t.Type = spaceTypes[pt.sym.space]
				if pt.sym.space == points && n.typicalOf(pt.sym) != "" {
					t.Type = "class"
				}
			}
			if pt.decl {
				t.Modifiers = declared
			}
			out = append(out, t)
		})
		byStart := func(a, b Token) int { return a.At.Span.Start - b.At.Span.Start }
		slices.SortStableFunc(out[first:], byStart)
		if _, typical := s.Statement.(*grammar.Typical); typical {
			continue // what stands in it follows
		}
		words = lexInto(words[:0], f.source, s.Pos().Start, s.Pos().End)
		last := len(out)
		for _, t := range words {
			if t.kind == tokWord && smallWord(t.text) && overlap(t.span(), span) && !begins(out[first:last], t.start) {
				out = append(out, Token{At: f.loc(t.span()), Type: "keyword"})
			}
		}
		slices.SortStableFunc(out[first:], byStart)
	}
	return f.tidy(f.withRemarks(out, span))
}

var declared = []string{"declaration"} // read only

// begins tells whether one of the tokens begins at an offset.
func begins(list []Token, start int) bool {
	for i := range list {
		if list[i].At.Span.Start == start {
			return true
		}
	}
	return false
}

// withRemarks merges the remarks of a span into the words between them.
func (f *file) withRemarks(list []Token, span grammar.Span) []Token {
	out := make([]Token, 0, len(list)+len(f.parsed.Comments))
	i := 0
	for _, c := range f.parsed.Comments {
		if !overlap(c.Span, span) {
			continue
		}
		for i < len(list) && list[i].At.Span.Start < c.Span.Start {
			out = append(out, list[i])
			i++
		}
		out = append(out, Token{At: f.loc(c.Span), Type: "comment"})
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
	if !slices.IsSortedFunc(list, func(a, b Token) int { return a.At.Span.Start - b.At.Span.Start }) { // an `end` stands behind what it closes
		slices.SortStableFunc(list, func(a, b Token) int { return a.At.Span.Start - b.At.Span.Start })
	}
	out := list[:0]
	end := 0
	for _, t := range list {
		if i := strings.IndexAny(f.text(t.At.Span), "\r\n"); i >= 0 {
			t.At.Span.End = t.At.Span.Start + i
		}
		if t.At.Span.Start < end || t.At.Span.End <= t.At.Span.Start {
			continue
		}
		end = t.At.Span.End
		out = append(out, t)
	}
	return out
}
