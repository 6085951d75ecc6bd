package grammar

import (
	"strings"
	"sync"

	"github.com/alecthomas/participle/v2"
	plex "github.com/alecthomas/participle/v2/lexer"

	"crownweir/grammar/catalog"
	"crownweir/grammar/quantity"
)

// formReader reads tokens by one form. ok tells whether what it read is
// enough to be that statement.
type formReader func(toks []token, check *reader) (s Statement, ok bool, err error)

// form builds the reader of one form; convert checks closed lists and makes
// the statement.
func form[F any](convert func(f *F, b Base, r *reader) (Statement, bool)) formReader {
	parser := sync.OnceValue(func() *participle.Parser[F] {
		return participle.MustBuild[F](participle.Lexer(definition{}))
	})
	return func(toks []token, check *reader) (Statement, bool, error) {
		lex, err := plex.Upgrade(&feed{toks: toks})
		if err != nil {
			return nil, false, err
		}
		f, err := parser().ParseFromLexer(lex)
		if f == nil {
			return nil, false, err
		}
		base := Base{Key: toks[0].word(), Span: Span{toks[0].start, toks[len(toks)-1].end}}
		s, ok := convert(f, base, check)
		return s, ok, err
	}
}

// shortestSlip is the length from which a word that resembles one of the form
// is taken for a slip where the form ends too early; a shorter one is likely a
// name.
const shortestSlip = 4

// mostRetries is how often a form is read again without a token it stopped at.
const mostRetries = 4

// form reads a statement by its form. A word that cannot stand where it does
// is reported and left out, so that the rest is still read.
func (r *reader) form(read formReader) (Statement, bool) {
	toks := r.toks
	check := reader{stmt: r.stmt}
	s, ok, err := read(toks, &check)
	if err == nil {
		r.problems = append(r.problems, check.problems...)
		return s, ok
	}
	first, at := r.stopped(err, toks)
	p := first
	for n := 0; n < mostRetries && at > 0 && at < len(toks)-1 && (ok || p.Suggest != ""); n++ {
		fresh := append([]token(nil), toks...)
		if n == 0 && p.Suggest != "" && p.Rule == ruleWord {
			fresh[at].text = p.Suggest
		} else {
			fresh = append(fresh[:at], toks[at+1:]...)
		}
		toks, check.problems = fresh, nil
		s, ok, err = read(toks, &check)
		if err == nil {
			break
		}
		p, at = r.stopped(err, toks)
	}
	r.problems = append(r.problems, first)
	for _, p := range check.problems {
		if p.Rule != ruleUnreadable {
			r.problems = append(r.problems, p)
		}
	}
	return s, ok
}

// stopped makes the problem of a failed form, and finds the token to leave
// out.
func (r *reader) stopped(err error, toks []token) (Problem, int) {
	own, unexpected := problemOf(err)
	form := StatementForm(r.stmt)
	last := &toks[max(len(toks)-2, 0)]
	switch {
	case own != nil:
		return *own, tokenAt(toks, own.Span.Start)
	case unexpected == nil, unexpected.EOF():
		for i := 1; i < len(toks)-1; i++ {
			if near := Nearest(toks[i].text, literals(form)); toks[i].kind == tokWord && len(near) >= shortestSlip && near != toks[i].text && !isReserved(near) {
				return misspelt(&toks[i], near), i
			}
		}
		return Problem{Rule: ruleUnreadable, Span: last.span(), Message: "`" + r.stmt + "` ends too early; its form is " + form, Remedy: "write what is missing"}, len(toks)
	}
	t := ownToken(unexpected)
	p := Problem{Rule: ruleUnreadable, Span: t.span(), Remedy: "take it out, or write what belongs there"}
	text := clip(t.text)
	near := ""
	if t.kind == tokWord {
		near = Nearest(t.text, literals(form))
	}
	switch {
	case t.kind == tokWord && isReserved(t.text):
		p.Message = "`" + text + "` cannot stand here, it is a word of the notation; the form is " + form
	case near != "" && near != t.text:
		p = misspelt(&t, near)
	default:
		p.Message = "`" + text + "` cannot stand here; the form is " + form
	}
	return p, tokenAt(toks, t.start)
}

func misspelt(t *token, near string) Problem {
	return Problem{
		Rule: ruleWord, Span: t.span(), Message: "unknown word `" + clip(t.text) + "`; did you mean `" + near + "`",
		Remedy: "write `" + near + "`", Suggest: near,
	}
}

func tokenAt(toks []token, offset int) int {
	for i := range toks {
		if toks[i].start >= offset {
			return i
		}
	}
	return len(toks)
}

// literals are the words a form writes itself.
func literals(form string) []string {
	return strings.FieldsFunc(form, func(c rune) bool { return (c < 'a' || c > 'z') && c != '-' })
}

// pick checks a word against a closed list; one that is none of it is
// reported and taken as not written.
func (r *reader) pick(w *Word, what string, list []string) {
	if w.Text == "" || contains(list, w.Text) {
		return
	}
	r.unknown(&token{kind: tokWord, text: w.Text, start: w.Span.Start, end: w.Span.End}, what, list)
	*w = Word{}
}

// date checks a date.
func (r *reader) date(w *Word) {
	if w.Text == "" || isDate(w.Text) {
		return
	}
	r.unreadable(w.Span, "write the date as 2026-11-02", "`%s` is no date", clip(w.Text))
	*w = Word{}
}

func isDate(s string) bool {
	if len(s) != 10 || s[4] != '-' || s[7] != '-' {
		return false
	}
	for i := range len(s) {
		if i != 4 && i != 7 && !isDigit(s[i]) {
			return false
		}
	}
	n := func(a, b byte) int { return int(a-'0')*10 + int(b-'0') }
	year, month, day := n(s[0], s[1])*100+n(s[2], s[3]), n(s[5], s[6]), n(s[8], s[9])
	days := [...]int{0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
	if month < 1 || month > 12 {
		return false
	}
	most := days[month]
	if month == 2 && year%4 == 0 && (year%100 != 0 || year%400 == 0) {
		most = 29
	}
	return day >= 1 && day <= most
}

// levelDirections are the eight directions a copy may face or repeat in.
func levelDirections() []string {
	var out []string
	for _, d := range catalog.Directions() {
		if d != "up" && d != "down" && !strings.Contains(d, "-") {
			out = append(out, d)
		}
	}
	return out
}

func stringsOf(leaves []stringLeaf) []Word {
	var out []Word
	for _, l := range leaves {
		out = append(out, l.Word)
	}
	return out
}

func refsOf(leaves []refLeaf) []Ref {
	out := make([]Ref, 0, len(leaves))
	for _, l := range leaves {
		out = append(out, l.Ref)
	}
	return out
}

var formReaders = sync.OnceValue(func() map[string]formReader {
	return map[string]formReader{
		"plan": form(func(f *planForm, b Base, _ *reader) (Statement, bool) {
			return &Plan{Base: b, Title: f.Title.Word}, f.Title.Span.End > 0
		}),
		"code": form(func(f *codeForm, b Base, _ *reader) (Statement, bool) {
			return &Code{Base: b, Book: f.Book.Word, Amended: stringsOf(f.Amended)}, f.Book.Text != ""
		}),
		"occupancy": form(func(f *occupancyForm, b Base, r *reader) (Statement, bool) {
			r.pick(&f.Use.Word, "`occupancy` takes", catalog.Occupancies())
			return &Occupancy{Base: b, Use: f.Use.Word}, f.Use.Text != ""
		}),
		"scope": form(func(f *scopeForm, b Base, r *reader) (Statement, bool) {
			s := &Scope{Base: b}
			for _, w := range f.Systems {
				if r.pick(&w.Word, "`scope` takes", []string{"drainage", "vents", "water"}); w.Text != "" {
					s.Systems = append(s.Systems, w.Word)
				}
			}
			return s, len(s.Systems) > 0
		}),
		"default": form(convertDefault),
		"method": form(func(f *methodForm, b Base, r *reader) (Statement, bool) {
			r.pick(&f.Name.Word, "`method` takes", []string{"table", "engineered"})
			return &Method{Base: b, Name: f.Name.Word}, f.Name.Text != ""
		}),
		"climate": form(func(f *climateForm, b Base, _ *reader) (Statement, bool) {
			return &Climate{Base: b, Winter: f.Winter.Qty}, f.Winter.Kind != quantity.None
		}),
		"include": form(func(f *includeForm, b Base, _ *reader) (Statement, bool) {
			return &Include{Base: b, Path: f.Path.Word}, f.Path.Span.End > 0
		}),
		"note": form(func(f *noteForm, b Base, _ *reader) (Statement, bool) {
			return &Note{Base: b, Text: f.Text.Word, On: f.On.Ref}, f.Text.Span.End > 0
		}),
		"building": form(func(f *buildingForm, b Base, _ *reader) (Statement, bool) {
			return &Building{Base: b, Name: f.Name.Word}, f.Name.Text != ""
		}),
		"level": form(func(f *levelForm, b Base, r *reader) (Statement, bool) {
			if f.Name.IsRange() && f.Every.Kind == quantity.None {
				r.unreadable(f.Name.Span, "write every 10'", "the levels `%s` need `every` and the height of a storey", clip(f.Name.String()))
			}
			return &Level{Base: b, Name: f.Name.Ref, At: f.At.Height, Every: f.Every.Qty, Building: f.Building.Word}, f.Name.First.Text != "" && f.At.Span.End > 0
		}),
		"roof": form(func(f *roofForm, b Base, _ *reader) (Statement, bool) {
			return &Roof{Base: b, Name: f.Name.Word, At: f.At.Height, Building: f.Building.Word}, f.At.Span.End > 0
		}),
		"room": form(func(f *roomForm, b Base, r *reader) (Statement, bool) {
			r.pick(&f.Use.Word, "`use` takes", catalog.RoomUses())
			return &Room{Base: b, Name: f.Name.Word, On: f.On.Word, Use: f.Use.Word, Dwelling: f.Dwelling.Word, Access: f.Access.Word, Ceiling: f.Ceiling.Qty}, f.Name.Text != ""
		}),
		"meet":  form(convertMeet),
		"place": form(convertPlace),
		"typical": form(func(f *typicalForm, b Base, _ *reader) (Statement, bool) {
			return &Typical{Base: b, Name: f.Name.Word}, f.Name.Text != ""
		}),
		"inspection": form(func(f *inspectionForm, b Base, r *reader) (Statement, bool) {
			r.date(&f.On.Word)
			return &Inspection{Base: b, Stage: f.Stage.Word, On: f.On.Word}, f.Stage.Text != ""
		}),
		"test": form(convertTest),
		"waive": form(func(f *waiveForm, b Base, r *reader) (Statement, bool) {
			r.date(&f.Until.Word)
			if f.Subject.Span.End > 0 && f.Because.Span.End == 0 {
				r.unreadable(f.Rule.Span, `write because "…"`, "the waiver of `%s` gives no reason", f.Rule.Text)
			}
			return &Waive{Base: b, Rule: f.Rule.Word, Subject: f.Subject.Subject, Because: f.Because.Word, Approved: f.Approved.Word, Until: f.Until.Word}, f.Rule.Text != "" && f.Subject.Span.End > 0
		}),
	}
})

func convertDefault(f *defaultForm, b Base, r *reader) (Statement, bool) {
	s := &Default{Base: b, Fall: f.Fall.Qty, Material: f.Material.Word}
	switch {
	case f.Stop.Text != "":
		s.What = f.Stop.Word
	case f.Fall.Kind != quantity.None:
		s.What = f.FallKey.Word
	default:
		s.What = f.What.Word
		r.pick(&s.What, "`default` takes", []string{"drain", "vent", "water", "fall", "stop"})
		r.pick(&s.Material, "materials are", catalog.Materials())
		return s, s.What.Text != "" && s.Material.Text != ""
	}
	return s, true
}

func convertMeet(f *meetForm, b Base, r *reader) (Statement, bool) {
	s := &Meet{Base: b, Names: refsOf(f.Names)}
	if len(s.Names) == 1 && !s.Names[0].IsRange() {
		r.unreadable(s.Names[0].Span, "write the points that are one place", "`meet` needs two names or more")
		return s, false
	}
	return s, len(s.Names) > 0
}

func convertPlace(f *placeForm, b Base, r *reader) (Statement, bool) {
	r.pick(&f.Every.Word, "`every` takes", levelDirections())
	r.pick(&f.Facing.Word, "`facing` takes", []string{"north", "east", "south", "west"})
	s := &Place{
		Base: b, Typical: f.Typical.Word, As: f.As.Ref, In: f.In.Word, On: f.On.Ref, At: f.At.At,
		Every: f.Every.Word, EveryLen: f.EveryLen.Qty, Opposite: f.Opposite, Facing: f.Facing.Word,
	}
	return s, s.Typical.Text != "" && s.As.First.Text != ""
}

func convertTest(f *testForm, b Base, r *reader) (Statement, bool) {
	r.pick(&f.System.Word, "`test` takes", []string{"drainage", "vents", "sewer", "supply", "water"})
	r.pick(&f.Medium.Word, "a test is made with", []string{"water", "air"})
	r.pick(&f.Result.Word, "the result of a test is one of", []string{"held", "lost"})
	r.date(&f.On.Word)
	s := &Test{Base: b, System: f.System.Word, Medium: f.Medium.Word, Head: f.Head.Qty, Duration: f.Duration.Qty, Result: f.Result.Word, On: f.On.Word}
	return s, s.System.Text != ""
}
