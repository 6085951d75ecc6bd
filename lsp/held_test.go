package lsp

import (
	"context"
	"io/fs"
	"sync"

	"crownweir/lint"
)

// counter is a number that several goroutines count with.
type counter struct {
	mu sync.Mutex
	n  int
}

func (c *counter) add(by int) int {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.n += by
	return c.n
}

func (c *counter) atLeast(n int) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.n = max(c.n, n)
}

func (c *counter) value() int { return c.add(0) }

// held is a check that waits to be let go, or given up, and is counted.
func held(hold chan struct{}, running, most, begun *counter) func(context.Context, fs.FS, string, lint.Options) *lint.Report {
	return func(ctx context.Context, fsys fs.FS, path string, opts lint.Options) *lint.Report {
		begun.add(1)
		most.atLeast(running.add(1))
		defer running.add(-1)
		select {
		case <-hold:
		case <-ctx.Done():
		}
		return lint.Check(ctx, fsys, path, opts)
	}
}
