package wire

import (
	"context"
	"encoding/json"
	"fmt"

	"go.lsp.dev/jsonrpc2"
)

// reply is the client's answer to a request of ours.
type reply struct {
	result json.RawMessage
	err    error
}

// Ask sends a request and waits for its answer. It is not for methods that run
// in their turn: they would wait for what comes after them.
func (c *Conn[S]) Ask(ctx context.Context, method string, params, result any) error {
	raw, err := json.Marshal(params)
	if err != nil {
		return err
	}
	got := make(chan reply, 1)
	c.mu.Lock()
	c.lastAsk++
	id := jsonrpc2.NewStringID(fmt.Sprintf("crownweir-%d", c.lastAsk))
	c.asked[id] = got
	c.mu.Unlock()
	defer func() {
		c.mu.Lock()
		delete(c.asked, id)
		c.mu.Unlock()
	}()
	msg, _ := jsonrpc2.NewCall(id, method, json.RawMessage(raw))
	c.send(msg)
	select {
	case r := <-got:
		if r.err != nil || result == nil || len(r.result) == 0 {
			return r.err
		}
		return json.Unmarshal(r.result, result)
	case <-ctx.Done():
		return ctx.Err()
	}
}

// answered hands an answer to whoever asked; late and foreign ones are dropped.
func (c *Conn[S]) answered(m *jsonrpc2.Response) {
	c.mu.Lock()
	got := c.asked[m.ID()]
	delete(c.asked, m.ID())
	c.mu.Unlock()
	if got != nil {
		got <- reply{m.Result(), m.Err()}
	}
}
