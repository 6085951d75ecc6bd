package lsp

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

const house = "file:///nowhere/house.weir"

func TestItem03Shutdown(t *testing.T) {
	p := serve(t, Options{})
	p.hello(`{}`)
	assert.Equal(t, "null", string(p.reply(p.start("shutdown", nil)).Result))
	p.notify("exit", nil)
	end := <-p.ended
	assert.True(t, end.Exit)
	assert.True(t, end.Shutdown)

	p = serve(t, Options{})
	p.hello(`{}`)
	p.notify("exit", nil)
	end = <-p.ended
	assert.True(t, end.Exit)
	assert.False(t, end.Shutdown)
}

func TestItem04Order(t *testing.T) {
	p := serve(t, Options{})
	hover := object{"textDocument": object{"uri": house}, "position": object{"line": 0, "character": 0}}
	assert.Equal(t, -32002, p.refused("textDocument/hover", hover))
	p.open(house, 1, demo(t)) // dropped
	p.hello(allAbilities)
	assert.Equal(t, -32600, p.refused("initialize", object{"capabilities": object{}}))
	p.ask("textDocument/hover", hover, nil)
	p.open(house, 2, demo(t))
	assert.Len(t, p.published(house, 2).Diagnostics, 2, "a second initialize resets nothing")
	p.ask("shutdown", nil, nil)
	assert.Equal(t, -32600, p.refused("textDocument/hover", hover))
	assert.Equal(t, -32600, p.refused("shutdown", nil))
	assert.Len(t, p.publishes(house), 1)
}

func TestItem08Unknown(t *testing.T) {
	p := serve(t, Options{})
	p.hello(`{}`)
	assert.Equal(t, -32601, p.refused("textDocument/noSuchThing", object{}))
	assert.Equal(t, -32601, p.refused("textDocument/noSuchThing", nil))
	assert.Equal(t, -32601, p.refused("$/noSuchRequest", nil))
	assert.Equal(t, -32600, p.refused("textDocument/didOpen", object{}), "a notification with an id")
	p.notify("noSuchNotification", object{})
	p.notify("$/setTrace", object{"value": "off"})
	p.notify("textDocument/hover", object{})
	p.ask("shutdown", nil, nil)
	assert.Empty(t, p.received())
}

func TestItem28Close(t *testing.T) {
	p := serve(t, Options{})
	p.hello(allAbilities)
	p.open(house, 1, demo(t))
	assert.Len(t, p.published(house, 1).Diagnostics, 2)
	p.shut(house)
	p.wait("clearing", func() bool {
		all := p.publishesLocked(house)
		return len(all[len(all)-1].Diagnostics) == 0
	})
	p.open(house, 1, "plan \"x\"\n")
	p.shut(house)
	p.shut(house)
	p.ask("shutdown", nil, nil)
	all := p.publishes(house)
	assert.Empty(t, all[len(all)-1].Diagnostics)
}

// A change without a range replaces everything.
func TestItem20WholeText(t *testing.T) {
	p := serve(t, Options{})
	p.hello(allAbilities)
	p.open(house, 1, "plan \"x\"\n")
	p.change(house, 2, edit(0, 0, 0, "# first\n"), whole(demo(t)), edit(0, 0, 0, "# again\n"))
	assert.Equal(t, "29:29-29:38", p.published(house, 2).Diagnostics[0].Range.String())
}
