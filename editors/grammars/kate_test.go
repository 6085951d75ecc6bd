package grammars

import (
	"encoding/xml"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Kate takes a token at a time and has no groups: a position is a chain of
// contexts, each of which takes its token and leads on, or falls through.
func kate(t *testing.T, now string) string {
	t.Helper()
	w := &kateWriter{lists: map[string]string{}}
	w.line(`  <contexts>`)
	w.line(`   <context name="Line" attribute="Normal" lineEndContext="#stay">`)
	w.line(`    <DetectSpaces/>`)
	w.line(`    <DetectChar char="#" attribute="Comment" context="Comment"/>`)
	w.regexp("OpenText", openPattern, "#stay")
	w.line(`    <DetectChar char="&quot;" attribute="Text" context="Text"/>`)
	w.line(`    <AnyChar String=":," attribute="Normal" context="#stay"/>`)
	for _, p := range positions() {
		w.line(`    <keyword String="%s" column="0" attribute="%s" context="%s"/>`, w.list("First"+p.id, p.keywords), group(p.first), firstContext(p))
	}
	w.line(`    <RegExpr String="^[^\s,:#]+" column="0" attribute="Normal" context="#stay"/>`)
	w.regexp("Unsolved", `\?`+atTokenTail, "#stay")
	w.regexp("Measure", `(?:`+datePattern+`|`+measurePattern+`)`+atTokenTail, "#stay")
	w.line(`    <keyword String="%s" attribute="Joint" context="Reference"/>`, w.list("Referring", referring()))
	for _, words := range vocabulary() {
		list := words.list
		if words.class == joint {
			list = without(list, referring())
		}
		w.line(`    <keyword String="%s" attribute="%s" context="#stay"/>`, w.list(group(words.class), list), group(words.class))
	}
	w.regexp("Name", refPattern+atTokenTail, "#stay")
	w.line(`    <RegExpr String="[^\s,:#]+" attribute="Normal" context="#stay"/>`)
	w.line(`   </context>`)
	w.line(`   <context name="Comment" attribute="Comment" lineEndContext="#pop"/>`)
	w.line(`   <context name="Text" attribute="Text" lineEndContext="#pop">`)
	w.line(`    <Detect2Chars char="\" char1="&quot;" attribute="Escape" context="#stay"/>`)
	w.line(`    <DetectChar char="&quot;" attribute="Text" context="#pop"/>`)
	w.line(`   </context>`)
	w.slot("Reference", slot{class: name}, "#pop", nil)
	for _, p := range positions() {
		for i, s := range p.slots {
			w.slot(slotContext(p, i), s, after(p, i), w.optionalNext(p, i))
		}
	}
	w.line(`  </contexts>`)
	w.itemDatas()
	return kateHead + strings.Join(w.order, "") + w.b.String() + kateTail
}

const kateHead = `<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE language SYSTEM "language.dtd">
<!-- Written by editors/grammars from the notation's words; do not edit. -->
<language name="Weir" section="Other" version="1" kateversion="5.62" extensions="*.weir" mimetype="" casesensitive="1">
 <highlighting>
`

const kateTail = ` </highlighting>
 <general>
  <comments><comment name="singleLine" start="#" position="afterwhitespace"/></comments>
  <keywords casesensitive="1" weakDeliminator=".()!+-&lt;=&gt;%&amp;*/;?[]^{|}~\" additionalDeliminator="#"/>
 </general>
</language>
`

type kateWriter struct {
	b     strings.Builder
	lists map[string]string
	order []string
}

func (w *kateWriter) line(format string, args ...any) { fmt.Fprintf(&w.b, format+"\n", args...) }

func (w *kateWriter) regexp(attribute, pattern, context string) {
	w.line(`    <RegExpr String="%s" attribute="%s" context="%s"/>`, xmlText(pattern), attribute, context)
}

// list writes a list of words once and gives its name.
func (w *kateWriter) list(id string, words []string) string {
	if _, ok := w.lists[id]; !ok {
		w.lists[id] = id
		var b strings.Builder
		fmt.Fprintf(&b, "  <list name=%q>\n", id)
		for _, word := range words {
			fmt.Fprintf(&b, "   <item>%s</item>\n", word)
		}
		b.WriteString("  </list>\n")
		w.order = append(w.order, b.String())
	}
	return id
}

// slot writes the context that takes one token of a position.
func (w *kateWriter) slot(context string, s slot, next string, also []string) {
	w.line(`   <context name="%s" attribute="Normal" lineEndContext="#pop" fallthroughContext="#pop">`, context)
	w.line(`    <DetectSpaces/>`)
	if s.words != nil {
		w.line(`    <keyword String="%s" attribute="%s" context="%s"/>`, w.list("Words"+context, s.words), group(s.class), next)
	} else {
		w.regexp(group(s.class), s.pattern()+atTokenTail, next)
	}
	for _, rule := range also {
		w.b.WriteString(rule)
	}
	w.line(`   </context>`)
}

// optionalNext is the rules of the slots that may stand in place of slot i.
func (w *kateWriter) optionalNext(p position, i int) []string {
	var list []string
	for p.slots[i].optional && i+1 < len(p.slots) {
		i++
		s := p.slots[i]
		if s.words != nil {
			list = append(list, fmt.Sprintf("    <keyword String=%q attribute=%q context=%q/>\n", w.list("Words"+slotContext(p, i), s.words), group(s.class), after(p, i)))
		} else {
			list = append(list, fmt.Sprintf("    <RegExpr String=\"%s\" attribute=%q context=%q/>\n", xmlText(s.pattern()+atTokenTail), group(s.class), after(p, i)))
		}
	}
	return list
}

func slotContext(p position, i int) string { return fmt.Sprintf("%s%d", p.id, i+1) }

func firstContext(p position) string {
	if len(p.slots) == 0 {
		return "#stay"
	}
	return slotContext(p, 0)
}

func after(p position, i int) string {
	if i+1 == len(p.slots) {
		return "#pop"
	}
	return "#pop!" + slotContext(p, i+1)
}

func (w *kateWriter) itemDatas() {
	w.line(`  <itemDatas>`)
	w.line(`   <itemData name="Normal" defStyleNum="dsNormal"/>`)
	w.line(`   <itemData name="Escape" defStyleNum="dsSpecialChar"/>`)
	for _, l := range looks() {
		w.line(`   <itemData name="%s" defStyleNum="ds%s"/>`, group(l.Class), l.Style)
	}
	w.line(`  </itemDatas>`)
}

func xmlText(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s)) // a Builder takes everything
	return strings.ReplaceAll(strings.ReplaceAll(b.String(), "&#34;", "&quot;"), "&#39;", "&apos;")
}

func TestKateNamesWhatThereIs(t *testing.T) {
	source := kate(t, "")
	defined := func(pattern string) map[string]bool {
		found := map[string]bool{}
		for _, m := range regexp.MustCompile(pattern).FindAllStringSubmatch(source, -1) {
			found[m[1]] = true
		}
		return found
	}
	contexts, lists, styles := defined(`<context name="([^"]+)"`), defined(`<list name="([^"]+)"`), defined(`<itemData name="([^"]+)"`)
	for used := range defined(` context="(?:#pop!)?([A-Za-z0-9]+)"`) {
		assert.True(t, contexts[used], "context %s", used)
	}
	for used := range defined(`<keyword String="([^"]+)"`) {
		assert.True(t, lists[used], "list %s", used)
	}
	for used := range defined(` attribute="([^"]+)"`) {
		assert.True(t, styles[used], "style %s", used)
	}
	assert.Greater(t, len(contexts), 10)
	assert.NoError(t, xml.Unmarshal([]byte(source), new(struct{})))
}
