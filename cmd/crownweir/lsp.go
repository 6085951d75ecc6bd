package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
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

// sweptAtRest is how many bytes must have been asked for to be worth a sweep.
const sweptAtRest = 16 << 20

// sweeper sweeps the heap, if much was asked for since it last did, so that the
// next keystrokes need not wait for it.
func sweeper() func() {
	asked := []metrics.Sample{{Name: "/gc/heap/allocs:bytes"}}
	var before uint64
	return func() {
		metrics.Read(asked)
		if now := asked[0].Value.Uint64(); now-before > sweptAtRest {
			before = now
			runtime.GC()
		}
	}
}

// Run serves one client on stdin and stdout until it leaves. Nothing else is
// written to either, nor to stderr.
func (c *lspCommand) Run(s *session) error {
	var atRest func()
	if s.env.getenv("GOGC") == "" && s.env.getenv("GOMEMLIMIT") == "" {
		debug.SetGCPercent(heapGrowth)
		debug.SetMemoryLimit(heapLimit)
		atRest = sweeper()
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
		Check:   s.env.library.check,
		Rules:   s.env.library.rules,
		Books:   s.env.library.books,
		Now:     s.env.now,
		Pause:   lsp.Pause,
		AtRest:  atRest,
		Log:     log,
		Version: version(debug.ReadBuildInfo()),
	})
	if end.Err != nil && !errors.Is(end.Err, io.EOF) {
		log(end.Err.Error())
	}
	if end.Exit && !end.Shutdown {
		s.raise(statusFindings) // as the protocol asks: exit without shutdown is 1
	}
	return nil
}

// version is the program's as it was built: a release's, else what is told of
// the revision, else "devel".
func version(info *debug.BuildInfo, known bool) string {
	if !known || info.Main.Version == "" || info.Main.Version == "(devel)" {
		return "devel"
	}
	return info.Main.Version
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
