package lsp

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Places move along with what was edited; within it they are lost on the way
// back, and stand at its end on the way forth.
func FuzzDrift(f *testing.F) {
	f.Add("one two three", "one 2 three")
	f.Add("", "new")
	f.Add("aaa", "aa")
	f.Add("é", "è")
	f.Fuzz(func(t *testing.T, before, after string) {
		d := driftOf(before, after)
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
	})
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
