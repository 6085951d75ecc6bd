package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func runWith(ctx context.Context, stdout io.Writer, stderr *bytes.Buffer, lib library, args ...string) int {
	return run(ctx, args, strings.NewReader(""), stdout, stderr, environment{
		getenv: func(string) string { return "" }, now: time.Now, library: lib,
	})
}

func TestInterrupted(t *testing.T) {
	folder(t, map[string]string{"a.weir": "FAULT", "b.weir": "FAULT"})
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	var stdout, stderr bytes.Buffer
	assert.Equal(t, statusMisused, runWith(ctx, &stdout, &stderr, pretended(), "check", "."))
	assert.Equal(t, "crownweir: interrupted before every plan was read\n", stderr.String())
	assert.NotContains(t, stdout.String(), "requirements judged", "a part is not shown as the whole")
}

type shut struct{}

func (shut) Write([]byte) (int, error) { return 0, errors.New("no space left on device") }

func TestStdoutTakesNothing(t *testing.T) {
	folder(t, map[string]string{"a.weir": "FAULT  x"})
	for _, args := range [][]string{
		{"check", "."}, {"check", "--format", "json", "."}, {"check", "--format", "jsonl", "."},
		{"fmt", "--check", "."}, {"fmt", "--diff", "."}, {"explain", "odd-height"}, {"rules"}, {"codes"}, {"new"},
	} {
		var stderr bytes.Buffer
		assert.Equal(t, statusMisused, runWith(t.Context(), shut{}, &stderr, pretended(), args...), "%v", args)
		assert.Equal(t, "crownweir: no space left on device\n", stderr.String(), "%v", args)
	}
}

func TestInOrder(t *testing.T) {
	var items, got []int
	for i := range 500 {
		items = append(items, i)
	}
	work := func(i int) int {
		time.Sleep(time.Duration((i*7919)%13) * 10 * time.Microsecond)
		return i
	}
	err := inOrder(t.Context(), 8, items, work, func(i int) error { got = append(got, i); return nil })
	assert.NoError(t, err)
	assert.Equal(t, items, got)

	broken := errors.New("broken")
	seen := 0
	err = inOrder(t.Context(), 8, items, work, func(i int) error {
		if seen++; i == 20 {
			return broken
		}
		return nil
	})
	assert.Equal(t, broken, err)
	assert.Equal(t, 21, seen, "nothing is handed on after an error")
}
