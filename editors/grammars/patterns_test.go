package grammars

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// What bounds a token. Only these look around; they are beyond RE2, and kept
// to what PCRE knows too, because hosts of repositories compile TextMate
// grammars with it.
const (
	afterBlank  = `(?<=[\s,:])`  // a token that is not the first word of its line
	atTokenHead = `(?<![^\s,:])` // a token anywhere
	atTokenTail = `(?![^\s,:#])` // its end
	blanks      = `[ \t]+`       // between the tokens of a position
	textPattern = `"(?:\\"|[^"])*"`
	openPattern = `"(?:\\"|[^"])*$`
)

func alternation(words []string) string {
	quoted := make([]string, len(words))
	for i, word := range words {
		quoted[i] = regexp.QuoteMeta(word)
	}
	return strings.Join(quoted, "|")
}

// pattern is the slot's token without what bounds it.
func (s slot) pattern() string {
	if s.words != nil {
		return alternation(s.words)
	}
	return `(?!(?:` + alternation(append(reserved(), s.except...)) + `)` + atTokenTail + `)` + refPattern
}

// pattern matches the first word and the slots that fit; its groups are those
// of captures.
func (p position) pattern() string {
	var b strings.Builder
	b.WriteString(`^(` + alternation(p.keywords) + `)` + atTokenTail)
	open := 0
	for _, s := range p.slots {
		b.WriteString(`(?:` + blanks + `(` + s.pattern() + `)` + atTokenTail)
		if s.optional {
			b.WriteString(`)?`)
		} else {
			open++
		}
	}
	b.WriteString(strings.Repeat(`)?`, open))
	return b.String()
}

func (p position) captures() []class {
	list := []class{p.first}
	for _, s := range p.slots {
		list = append(list, s.class)
	}
	return list
}

// rule is one pattern of a flat grammar and the classes of its groups; a
// single class without a group is that of the whole.
type rule struct {
	id      string
	pattern string
	whole   class
	groups  []class
}

// rules is the model as a list of patterns, of which the first that matches
// at a place is taken.
func rules() []rule {
	list := []rule{
		{id: "comment", pattern: `#.*$`, whole: comment},
		{id: "text", pattern: atTokenHead + textPattern, whole: text},
		{id: "open-text", pattern: atTokenHead + openPattern, whole: openText},
	}
	for _, p := range positions() {
		list = append(list, rule{id: "line-" + strings.ToLower(p.id), pattern: p.pattern(), groups: p.captures()})
	}
	list = append(list,
		rule{id: "unsolved-size", pattern: afterBlank + `\?` + atTokenTail, whole: unsolved},
		rule{id: "measure", pattern: afterBlank + `(?:` + datePattern + `|` + measurePattern + `)` + atTokenTail, whole: measure},
		rule{
			id:      "reference",
			pattern: afterBlank + `(` + alternation(referring()) + `)` + blanks + `(` + slot{}.pattern() + `)` + atTokenTail,
			groups:  []class{joint, name},
		},
	)
	for _, w := range vocabulary() {
		list = append(list, rule{id: string(w.class), pattern: afterBlank + `(?:` + alternation(w.list) + `)` + atTokenTail, whole: w.class})
	}
	return append(list, rule{id: "name", pattern: afterBlank + refPattern + atTokenTail, whole: name})
}

func scopeOf(c class) string {
	for _, l := range looks() {
		if l.Class == c {
			return l.Scope + ".weir"
		}
	}
	return ""
}

// dialect writes a pattern without look-around for an engine whose operators
// are escaped.
type dialect struct {
	group, open, end, or, option, braceOpen, braceEnd string
	letter, letters                                   string // alone, and in brackets
}

func (d dialect) write(pattern string) string {
	var b strings.Builder
	bracket := false
	for i := 0; i < len(pattern); {
		rest := pattern[i:]
		step := 1
		switch {
		case strings.HasPrefix(rest, `\p{L}`):
			step = len(`\p{L}`)
			if bracket {
				b.WriteString(d.letters)
			} else {
				b.WriteString(d.letter)
			}
		case bracket:
			bracket = rest[0] != ']'
			b.WriteByte(rest[0])
		case rest[0] == '[':
			bracket = true
			b.WriteByte('[')
		case rest[0] == '\\':
			step = 2
			b.WriteString(rest[:2])
		case strings.HasPrefix(rest, `(?:`):
			step = 3
			b.WriteString(d.group)
		case rest[0] == '(':
			b.WriteString(d.open)
		case rest[0] == ')':
			b.WriteString(d.end)
		case rest[0] == '|':
			b.WriteString(d.or)
		case rest[0] == '?':
			b.WriteString(d.option)
		case rest[0] == '{':
			b.WriteString(d.braceOpen)
		case rest[0] == '}':
			b.WriteString(d.braceEnd)
		case rest[0] == '+' && d.option == `\=`:
			b.WriteString(`\+`)
		default:
			b.WriteByte(rest[0])
		}
		i += step
	}
	return b.String()
}

func emacsDialect() dialect {
	return dialect{`\(?:`, `\(`, `\)`, `\|`, `?`, `\{`, `\}`, `[[:alpha:]]`, `[:alpha:]`}
}

func vimDialect() dialect {
	return dialect{`\%(`, `\(`, `\)`, `\|`, `\=`, `\{`, `}`, `\a`, `a-zA-Z`}
}

func TestDialects(t *testing.T) {
	pattern := `(?:a|\.b)?[0-9]{4}(\p{L}[\p{L}(|]*)+`
	assert.Equal(t, `\(?:a\|\.b\)?[0-9]\{4\}\([[:alpha:]][[:alpha:](|]*\)+`, emacsDialect().write(pattern))
	assert.Equal(t, `\%(a\|\.b\)\=[0-9]\{4}\(\a[a-zA-Z(|]*\)\+`, vimDialect().write(pattern))
}

// What hosts compile with PCRE must not lean on Oniguruma's own words.
func TestPatternsAreOfPCRE(t *testing.T) {
	own := regexp.MustCompile(`\\[hHRXKGgky]|\(\?~|\(\?<[A-Za-z]|\[\[:|&&|\\p\{[^L]`)
	for _, r := range rules() {
		assert.False(t, own.MatchString(r.pattern), "%s: %s", r.id, r.pattern)
	}
	assert.True(t, own.MatchString(`\h+`))
}
