// Command crownweir lints plumbing plans written in the Weir notation.
//
// Flags in, library call, writer out: it knows files, folders, archives,
// settings and terminals, and no plumbing.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
	"time"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	status := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr, environment{
		getenv:  os.Getenv,
		now:     time.Now,
		library: theLibrary(),
	})
	stop()
	os.Exit(status)
}
