package main

import (
	"bufio"
	"bytes"
	"debug/buildinfo"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// built is the folder of the program that program builds.
var built string

func TestMain(m *testing.M) {
	status := m.Run()
	if built != "" {
		os.RemoveAll(built)
	}
	os.Exit(status)
}

// program builds the program once for the tests that need a process.
var program = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "crownweir")
	if err != nil {
		return "", err
	}
	built = dir
	file := filepath.Join(dir, "crownweir")
	out, err := exec.Command("go", "build", "-o", file, ".").CombinedOutput()
	if err != nil {
		err = fmt.Errorf("%w: %s", err, out)
	}
	return file, err
})

// editor is a server's process and its streams.
type editor struct {
	t      *testing.T
	cmd    *exec.Cmd
	in     io.WriteCloser
	out    *bufio.Reader
	stderr bytes.Buffer
	ended  chan struct{}
}

func edit(t *testing.T, args ...string) *editor {
	t.Helper()
	if runtime.GOOS == "windows" {
		t.Skip("signals and /proc")
	}
	file, err := program()
	require.NoError(t, err)
	e := &editor{t: t, cmd: exec.Command(file, append([]string{"lsp"}, args...)...), ended: make(chan struct{})}
	e.cmd.Stderr = &e.stderr
	e.in, err = e.cmd.StdinPipe()
	require.NoError(t, err)
	out, err := e.cmd.StdoutPipe()
	require.NoError(t, err)
	e.out = bufio.NewReader(out)
	require.NoError(t, e.cmd.Start())
	go func() {
		_ = e.cmd.Wait() // whatever its status; stderr is whole then
		close(e.ended)
	}()
	t.Cleanup(func() {
		_ = e.cmd.Process.Kill()
		<-e.ended
	})
	return e
}

func (e *editor) send(message map[string]any) {
	message["jsonrpc"] = "2.0"
	body, err := json.Marshal(message)
	require.NoError(e.t, err)
	_, err = fmt.Fprintf(e.in, "Content-Length: %d\r\n\r\n%s", len(body), body)
	require.NoError(e.t, err)
}

// hear takes the next message; anything else on stdout fails the test.
func (e *editor) hear() map[string]any {
	e.t.Helper()
	header, err := e.out.ReadString('\n')
	require.NoError(e.t, err)
	n, err := strconv.Atoi(strings.TrimSuffix(strings.TrimPrefix(header, "Content-Length: "), "\r\n"))
	require.NoError(e.t, err, "%q", header)
	blank, err := e.out.ReadString('\n')
	require.NoError(e.t, err)
	require.Equal(e.t, "\r\n", blank)
	body := make([]byte, n)
	_, err = io.ReadFull(e.out, body)
	require.NoError(e.t, err)
	var m map[string]any
	require.NoError(e.t, json.Unmarshal(body, &m))
	return m
}

func (e *editor) hello(processID any) {
	e.t.Helper()
	e.send(map[string]any{"id": 0, "method": "initialize", "params": map[string]any{"processId": processID, "capabilities": map[string]any{}}})
	result, ok := e.hear()["result"].(map[string]any)
	require.True(e.t, ok)
	info, err := buildinfo.ReadFile(e.cmd.Path)
	require.NoError(e.t, err)
	assert.Equal(e.t, map[string]any{"name": "crownweir", "version": version(info, true)}, result["serverInfo"])
	e.send(map[string]any{"method": "initialized", "params": map[string]any{}})
}

func (e *editor) open(text string) {
	e.send(map[string]any{"method": "textDocument/didOpen", "params": map[string]any{"textDocument": map[string]any{
		"uri": "file:///nowhere/house.weir", "languageId": "weir", "version": 1, "text": text}}})
}

// gone holds the process to end within a time, and gives its status.
func (e *editor) gone(within time.Duration) {
	e.t.Helper()
	began := time.Now()
	select {
	case <-e.ended:
	case <-time.After(within + 5*time.Second):
	}
	require.Less(e.t, time.Since(began), within)
}

// tall is a plan that takes long to judge.
func tall(t *testing.T) string {
	house, err := os.ReadFile("../../testdata/demo/juniper-court.weir")
	require.NoError(t, err)
	var b strings.Builder
	b.Write(house)
	for i := range 40_000 {
		fmt.Fprintf(&b, "fixture L%d lavatory\ndrain L%d to q%d 2\": trap, east 2'\n", i, i, i)
	}
	return b.String()
}

func TestItem01StdinCloses(t *testing.T) {
	for name, act := range map[string]func(e *editor){
		"at once":           func(*editor) {},
		"idle":              func(e *editor) { e.hello(nil) },
		"in a message":      func(e *editor) { e.hello(nil); io.WriteString(e.in, "Content-Length: 500\r\n\r\n{\"json") },
		"in a header":       func(e *editor) { e.hello(nil); io.WriteString(e.in, "Content-Len") },
		"in a long check":   func(e *editor) { e.hello(nil); e.open(tall(e.t)); time.Sleep(300 * time.Millisecond) },
		"after its goodbye": func(e *editor) { e.hello(nil); e.send(map[string]any{"id": 1, "method": "shutdown"}); e.hear() },
	} {
		t.Run(name, func(t *testing.T) {
			e := edit(t)
			act(e)
			e.in.Close()
			e.gone(time.Second)
			assert.Empty(t, e.stderr.String())
		})
	}
}

func TestItem02ParentDies(t *testing.T) {
	parent := exec.Command("sleep", "1")
	require.NoError(t, parent.Start())
	e, other, unseen := edit(t), edit(t), edit(t)
	e.hello(parent.Process.Pid)
	other.hello(nil)
	unseen.hello(1 << 30) // no such process: another container's
	require.NoError(t, parent.Wait())
	e.gone(10 * time.Second)
	assert.Empty(t, e.stderr.String())
	for _, alive := range []*editor{other, unseen} {
		alive.send(map[string]any{"id": 1, "method": "shutdown"})
		assert.Nil(t, alive.hear()["result"])
	}
}

func TestItem03ExitStatus(t *testing.T) {
	for _, c := range []struct {
		shutdown bool
		want     int
	}{{true, 0}, {false, 1}} {
		file, err := program()
		require.NoError(t, err)
		var in, stderr bytes.Buffer
		say := func(body string) { fmt.Fprintf(&in, "Content-Length: %d\r\n\r\n%s", len(body), body) }
		say(`{"jsonrpc":"2.0","id":1,"method":"initialize","params":{"capabilities":{}}}`)
		if c.shutdown {
			say(`{"jsonrpc":"2.0","id":2,"method":"shutdown"}`)
		}
		say(`{"jsonrpc":"2.0","method":"exit"}`)
		cmd := exec.Command(file, "lsp", "--stdio")
		cmd.Stdin, cmd.Stderr = &in, &stderr
		out, err := cmd.Output()
		var exit *exec.ExitError
		if err != nil {
			require.True(t, errors.As(err, &exit), "%v", err)
		}
		assert.Equal(t, c.want, cmd.ProcessState.ExitCode())
		assert.Equal(t, c.shutdown, strings.Contains(string(out), `"result":null`))
		assert.Empty(t, stderr.String())
	}
}

func TestItem07Signals(t *testing.T) {
	for _, signal := range []os.Signal{syscall.SIGTERM, os.Interrupt} {
		e := edit(t)
		e.hello(nil)
		e.open(tall(t))
		time.Sleep(100 * time.Millisecond)
		require.NoError(t, e.cmd.Process.Signal(signal))
		e.gone(time.Second)
		assert.Empty(t, e.stderr.String())
	}
}

// A client that is gone without closing the server's input.
func TestItem07BrokenPipe(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("pipes")
	}
	file, err := program()
	require.NoError(t, err)
	cmd := exec.Command(file, "lsp")
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	in, err := cmd.StdinPipe()
	require.NoError(t, err)
	read, write, err := os.Pipe()
	require.NoError(t, err)
	cmd.Stdout = write
	require.NoError(t, cmd.Start())
	write.Close()
	read.Close()
	body := `{"jsonrpc":"2.0","id":1,"method":"initialize","params":{"capabilities":{}}}`
	for range 3 {
		fmt.Fprintf(in, "Content-Length: %d\r\n\r\n%s", len(body), body)
	}
	done := make(chan error, 1)
	go func() { done <- cmd.Wait() }()
	select {
	case err := <-done:
		assert.NoError(t, err)
	case <-time.After(5 * time.Second):
		_ = cmd.Process.Kill()
		t.Fatal("it lives on")
	}
	assert.Empty(t, stderr.String())
}

func TestVersion(t *testing.T) {
	for told, want := range map[string]string{"": "devel", "(devel)": "devel", "v1.4.0": "v1.4.0"} {
		assert.Equal(t, want, version(&debug.BuildInfo{Main: debug.Module{Version: told}}, true))
	}
	assert.Equal(t, "devel", version(nil, false))
}

func TestItem10Log(t *testing.T) {
	log := filepath.Join(t.TempDir(), "server.log")
	e := edit(t, "--log", log)
	e.hello(nil)
	_, err := io.WriteString(e.in, "Content-Length: 3\r\n\r\n{]}")
	require.NoError(t, err)
	assert.Equal(t, -32700.0, e.hear()["error"].(map[string]any)["code"])
	e.in.Close()
	e.gone(time.Second)
	assert.Empty(t, e.stderr.String())
	written, err := os.ReadFile(log)
	require.NoError(t, err)
	assert.Contains(t, string(written), "bad message: a message is not JSON")

	got := crownweir(t, "", "lsp", "--log", filepath.Join(t.TempDir(), "no", "such", "folder"))
	assert.Equal(t, statusMisused, got.status)
	assert.Contains(t, got.stderr, "--log ")
	assert.Empty(t, got.stdout)
}

// An idle server costs nothing.
func TestItem37Idle(t *testing.T) {
	e := edit(t)
	ticks := func() int {
		raw, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", e.cmd.Process.Pid))
		if err != nil {
			t.Skip("no /proc")
		}
		_, after, _ := strings.Cut(string(raw), ") ")
		fields := strings.Fields(after)
		user, _ := strconv.Atoi(fields[11])
		system, _ := strconv.Atoi(fields[12])
		return user + system
	}
	e.hello(os.Getpid())
	e.open("plan \"x\"\n")
	e.hear()
	time.Sleep(500 * time.Millisecond)
	before := ticks()
	time.Sleep(4 * time.Second)
	assert.LessOrEqual(t, ticks()-before, 2, "hundredths of a second in four")
}
