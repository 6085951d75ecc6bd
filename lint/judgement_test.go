package lint_test

import (
	"context"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lint"
)

// Every verdict that is counted is handed out, and no other.
func TestJudgementsAreTheVerdicts(t *testing.T) {
	fsys := os.DirFS(filepath.Join("..", "testdata"))
	seen := map[lint.Answer]int{}
	require.NoError(t, fs.WalkDir(fsys, ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(p) != ".weir" {
			return err
		}
		sub, err := fs.Sub(fsys, path.Dir(p))
		require.NoError(t, err)
		r := lint.Check(context.Background(), sub, path.Base(p), lint.Options{Today: today})
		counts := map[string]lint.Count{}
		for _, j := range r.Judgements() {
			seen[j.Answer] += j.Count
			c := counts[j.Rule]
			switch j.Answer {
			case lint.Complies:
				c.Complies += j.Count
			case lint.Breaks:
				c.Breaks += j.Count
			case lint.Undecided:
				c.Undecided += j.Count
			}
			counts[j.Rule] = c
			assert.Positive(t, j.Count)
		}
		for name, c := range r.Verdicts {
			if c == (lint.Count{}) {
				delete(r.Verdicts, name)
			}
		}
		assert.Equal(t, r.Verdicts, counts, p)
		require.NotNil(t, r.Case, p)
		return nil
	}))
	for _, a := range []lint.Answer{lint.Complies, lint.Breaks, lint.Undecided} {
		assert.Greater(t, seen[a], 5, a)
	}
}

// An undecided judgement names the fact it waits for.
func TestJudgementsNameWhatIsMissing(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "a.weir"), []byte("level ground at 0'\nroom r on ground\noutfall SEW at -3'\n"+
		"fixture LV lavatory in r\ndrain LV to p1 1-1/2\"\nsewer p1 to SEW 3\": east 4'\n"), 0o644))
	r := lint.Check(context.Background(), os.DirFS(dir), "a.weir", lint.Options{})
	missing := map[string]string{}
	for _, j := range r.Judgements() {
		if j.Answer == lint.Undecided && j.Missing != "" {
			missing[j.Rule] = j.Missing
		}
	}
	assert.Equal(t, "items of LV to p1", missing["missing-trap"])
}
