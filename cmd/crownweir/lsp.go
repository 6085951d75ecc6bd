package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"sync"
	"syscall"
	"time"

	"crownweir/lsp"
)

// lspCommand is the language server.
type lspCommand struct {
	Log   string `placeholder:"FILE" help:"Write what goes wrong, and why, to this file."`
	Stdio bool   `hidden:"" help:"Taken for the clients that always say it; there is no other way."`
}

// heapGrowth is by how many per cent the heap may grow before it is swept: a
// check makes and drops much, and a keystroke should not wait for the sweeping.
// From heapLimit bytes on it is swept as often as that asks.
const (
	heapGrowth = 400
	heapLimit  = 1 << 30
)

// Run serves one client on stdin and stdout until it leaves. Nothing else is
// written to either, nor to stderr.
func (c *lspCommand) Run(s *session) error {
	if s.env.getenv("GOGC") == "" && s.env.getenv("GOMEMLIMIT") == "" {
		debug.SetGCPercent(heapGrowth)
		debug.SetMemoryLimit(heapLimit)
	}
	// a client that is gone is seen where it is written to
	signal.Ignore(syscall.SIGPIPE)
	log := func(string) {}
	if c.Log != "" {
		f, err := os.OpenFile(c.Log, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o644)
		if err != nil {
			return misused("--log %s: %v", c.Log, reason(err))
		}
		defer f.Close()
		log = logTo(f, s.env.now)
	}
	end := lsp.Serve(s.ctx, s.stdin, s.stdout, lsp.Options{
		Check: s.env.library.check,
		Rules: s.env.library.rules,
		Books: s.env.library.books,
		Now:   s.env.now,
		Pause: lsp.Pause,
		Log:   log,
	})
	if end.Err != nil && !errors.Is(end.Err, io.EOF) {
		log(end.Err.Error())
	}
	if end.Exit && !end.Shutdown {
		s.raise(statusFindings) // as the protocol asks: exit without shutdown is 1
	}
	return nil
}

// logTo writes lines with their time.
func logTo(w io.Writer, now func() time.Time) func(string) {
	var mu sync.Mutex
	return func(line string) {
		mu.Lock()
		defer mu.Unlock()
		fmt.Fprintf(w, "%s %s\n", now().Format(time.RFC3339Nano), line)
	}
}
