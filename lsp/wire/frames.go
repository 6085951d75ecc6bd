package wire

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"sync"

	"go.lsp.dev/jsonrpc2"
)

const (
	lengthHeader = "content-length:"
	mostBytes    = 128 << 20 // of one message: the largest plan, escaped, and more
	mostHeader   = 4096      // bytes of one header line
)

// frames reads and writes messages with their headers. Reading is for one
// goroutine, writing for several.
type frames struct {
	raw  io.Reader
	back *bytes.Reader // what was read and is to be read again, before raw
	in   *bufio.Reader // reads back and raw
	lost bool          // the last message was bad: look for the next header

	writing sync.Mutex
	out     io.Writer
}

func newFrames(in io.Reader, out io.Writer) *frames {
	return &frames{raw: in, back: bytes.NewReader(nil), in: bufio.NewReaderSize(in, 64<<10), out: out}
}

// badMessage is a message that cannot be read; what follows it can.
type badMessage struct {
	code jsonrpc2.Code
	text string
}

func (b badMessage) Error() string { return b.text }

// read takes the next message. A badMessage may be followed by good ones; any
// other error ends the stream.
func (f *frames) read() (jsonrpc2.Message, error) {
	length, err := f.header()
	if err != nil {
		var bad badMessage
		f.lost = errors.As(err, &bad)
		return nil, err
	}
	body, err := readBody(f.in, length)
	if err != nil {
		return nil, err
	}
	msg, err := decode(body)
	if err != nil {
		f.resync(body)
		return nil, err
	}
	return msg, nil
}

// readBody reads length bytes without trusting that there are so many.
func readBody(in io.Reader, length int) ([]byte, error) {
	const trusted = 1 << 20
	if length <= trusted {
		body := make([]byte, length)
		_, err := io.ReadFull(in, body)
		return body, err
	}
	var held bytes.Buffer
	held.Grow(trusted)
	if _, err := io.CopyN(&held, in, int64(length)); err != nil {
		return nil, err
	}
	return held.Bytes(), nil
}

// header reads header lines up to the empty one and hands out the length.
func (f *frames) header() (length int, err error) {
	length = -1
	if f.lost {
		if err := f.seek(); err != nil {
			return 0, err
		}
		f.lost = false
	}
	for {
		raw, err := f.in.ReadSlice('\n')
		if errors.Is(err, bufio.ErrBufferFull) || len(raw) > mostHeader {
			return 0, badMessage{jsonrpc2.ParseError, "a header line is too long"}
		}
		if err != nil {
			return 0, err
		}
		line := strings.TrimSpace(string(raw))
		if line == "" {
			if length < 0 {
				return 0, badMessage{jsonrpc2.ParseError, "a message has no Content-Length"}
			}
			return length, nil
		}
		name, value, ok := strings.Cut(line, ":")
		if !ok || strings.ContainsFunc(strings.TrimSpace(name), notOfNames) {
			return 0, badMessage{jsonrpc2.ParseError, "a header line is no name with a colon"}
		}
		if !strings.EqualFold(strings.TrimSpace(name)+":", lengthHeader) {
			continue
		}
		n, err := strconv.Atoi(strings.TrimSpace(value))
		if err != nil || n < 1 || n > mostBytes {
			return 0, badMessage{jsonrpc2.ParseError, fmt.Sprintf("Content-Length takes 1 to %d", mostBytes)}
		}
		length = n
	}
}

// notOfNames tells what does not stand in a header's name (RFC 9110, 5.6.2, as
// far as it matters here).
func notOfNames(r rune) bool {
	return r <= ' ' || r >= 0x7f || strings.ContainsRune(`"(),/:;<=>?@[\]{}`, r)
}

// seek skips to the next Content-Length, wherever it stands.
func (f *frames) seek() error {
	for {
		peeked, err := f.in.Peek(max(len(lengthHeader), f.in.Buffered()))
		if at := indexFold(peeked); at >= 0 {
			_, err := f.in.Discard(at)
			return err
		}
		if err != nil {
			return err
		}
		// a header may begin at the end of what is here
		if _, err := f.in.Discard(len(peeked) - len(lengthHeader) + 1); err != nil {
			return err
		}
	}
}

// resync looks for the next message after a bad one, within its own bytes
// first: its length may have been wrong.
func (f *frames) resync(body []byte) {
	f.lost = true
	if at := indexFold(body); at >= 0 {
		f.unread(body[at:])
	}
}

// unread puts bytes back before what was not read yet.
func (f *frames) unread(data []byte) {
	held, _ := f.in.Peek(f.in.Buffered())
	rest := append(append([]byte{}, data...), held...)
	more, _ := io.ReadAll(f.back) // memory does not fail
	f.back = bytes.NewReader(append(rest, more...))
	f.in.Reset(io.MultiReader(f.back, f.raw))
}

// indexFold is where the length's header stands in data, -1 where it does not.
func indexFold(data []byte) int {
	for from := 0; ; {
		at := bytes.IndexByte(data[from:], ':')
		if at < 0 {
			return -1
		}
		end := from + at + 1
		start := end - len(lengthHeader)
		if start >= 0 && strings.EqualFold(string(data[start:end]), lengthHeader) {
			return start
		}
		from = end
	}
}

// decode makes a message of a body.
func decode(body []byte) (jsonrpc2.Message, error) {
	msg, err := jsonrpc2.DecodeMessage(body)
	trimmed := bytes.TrimRight(body, " \t\r\n")
	if err == nil && len(trimmed) > 0 && trimmed[len(trimmed)-1] == '}' {
		if call, ok := msg.(*jsonrpc2.Call); ok && call.ID() == (jsonrpc2.ID{}) && hasEmptyID(body) {
			return nil, badMessage{jsonrpc2.InvalidRequest, "the id of a request is a number or a text that is not empty"}
		}
		return msg, nil
	}
	if json.Valid(body) {
		return nil, badMessage{jsonrpc2.InvalidRequest, "a message is one JSON-RPC request, notification or response"}
	}
	return nil, badMessage{jsonrpc2.ParseError, "a message is not JSON"}
}

// hasEmptyID tells an id that is an empty text from the number 0, which the
// library does not.
func hasEmptyID(body []byte) bool {
	var envelope struct {
		ID *string `json:"id"`
	}
	return json.Unmarshal(body, &envelope) == nil && envelope.ID != nil
}

// write sends a message's bytes.
func (f *frames) write(body []byte) error {
	frame := make([]byte, 0, len(body)+32)
	frame = append(frame, "Content-Length: "...)
	frame = strconv.AppendInt(frame, int64(len(body)), 10)
	frame = append(frame, "\r\n\r\n"...)
	frame = append(frame, body...)
	f.writing.Lock()
	defer f.writing.Unlock()
	_, err := f.out.Write(frame)
	return err
}
