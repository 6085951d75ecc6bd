package grammar

import (
	"errors"
	"io"
	"strings"

	"github.com/alecthomas/participle/v2"
	plex "github.com/alecthomas/participle/v2/lexer"

	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
)

// The leaves of the statement forms: each reads with the same hand-written
// reader that reads points and runs, so a name or a height means one thing
// everywhere.
type (
	nameLeaf    struct{ Word }
	wordLeaf    struct{ Word } // any bare word: a code book, a date, a rule
	accessLeaf  struct{ Word } // private, public, assembly
	stopLeaf    struct{ Word } // stop
	fallLeaf    struct{ Word } // fall
	stringLeaf  struct{ Word }
	refLeaf     struct{ Ref }
	heightLeaf  struct{ Height }
	atLeaf      struct{ At }
	lenLeaf     struct{ Qty }
	gradeLeaf   struct{ Qty }
	tempLeaf    struct{ Qty }
	timeLeaf    struct{ Qty }
	headLeaf    struct{ Qty } // a length or a pressure
	subjectLeaf struct{ Subject }
)

// leafError carries a problem of ours through the parser library.
type leafError struct{ problem Problem }

func (e *leafError) Error() string { return e.problem.Message }

// definition is our lexer as the library wants it.
type definition struct{}

func typeOf(kind tokenKind) plex.TokenType {
	if kind == tokEnd {
		return plex.EOF
	}
	return plex.EOF - plex.TokenType(kind)
}

func kindOf(t plex.TokenType) tokenKind { return tokenKind(plex.EOF - t) }

// Symbols names the token kinds.
func (definition) Symbols() map[string]plex.TokenType {
	return map[string]plex.TokenType{
		"EOF": plex.EOF, "Word": typeOf(tokWord), "String": typeOf(tokString), "OpenString": typeOf(tokOpenString),
		"Tuple": typeOf(tokTuple), "Colon": typeOf(tokColon), "Comma": typeOf(tokComma), "Solve": typeOf(tokSolve),
	}
}

// Lex reads one statement's text.
func (definition) Lex(_ string, in io.Reader) (plex.Lexer, error) {
	text, err := io.ReadAll(in)
	if err != nil {
		return nil, err
	}
	var l lexer
	l.lex(string(text), 0)
	return &feed{toks: l.toks}, nil
}

// feed hands our tokens to the library. A token's length rides in Column,
// which nothing else uses: a string's text is shorter than its span.
type feed struct {
	toks []token
	i    int
}

func (f *feed) Next() (plex.Token, error) {
	t := &f.toks[min(f.i, len(f.toks)-1)]
	f.i++
	text := t.text
	if t.kind == tokString {
		text = `"` + text // or the text "on" would pass for the word
	}
	return plex.Token{Type: typeOf(t.kind), Value: text, Pos: plex.Position{Offset: t.start, Column: t.end - t.start}}, nil
}

func ownToken(t *plex.Token) token {
	text := t.Value
	if kindOf(t.Type) == tokString {
		text = text[1:]
	}
	return token{kindOf(t.Type), text, t.Pos.Offset, t.Pos.Offset + t.Pos.Column}
}

// mostLeafTokens is how far a leaf looks ahead; the longest, a leg with every
// mark, takes some thirty.
const mostLeafTokens = 48

// leaf runs read over the tokens that are left and takes those it used.
func leaf(lex *plex.PeekingLexer, read func(*reader) bool) error {
	start := lex.MakeCheckpoint()
	r := reader{toks: make([]token, 0, 8)}
	if n := lex.RawCursor(); n > 0 {
		r.toks = append(r.toks, ownToken(&lex.Range(n-1, n)[0]))
		r.i = 1
	}
	first := r.i
	for t := lex.Peek(); len(r.toks) < mostLeafTokens; t = lex.Peek() {
		r.toks = append(r.toks, ownToken(t))
		if t.EOF() {
			break
		}
		lex.Next()
	}
	if last := r.toks[len(r.toks)-1]; last.kind != tokEnd {
		r.toks = append(r.toks, token{kind: tokEnd, start: last.end, end: last.end})
	}
	lex.LoadCheckpoint(start)
	if lex.RawCursor() > 0 {
		r.stmt = lex.Range(0, 1)[0].Value
	}
	ok := read(&r)
	for ; first < r.i; first++ {
		lex.Next()
	}
	if len(r.problems) > 0 {
		return &leafError{r.problems[0]}
	}
	if !ok {
		return participle.NextMatch
	}
	return nil
}

// before is the word a leaf stands behind, for its messages.
func (r *reader) before() string {
	if r.i == 0 {
		return r.stmt
	}
	return clip(r.toks[r.i-1].text)
}

func (l *nameLeaf) Parse(lex *plex.PeekingLexer) error {
	return leaf(lex, func(r *reader) bool {
		t := r.peek()
		if t.kind != tokWord || !isName(t.text) || isReserved(t.text) {
			return false
		}
		l.Word = r.next().word()
		return true
	})
}

func (l *wordLeaf) Parse(lex *plex.PeekingLexer) error {
	return leaf(lex, func(r *reader) bool {
		if t := r.peek(); t.kind != tokWord || isReserved(t.text) {
			return false
		}
		l.Word = r.next().word()
		return true
	})
}

func (l *accessLeaf) Parse(lex *plex.PeekingLexer) error {
	return l.oneOf(lex, catalog.Occupancies()...)
}

func (l *stopLeaf) Parse(lex *plex.PeekingLexer) error { return (*accessLeaf)(l).oneOf(lex, "stop") }

func (l *fallLeaf) Parse(lex *plex.PeekingLexer) error { return (*accessLeaf)(l).oneOf(lex, "fall") }

func (l *accessLeaf) oneOf(lex *plex.PeekingLexer, list ...string) error {
	return leaf(lex, func(r *reader) bool {
		if !r.isChoice(list) {
			return false
		}
		l.Word = r.next().word()
		return true
	})
}

func (l *stringLeaf) Parse(lex *plex.PeekingLexer) error {
	return leaf(lex, func(r *reader) (ok bool) {
		if k := r.peek().kind; k != tokString && k != tokOpenString {
			return false
		}
		l.Word, ok = r.str(r.before())
		return ok
	})
}

func (l *refLeaf) Parse(lex *plex.PeekingLexer) error {
	return leaf(lex, func(r *reader) (ok bool) {
		if t := r.peek(); t.kind != tokWord || isReserved(t.text) || t.text[0] < 0x80 && !isName(t.text[:1]) {
			return false
		}
		l.Ref, ok = r.ref(r.before(), "a name or a range of names")
		return ok
	})
}

func (l *heightLeaf) Parse(lex *plex.PeekingLexer) error {
	return leaf(lex, func(r *reader) (ok bool) {
		l.Height, ok = r.height(r.before())
		return ok
	})
}

func (l *atLeaf) Parse(lex *plex.PeekingLexer) error {
	return leaf(lex, func(r *reader) (ok bool) {
		l.At, ok = r.at(r.toks[max(r.i-1, 0)])
		return ok
	})
}

func (l *lenLeaf) Parse(lex *plex.PeekingLexer) error { return l.read(lex, quantity.Length) }

func (l *gradeLeaf) Parse(lex *plex.PeekingLexer) error {
	return (*lenLeaf)(l).read(lex, quantity.Grade)
}

func (l *tempLeaf) Parse(lex *plex.PeekingLexer) error {
	return (*lenLeaf)(l).read(lex, quantity.Temperature)
}

func (l *timeLeaf) Parse(lex *plex.PeekingLexer) error {
	return (*lenLeaf)(l).read(lex, quantity.Duration)
}

func (l *lenLeaf) read(lex *plex.PeekingLexer, kind quantity.Kind) error {
	return leaf(lex, func(r *reader) (ok bool) {
		if r.accept("unknown") {
			return true
		}
		l.Qty, ok = r.qty(r.before(), kind)
		return ok
	})
}

func (l *headLeaf) Parse(lex *plex.PeekingLexer) error {
	return leaf(lex, func(r *reader) (ok bool) {
		kind := quantity.Length
		if v, ok := quantity.Parse(r.peek().text); ok && v.Kind == quantity.Pressure {
			kind = quantity.Pressure
		}
		l.Qty, ok = r.qty(r.before(), kind)
		return ok
	})
}

func (l *subjectLeaf) Parse(lex *plex.PeekingLexer) error {
	return leaf(lex, func(r *reader) (ok bool) {
		l.Subject, ok = r.subject(r.before())
		return ok
	})
}

// subject reads what a found or waive line speaks of: a name, a tag, or a run
// by its ends.
func (r *reader) subject(after string) (Subject, bool) {
	start := r.peek().start
	var s Subject
	if t := r.peek(); t.kind == tokWord && isSystem(t.text) {
		if u := r.ahead(1); u.kind == tokWord && !isReserved(u.text) && (r.ahead(2).text == "to" || strings.Contains(u.text, "..")) {
			s.System = r.next().word()
		}
	}
	var ok bool
	if s.From, ok = r.ref(after, "a name, a tag, or a run by its ends"); !ok {
		return s, false
	}
	if s.System.Text != "" && r.accept("to") {
		to, ok := r.name("to", "the name the run ends at")
		if !ok {
			return s, false
		}
		s.To = Ref{First: to, Span: to.Span}
	}
	s.Span = r.from(start)
	return s, true
}

// problemOf finds the problem a failed form stands for: a leaf's own, or the
// token it stopped at.
func problemOf(err error) (own *Problem, at *plex.Token) {
	var l *leafError
	if errors.As(err, &l) {
		return &l.problem, nil
	}
	var unexpected *participle.UnexpectedTokenError
	if errors.As(err, &unexpected) {
		return nil, &unexpected.Unexpected
	}
	return nil, nil
}
