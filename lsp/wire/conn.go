package wire

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"runtime"
	"runtime/debug"
	"sync"
	"sync/atomic"
	"time"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
)

// drainTime is how long messages that came before the end of input are still
// served.
const drainTime = 300 * time.Millisecond

// Conn is one client's connection.
type Conn[S any] struct {
	// Table routes its methods; Snapshot is the moment that a query reads.
	Table    *Table[S]
	Snapshot func() S
	// Log takes one line for whoever looks for a fault; nil drops it.
	Log func(format string, args ...any)
	// Fault is told of a panic in a method, after it is answered; may be nil.
	Fault func(method string, recovered any, stack []byte)

	frames  *frames
	state   state // written by the serving goroutine alone
	queries chan struct{}
	broken  chan error // takes the first failure to write
	gone    atomic.Bool

	mu      sync.Mutex
	served  map[jsonrpc2.ID]*request   // the client's requests without an answer
	asked   map[jsonrpc2.ID]chan reply // ours
	lastAsk int
}

type state uint8

const (
	fresh state = iota
	running
	shut
)

// Ending is how a connection ended.
type Ending struct {
	Exit     bool // by the client's exit
	Shutdown bool // after its shutdown
	Err      error
}

// NewConn makes a connection of two streams.
func NewConn[S any](in io.Reader, out io.Writer, table *Table[S], snapshot func() S) *Conn[S] {
	return &Conn[S]{
		Table: table, Snapshot: snapshot,
		frames:  newFrames(in, out),
		queries: make(chan struct{}, 4*runtime.GOMAXPROCS(0)),
		broken:  make(chan error, 1),
		served:  map[jsonrpc2.ID]*request{},
		asked:   map[jsonrpc2.ID]chan reply{},
	}
}

func (c *Conn[S]) logf(format string, args ...any) {
	if c.Log != nil {
		c.Log(format, args...)
	}
}

// Serve answers until the client exits, its stream ends or ctx does. Reading
// goes on beside it, so that cancelling and the end of input are seen whatever
// is being done.
func (c *Conn[S]) Serve(ctx context.Context) Ending {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	inbox := newQueue()
	ended := make(chan error, 1)
	go func() {
		err := c.receive(inbox)
		inbox.close()
		time.AfterFunc(drainTime, func() { ended <- err })
	}()
	done := make(chan Ending, 1)
	go func() { done <- c.dispatch(ctx, inbox) }()
	select {
	case end := <-done:
		return end
	case err := <-ended:
		return Ending{Err: err}
	case err := <-c.broken:
		return Ending{Err: err}
	case <-ctx.Done():
		return Ending{Err: ctx.Err()}
	}
}

// receive reads messages until the stream ends. What need not wait its turn
// is done at once: cancelling, and answers to our own requests.
func (c *Conn[S]) receive(inbox *queue) error {
	for {
		msg, err := c.frames.read()
		var bad badMessage
		switch {
		case errors.As(err, &bad):
			c.logf("bad message: %s", bad.text)
			c.replyBad(bad)
			continue
		case err != nil:
			return err
		}
		switch m := msg.(type) {
		case *jsonrpc2.Response:
			c.answered(m)
		case *jsonrpc2.Notification:
			if m.Method() == protocol.MethodCancelRequest {
				c.cancel(m.Params())
				continue
			}
			inbox.put(&request{method: m.Method(), params: m.Params()})
		case *jsonrpc2.Call:
			r := &request{method: m.Method(), params: m.Params(), id: m.ID(), call: true}
			r.ctx, r.cancel = context.WithCancel(context.Background())
			c.mu.Lock()
			if _, twice := c.served[r.id]; !twice {
				c.served[r.id] = r
			}
			c.mu.Unlock()
			inbox.put(r)
		}
	}
}

// request is one message of the client's to be served.
type request struct {
	method string
	params json.RawMessage
	id     jsonrpc2.ID
	call   bool
	ctx    context.Context // of a call: ends when it is cancelled
	cancel context.CancelFunc
	once   sync.Once // answers once
}

// cancel ends a request and answers it. Ids that are not known are ignored.
func (c *Conn[S]) cancel(params json.RawMessage) {
	var p struct {
		ID *jsonrpc2.ID `json:"id"`
	}
	if json.Unmarshal(params, &p) != nil || p.ID == nil {
		return
	}
	c.mu.Lock()
	r := c.served[*p.ID]
	c.mu.Unlock()
	if r == nil || r.method == protocol.MethodInitialize || r.method == protocol.MethodShutdown {
		return
	}
	r.cancel()
	c.reply(r, nil, protocol.ErrRequestCancelled)
}

// dispatch serves messages in their order.
func (c *Conn[S]) dispatch(ctx context.Context, inbox *queue) Ending {
	var beside sync.WaitGroup
	for {
		r, ok := inbox.take()
		if !ok {
			beside.Wait() // within drainTime: Serve does not wait longer
			return Ending{Shutdown: c.state == shut, Err: io.EOF}
		}
		if r.method == protocol.MethodExit {
			return Ending{Exit: true, Shutdown: c.state == shut}
		}
		if ctx.Err() != nil {
			return Ending{Err: ctx.Err()}
		}
		route, known := c.Table.routes[r.method]
		if refusal := c.refuse(r, route.request, known); refusal != nil {
			c.reply(r, nil, refusal)
			continue
		}
		if !known || route.request != r.call {
			if known {
				c.logf("%s came in the wrong form and is ignored", r.method)
			}
			continue
		}
		if !route.query {
			var none S
			result, err := c.guard(contextOf(ctx, r), route, none, r)
			c.advance(r.method, err)
			c.reply(r, result, err)
			continue
		}
		snapshot := c.Snapshot()
		beside.Add(1)
		go func() {
			defer beside.Done()
			select {
			case c.queries <- struct{}{}:
				defer func() { <-c.queries }()
			case <-r.ctx.Done():
				c.reply(r, nil, protocol.ErrRequestCancelled)
				return
			case <-ctx.Done():
				return
			}
			defer context.AfterFunc(ctx, r.cancel)()
			result, err := c.guard(r.ctx, route, snapshot, r)
			c.reply(r, result, err)
		}()
	}
}

func contextOf(ctx context.Context, r *request) context.Context {
	if r.ctx != nil {
		return r.ctx
	}
	return ctx
}

// refuse says why a request is not served: the server's life, or no such
// method. Notifications are never answered.
func (c *Conn[S]) refuse(r *request, asRequest, known bool) error {
	if !r.call {
		return nil
	}
	switch {
	case r.ctx.Err() != nil:
		return protocol.ErrRequestCancelled
	case c.state == fresh && r.method != protocol.MethodInitialize:
		return jsonrpc2.NewError(jsonrpc2.ServerNotInitialized, "initialize comes first")
	case c.state == shut:
		return jsonrpc2.NewError(jsonrpc2.InvalidRequest, "the server is shut down")
	case c.state == running && r.method == protocol.MethodInitialize:
		return jsonrpc2.NewError(jsonrpc2.InvalidRequest, "the server is initialized already")
	case !known:
		return jsonrpc2.Errorf(jsonrpc2.MethodNotFound, "there is no method %q", clip(r.method))
	case !asRequest:
		return jsonrpc2.Errorf(jsonrpc2.InvalidRequest, "%s is a notification, it has no id", r.method)
	}
	return nil
}

func (c *Conn[S]) advance(method string, err error) {
	switch {
	case err != nil:
	case method == protocol.MethodInitialize:
		c.state = running
	case method == protocol.MethodShutdown:
		c.state = shut
	}
}

// guard runs a method and turns a panic into an internal error.
func (c *Conn[S]) guard(ctx context.Context, route route[S], snapshot S, r *request) (result any, err error) {
	defer func() {
		if recovered := recover(); recovered != nil {
			stack := debug.Stack()
			c.logf("fault in %s: %v\n%s", r.method, recovered, stack)
			result, err = nil, jsonrpc2.Errorf(jsonrpc2.InternalError, "a fault of the program in %s: %v", r.method, recovered)
			if c.Fault != nil {
				c.Fault(r.method, recovered, stack)
			}
		}
	}()
	if !r.call && c.state != running {
		return nil, nil // notifications before initialize and after shutdown are dropped
	}
	result, err = route.run(ctx, snapshot, r.params)
	if err != nil && !r.call {
		c.logf("%s: %v", r.method, err)
	}
	return result, err
}

// reply answers a request, the first time it is called for it.
func (c *Conn[S]) reply(r *request, result any, err error) {
	if !r.call {
		return
	}
	r.once.Do(func() {
		c.mu.Lock()
		if c.served[r.id] == r {
			delete(c.served, r.id)
		}
		c.mu.Unlock()
		if err == nil && r.ctx.Err() != nil {
			err = protocol.ErrRequestCancelled
		}
		r.cancel()
		c.put(response(r.id, result, err))
	})
}

// Appender is a result that writes its own JSON, behind what is written.
type Appender interface{ AppendJSON(to []byte) []byte }

// response is an answer as bytes. A result that cannot be written is a fault.
func response(id jsonrpc2.ID, result any, err error) []byte {
	if err == nil {
		body := []byte(`{"jsonrpc":"2.0","result":`)
		if own, ok := result.(Appender); ok {
			body = own.AppendJSON(body)
		} else if raw, failed := json.Marshal(result); failed == nil {
			body = append(body, raw...)
		} else {
			return response(id, nil, jsonrpc2.Errorf(jsonrpc2.InternalError, "the result cannot be written: %v", failed))
		}
		name, _ := json.Marshal(&id) // a number or a text does not fail
		return append(append(append(body, `,"id":`...), name...), '}')
	}
	var coded *jsonrpc2.Error
	switch {
	case errors.As(err, &coded):
	case errors.Is(err, context.Canceled):
		err = protocol.ErrRequestCancelled
	default:
		err = jsonrpc2.NewError(CodeRequestFailed, err.Error())
	}
	msg, _ := jsonrpc2.NewResponse(id, nil, err)
	body, _ := json.Marshal(msg) // nor do words
	return body
}

// CodeRequestFailed answers a request that was well made and cannot be done
// (LSP 3.17, "Base Protocol", ErrorCodes).
const CodeRequestFailed jsonrpc2.Code = -32803

// replyBad answers a message whose id could not be read.
func (c *Conn[S]) replyBad(bad badMessage) {
	body, _ := json.Marshal(struct {
		Version string         `json:"jsonrpc"`
		ID      any            `json:"id"`
		Error   jsonrpc2.Error `json:"error"`
	}{jsonrpc2.Version, nil, jsonrpc2.Error{Code: bad.code, Message: bad.text}})
	c.put(body)
}

func (c *Conn[S]) send(msg jsonrpc2.Message) {
	body, err := json.Marshal(msg)
	if err != nil {
		c.logf("not sent: %v", err)
		return
	}
	c.put(body)
}

// put writes a message. A client that reads no more ends the serving, with the
// first message that it does not take.
func (c *Conn[S]) put(body []byte) {
	if c.gone.Load() {
		return
	}
	if err := c.frames.write(body); err != nil && c.gone.CompareAndSwap(false, true) {
		c.logf("not sent, and nothing more will be: %v", err)
		c.broken <- err
	}
}

// Notify sends a notification.
func (c *Conn[S]) Notify(method string, params any) {
	raw, err := json.Marshal(params)
	if err != nil {
		c.logf("%s is not sent: %v", method, err)
		return
	}
	msg, _ := jsonrpc2.NewNotification(method, json.RawMessage(raw))
	c.send(msg)
}

// clip keeps a foreign text short.
func clip(text string) string {
	if len(text) > 60 {
		return text[:60] + "…"
	}
	return text
}
