package lsp

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Places move along with what was edited; within it they are lost on the way
// back, and stand at its end on the way forth.
func FuzzDrift(f *testing.F) {
	f.Add("one two three", "one 2 three")
	f.Add("", "new")
	f.Add("aaa", "aa")
	f.Add("é", "è")
	f.Fuzz(func(t *testing.T, before, after string) { holdsDrift(t, newText(before), newText(after)) })
}

func holdsDrift(t *testing.T, from, to *text) {
	before, after := from.source, to.source
	d := driftOf(from, to)
	for offset := range len(before) + 1 {
		to := d.since(offset)
		assert.True(t, 0 <= to && to <= len(after), "%d goes to %d", offset, to)
		if offset <= d.start {
			assert.Equal(t, before[:offset], after[:to])
		}
		if offset >= d.before && offset > d.start {
			assert.Equal(t, before[offset:], after[to:])
		}
	}
	for offset := range len(after) + 1 {
		was, ok := d.then(offset)
		if !ok {
			continue
		}
		assert.True(t, 0 <= was && was <= len(before))
		assert.True(t, after[:offset] == before[:was] || after[offset:] == before[was:], "%d was at %d", offset, was)
	}
}

// What was edited is known from the edits, as long as they are remembered, and
// is no wider than they were.
func TestDriftOfEdits(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	first := newText("drain KS to k1 2\": trap, é 2'\r\nvent k1 to V1 2\"\n")
	for range 300 {
		texts := []*text{first}
		for range 1 + random.IntN(6) {
			last := texts[len(texts)-1]
			from := random.IntN(len(last.source) + 1)
			to := from + random.IntN(min(9, len(last.source)-from)+1)
			texts = append(texts, last.replace(from, to, []string{"", "x", "north\n", "é"}[random.IntN(4)]))
		}
		last := texts[len(texts)-1]
		for _, before := range texts {
			holdsDrift(t, before, last)
		}
		e := last.edits[len(last.edits)-1]
		d := driftOf(texts[len(texts)-2], last)
		assert.True(t, e.start-1 <= d.start && d.before <= e.end+1, "%v is wider than %v", d, e)
	}
	last := first
	for range 2 * keptEdits {
		last = last.replace(3, 3, "a")
	}
	assert.Len(t, last.edits, keptEdits)
	holdsDrift(t, first, last) // those between are forgotten
}

// While a check is held, answers are those of the one before it, at the places
// of the moment.
func TestAnswersOfThePast(t *testing.T) {
	var running, most, begun counter
	hold := make(chan struct{}, 1)
	p := serve(t, Options{Check: held(hold, &running, &most, &begun)})
	p.hello(allAbilities)
	hold <- struct{}{}
	p.open(house, 1, demo(t))
	p.published(house, 1)
	p.change(house, 2, edit(5, 0, 0, "# one\n# two\n"))
	at := func(line, character int) object {
		return object{"textDocument": object{"uri": house}, "position": object{"line": line, "character": character}}
	}
	var hover struct {
		Contents struct{ Value string }
		Range    testRange
	}
	p.ask("textDocument/hover", at(30, 20), &hover)
	assert.Equal(t, "30:15-30:21", hover.Range.String(), "the size of the sink's drain, two lines on")
	var found []struct{ Range testRange }
	p.ask("textDocument/definition", at(32, 6), &found)
	assert.NotEmpty(t, found)
	assert.GreaterOrEqual(t, found[0].Range.Start.Line, 30)
	assert.Equal(t, "null", string(p.reply(p.start("textDocument/hover", at(6, 2))).Result), "nothing was there")
	p.change(house, 3, edit(5, 0, 0, "#"))
	close(hold)
	p.published(house, 3)
}

// While a check is held, hints are those of the one before it, at the places of
// the moment, and the client is told to ask again when it is done. A client
// that cannot be told waits.
func TestHintsOfThePast(t *testing.T) {
	type hints []struct {
		Position struct{ Line, Character int }
		Label    string
	}
	page := object{"textDocument": object{"uri": house}, "range": object{"start": object{"line": 0, "character": 0}, "end": object{"line": 200, "character": 0}}}
	for _, told := range []bool{true, false} {
		var running, most, begun counter
		hold := make(chan struct{}, 1)
		p := serve(t, Options{Check: held(hold, &running, &most, &begun), Glance: time.Millisecond})
		p.hello(map[bool]string{true: fullClient, false: allAbilities}[told])
		hold <- struct{}{}
		p.open(house, 1, demo(t))
		var before, while, after hints
		p.ask("textDocument/inlayHint", page, &before)
		require.NotEmpty(t, before)
		last := before[len(before)-1].Position.Line
		p.change(house, 2, edit(5, 0, 0, "# one\n# two\n"), edit(last+2, 0, 0, "#"))
		asked := p.start("textDocument/inlayHint", page)
		if told {
			require.NoError(t, json.Unmarshal(p.reply(asked).Result, &while))
			require.NotEmpty(t, while)
			moved := map[string]bool{}
			for _, h := range before {
				moved[fmt.Sprint(h.Position.Line+2, h.Position.Character, h.Label)] = true
			}
			for _, h := range while {
				assert.True(t, moved[fmt.Sprint(h.Position.Line, h.Position.Character, h.Label)] || h.Position.Line == last+2, "%v", h)
			}
		}
		close(hold)
		require.NoError(t, json.Unmarshal(p.reply(asked).Result, &after))
		if !told {
			assert.NotEqual(t, before, after, "a run less")
			continue
		}
		p.wait("being told to ask again", func() bool {
			return slices.ContainsFunc(p.messages, func(m envelope) bool { return m.Method == "workspace/inlayHint/refresh" })
		})
		p.ask("textDocument/inlayHint", page, &after)
		assert.NotEqual(t, while, after, "a run less")
	}
}

// While a check is held, what is typed is completed from the text of the moment
// and from what the check before worked out.
func TestCompletionOfTheMoment(t *testing.T) {
	var running, most, begun counter
	hold := make(chan struct{}, 1)
	p := serve(t, Options{Check: held(hold, &running, &most, &begun), Glance: time.Millisecond})
	p.hello(fullClient)
	hold <- struct{}{}
	p.open(house, 1, demo(t))
	p.published(house, 1)
	end := len(newText(demo(t)).starts) - 1
	p.change(house, 2, edit(3, 0, 0, "# a remark\n"), edit(end+1, 0, 0, "fixture ZZ7 lavatory in bath\nmeet k1 Z"))
	at := object{"textDocument": object{"uri": house}, "position": object{"line": end + 2, "character": 9}}
	var list struct {
		Items []struct {
			Label, Detail string
			TextEdit      struct{ Range testRange }
		}
	}
	p.ask("textDocument/completion", at, &list)
	labels := map[string]string{}
	for _, it := range list.Items {
		labels[it.Label] = it.Detail
		assert.Equal(t, fmt.Sprintf("%d:8-%d:9", end+2, end+2), it.TextEdit.Range.String())
	}
	assert.Contains(t, labels, "ZZ7", "typed since")
	assert.Equal(t, "kitchen sink", strings.ToLower(strings.Split(labels["KS"], " in ")[0]), "checked before")
	assert.NotContains(t, labels, "k1", "written already")
	assert.NotContains(t, labels, "Z", "what is being typed")
	var help struct{ Signatures []struct{ Label string } }
	p.ask("textDocument/signatureHelp", at, &help)
	require.Len(t, help.Signatures, 1)
	assert.Contains(t, help.Signatures[0].Label, "meet ")
	assert.Equal(t, 1, begun.value()-running.value(), "the check is still held")
	close(hold)
	p.published(house, 2)
}
