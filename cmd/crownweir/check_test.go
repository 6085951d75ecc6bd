package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lsp/settings"
)

func samplePlans() map[string]string {
	return map[string]string{
		"a.weir":         "# first\n\tdrain\tFAULT here\n",
		"sub/b.weir":     "# 水 DOUBT\n# HINT\ninclude \"shared.weir\"\n",
		"sub/shared.txt": "not a plan",
		"sub/c.weir":     "# WAIVED\n",
		"clean.weir":     "# nothing\n",
	}
}

func TestCheckFormats(t *testing.T) {
	start := here(t)
	files := samplePlans()
	files["sub/shared.weir"] = "# FAULT in the included file\n"
	folder(t, files)
	for _, format := range []string{"text", "json", "jsonl", "sarif", "github", "markdown"} {
		t.Run(format, func(t *testing.T) {
			got := crownweir(t, "", "check", "--format", format, "a.weir", "sub", "clean.weir")
			assert.Empty(t, got.stderr)
			assert.Equal(t, statusFindings, got.status)
			golden(t, start, "check."+format, got.stdout)
		})
	}
	t.Run("quiet", func(t *testing.T) {
		golden(t, start, "check.quiet", crownweir(t, "", "check", "-q", ".").stdout)
	})
	t.Run("colour", func(t *testing.T) {
		golden(t, start, "check.colour", crownweir(t, "", "check", "--color", "always", "a.weir").stdout)
	})
}

// The same bytes come out, whatever the number of plans worked on at a time.
func TestCheckJobs(t *testing.T) {
	files := map[string]string{}
	for i := range 60 {
		lines := strings.Repeat("# FAULT DOUBT HINT\n", (i*7)%13)
		files[fmt.Sprintf("%c/plan%02d.weir", 'a'+i%5, i)] = lines
	}
	files["a/broken.weir"] = "\xff\xfe"
	files["b/panics.weir"] = "PANIC\n"
	folder(t, files)
	for _, format := range []string{"text", "json", "jsonl"} {
		one := crownweir(t, "", "check", "--jobs", "1", "--format", format, ".", "missing.weir")
		assert.Equal(t, statusMisused, one.status)
		for _, jobs := range []string{"2", "8", "100"} {
			assert.Equal(t, one, crownweir(t, "", "check", "--jobs", jobs, "--format", format, ".", "missing.weir"), jobs)
		}
	}
}

func TestCheckFailOn(t *testing.T) {
	folder(t, map[string]string{"fault.weir": "FAULT", "doubt.weir": "DOUBT", "hint.weir": "HINT", "waived.weir": "WAIVED", "clean.weir": ""})
	for _, c := range []struct {
		plan string
		want [4]int // by correction, caution, advice, never
	}{
		{"fault.weir", [4]int{1, 1, 1, 0}},
		{"doubt.weir", [4]int{0, 1, 1, 0}},
		{"hint.weir", [4]int{0, 0, 1, 0}},
		{"waived.weir", [4]int{0, 0, 0, 0}},
		{"clean.weir", [4]int{0, 0, 0, 0}},
	} {
		for i, word := range settings.FailOn() {
			assert.Equal(t, c.want[i], crownweir(t, "", "check", "--fail-on", word, c.plan).status, "%s %s", c.plan, word)
		}
		assert.Equal(t, c.want[0], crownweir(t, "", "check", c.plan).status, "%s by default", c.plan)
	}
}

// What cannot be read is told on stderr, makes the status 2, and the other
// inputs are still judged.
func TestCheckUnreadable(t *testing.T) {
	dir := folder(t, map[string]string{
		"good.weir":       "FAULT\n",
		"latin.weir":      "# caf\xe9\n",
		"utf16.weir":      "\xff\xfep\x00",
		"panics.weir":     "PANIC\n",
		"empty/keep.txt":  "",
		"broken.zip":      "PK not really",
		"broken.tar.gz":   "not gzip at all, only words",
		"link/other.weir": "# fine\n",
	})
	require.NoError(t, os.WriteFile(filepath.Join(dir, "huge.weir"), make([]byte, planLimit+1), 0o644))
	require.NoError(t, os.Symlink("nowhere.weir", filepath.Join(dir, "dangling.weir")))
	for _, c := range []struct{ name, arg, want string }{
		{"missing", "missing.weir", "crownweir: missing.weir: does not exist; check the name\n"},
		{"dangling link", "dangling.weir", "crownweir: dangling.weir: does not exist; check the name\n"},
		{"not UTF-8", "latin.weir", "crownweir: latin.weir: is not UTF-8 at byte 5; save it as UTF-8\n"},
		{"UTF-16", "utf16.weir", "crownweir: utf16.weir: is not UTF-8 at byte 0; save it as UTF-8\n"},
		{"too large", "huge.weir", "crownweir: huge.weir: is larger than 16 MiB, the most a file may have; split it\n"},
		{"folder without plans", "empty", "crownweir: empty: is a folder without a plan; put a .weir file into it or name another\n"},
		{"glob without match", "*.wier", "crownweir: *.wier: matches no file; check the pattern\n"},
		{"broken glob", "[a-.weir", "crownweir: [a-.weir: is no pattern that can be read; check its brackets and braces\n"},
		{"no name", "", "crownweir: \"\": is no name; name a plan, a folder, a glob, an archive or -\n"},
		{"below a file", "good.weir/x.weir", "crownweir: good.weir/x.weir: not a directory\n"},
		{"broken zip", "broken.zip", "crownweir: broken.zip: cannot be unpacked: zip: not a valid zip file; pack it anew\n"},
		{"broken tar", "broken.tar.gz", "crownweir: broken.tar.gz: cannot be unpacked: gzip: invalid header; pack it anew\n"},
		{"name that steers", "a\x1bc.weir", "crownweir: a\uFFFDc.weir: does not exist; check the name\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := crownweir(t, "", "check", "-q", c.arg, "good.weir")
			assert.Equal(t, c.want, got.stderr)
			assert.Equal(t, statusMisused, got.status)
			assert.Contains(t, got.stdout, "good.weir:1:1: correction: ")
		})
	}
	t.Run("a fault of the program", func(t *testing.T) {
		got := crownweir(t, "", "check", "-q", "panics.weir", "good.weir")
		assert.Contains(t, got.stderr, "panics.weir: could not be read for a fault of the program: a broken invariant at crownweir/harness_test.go:")
		assert.Equal(t, statusMisused, got.status)
		assert.Contains(t, got.stdout, "good.weir:1:1: correction: ")
	})
	t.Run("nothing to judge", func(t *testing.T) {
		t.Chdir(filepath.Join(dir, "empty"))
		got := crownweir(t, "", "check", "--format", "json")
		assert.Equal(t, statusMisused, got.status)
		var report map[string]any
		require.NoError(t, json.Unmarshal([]byte(got.stdout), &report))
		assert.Equal(t, []any{}, report["findings"])
	})
}

func TestCheckPermission(t *testing.T) {
	dir := folder(t, map[string]string{"shut.weir": "# x\n", "inner/shut.weir": "# x\n", "good.weir": "FAULT\n"})
	if os.Geteuid() == 0 {
		// nothing is shut to root: the error that anyone else gets is made instead
		assert.EqualError(t, reason(&os.PathError{Op: "open", Path: "shut.weir", Err: os.ErrPermission}), "permission denied; change its permissions")
		return
	}
	require.NoError(t, os.Chmod(filepath.Join(dir, "shut.weir"), 0))
	require.NoError(t, os.Chmod(filepath.Join(dir, "inner"), 0))
	t.Cleanup(func() { os.Chmod(filepath.Join(dir, "inner"), 0o755) })
	got := crownweir(t, "", "check", "-q", ".")
	assert.Contains(t, got.stderr, "shut.weir: permission denied; change its permissions\n")
	assert.Contains(t, got.stderr, "inner: permission denied; change its permissions\n")
	assert.Equal(t, statusMisused, got.status)
	assert.Contains(t, got.stdout, "good.weir:1:1: correction: ")
}

func TestCheckMisuse(t *testing.T) {
	folder(t, map[string]string{"a.weir": "FAULT\n", "not.json": "{", "other.json": "{\"a\":1}", "noid.json": "[{\"file\":\"a.weir\"}]"})
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"check", "--format", "jsno", "a.weir"}, "--format has no \"jsno\"; did you mean \"json\"; use text, json, jsonl, sarif, github or markdown"},
		{[]string{"check", "--code", "upc-2022", "a.weir"}, "--code has no \"upc-2022\"; did you mean \"upc-2021\"; use ipc-2021 or upc-2021"},
		{[]string{"check", "--fail-on", "corection", "a.weir"}, "--fail-on has no \"corection\"; did you mean \"correction\"; use correction, caution, advice or never"},
		{[]string{"check", "--only", "long-trap-amr", "a.weir"}, "there is no rule \"long-trap-amr\"; did you mean \"long-trap-arm\"; crownweir rules lists them"},
		{[]string{"check", "--skip", "odd-height,zzz", "a.weir"}, "there is no rule \"zzz\"; crownweir rules lists them"},
		{[]string{"check", "--jobs", "0", "a.weir"}, "--jobs is 0; use 1 to 1024"},
		{[]string{"check", "--jobs", "many", "a.weir"}, "--jobs: expected a valid 64 bit int but got \"many\"; see crownweir --help"},
		{[]string{"check", "--color", "blue", "a.weir"}, "--color has no \"blue\"; use auto, always or never"},
		{[]string{"check", "--progress", "x", "a.weir"}, "--progress has no \"x\"; use auto, always or never"},
		{[]string{"check", "--today", "tomorrow", "a.weir"}, "--today is \"tomorrow\"; write it as 2026-11-02"},
		{[]string{"check", "--amend", "none.toml", "a.weir"}, "--amend none.toml: does not exist; check the name"},
		{[]string{"check", "--amend", ".", "a.weir"}, "--amend .: is a folder; name an amendment file"},
		{[]string{"check", "--baseline", "none.json", "a.weir"}, "--baseline none.json: does not exist; check the name"},
		{[]string{"check", "--baseline", "not.json", "a.weir"}, "--baseline not.json: is no list of findings; write it with check --format json"},
		{[]string{"check", "--baseline", "other.json", "a.weir"}, "--baseline other.json: is no list of findings; write it with check --format json"},
		{[]string{"check", "--baseline", "noid.json", "a.weir"}, "--baseline noid.json: finding 1 has no id or no file; write it with check --format json"},
		{[]string{"check", "--output", "nowhere/out.txt", "a.weir"}, "--output nowhere/out.txt: does not exist; check the name"},
		{[]string{"check", "--formt", "json"}, "unknown flag --formt, did you mean \"--format\"; see crownweir --help"},
		{[]string{"chek"}, "unexpected argument chek, did you mean \"check\"; see crownweir --help"},
		{[]string{"explain"}, "expected \"<rule>\"; see crownweir --help"},
		{[]string{"explain", "long-trap-am"}, "there is no rule \"long-trap-am\"; did you mean \"long-trap-arm\"; crownweir rules lists them"},
		{[]string{"explain", "overlong-arm"}, "rule \"overlong-arm\" is retired; long-trap-arm follows it"},
		{[]string{"explain", "--format", "html", "odd-height"}, "--format has no \"html\"; use text or markdown"},
		{[]string{"rules", "--format", "csv"}, "--format has no \"csv\"; use text, markdown or json"},
		{[]string{"new", "two\nlines"}, "the name has a line break or another control character; leave it out"},
		{[]string{"new", "-o", "a.weir"}, "--output a.weir: is there already; name another file"},
	} {
		got := crownweir(t, "", c.args...)
		assert.Equal(t, "crownweir: "+c.want+"\n", got.stderr, "%v", c.args)
		assert.Equal(t, statusMisused, got.status, "%v", c.args)
	}
}

func TestCheckStdin(t *testing.T) {
	folder(t, map[string]string{"sub/part.weir": "# FAULT\n"})
	got := crownweir(t, "# FAULT\n", "check", "-q", "-")
	assert.True(t, strings.HasPrefix(got.stdout, "stdin:1:3: correction: "), got.stdout)
	assert.Equal(t, statusFindings, got.status)

	got = crownweir(t, "include \"part.weir\"\n", "check", "-q", "--stdin-name", "sub/house.weir", "-")
	assert.True(t, strings.HasPrefix(got.stdout, "sub/part.weir:1:3: correction: "), got.stdout)

	got = crownweir(t, "# FAULT\n", "check", "-q", "--stdin-name", "not/there.weir", "-")
	assert.True(t, strings.HasPrefix(got.stdout, "not/there.weir:1:3: correction: "), got.stdout)

	got = crownweir(t, "", "check", "--stdin-name", "sub/", "-")
	assert.Equal(t, "crownweir: sub/: --stdin-name is a folder; name a file in it\n", got.stderr)

	got = crownweir(t, "", "check", "-")
	assert.Equal(t, statusClean, got.status, "an empty plan is read and judged")
	assert.Contains(t, got.stdout, "1 plan: 0 corrections, 0 cautions, 0 pieces of advice, 0 waived\n2 requirements judged: ")
}

// An include never leaves the plan's folder, not by a link either.
func TestCheckIncludeStaysInside(t *testing.T) {
	dir := folder(t, map[string]string{"secret.weir": "# FAULT\n", "in/plan.weir": "include \"../secret.weir\"\ninclude \"link.weir\"\n"})
	require.NoError(t, os.Symlink("../secret.weir", filepath.Join(dir, "in", "link.weir")))
	got := crownweir(t, "", "check", "-q", "in/plan.weir")
	assert.Equal(t, 2, strings.Count(got.stdout, "cannot be read"))
	assert.NotContains(t, got.stdout, "correction: ")
}

func TestCheckNamesOnce(t *testing.T) {
	folder(t, map[string]string{"a.weir": "# FAULT\n", "b.weir": ""})
	got := crownweir(t, "", "check", "-q", "a.weir", ".", "./a.weir", "*.weir", "[a].weir")
	assert.Equal(t, 1, strings.Count(got.stdout, "correction: "), got.stdout)
	assert.Contains(t, got.stdout, "2 plans: ")
}

func TestCheckBaseline(t *testing.T) {
	folder(t, map[string]string{"a.weir": "# FAULT\n# DOUBT\n"})
	require.Equal(t, statusFindings, crownweir(t, "", "check", "--format", "json", "-o", "known.json", "a.weir").status)
	got := crownweir(t, "", "check", "--baseline", "known.json", "--fail-on", "advice", "./a.weir")
	assert.Equal(t, statusClean, got.status)
	assert.Contains(t, got.stdout, "a.weir:1:3: known: ")
	assert.Contains(t, got.stdout, "0 corrections, 0 cautions, 0 pieces of advice, 0 waived, 2 known\n")
	require.NoError(t, os.WriteFile("a.weir", []byte("# FAULT\n# DOUBT\n# FAULT\n"), 0o644))
	got = crownweir(t, "", "check", "--baseline", "known.json", "a.weir")
	assert.Equal(t, statusFindings, got.status)
	assert.Contains(t, got.stdout, "a.weir:3:3: correction: ")
	assert.Contains(t, got.stdout, "1 correction, 0 cautions, 0 pieces of advice, 0 waived, 2 known\n")
}

func TestCheckOutput(t *testing.T) {
	folder(t, map[string]string{"a.weir": "# FAULT\n"})
	got := crownweir(t, "", "check", "--color", "never", "--output", "out.txt", "a.weir")
	assert.Empty(t, got.stdout)
	assert.Equal(t, statusFindings, got.status)
	written, err := os.ReadFile("out.txt")
	require.NoError(t, err)
	assert.Equal(t, crownweir(t, "", "check", "a.weir").stdout, string(written))
	left, err := filepath.Glob(".crownweir-*")
	require.NoError(t, err)
	assert.Empty(t, left, "no half-written file is left behind")
}

func TestCheckAmendments(t *testing.T) {
	folder(t, map[string]string{"sub/a.weir": "", "city.toml": "x = 1\n", "sub/crownweir.toml": "amend = [\"county.toml\"]\n", "sub/county.toml": "y = 1\n"})
	got := crownweir(t, "", "check", "--amend", "city.toml", "sub/a.weir")
	assert.Empty(t, got.stderr)
	assert.Contains(t, got.stdout, "amended by sub/county.toml, city.toml; ")
}

func TestCheckProgress(t *testing.T) {
	folder(t, map[string]string{"a.weir": "", "b.weir": ""})
	assert.Empty(t, crownweir(t, "", "check", ".").stderr)
	assert.Equal(t, "crownweir: 1 of 2 plans\ncrownweir: 2 of 2 plans\n", crownweir(t, "", "check", "--progress", "always", ".").stderr)
}

// Every line of jsonl is an object that says what it is, the last one the
// sums; every list has at least its brackets.
func TestCheckJSONLines(t *testing.T) {
	folder(t, map[string]string{"a.weir": "# FAULT\n# HINT\n"})
	lines := strings.Split(strings.TrimSuffix(crownweir(t, "", "check", "--format", "jsonl", ".").stdout, "\n"), "\n")
	require.Len(t, lines, 3)
	for i, line := range lines {
		var object map[string]any
		require.NoError(t, json.Unmarshal([]byte(line), &object))
		assert.Equal(t, []string{"finding", "finding", "summary"}[i], object["type"])
		for _, key := range []string{"copies", "because", "related", "fixes"} {
			if object["type"] == "finding" {
				assert.NotNil(t, object[key], key)
			}
		}
	}
}

func BenchmarkCheck(b *testing.B) {
	dir := b.TempDir()
	for i := range 200 {
		require.NoError(b, os.WriteFile(filepath.Join(dir, fmt.Sprintf("plan%03d.weir", i)), []byte(starter), 0o644))
	}
	b.ReportAllocs()
	for b.Loop() {
		if got := bench(b, "check", dir); got != statusClean {
			b.Fatalf("status %d", got)
		}
	}
}
