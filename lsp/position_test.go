package lsp

import (
	"fmt"
	"math/rand"
	"reflect"
	"strings"
	"testing"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.lsp.dev/protocol"

	"crownweir/grammar"
)

var encodings = []encoding{utf8Units, utf16Units, utf32Units}

// scripts are texts whose characters count differently in each encoding.
var scripts = map[string]string{
	"ASCII": "pipe", "accents": "é", "CJK": "水管", "emoji": "🚰", "combining": "e\u0301", "joined": "👩\u200d🔧", "right to left": "אנבי", "blank": "",
}

// units counts a text in an encoding, in another way than the server does.
func units(text string, enc encoding) int {
	switch enc {
	case utf8Units:
		return len(text)
	case utf16Units:
		return len(utf16.Encode([]rune(text)))
	}
	return len([]rune(text))
}

func TestItem17PositionEncodings(t *testing.T) {
	for _, c := range []struct {
		offered string
		want    encoding
	}{
		{`{}`, utf16Units},
		{`{"general":{}}`, utf16Units},
		{`{"general":{"positionEncodings":null}}`, utf16Units},
		{`{"general":{"positionEncodings":[]}}`, utf16Units},
		{`{"general":{"positionEncodings":["utf-7"]}}`, utf16Units},
		{`{"general":{"positionEncodings":["utf-7","utf-8"]}}`, utf8Units},
		{`{"general":{"positionEncodings":["utf-16"]}}`, utf16Units},
		{`{"general":{"positionEncodings":["utf-32","utf-16"]}}`, utf32Units},
		{`{"general":{"positionEncodings":["utf-8","utf-32","utf-16"]}}`, utf8Units},
	} {
		p := serve(t, Options{})
		var got struct {
			Capabilities struct{ PositionEncoding encoding }
		}
		p.ask("initialize", params(t, object{"processId": nil, "capabilities": params(t, rawJSON(c.offered))}), &got)
		assert.Equal(t, c.want, got.Capabilities.PositionEncoding, c.offered)
	}
	for _, enc := range encodings {
		for name, script := range scripts {
			t.Run(string(enc)+" "+name, func(t *testing.T) {
				p := serve(t, Options{})
				p.hello(fmt.Sprintf(`{"general":{"positionEncodings":[%q]},"textDocument":{"publishDiagnostics":{"versionSupport":true}}}`, enc))
				// a word that is no keyword, behind a text of the script
				line := `note "` + script + `" onn` + "\n"
				p.open(house, 1, "plan \"x\"\n"+line)
				got := p.published(house, 1)
				require.NotEmpty(t, got.Diagnostics)
				from := units(line[:strings.Index(line, "onn")], enc)
				assert.Equal(t, fmt.Sprintf("1:%d-1:%d", from, from+3), got.Diagnostics[0].Range.String())
				// and back: the word is put right by an edit at that place
				p.change(house, 2, edit(1, from, from+3, ""))
				assert.Empty(t, p.published(house, 2).Diagnostics)
			})
		}
	}
}

type rawJSON string

func (r rawJSON) MarshalJSON() ([]byte, error) { return []byte(r), nil }

func TestItem18OutOfRange(t *testing.T) {
	text := newText("a é🚰\r\nb\rc\n")
	for _, enc := range encodings {
		at := func(line, character uint32) int {
			return text.offset(protocol.Position{Line: line, Character: character}, enc)
		}
		assert.Equal(t, len("a é🚰"), at(0, 99), "the line's end, before what ends it")
		assert.Equal(t, len("a é🚰\r\nb"), at(1, 4_000_000_000))
		assert.Equal(t, len("a é🚰\r\nb\r"), at(2, 0), "a return alone ends a line")
		assert.Equal(t, len(text.source), at(3, 0))
		assert.Equal(t, len(text.source), at(3, 9))
		assert.Equal(t, len(text.source), at(99, 0))
	}
	assert.Equal(t, 4, text.offset(protocol.Position{Character: 4}, utf16Units))
	assert.Equal(t, 4, text.offset(protocol.Position{Character: 4 + 1}, utf8Units), "within a character: its beginning")
	assert.Equal(t, protocol.Position{Line: 0, Character: 5}, text.position(len("a é🚰\r"), utf16Units), "within a line end: the line's end")

	p := serve(t, Options{})
	p.hello(allAbilities)
	p.open(house, 1, "plan \"x\"\nnote \"y\"")
	p.change(house, 2, edit(99, 99, 99, "\nnote \"z\" onn"), edit(0, 999, 9999, " "))
	assert.Equal(t, "2:9-2:12", p.published(house, 2).Diagnostics[0].Range.String())
}

// Whatever ends its lines, a plan has the same findings on the same lines.
func TestItem19LineEnds(t *testing.T) {
	p := serve(t, Options{})
	p.hello(allAbilities)
	source := demo(t)
	version := 1
	p.open(house, version, source)
	want := p.published(house, version).Diagnostics
	require.Len(t, want, 2)
	mixed := strings.Replace(strings.ReplaceAll(source, "\n", "\r\n"), "\r\n", "\n", 7)
	for name, other := range map[string]string{
		"CRLF": strings.ReplaceAll(source, "\n", "\r\n"), "mixed": mixed, "no final newline": strings.TrimRight(source, "\n"),
	} {
		version++
		p.change(house, version, whole(other))
		assert.Equal(t, want, p.published(house, version).Diagnostics, name)
	}
	// what is no text of the notation is told, and nothing breaks
	for _, odd := range []string{"\ufeff" + source, strings.ReplaceAll(source, "\n", "\r"), "\x00" + source, source + "\f\n", source + "\ufffd\n", "\u2028" + source} {
		version++
		p.change(house, version, whole(odd))
		got := p.published(house, version).Diagnostics
		for _, d := range got {
			assert.GreaterOrEqual(t, d.Range.Start.Line, 0)
		}
		if strings.HasPrefix(odd, "\ufeff") {
			assert.Equal(t, want, got, "a byte order mark moves nothing but the first line")
		}
	}
}

// lineStartsPlainly finds where lines begin as the protocol has it, slowly.
func lineStartsPlainly(source string) []int {
	starts := []int{0}
	for i := 0; i < len(source); i++ {
		if source[i] == '\n' || source[i] == '\r' && (i+1 == len(source) || source[i+1] != '\n') {
			starts = append(starts, i+1)
		}
	}
	return starts
}

func FuzzReplace(f *testing.F) {
	f.Add("a\r\nb\nc\r", 1, 2, "\n")
	f.Add("a\r", 2, 2, "\n")
	f.Add("\r\n", 1, 1, "x")
	f.Add("", 0, 0, "\r\n")
	f.Fuzz(func(t *testing.T, source string, start, end int, by string) {
		start = min(max(start, 0), len(source))
		end = min(max(end, start), len(source))
		got := newText(source).replace(start, end, by)
		assert.Equal(t, source[:start]+by+source[end:], got.source)
		assert.Equal(t, lineStartsPlainly(got.source), got.starts, "%q %d-%d %q", source, start, end, by)
		for _, enc := range encodings {
			for offset := range len(got.source) + 1 {
				p := got.position(offset, enc)
				back := got.offset(p, enc)
				if utf8.ValidString(got.source) && (offset == len(got.source) || utf8.RuneStart(got.source[offset])) {
					assert.LessOrEqual(t, back, offset)
					assert.Equal(t, p, got.position(back, enc))
				}
			}
		}
	})
}

// 100,000 edits at random, each of them on what the one before it left: lines
// and statements are those of the text read anew.
func TestItem20RandomEdits(t *testing.T) {
	edits := 100_000
	if testing.Short() {
		edits = 5_000
	}
	source := demo(t)
	var pieces []string
	for _, line := range strings.SplitAfter(source, "\n") {
		pieces = append(pieces, line, strings.TrimSpace(line)[:min(5, len(strings.TrimSpace(line)))])
	}
	pieces = append(pieces, "", "", "", "\n", "\r\n", "\r", "🚰", "é", "\"", ",", ":", "  hot left\n", "typical x\n", "end\n", "\x00", "\ufeff")
	random := rand.New(rand.NewSource(20))
	doc := newDocument(placeOf(house), 1, source)
	for i := 1; i <= edits; i++ {
		enc := encodings[random.Intn(3)]
		from := random.Intn(len(doc.text.source) + 1)
		to := min(from+random.Intn(40)*random.Intn(2), len(doc.text.source))
		if len(doc.text.source) > 2*len(source) {
			to = min(from+random.Intn(400), len(doc.text.source))
		}
		from, to = runeStart(doc.text.source, from), runeStart(doc.text.source, to)
		change := contentChange{
			Range: &protocol.Range{Start: doc.text.position(from, enc), End: doc.text.position(to, enc)},
			Text:  pieces[random.Intn(len(pieces))],
		}
		if random.Intn(5000) == 0 {
			change = contentChange{Text: source}
		}
		plain := changedPlainly(doc.text, change, enc)
		doc = doc.edited(int32(i), []contentChange{change}, enc)
		if doc.text.source != plain {
			require.Equal(t, plain, doc.text.source)
		}
		if i%100 != 0 {
			if random.Intn(4) == 0 {
				doc.parsed("a.weir") // the cache has its own way to here
			}
			continue
		}
		if !reflect.DeepEqual(lineStartsPlainly(doc.text.source), doc.text.starts) {
			require.Equal(t, lineStartsPlainly(doc.text.source), doc.text.starts)
		}
		if fresh := grammar.Parse("a.weir", doc.text.source); !reflect.DeepEqual(fresh, doc.parsed("a.weir")) {
			require.Equal(t, fresh, doc.parsed("a.weir"), "after %d edits", i)
		}
	}
}

// runeStart is where the character begins that an offset stands in.
func runeStart(source string, offset int) int {
	for offset > 0 && offset < len(source) && !utf8.RuneStart(source[offset]) {
		offset--
	}
	return offset
}

// changedPlainly makes a change by the lines of the text alone.
func changedPlainly(t *text, c contentChange, enc encoding) string {
	if c.Range == nil {
		return c.Text
	}
	at := func(p protocol.Position) int {
		starts := lineStartsPlainly(t.source)
		line := t.source[starts[p.Line]:]
		n := 0
		for n < len(line) && units(line[:n], enc) < int(p.Character) {
			_, size := utf8.DecodeRuneInString(line[n:])
			n += size
		}
		return starts[p.Line] + n
	}
	return t.source[:at(c.Range.Start)] + c.Text + t.source[at(c.Range.End):]
}

// Positions that are counted on from each other are those that are looked up.
func TestWalk(t *testing.T) {
	random := rand.New(rand.NewSource(4))
	source := strings.Repeat("a é🚰\r\nb\rc\n\n\n\n\n\n\n\n\n\n\n\ndrain x\n🚰🚰 y", 3)
	var offsets []int // of characters, and the end
	for i := range source {
		offsets = append(offsets, i)
	}
	offsets = append(offsets, len(source))
	for _, enc := range []encoding{utf8Units, utf16Units, utf32Units} {
		text := newText(source)
		for range 50 {
			at := walk{text: text, enc: enc}
			for i := random.Intn(20); i < len(offsets); i += random.Intn(4) * random.Intn(9) {
				offset := offsets[i]
				if random.Intn(30) == 0 {
					offset = offsets[random.Intn(len(offsets))]
					i++
				}
				require.Equal(t, text.position(offset, enc), at.position(offset), "%s at %d", enc, offset)
			}
		}
		at := walk{text: text, enc: enc}
		assert.Equal(t, text.position(len(source)+9, enc), at.position(len(source)+9))
		assert.Equal(t, text.position(-1, enc), at.position(-1))
	}
}
