package grammar

import (
	"fmt"
	"strings"
)

// The drafting rules a reader reports by.
const (
	ruleUnreadable = "unreadable-line"
	ruleWord       = "unknown-word"
	ruleUnit       = "wrong-unit"
	ruleIndented   = "indented-statement"
	ruleRefused    = "refused-input"
)

// reader walks over the tokens of one statement and gathers its problems.
type reader struct {
	toks     []token // the last is tokEnd
	i        int
	stmt     string // the statement's keyword
	loose    bool   // read although a word of the form is missing
	sizing   bool   // the length that is wanted is a nominal pipe size
	problems []Problem
}

func (r *reader) peek() *token { return &r.toks[r.i] }
func (r *reader) done() bool   { return r.toks[r.i].kind == tokEnd }

// ahead is the token n places on.
func (r *reader) ahead(n int) *token { return &r.toks[min(r.i+n, len(r.toks)-1)] }

func (r *reader) next() *token {
	t := &r.toks[r.i]
	if t.kind != tokEnd {
		r.i++
	}
	return t
}

// is tells whether the next token is that word.
func (r *reader) is(word string) bool {
	t := &r.toks[r.i]
	return t.kind == tokWord && t.text == word
}

func (r *reader) accept(word string) bool {
	if r.is(word) {
		r.i++
		return true
	}
	return false
}

// from is the span from a token's start to the end of what was last read.
func (r *reader) from(start int) Span {
	if r.i == 0 {
		return Span{start, start}
	}
	return Span{start, r.toks[r.i-1].end}
}

func (r *reader) report(rule string, span Span, message, remedy, suggest string) {
	if len(r.problems) > mostProblems {
		return
	}
	r.problems = append(r.problems, Problem{rule, span, message, remedy, suggest})
}

func (r *reader) unreadable(span Span, remedy, format string, args ...any) {
	r.report(ruleUnreadable, span, fmt.Sprintf(format, args...), remedy, "")
}

// missing reports that the statement ends, or goes on with something else,
// where what was wanted. The span is the token before the gap and the one in
// its place.
func (r *reader) missing(after, what, remedy string) {
	t := r.peek()
	if t.kind == tokEnd || t.kind == tokComma {
		prev := &r.toks[max(r.i-1, 0)]
		r.unreadable(prev.span(), remedy, "`%s` needs %s", after, what)
		return
	}
	r.unreadable(t.span(), remedy, "`%s` needs %s; `%s` is none", after, what, clip(t.text))
}

// unknown reports a word that is none of list.
func (r *reader) unknown(t *token, what string, list []string) {
	if len(r.problems) > mostProblems {
		return
	}
	near := Nearest(t.text, list)
	switch {
	case t.kind != tokWord:
		r.unreadable(t.span(), "take it out", "`%s` cannot stand here; %s", clip(t.text), oneOf(what, list))
	case near != "":
		r.report(ruleWord, t.span(), fmt.Sprintf("unknown word `%s`; did you mean `%s`", clip(t.text), near), "write `"+near+"`", near)
	default:
		r.report(ruleWord, t.span(), fmt.Sprintf("unknown word `%s`; %s", clip(t.text), oneOf(what, list)), "take one of these, or take the word out", "")
	}
}

func oneOf(what string, list []string) string {
	if len(list) == 0 {
		return what
	}
	return what + " " + strings.Join(list, ", ")
}

// clip shortens a text of the plan for a message.
func clip(text string) string {
	const most = 40
	if len(text) <= most {
		return strings.ToValidUTF8(text, "\uFFFD")
	}
	return strings.ToValidUTF8(text[:most], "\uFFFD") + "…"
}

// name reads a name; after is the word it follows, for the message.
func (r *reader) name(after, what string) (Word, bool) {
	t := r.peek()
	if t.kind == tokWord && isName(t.text) && !isReserved(t.text) {
		r.i++
		return t.word(), true
	}
	r.missing(after, what, nameRemedy(t))
	return Word{}, false
}

func nameRemedy(t *token) string {
	switch {
	case t.kind == tokWord && isReserved(t.text):
		return "write a name; `" + t.text + "` is a word of the notation"
	case t.kind == tokWord:
		return "write a letter, then letters, digits, `_` or `-`"
	}
	return "write a name"
}

// ref reads a name or a range of names.
func (r *reader) ref(after, what string) (Ref, bool) {
	t := r.peek()
	if t.kind != tokWord {
		r.missing(after, what, "write a name")
		return Ref{}, false
	}
	dots := strings.Index(t.text, "..")
	if dots < 0 {
		w, ok := r.name(after, what)
		return Ref{First: w, Span: w.Span}, ok
	}
	first, last := t.text[:dots], t.text[dots+2:]
	if !isName(first) || !isName(last) || isReserved(first) || isReserved(last) {
		r.unreadable(t.span(), "write it as S1..S8", "`%s` is no range of names", clip(t.text))
		return Ref{}, false
	}
	ref := Ref{
		First: Word{first, Span{t.start, t.start + dots}},
		Last:  Word{last, Span{t.start + dots + 2, t.end}},
		Span:  t.span(),
	}
	if _, _, from, to, _, ok := rangeParts(first, last); !ok || abs(to-from) >= mostNames {
		r.unreadable(t.span(), "write it as S1..S8", "the ends of the range `%s` must differ in one number, by at most %d", clip(t.text), mostNames-1)
		r.i++
		return Ref{}, false
	}
	r.i++
	return ref, true
}

// str reads a string.
func (r *reader) str(after string) (Word, bool) {
	t := r.peek()
	if t.kind == tokString {
		r.i++
		return t.word(), true
	}
	if t.kind == tokOpenString {
		r.unreadable(t.span(), `close it with "`, "the text after `%s` has no closing mark", after)
		r.i++
		return Word{}, false
	}
	r.missing(after, `a text in "…"`, "write the text between quotation marks")
	return Word{}, false
}

// openStrings reports every text without a closing mark that nothing has
// reported yet.
func (r *reader) openStrings() {
	var told map[Span]bool
	for i := range r.toks {
		t := &r.toks[i]
		if t.kind != tokOpenString {
			continue
		}
		if told == nil {
			told = map[Span]bool{}
			for j := range r.problems {
				told[r.problems[j].Span] = told[r.problems[j].Span] || r.problems[j].Rule == ruleUnreadable
			}
		}
		if !told[t.span()] {
			r.unreadable(t.span(), `close it with "`, "the text `%s` has no closing mark", clip(t.text))
		}
	}
}
