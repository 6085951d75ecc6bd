package wire

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.lsp.dev/jsonrpc2"
)

// wires is a connection under test and its client's ends.
type wires struct {
	t     testing.TB
	to    *io.PipeWriter
	from  *bufio.Reader
	ended chan Ending
	conn  *Conn[int]
}

func start(t testing.TB, table *Table[int], snapshot func() int) *wires {
	in, to := io.Pipe()
	from, out := io.Pipe()
	w := &wires{t: t, to: to, from: bufio.NewReader(from), ended: make(chan Ending, 1)}
	w.conn = NewConn(in, out, table, snapshot)
	go func() {
		end := w.conn.Serve(t.Context())
		out.Close()
		w.ended <- end
	}()
	t.Cleanup(func() { to.Close(); from.Close() })
	return w
}

// say sends messages, written as they are.
func (w *wires) say(bodies ...string) {
	go func() {
		for _, body := range bodies {
			if _, err := io.WriteString(w.to, frame(body)); err != nil {
				return
			}
		}
	}()
}

// hear takes the next message, compactly.
func (w *wires) hear() string {
	w.t.Helper()
	header, err := w.from.ReadString('\n')
	require.NoError(w.t, err)
	n, err := strconv.Atoi(strings.TrimSpace(strings.TrimPrefix(header, "Content-Length:")))
	require.NoError(w.t, err)
	_, err = w.from.ReadString('\n')
	require.NoError(w.t, err)
	body := make([]byte, n)
	_, err = io.ReadFull(w.from, body)
	require.NoError(w.t, err)
	return string(body)
}

func call(id, method string) string {
	return fmt.Sprintf(`{"jsonrpc":"2.0","id":%s,"method":%q,"params":{"n":1}}`, id, method)
}

type numbers struct {
	N int `json:"n"`
}

// tableOf is initialize, shutdown and a few methods of a test's own.
func tableOf(add func(t *Table[int])) *Table[int] {
	t := NewTable[int]()
	Command(t, "initialize", func(context.Context, *None) (None, error) { return None{}, nil })
	Command(t, "shutdown", func(context.Context, *None) (None, error) { return None{}, nil })
	if add != nil {
		add(t)
	}
	return t
}

const hello = `{"jsonrpc":"2.0","id":"hello","method":"initialize","params":{}}`

func TestItem05Panics(t *testing.T) {
	table := tableOf(func(t *Table[int]) {
		Query(t, "query", func(context.Context, int, *numbers) (int, error) { panic("a broken invariant") })
		Command(t, "command", func(context.Context, *numbers) (int, error) { panic(errors.New("another")) })
		Notice(t, "notice", func(context.Context, *numbers) error { panic("a third") })
		Query(t, "unwritable", func(context.Context, int, *numbers) (any, error) { return func() {}, nil })
	})
	w := start(t, table, func() int { return 0 })
	var faults atomic.Int32
	w.conn.Fault = func(string, any, []byte) { faults.Add(1) }
	w.say(hello, call("1", "query"))
	w.hear()
	assert.Contains(t, w.hear(), `"error":{"code":-32603,"message":"a fault of the program in query: a broken invariant"},"id":1`)
	w.say(call("2", "command"))
	assert.Contains(t, w.hear(), `"code":-32603`)
	w.say(`{"jsonrpc":"2.0","method":"notice"}`, call("3", "shutdown"))
	assert.Equal(t, `{"jsonrpc":"2.0","result":null,"id":3}`, w.hear())
	assert.Equal(t, int32(3), faults.Load())

	w = start(t, table, func() int { return 0 })
	w.say(hello, call("1", "unwritable"))
	w.hear()
	assert.Contains(t, w.hear(), `"code":-32603`)
}

func TestErrorCodes(t *testing.T) {
	table := tableOf(func(t *Table[int]) {
		Query(t, "plain", func(context.Context, int, *numbers) (int, error) { return 0, errors.New("cannot be done") })
		Query(t, "coded", func(context.Context, int, *numbers) (int, error) { return 0, jsonrpc2.NewError(7, "seven") })
		Query(t, "wrapped", func(context.Context, int, *numbers) (int, error) {
			return 0, fmt.Errorf("wrapped: %w", jsonrpc2.NewError(8, "eight"))
		})
		Query(t, "ended", func(context.Context, int, *numbers) (int, error) { return 0, context.Canceled })
		Query(t, "list", func(context.Context, int, *numbers) (*numbers, error) { return nil, nil })
	})
	w := start(t, table, func() int { return 0 })
	w.say(hello)
	w.hear()
	for _, c := range [][2]string{
		{call("1", "plain"), `"error":{"code":-32803,"message":"cannot be done"}`},
		{call("1", "coded"), `"error":{"code":7,"message":"seven"}`},
		{call("1", "wrapped"), `"error":{"code":8,"message":"eight"}`},
		{call("1", "ended"), `"error":{"code":-32800,`},
		{call("1", "list"), `"result":null`},
		{call("1", "none"), `"error":{"code":-32601,"message":"there is no method \"none\""}`},
		{`{"jsonrpc":"2.0","id":1,"method":"list","params":{"n":"one"}}`, `"error":{"code":-32602,"message":"parameters cannot be read`},
		{`{"jsonrpc":"2.0","id":1,"method":"list","params":[1]}`, `"code":-32602`},
		{`{"jsonrpc":"2.0","id":1,"method":"list"}`, `"result":null`},
		{`{"jsonrpc":"2.0","id":1,"method":"list","params":null}`, `"result":null`},
		{`{"jsonrpc":`, `{"jsonrpc":"2.0","id":null,"error":{"code":-32700,"message":"a message is not JSON"}}`},
	} {
		w.say(c[0])
		assert.Contains(t, w.hear(), c[1], c[0])
	}
}

func TestItem13Ids(t *testing.T) {
	w := start(t, tableOf(nil), func() int { return 0 })
	w.say(strings.Replace(hello, `"hello"`, "0", 1))
	assert.Equal(t, `{"jsonrpc":"2.0","result":null,"id":0}`, w.hear())
	for _, id := range []string{`"0"`, "-1", "2147483647", `"a\"b"`, `"日本"`} {
		w.say(call(id, "x"))
		assert.Contains(t, w.hear(), `,"id":`+id+"}")
	}
}

// Queries run beside each other and beside what comes later, each on the
// snapshot of the moment it came.
func TestQueriesReadTheirMoment(t *testing.T) {
	var state atomic.Int64
	release := make(chan struct{})
	table := tableOf(func(t *Table[int]) {
		Notice(t, "count", func(context.Context, *numbers) error { state.Add(1); return nil })
		Query(t, "slow", func(_ context.Context, moment int, _ *numbers) (int, error) { <-release; return moment, nil })
		Query(t, "quick", func(_ context.Context, moment int, _ *numbers) (int, error) { return moment, nil })
	})
	w := start(t, table, func() int { return int(state.Load()) })
	count := `{"jsonrpc":"2.0","method":"count"}`
	w.say(hello, count, call("1", "slow"), count, count, call("2", "quick"))
	w.hear()
	assert.Equal(t, `{"jsonrpc":"2.0","result":3,"id":2}`, w.hear())
	close(release)
	assert.Equal(t, `{"jsonrpc":"2.0","result":1,"id":1}`, w.hear())
}

func TestItem14Cancel(t *testing.T) {
	const n = 100
	var begun atomic.Int32
	table := tableOf(func(t *Table[int]) {
		Query(t, "slow", func(ctx context.Context, _ int, _ *numbers) (int, error) {
			begun.Add(1)
			<-ctx.Done()
			return 0, ctx.Err()
		})
	})
	w := start(t, table, func() int { return 0 })
	messages := []string{hello}
	for i := range n {
		id := strconv.Itoa(i)
		if i%2 == 1 {
			id = strconv.Quote("r" + id)
		}
		messages = append(messages, call(id, "slow"))
	}
	messages = append(messages, `{"jsonrpc":"2.0","method":"$/cancelRequest","params":{"id":"unknown"}}`,
		`{"jsonrpc":"2.0","method":"$/cancelRequest"}`, `{"jsonrpc":"2.0","method":"$/cancelRequest","params":{"id":null}}`)
	for i := n - 1; i >= 0; i-- {
		id := strconv.Itoa(i)
		if i%2 == 1 {
			id = strconv.Quote("r" + id)
		}
		messages = append(messages, `{"jsonrpc":"2.0","method":"$/cancelRequest","params":{"id":`+id+`}}`)
	}
	w.say(messages...)
	w.hear()
	answered := map[string]int{}
	for range n {
		var got struct {
			ID    json.RawMessage
			Error struct{ Code int }
		}
		require.NoError(t, json.Unmarshal([]byte(w.hear()), &got))
		assert.Equal(t, -32800, got.Error.Code)
		answered[string(got.ID)]++
	}
	assert.Len(t, answered, n, "each is answered once")
	w.say(call("1000", "shutdown"))
	assert.Equal(t, `{"jsonrpc":"2.0","result":null,"id":1000}`, w.hear())
	assert.LessOrEqual(t, int(begun.Load()), n)
}

// A cancel is heard while a command holds everything up, and ends what waits
// behind it.
func TestItem14CancelBehindACommand(t *testing.T) {
	release, began := make(chan struct{}), make(chan struct{})
	table := tableOf(func(t *Table[int]) {
		Command(t, "block", func(context.Context, *numbers) (int, error) { close(began); <-release; return 0, nil })
		Query(t, "never", func(context.Context, int, *numbers) (int, error) { panic("it was cancelled") })
	})
	w := start(t, table, func() int { return 0 })
	w.say(hello, call("1", "block"), call("2", "never"))
	w.hear()
	<-began
	w.say(`{"jsonrpc":"2.0","method":"$/cancelRequest","params":{"id":2}}`)
	assert.Contains(t, w.hear(), `"code":-32800`)
	close(release)
	assert.Equal(t, `{"jsonrpc":"2.0","result":0,"id":1}`, w.hear())
}

func TestItem16OurRequests(t *testing.T) {
	w := start(t, tableOf(nil), func() int { return 0 })
	var got []int
	var err error
	var done sync.WaitGroup
	done.Add(1)
	go func() {
		defer done.Done()
		err = w.conn.Ask(context.Background(), "client/thing", numbers{2}, &got)
	}()
	asked := w.hear()
	assert.JSONEq(t, `{"jsonrpc":"2.0","id":"crownweir-1","method":"client/thing","params":{"n":2}}`, asked)
	w.say(`{"jsonrpc":"2.0","id":"foreign","result":[3]}`, `{"jsonrpc":"2.0","id":1,"result":[3]}`,
		`{"jsonrpc":"2.0","id":"crownweir-1","result":[1,2]}`, `{"jsonrpc":"2.0","id":"crownweir-1","result":[9]}`)
	done.Wait()
	require.NoError(t, err)
	assert.Equal(t, []int{1, 2}, got)

	ctx, cancel := context.WithCancel(context.Background())
	done.Add(1)
	go func() { defer done.Done(); err = w.conn.Ask(ctx, "client/thing", nil, nil) }()
	w.hear()
	cancel()
	done.Wait()
	assert.ErrorIs(t, err, context.Canceled)
	w.say(`{"jsonrpc":"2.0","id":"crownweir-2","result":null}`, hello)
	assert.Contains(t, w.hear(), `"id":"hello"`, "a late answer does no harm")
}

func TestEndOfInput(t *testing.T) {
	table := tableOf(func(t *Table[int]) {
		Query(t, "slow", func(ctx context.Context, _ int, _ *numbers) (int, error) { <-ctx.Done(); return 0, nil })
	})
	w := start(t, table, func() int { return 0 })
	w.say(hello, call("1", "slow"))
	w.hear()
	began := time.Now()
	w.to.Close()
	end := <-w.ended
	assert.False(t, end.Exit)
	assert.ErrorIs(t, end.Err, io.EOF)
	assert.Less(t, time.Since(began), time.Second)

	// what came before the end is still served
	var out strings.Builder
	in := frame(hello) + frame(call("7", "shutdown")) + frame(`{"jsonrpc":"2.0","method":"exit"}`)
	end = NewConn(strings.NewReader(in), &out, table, func() int { return 0 }).Serve(t.Context())
	assert.True(t, end.Exit && end.Shutdown)
	assert.Contains(t, out.String(), `"id":7`)
}

type brokenPipe struct{}

func (brokenPipe) Write([]byte) (int, error) { return 0, io.ErrClosedPipe }

func TestItem07ClientReadsNoMore(t *testing.T) {
	in, to := io.Pipe()
	defer to.Close()
	var logged atomic.Int32
	conn := NewConn(in, brokenPipe{}, tableOf(nil), func() int { return 0 })
	conn.Log = func(string, ...any) { logged.Add(1) }
	ended := make(chan Ending, 1)
	go func() { ended <- conn.Serve(context.Background()) }()
	go io.WriteString(to, strings.Repeat(frame(call("1", "x")), 3))
	end := <-ended
	assert.ErrorIs(t, end.Err, io.ErrClosedPipe)
	assert.LessOrEqual(t, logged.Load(), int32(1), "no loop of complaints")
}

// Whatever a client sends, the server lives on and answers what follows.
func FuzzServe(f *testing.F) {
	f.Add("initialize", "0", `{"n":1}`)
	f.Add("query", `"x"`, `{"n":"x"}`)
	f.Add("notice", "", `[]`)
	f.Add("$/cancelRequest", "", `{"id":0}`)
	f.Add("shutdown", "1e3", `nul`)
	f.Fuzz(func(t *testing.T, method, id, params string) {
		if method == "exit" {
			return
		}
		table := tableOf(func(t *Table[int]) {
			Query(t, "query", func(_ context.Context, _ int, p *numbers) (int, error) { return p.N, nil })
			Notice(t, "notice", func(context.Context, *numbers) error { return nil })
		})
		name, _ := json.Marshal(method)
		body := `{"jsonrpc":"2.0","method":` + string(name)
		if id != "" {
			body += `,"id":` + id
		}
		if params != "" {
			body += `,"params":` + params
		}
		in := frame(hello) + frame(body+"}") + frame(`{"jsonrpc":"2.0","id":"last","method":"query"}`) + frame(`{"jsonrpc":"2.0","method":"exit"}`)
		var out strings.Builder
		end := NewConn(strings.NewReader(in), &out, table, func() int { return 0 }).Serve(t.Context())
		assert.True(t, end.Exit || end.Err != nil, "%+v", end)
	})
}
