package wire

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.lsp.dev/jsonrpc2"
)

func frame(body string) string { return fmt.Sprintf("Content-Length: %d\r\n\r\n%s", len(body), body) }

// heard reads a stream to its end: methods of messages, codes of bad ones.
func heard(t testing.TB, in io.Reader) []string {
	t.Helper()
	f := newFrames(in, io.Discard)
	var all []string
	for range 10_000 {
		msg, err := f.read()
		var bad badMessage
		switch {
		case errors.As(err, &bad):
			require.NotEmpty(t, bad.text)
			all = append(all, fmt.Sprint(int(bad.code)))
		case err != nil:
			return all
		default:
			switch m := msg.(type) {
			case jsonrpc2.Request:
				all = append(all, m.Method())
			case *jsonrpc2.Response:
				all = append(all, "response")
			}
		}
	}
	t.Fatal("no end")
	return nil
}

const (
	first  = `{"jsonrpc":"2.0","id":0,"method":"first"}`
	second = `{"jsonrpc":"2.0","method":"second","params":{}}`
)

// What a bad message costs is that message alone.
func TestItem06Resync(t *testing.T) {
	good := frame(second)
	for name, c := range map[string]struct {
		in   string
		want []string
	}{
		"plain":                  {frame(first) + good, []string{"first", "second"}},
		"header names":           {strings.Replace(frame(first), "Content-Length", "content-length", 1) + good, []string{"first", "second"}},
		"content type":           {"Content-Type: application/vscode-jsonrpc; charset=utf-8\r\n" + frame(first) + "CONTENT-LENGTH : 47\r\nX: y\r\n\r\n" + second, []string{"first", "second"}},
		"line ends":              {strings.ReplaceAll(frame(first), "\r\n", "\n") + good, []string{"first", "second"}},
		"pretty-printed":         {frame("{\n  \"jsonrpc\": \"2.0\",\n  \"id\": 1,\n  \"method\": \"fi\\u0072st\"\n}\n") + good, []string{"first", "second"}},
		"escaped slashes":        {frame(`{"jsonrpc":"2.0","method":"text\/did"}`) + good, []string{"text/did", "second"}},
		"no JSON":                {frame(`{"jsonrpc":`) + good, []string{"-32700", "second"}},
		"an array":               {frame("["+first+"]") + good, []string{"-32600", "second"}},
		"no message":             {frame(`{"jsonrpc":"2.0"}`) + good, []string{"-32600", "second"}},
		"an empty id":            {frame(`{"jsonrpc":"2.0","id":"","method":"x"}`) + good, []string{"-32600", "second"}},
		"an id of no kind":       {frame(`{"jsonrpc":"2.0","id":[1],"method":"x"}`) + good, []string{"-32600", "second"}},
		"a negative length":      {"Content-Length: -1\r\n\r\n" + good, []string{"-32700", "second"}},
		"a length of 0":          {"Content-Length: 0\r\n\r\n" + good, []string{"-32700", "second"}},
		"a huge length":          {"Content-Length: 99999999999\r\n\r\n" + first + good, []string{"-32700", "second"}},
		"a length of letters":    {"Content-Length: all\r\n\r\n" + first + good, []string{"-32700", "second"}},
		"no length":              {"X: y\r\n\r\n" + first + good, []string{"-32700", "second"}},
		"no header":              {first + "\r\n" + good, []string{"-32700", "second"}},
		"a stray line":           {"hello\r\n" + good, []string{"-32700", "second"}},
		"a length too short":     {"Content-Length: 20\r\n\r\n" + first + good, []string{"-32700", "second"}},
		"a length too long":      {"Content-Length: 60\r\n\r\n" + first + good, []string{"-32700", "second"}},
		"a header without end":   {strings.Repeat("x", 100_000) + good, []string{"-32700", "second"}},
		"cut in the header":      {frame(first) + "Content-Le", []string{"first"}},
		"cut in the body":        {frame(first) + "Content-Length: 50\r\n\r\n{", []string{"first"}},
		"a response and a null":  {frame(`{"jsonrpc":"2.0","id":"a","result":null}`) + frame(`{"jsonrpc":"2.0","id":null,"method":"n"}`), []string{"response", "n"}},
		"several bad ones":       {"a\r\n" + frame("{") + frame("[]") + good, []string{"-32700", "-32700", "-32600", "second"}},
		"a bad one among others": {frame(first) + frame("}") + good, []string{"first", "-32700", "second"}},
	} {
		t.Run(name, func(t *testing.T) {
			assert.Equal(t, c.want, heard(t, strings.NewReader(c.in)))
			assert.Equal(t, c.want, heard(t, iotest.OneByteReader(strings.NewReader(c.in))), "a byte at a time")
		})
	}
}

func FuzzFrames(f *testing.F) {
	f.Add([]byte(frame(first) + frame(second)))
	f.Add([]byte("Content-Length: 20\r\n\r\n" + first + frame(second)))
	f.Add([]byte("content-length:content-length: 3\r\n\r\n{}\n"))
	f.Add([]byte("Content-Length: 9\n\nContent-Length:9\n\n[1,2,3]  x"))
	f.Fuzz(func(t *testing.T, in []byte) {
		whole := heard(t, bytes.NewReader(in))
		assert.Equal(t, whole, heard(t, iotest.HalfReader(bytes.NewReader(in))), "however it is cut")
		// whatever came before, at most one good message is lost to it
		after := heard(t, io.MultiReader(bytes.NewReader(in), strings.NewReader("\r\n\r\n"+frame(second)+frame(second)+frame(second))))
		var last int
		for _, what := range after {
			if what == "second" {
				last++
			}
		}
		if !bytes.Contains(bytes.ToLower(in), []byte("content-length")) {
			assert.GreaterOrEqual(t, last, 2, "%q gives %v", in, after)
		}
	})
}

func BenchmarkRead(b *testing.B) {
	text := strings.Repeat(`drain KS to k1 1-1/2\": trap, east 2'\n`, 50_000)
	in := frame(`{"jsonrpc":"2.0","method":"textDocument/didOpen","params":{"textDocument":{"uri":"file:///a.weir","version":1,"text":"` + text + `"}}}`)
	b.SetBytes(int64(len(in)))
	for b.Loop() {
		if _, err := newFrames(strings.NewReader(in), io.Discard).read(); err != nil {
			b.Fatal(err)
		}
	}
}
