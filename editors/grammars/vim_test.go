package grammars

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// Vim takes, of the patterns that match at one place, the one that was
// defined last; so the rules are written from the least to the first.
const (
	vimAfterBlank = `\%([ \t,:]\)\@1<=`
	vimHead       = `\%(^\|[ \t,:]\)\@1<=`
	vimTail       = `\%([ \t,:#]\|$\)\@=`
	// no class of Vim's holds the letters beyond ASCII
	vimPart = `\%(\a\|[^\x00-\x7F]\)\%(\w\|-\|[^\x00-\x7F]\)*`
)

func vimRef() string {
	name := vimPart + `\%(\.` + vimPart + `\)*`
	return name + `\%(\.\.` + name + `\)\=`
}

func vim(t *testing.T, _ string) string {
	t.Helper()
	w := &vimWriter{}
	w.line(`" Written by editors/grammars from the notation's words; do not edit.`)
	w.line(`" Language: Weir, a notation for plumbing plans`)
	w.line(`if exists("b:current_syntax") | finish | endif`)
	w.line(`let s:cpo_save = &cpo`)
	w.line(`set cpo&vim`)
	w.line(`syn case match`)
	w.line(`syn sync maxlines=200`)
	w.match("Name", vimAfterBlank+vimRef()+vimTail, "")
	list := vocabulary()
	for i := len(list) - 1; i >= 0; i-- {
		next := ""
		words := list[i].list
		if list[i].class == joint {
			// those that a name follows come after the others
			w.match(group(joint), vimAfterBlank+`\%(`+vimWords(without(words, referring()))+`\)`+vimTail, "")
			words, next = referring(), "nextgroup=weirReference skipwhite"
		}
		w.match(group(list[i].class), vimAfterBlank+`\%(`+vimWords(words)+`\)`+vimTail, next)
	}
	w.match("Reference", slot{}.vim(), "contained")
	w.match("Measure", vimAfterBlank+`\%(`+vimDialect().write(datePattern+`|`+measurePattern)+`\)`+vimTail, "")
	w.match("Unsolved", vimAfterBlank+`?`+vimTail, "")
	for _, p := range positions() {
		w.position(p)
	}
	w.match("OpenText", vimHead+`"\%(\\"\|[^"]\)*$`, "")
	w.match("Escape", `\\"`, "contained")
	w.match("Text", vimHead+`"\%(\\"\|[^"]\)*"`, "contains=weirEscape,@Spell")
	w.match("Comment", `#.*$`, "contains=@Spell")
	w.links()
	w.line(`let b:current_syntax = "weir"`)
	w.line(`let &cpo = s:cpo_save`)
	w.line(`unlet s:cpo_save`)
	return w.b.String()
}

type vimWriter struct {
	b      strings.Builder
	linked [][2]string
}

func (w *vimWriter) line(s string) { w.b.WriteString(s + "\n") }

func (w *vimWriter) match(group, pattern, options string) {
	w.line(strings.TrimRight("syn match weir"+group+" /"+strings.ReplaceAll(pattern, "/", `\/`)+"/ "+options, " "))
}

// position writes the first word and each slot, the slots as groups of their
// own that lead from one to the next. They come last slot first: where two
// fit, the first of them is taken.
func (w *vimWriter) position(p position) {
	groups := make([]string, len(p.slots))
	for i, s := range p.slots {
		groups[i] = fmt.Sprintf("%s%d", p.id, i+1)
		w.linked = append(w.linked, [2]string{groups[i], group(s.class)})
	}
	w.match(group(p.first), `^\%(`+vimWords(p.keywords)+`\)`+vimTail, nextGroup(p, groups, 0))
	for i, s := range slices.Backward(p.slots) {
		w.match(groups[i], s.vim(), strings.TrimRight("contained "+nextGroup(p, groups, i+1), " "))
	}
}

func nextGroup(p position, groups []string, at int) string {
	var next []string
	for ; at < len(groups); at++ {
		next = append(next, "weir"+groups[at])
		if !p.slots[at].optional {
			break
		}
	}
	if next == nil {
		return ""
	}
	return "nextgroup=" + strings.Join(next, ",") + " skipwhite"
}

func (w *vimWriter) links() {
	w.linked = append(w.linked, [2]string{"Reference", "Name"})
	for _, l := range w.linked {
		w.line("hi def link weir" + l[0] + " weir" + l[1])
	}
	for _, l := range looks() {
		w.line("hi def link weir" + group(l.Class) + " " + l.Vim)
	}
	w.line("hi def link weirEscape SpecialChar")
}

func (s slot) vim() string {
	if s.words != nil {
		return `\%(` + vimWords(s.words) + `\)` + vimTail
	}
	return `\%(\%(` + vimWords(append(reserved(), s.except...)) + `\)` + vimTail + `\)\@!` + vimRef() + vimTail
}

func vimWords(words []string) string { return strings.Join(words, `\|`) }

func without(words, leave []string) []string {
	return slices.DeleteFunc(slices.Clone(words), func(word string) bool { return slices.Contains(leave, word) })
}

// group is a class as Vim and Kate name it: OpenText.
func group(c class) string {
	parts := strings.Split(string(c), "-")
	for i, p := range parts {
		parts[i] = strings.ToUpper(p[:1]) + p[1:]
	}
	return strings.Join(parts, "")
}
