package fit

import (
	"context"
	"io/fs"
)

// SolveLarge solves as a large plan is solved, whatever its size.
func SolveLarge(ctx context.Context, fsys fs.FS, path string, opts Options) (*Result, error) {
	s := newSolver(ctx, fsys, path)
	s.exact = 0
	return s.solve(opts)
}
