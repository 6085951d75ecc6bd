package wire

import (
	"bytes"
	"context"
	"encoding/json"
	"slices"

	"go.lsp.dev/jsonrpc2"
)

// Table routes methods. S is what queries read: one moment of the server.
type Table[S any] struct {
	routes map[string]route[S]
}

// route is how one method is served.
type route[S any] struct {
	request bool // it is answered
	query   bool // it reads a snapshot and runs beside others
	run     func(ctx context.Context, snapshot S, params json.RawMessage) (any, error)
}

// NewTable makes an empty table.
func NewTable[S any]() *Table[S] { return &Table[S]{routes: map[string]route[S]{}} }

// Requests lists the methods that are answered, sorted.
func (t *Table[S]) Requests() []string {
	var methods []string
	for method, r := range t.routes {
		if r.request {
			methods = append(methods, method)
		}
	}
	slices.Sort(methods)
	return methods
}

// Query adds a request that only reads. It runs beside others, on the
// snapshot of the moment it came.
func Query[S, P, R any](t *Table[S], method string, answer func(context.Context, S, *P) (R, error)) {
	t.routes[method] = route[S]{request: true, query: true, run: func(ctx context.Context, s S, raw json.RawMessage) (any, error) {
		params, err := decodeParams[P](raw)
		if err != nil {
			return nil, err
		}
		return answer(ctx, s, params)
	}}
}

// Command adds a request that runs in its turn, alone, before what came later.
func Command[S, P, R any](t *Table[S], method string, do func(context.Context, *P) (R, error)) {
	t.routes[method] = route[S]{request: true, run: func(ctx context.Context, _ S, raw json.RawMessage) (any, error) {
		params, err := decodeParams[P](raw)
		if err != nil {
			return nil, err
		}
		return do(ctx, params)
	}}
}

// Notice adds a notification, which runs in its turn, alone.
func Notice[S, P any](t *Table[S], method string, do func(context.Context, *P) error) {
	t.routes[method] = route[S]{run: func(ctx context.Context, _ S, raw json.RawMessage) (any, error) {
		params, err := decodeParams[P](raw)
		if err != nil {
			return nil, err
		}
		return nil, do(ctx, params)
	}}
}

// None stands for parameters or a result of no content.
type None struct{}

// MarshalJSON writes null.
func (None) MarshalJSON() ([]byte, error) { return []byte("null"), nil }

// UnmarshalJSON takes anything.
func (*None) UnmarshalJSON([]byte) error { return nil }

// decodeParams reads parameters; none at all are those of no content.
func decodeParams[P any](raw json.RawMessage) (*P, error) {
	params := new(P)
	if len(raw) == 0 || bytes.Equal(raw, []byte("null")) {
		raw = json.RawMessage("{}")
	}
	if err := json.Unmarshal(raw, params); err != nil {
		return nil, jsonrpc2.Errorf(jsonrpc2.InvalidParams, "parameters cannot be read: %v", err)
	}
	return params, nil
}
