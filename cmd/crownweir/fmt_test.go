package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar"
	"crownweir/lint"
)

func TestFmtWrites(t *testing.T) {
	dir := folder(t, map[string]string{"a.weir": "drain  x\n", "b.weir": "drain x\n", "real/c.weir": "drain  x\n"})
	require.NoError(t, os.Chmod("a.weir", 0o640))
	require.NoError(t, os.Symlink("real/c.weir", filepath.Join(dir, "link.weir")))
	got := crownweir(t, "", "fmt", "a.weir", "b.weir", "link.weir")
	assert.Equal(t, outcome{"a.weir\nlink.weir\n", "", statusClean}, got)
	for _, file := range []string{"a.weir", "b.weir", "real/c.weir"} {
		content, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.Equal(t, "drain x\n", string(content), file)
	}
	info, err := os.Stat("a.weir")
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o640), info.Mode().Perm(), "the mode is kept")
	link, err := os.Lstat("link.weir")
	require.NoError(t, err)
	assert.NotZero(t, link.Mode()&os.ModeSymlink, "a link stays one")
	assert.Empty(t, crownweir(t, "", "fmt", ".").stdout, "a second time changes nothing")
}

func TestFmtCheckAndDiff(t *testing.T) {
	folder(t, map[string]string{"a.weir": "one\ntwo  x\nthree", "b.weir": "fine\n"})
	assert.Equal(t, outcome{"a.weir\n", "", statusFindings}, crownweir(t, "", "fmt", "--check", "."))
	want := "--- a.weir\n+++ a.weir\n@@ -1,3 +1,3 @@\n one\n-two  x\n+two x\n three\n\\ No newline at end of file\n"
	assert.Equal(t, outcome{want, "", statusClean}, crownweir(t, "", "fmt", "--diff", "."))
	assert.Equal(t, outcome{want, "", statusFindings}, crownweir(t, "", "fmt", "--diff", "--check", "."))
	assert.Equal(t, statusClean, crownweir(t, "", "fmt", "--check", "b.weir").status)
	content, err := os.ReadFile("a.weir")
	require.NoError(t, err)
	assert.Equal(t, "one\ntwo  x\nthree", string(content), "neither writes")
}

func TestFmtStdin(t *testing.T) {
	folder(t, nil)
	assert.Equal(t, outcome{"drain x\n", "", statusClean}, crownweir(t, "drain  x\n", "fmt", "-"))
	assert.Equal(t, outcome{"fine\n", "", statusClean}, crownweir(t, "fine\n", "fmt", "-"), "handed through where nothing changes")
	assert.Equal(t, outcome{"house.weir\n", "", statusFindings}, crownweir(t, "drain  x\n", "fmt", "--check", "--stdin-name", "house.weir", "-"))
	got := crownweir(t, "fine\n  garbled  x\n", "fmt", "-")
	assert.Equal(t, outcome{"", "crownweir: stdin:2:3: left as it is: garbled is no statement; begin it with a keyword\n", statusMisused}, got)
}

func TestFmtRefuses(t *testing.T) {
	folder(t, map[string]string{"a.weir": "garbled  x\n", "b.weir": "drain  x\n", "c.weir": "\xff", "d.weir": "shut  x\n"})
	require.NoError(t, os.Chmod("d.weir", 0o444))
	got := crownweir(t, "", "fmt", ".")
	assert.Equal(t, "b.weir\n", got.stdout, "the others are still laid out")
	assert.Equal(t, "crownweir: a.weir:1:1: left as it is: garbled is no statement; begin it with a keyword\n"+
		"crownweir: c.weir: is not UTF-8 at byte 0; save it as UTF-8\n"+
		"crownweir: d.weir: may not be written; change its permissions\n", got.stderr)
	assert.Equal(t, statusMisused, got.status)
	content, err := os.ReadFile("a.weir")
	require.NoError(t, err)
	assert.Equal(t, "garbled  x\n", string(content))
}

func TestFmtSurvivesFaults(t *testing.T) {
	folder(t, map[string]string{"a.weir": "x  x\n", "b.weir": "drain  x\n"})
	lib := pretended()
	format := lib.format
	lib.format = func(f *grammar.File) (string, []grammar.Problem) {
		if f.Path == "a.weir" {
			panic("a broken invariant")
		}
		return format(f)
	}
	got := command(t, lib, "", "fmt", ".")
	assert.Equal(t, "b.weir\n", got.stdout)
	assert.Regexp(t, `^crownweir: a\.weir: could not be read for a fault of the program: a broken invariant at crownweir/fmt_test\.go:\d+; report it with the plan\n$`, got.stderr)
	lib.rules = func() []lint.RuleInfo { panic("a broken catalogue") }
	got = command(t, lib, "", "rules")
	assert.Equal(t, statusMisused, got.status)
	assert.Contains(t, got.stderr, "a broken catalogue at crownweir/fmt_test.go:")
}
