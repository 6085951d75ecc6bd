package lsp

import (
	"encoding/json"
	"slices"

	"go.lsp.dev/protocol"
)

// client is what a client said it can do. It is immutable after initialize.
type client struct {
	capabilities map[string]any
	encoding     encoding
	pull         bool // it asks for diagnostics itself
}

func newClient(raw json.RawMessage) *client {
	c := &client{}
	// a client that says it in another form is one that cannot do it
	_ = json.Unmarshal(raw, &c.capabilities)
	c.encoding = negotiate(c.texts("general", "positionEncodings"))
	c.pull = c.at("textDocument", "diagnostic") != nil
	return c
}

// at is the value at a path of the capabilities, nil where there is none.
func (c *client) at(path ...string) any {
	var value any = c.capabilities
	for _, key := range path {
		table, ok := value.(map[string]any)
		if !ok {
			return nil
		}
		value = table[key]
	}
	return value
}

// can tells whether a capability is there and true.
func (c *client) can(path ...string) bool {
	yes, _ := c.at(path...).(bool)
	return yes
}

// markup is the form of text a client wants somewhere: markdown, unless it only
// takes plain text.
func (c *client) markup(path ...string) protocol.MarkupKind {
	forms := c.texts(path...)
	if len(forms) > 0 && !slices.Contains(forms, string(protocol.Markdown)) {
		return protocol.PlainText
	}
	return protocol.Markdown
}

// texts is a capability that is a list of words.
func (c *client) texts(path ...string) []string {
	list, _ := c.at(path...).([]any)
	var words []string
	for _, item := range list {
		if word, ok := item.(string); ok {
			words = append(words, word)
		}
	}
	return words
}
