//go:build unix

package system_test

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"crownweir/grammar/system"
)

// A named pipe that nobody writes to would be waited for without end.
func TestAPipeIsNoPlan(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, syscall.Mkfifo(filepath.Join(dir, "pipe.weir"), 0o600))
	_, err := system.Load(os.DirFS(dir), "pipe.weir", system.Options{})
	require.ErrorContains(t, err, "is no plain file")
}
