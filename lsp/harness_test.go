package lsp

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lsp/wire"
)

// patience is how long a test waits for what must come.
const patience = 20 * time.Second

// peer is a client made for tests. It holds the server to frames and nothing
// else on its output.
type peer struct {
	t   testing.TB
	out io.WriteCloser // to the server

	mu       sync.Mutex
	heard    *sync.Cond
	answers  map[string][]rpcAnswer // by id as written
	messages []envelope             // notifications and requests of the server's
	broken   error
	answer   func(m envelope) (any, bool) // to the server's requests

	lastID int
	ended  chan wire.Ending // in process
}

type rpcError struct {
	Code    int             `json:"code"`
	Message string          `json:"message"`
	Data    json.RawMessage `json:"data"`
}

type rpcAnswer struct {
	Result json.RawMessage
	Error  *rpcError
}

// envelope is any JSON-RPC message.
type envelope struct {
	Version string          `json:"jsonrpc"`
	ID      json.RawMessage `json:"id,omitempty"`
	Method  string          `json:"method,omitempty"`
	Params  json.RawMessage `json:"params,omitempty"`
	Result  json.RawMessage `json:"result,omitempty"`
	Error   *rpcError       `json:"error,omitempty"`
}

// converse makes a peer of two streams.
func converse(t testing.TB, in io.Reader, out io.WriteCloser) *peer {
	p := &peer{t: t, out: out, answers: map[string][]rpcAnswer{}}
	p.heard = sync.NewCond(&p.mu)
	go p.listen(bufio.NewReader(in))
	return p
}

// serve runs a server in process and talks to it over pipes.
func serve(t testing.TB, opts Options) *peer {
	serverIn, clientOut := io.Pipe()
	clientIn, serverOut := io.Pipe()
	ctx, cancel := context.WithCancel(context.Background())
	p := converse(t, clientIn, clientOut)
	p.ended = make(chan wire.Ending, 1)
	if opts.Glance == 0 { // a busy machine is to give the answers of an idle one
		opts.Glance = patience / 100
	}
	go func() {
		end := Serve(ctx, serverIn, serverOut, opts)
		serverOut.Close()
		p.ended <- end
	}()
	t.Cleanup(func() {
		cancel()
		clientOut.Close()
		clientIn.Close()
	})
	return p
}

// listen takes what the server writes, and nothing that is no frame.
func (p *peer) listen(in *bufio.Reader) {
	fail := func(err error) {
		p.mu.Lock()
		defer p.mu.Unlock()
		p.broken = err
		p.heard.Broadcast()
	}
	for {
		line, err := in.ReadString('\n')
		if err != nil {
			if line != "" {
				err = fmt.Errorf("stray output %q", line)
			}
			fail(err)
			return
		}
		length, ok := strings.CutPrefix(line, "Content-Length: ")
		n, err := strconv.Atoi(strings.TrimSuffix(length, "\r\n"))
		if !ok || err != nil {
			fail(fmt.Errorf("no frame: %q", line))
			return
		}
		if blank, err := in.ReadString('\n'); err != nil || blank != "\r\n" {
			fail(fmt.Errorf("no end of header: %q", blank))
			return
		}
		body := make([]byte, n)
		if _, err := io.ReadFull(in, body); err != nil {
			fail(err)
			return
		}
		var m envelope
		if err := json.Unmarshal(body, &m); err != nil || m.Version != "2.0" {
			fail(fmt.Errorf("no message: %s", body))
			return
		}
		p.take(m, body)
	}
}

func (p *peer) take(m envelope, body []byte) {
	p.mu.Lock()
	defer p.mu.Unlock()
	defer p.heard.Broadcast()
	if m.Method == "" {
		a := rpcAnswer{m.Result, m.Error}
		if m.Error == nil && m.Result == nil {
			a.Result = json.RawMessage("null")
			if !strings.Contains(string(body), `"result":null`) {
				p.broken = fmt.Errorf("neither result nor error: %s", body)
			}
		}
		p.answers[string(m.ID)] = append(p.answers[string(m.ID)], a)
		return
	}
	p.messages = append(p.messages, m)
	if m.ID != nil && p.answer != nil {
		if result, ok := p.answer(m); ok {
			raw, _ := json.Marshal(result)
			go p.send(envelope{ID: m.ID, Result: raw})
		}
	}
}

func (p *peer) send(m envelope) {
	m.Version = "2.0"
	body, err := json.Marshal(m)
	require.NoError(p.t, err)
	p.raw(fmt.Sprintf("Content-Length: %d\r\n\r\n%s", len(body), body))
}

// raw writes bytes as they are. The server may be gone.
func (p *peer) raw(text string) { _, _ = io.WriteString(p.out, text) }

func params(t testing.TB, v any) json.RawMessage {
	if raw, ok := v.(json.RawMessage); ok {
		return raw
	}
	raw, err := json.Marshal(v)
	require.NoError(t, err)
	return raw
}

func (p *peer) notify(method string, v any) {
	p.send(envelope{Method: method, Params: params(p.t, v)})
}

// start sends a request and hands out its id.
func (p *peer) start(method string, v any) string {
	p.lastID++
	id := strconv.Itoa(p.lastID)
	p.send(envelope{ID: json.RawMessage(id), Method: method, Params: params(p.t, v)})
	return id
}

// wait waits for something to be so, under the peer's lock.
func (p *peer) wait(what string, so func() bool) {
	p.t.Helper()
	timer := time.AfterFunc(patience, func() {
		p.mu.Lock()
		defer p.mu.Unlock()
		if p.broken == nil {
			p.broken = fmt.Errorf("waited too long for %s", what)
		}
		p.heard.Broadcast()
	})
	defer timer.Stop()
	p.mu.Lock()
	defer p.mu.Unlock()
	for !so() {
		if p.broken != nil {
			p.t.Fatalf("%s did not come: %v", what, p.broken)
		}
		p.heard.Wait()
	}
}

func (p *peer) reply(id string) rpcAnswer {
	p.t.Helper()
	var got rpcAnswer
	p.wait("the answer to "+id, func() bool {
		if len(p.answers[id]) == 0 {
			return false
		}
		got = p.answers[id][0]
		return true
	})
	return got
}

// ask sends a request, waits for its result and reads it.
func (p *peer) ask(method string, v, result any) {
	p.t.Helper()
	got := p.reply(p.start(method, v))
	if got.Error != nil {
		p.t.Fatalf("%s: %d %s", method, got.Error.Code, got.Error.Message)
	}
	if result != nil {
		require.NoError(p.t, json.Unmarshal(got.Result, result), "%s: %s", method, got.Result)
	}
}

// refused sends a request and hands out the error's code.
func (p *peer) refused(method string, v any) int {
	p.t.Helper()
	got := p.reply(p.start(method, v))
	require.NotNil(p.t, got.Error, "%s: %s", method, got.Result)
	return got.Error.Code
}

// allAbilities are the capabilities of a client that shows everything pushed.
const allAbilities = `{"textDocument":{"publishDiagnostics":{"relatedInformation":true,"versionSupport":true,"dataSupport":true}}}`

// hello initializes with capabilities.
func (p *peer) hello(capabilities string) json.RawMessage {
	p.t.Helper()
	var result json.RawMessage
	p.ask("initialize", json.RawMessage(`{"processId":null,"rootUri":null,"capabilities":`+capabilities+`}`), &result)
	p.notify("initialized", struct{}{})
	return result
}

type testRange struct {
	Start struct{ Line, Character int }
	End   struct{ Line, Character int }
}

func (r testRange) String() string {
	return fmt.Sprintf("%d:%d-%d:%d", r.Start.Line, r.Start.Character, r.End.Line, r.End.Character)
}

type testDiagnostic struct {
	Range              testRange
	Severity           int
	Code               string
	Source, Message    string
	RelatedInformation []struct {
		Location struct {
			URI   string
			Range testRange
		}
		Message string
	}
	Data json.RawMessage
}

type testPublished struct {
	URI         string
	Version     *int
	Diagnostics []testDiagnostic
}

// publishes are all that were sent for a document, in order.
func (p *peer) publishes(uri string) []testPublished {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.publishesLocked(uri)
}

func (p *peer) publishesLocked(uri string) []testPublished {
	var all []testPublished
	for _, m := range p.messages {
		if m.Method != "textDocument/publishDiagnostics" {
			continue
		}
		var got testPublished
		if err := json.Unmarshal(m.Params, &got); err != nil {
			p.broken = err
		}
		if got.URI == uri {
			all = append(all, got)
		}
	}
	return all
}

// published waits for findings of a document's version.
func (p *peer) published(uri string, version int) testPublished {
	p.t.Helper()
	var got testPublished
	p.wait(fmt.Sprintf("version %d of %s", version, uri), func() bool {
		for _, one := range p.publishesLocked(uri) {
			if one.Version != nil && *one.Version == version {
				got = one
				return true
			}
		}
		return false
	})
	return got
}

// received lists the methods of what the server sent by itself.
func (p *peer) received() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	var methods []string
	for _, m := range p.messages {
		methods = append(methods, m.Method)
	}
	return methods
}

type object map[string]any

func (p *peer) open(uri string, version int, text string) {
	p.notify("textDocument/didOpen", object{"textDocument": object{"uri": uri, "languageId": "weir", "version": version, "text": text}})
}

// change sends changes: a text alone replaces everything.
func (p *peer) change(uri string, version int, changes ...any) {
	p.notify("textDocument/didChange", object{"textDocument": object{"uri": uri, "version": version}, "contentChanges": changes})
}

func (p *peer) shut(uri string) {
	p.notify("textDocument/didClose", object{"textDocument": object{"uri": uri}})
}

func whole(text string) object { return object{"text": text} }

func edit(line, from, to int, text string) object {
	return object{"range": object{
		"start": object{"line": line, "character": from}, "end": object{"line": line, "character": to},
	}, "text": text}
}

// demo is the plan of the README.
func demo(t testing.TB) string {
	source, err := os.ReadFile(filepath.Join("..", "testdata", "demo", "juniper-court.weir"))
	require.NoError(t, err)
	return string(source)
}

func codes(list []testDiagnostic) []string {
	all := []string{}
	for _, d := range list {
		all = append(all, d.Code)
	}
	return all
}

func TestSession(t *testing.T) {
	p := serve(t, Options{})
	p.hello(allAbilities)
	const uri = "file:///nowhere/juniper-court.weir"
	p.open(uri, 1, demo(t))
	got := p.published(uri, 1)
	assert.Equal(t, []string{"long-trap-arm", "low-vent-turn"}, codes(got.Diagnostics))
	assert.Equal(t, "28:29-28:38", got.Diagnostics[0].Range.String())
	p.change(uri, 2, edit(28, 34, 38, "1'"))
	assert.Equal(t, []string{"low-vent-turn"}, codes(p.published(uri, 2).Diagnostics))
	p.ask("shutdown", nil, nil)
	p.notify("exit", nil)
	end := <-p.ended
	assert.True(t, end.Exit && end.Shutdown)
}
