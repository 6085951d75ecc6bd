package answer

import (
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
func TokenModifiers() []string { return []string{"declaration", "assumed", "finding"} }

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
	add := func(at grammar.Span, kind string, modifiers ...string) {
		if overlap(at, span) {
			out = append(out, Token{f.loc(at), kind, modifiers})
		}
	}
	n := p.look()
	for _, s := range f.within(span) {
		taken := map[int]bool{}
		n.parts(s, func(pt part) {
			if pt.role == roleRange {
				return
			}
			taken[pt.span.Start] = true
			kind := tokenTypes[pt.role]
			var modifiers []string
			if pt.role == roleName {
				kind = spaceTypes[pt.sym.space]
				if n.typicalOf(pt.sym) != "" && pt.sym.space == points {
					kind = "class"
				}
			}
			if pt.decl {
				modifiers = append(modifiers, "declaration")
			}
			add(pt.span, kind, modifiers...)
		})
		if _, typical := s.Statement.(*grammar.Typical); typical {
			continue
		}
		for _, t := range lex(f.source, s.Pos().Start, s.Pos().End) {
			if t.kind == tokWord && !taken[t.start] && smallWord(t.text) {
				add(t.span(), "keyword")
			}
		}
	}
	for _, c := range f.parsed.Comments {
		add(c.Span, "comment")
	}
	return f.tidy(out)
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
	sort.SliceStable(list, func(i, j int) bool { return list[i].At.Span.Start < list[j].At.Span.Start })
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
