package grammars

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const (
	emacsBegin = ";; Words: written by editors/grammars; do not edit.\n"
	emacsEnd   = ";; Words: end.\n"
	emacsAfter = `[ \t,:]`
	emacsTail  = `\_>`
)

// emacs writes the words into the mode's file, between two marks. Texts and
// comments are the mode's own, by its table of syntax.
func emacs(t *testing.T, now string) string {
	t.Helper()
	before, rest, ok := strings.Cut(now, emacsBegin)
	require.True(t, ok, "the mode has no %q", emacsBegin)
	_, behind, ok := strings.Cut(rest, emacsEnd)
	require.True(t, ok, "the mode has no %q", emacsEnd)

	var b strings.Builder
	b.WriteString("(defconst weir-mode--font-lock-keywords\n  (list\n")
	for _, p := range positions() {
		b.WriteString(emacsPosition(p))
	}
	open := `\(` + emacsDialect().write(`"(?:\\"|[^"\n])*`) + `\)$`
	b.WriteString("   ;; a text that is not closed\n")
	emacsRule(&b, emacsAfter+open, openText)
	emacsRule(&b, emacsAfter+`\(\?\)`+emacsTail, unsolved)
	emacsRule(&b, emacsAfter+`\(`+emacsDialect().write(datePattern+`|`+measurePattern)+`\)`+emacsTail, measure)
	fmt.Fprintf(&b, "   (list %s\n         '(1 '%s)\n         '(2 (weir-mode--name-face 2 '%s)))\n",
		lispOfNames(emacsAfter+`\(`+emacsWords(referring())+`\)[ \t]+\(`+emacsRef()+`\)`+emacsTail), face(joint), face(name))
	for _, w := range vocabulary() {
		emacsList(&b, w.list, w.class)
	}
	emacsRule(&b, emacsAfter+`\(`+emacsRef()+`\)`+emacsTail, name)
	rules := strings.TrimRight(b.String(), "\n")
	b.Reset()
	b.WriteString(rules + ")\n  \"What is coloured in a plan, besides texts and comments.\")\n")

	reserved := "(defconst weir-mode--reserved\n  '(" + quoted(reserved()) + ")\n  \"Words that are never names.\")\n\n"
	names := "(defconst weir-mode--name\n  " + lisp(emacsRef()) + "\n  \"A name, or a range of names.\")\n\n"
	return before + emacsBegin + reserved + names + b.String() + emacsEnd + behind
}

func emacsPosition(p position) string {
	var pattern strings.Builder
	pattern.WriteString(`^\(` + emacsWords(p.keywords) + `\)` + emacsTail)
	open := 0
	for _, s := range p.slots {
		token := emacsRef()
		if s.words != nil {
			token = emacsWords(s.words)
		}
		pattern.WriteString(`\(?:[ \t]+\(` + token + `\)` + emacsTail)
		if s.optional {
			pattern.WriteString(`\)?`)
		} else {
			open++
		}
	}
	pattern.WriteString(strings.Repeat(`\)?`, open))
	faces := fmt.Sprintf("'(1 '%s)", face(p.first))
	for i, s := range p.slots {
		if s.words != nil {
			faces += fmt.Sprintf("\n         '(%d '%s nil t)", i+2, face(s.class))
			continue
		}
		others := ""
		if s.except != nil {
			others = " " + quoted(s.except)
		}
		faces += fmt.Sprintf("\n         '(%d (weir-mode--name-face %d '%s%s) nil t)", i+2, i+2, face(s.class), others)
	}
	return fmt.Sprintf("   (list %s\n         %s)\n", lispOfNames(pattern.String()), faces)
}

// emacsList leaves the pattern of many words to regexp-opt.
func emacsList(b *strings.Builder, words []string, c class) {
	fmt.Fprintf(b, "   (list (concat %s\n                 (regexp-opt '(%s) t)\n                 %s)\n         '(1 '%s))\n",
		lisp(emacsAfter), filled(words, 31), lisp(emacsTail), face(c))
}

// filled is quoted, broken at 80 columns.
func filled(words []string, indent int) string {
	var b strings.Builder
	column := indent
	for i, word := range words {
		switch width := len(word) + 3; {
		case i == 0:
			column += width
		case column+width > 80:
			b.WriteString("\n" + strings.Repeat(" ", indent))
			column = indent + width
		default:
			b.WriteByte(' ')
			column += width
		}
		b.WriteString(`"` + word + `"`)
	}
	return b.String()
}

func emacsRule(b *strings.Builder, pattern string, c class) {
	fmt.Fprintf(b, "   (list %s\n         '(1 '%s))\n", lispOfNames(pattern), face(c))
}

func emacsRef() string { return emacsDialect().write(refPattern) }

func emacsWords(words []string) string {
	return strings.Join(words, `\|`)
}

func face(c class) string {
	for _, l := range looks() {
		if l.Class == c {
			return l.Face
		}
	}
	return ""
}

// lispOfNames is a pattern with the names in it by reference.
func lispOfNames(pattern string) string {
	parts := strings.Split(pattern, emacsRef())
	for i, part := range parts {
		parts[i] = lisp(part)
	}
	if len(parts) == 1 {
		return parts[0]
	}
	return "(concat " + strings.Join(parts, " weir-mode--name\n                 ") + ")"
}

// lisp is a string as Emacs Lisp reads it. A tab and a line's end stand as
// themselves, because Lisp has words of its own for them.
func lisp(s string) string {
	s = strings.ReplaceAll(strings.ReplaceAll(s, `\t`, "\t"), `\n`, "\n")
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\t", `\t`, "\n", `\n`).Replace(s) + `"`
}

func quoted(words []string) string { return `"` + strings.Join(words, `" "`) + `"` }
