package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"os"
	"sort"
	"strings"
	"testing"

	"crownweir/lsp/memfs"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func sorted(files map[string]string) []string {
	var names []string
	for name := range files {
		names = append(names, name)
	}
	sort.Strings(names)
	return names
}

func zipOf(t *testing.T, files map[string]string) string {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, name := range sorted(files) {
		f, err := w.Create(name)
		require.NoError(t, err)
		_, err = f.Write([]byte(files[name]))
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	return b.String()
}

func tarOf(t *testing.T, files map[string]string) string {
	t.Helper()
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	w := tar.NewWriter(z)
	for _, name := range sorted(files) {
		require.NoError(t, w.WriteHeader(&tar.Header{Name: name, Mode: 0o644, Size: int64(len(files[name])), Typeflag: tar.TypeReg}))
		_, err := w.Write([]byte(files[name]))
		require.NoError(t, err)
	}
	require.NoError(t, w.WriteHeader(&tar.Header{Name: "link.weir", Linkname: "/etc/passwd", Typeflag: tar.TypeSymlink}))
	require.NoError(t, w.Close())
	require.NoError(t, z.Close())
	return b.String()
}

func TestCheckArchive(t *testing.T) {
	plans := map[string]string{
		"b.weir":          "# FAULT\n",
		"a/a.weir":        "include \"shared.weir\"\n",
		"a/shared.weir":   "# DOUBT\n",
		"notes/readme.md": "FAULT",
	}
	folder(t, map[string]string{"plans.zip": zipOf(t, plans), "plans.tar.gz": tarOf(t, plans), "plans.tgz": tarOf(t, plans)})
	for _, name := range []string{"plans.zip", "plans.tar.gz", "plans.tgz"} {
		got := crownweir(t, "", "check", "-q", name)
		assert.Empty(t, got.stderr)
		assert.Equal(t, statusFindings, got.status)
		lines := strings.Split(got.stdout, "\n")
		assert.True(t, strings.HasPrefix(lines[0], name+"/a/shared.weir:1:3: caution: "), lines[0])
		assert.True(t, strings.HasPrefix(lines[2], name+"/b.weir:1:3: correction: "), lines[2])
		assert.True(t, strings.HasPrefix(lines[3], "3 plans: "), lines[3])
	}
	got := crownweir(t, "", "fmt", "plans.zip")
	assert.Contains(t, got.stderr, "crownweir: plans.zip/b.weir: is in an archive; unpack it to lay it out\n")
	assert.Equal(t, statusMisused, got.status)
}

func TestCheckHostileArchive(t *testing.T) {
	bomb := strings.Repeat("\n", planLimit+1)
	folder(t, map[string]string{
		"bomb.zip":   zipOf(t, map[string]string{"bomb.weir": bomb, "good.weir": "FAULT"}),
		"bomb.tgz":   tarOf(t, map[string]string{"bomb.weir": bomb, "good.weir": "FAULT"}),
		"slip.zip":   zipOf(t, map[string]string{"../out.weir": "FAULT", "/abs.weir": "FAULT", "good.weir": "FAULT"}),
		"bytes.zip":  zipOf(t, map[string]string{"latin.weir": "\xff", "good.weir": "FAULT"}),
		"empty.zip":  zipOf(t, map[string]string{"readme.md": "no plan"}),
		"cut.tar.gz": tarOf(t, map[string]string{"good.weir": strings.Repeat("FAULT\n", 1000)})[:60],
	})
	for _, c := range []struct {
		name string
		want []string
		good bool
	}{
		{"bomb.zip", []string{"bomb.zip/bomb.weir: unpacks to more than 16 MiB, the most a file may have; split it"}, true},
		{"bomb.tgz", []string{"bomb.tgz/bomb.weir: unpacks to more than 16 MiB, the most a file may have; split it"}, true},
		{"slip.zip", []string{
			"slip.zip/../out.weir: has a name that leaves the archive; pack it with a relative name",
			"slip.zip//abs.weir: has a name that leaves the archive; pack it with a relative name",
		}, true},
		{"bytes.zip", []string{"bytes.zip/latin.weir: is not UTF-8 at byte 0; save it as UTF-8"}, true},
		{"empty.zip", []string{"empty.zip: is an archive without a plan; put a .weir file into it or name another"}, false},
		{"cut.tar.gz", []string{"cut.tar.gz: cannot be unpacked: unexpected EOF; pack it anew"}, false},
	} {
		got := crownweir(t, "", "check", "-q", c.name)
		for _, want := range c.want {
			assert.Contains(t, got.stderr, "crownweir: "+want+"\n", c.name)
		}
		assert.Equal(t, statusMisused, got.status, c.name)
		assert.Equal(t, c.good, strings.Contains(got.stdout, c.name+"/good.weir:1:1: correction: "), "%s: %s", c.name, got.stdout)
	}
	_, err := os.Stat("../out.weir")
	assert.ErrorIs(t, err, os.ErrNotExist, "nothing is unpacked onto the disk")
}

func TestArchiveCounts(t *testing.T) {
	c := &collector{archive: "many.zip", files: memfs.Files{}, entries: archiveEntries}
	assert.EqualError(t, c.take("a.md", nil), "has more than 100000 entries, the most an archive may have; split it")
}
