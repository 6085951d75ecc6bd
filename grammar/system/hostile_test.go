package system_test

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/grammar/system"
)

func file(text string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(text)} }

func TestIncludes(t *testing.T) {
	tree := fstest.MapFS{
		"secret.weir":     file("level attic at 30'\n"),
		"plan/typ.weir":   file("level upper at 9'6\"\ninclude \"sub/more.weir\"\n"),
		"plan/ring1.weir": file("include \"ring2.weir\"\n"),
		"plan/ring2.weir": file("include \"ring1.weir\"\n"),
		"plan/run.weir":   file("drain a to b 3\": east 2'\n"),
		"plan/latin.weir": file("note \"caf\xe9\"\n"),
		"plan/sub/more.weir": file(`typical stub
fixture FD floor-drain
end
include "../typ2.weir"
`),
		"plan/typ2.weir": file("room hall on upper\n"),
	}
	for i := range 12 {
		tree[fmt.Sprintf("plan/d%d.weir", i)] = file(fmt.Sprintf("include \"d%d.weir\"\n", i+1))
	}
	in := func(root, body string) *system.System {
		sub, err := fs.Sub(tree, root)
		require.NoError(t, err)
		return system.BuildSource(sub, "a.weir", "plan \"x\"\n"+body, system.Options{})
	}
	said := func(s *system.System) string {
		var out []string
		for _, p := range s.Problems {
			out = append(out, p.Rule+": "+p.Message)
		}
		return strings.Join(out, "\n")
	}

	s := in("plan", "include \"typ.weir\"\nplace stub as S in hall at 0',0'\n")
	assert.Empty(t, said(s))
	assert.InDelta(t, 114, s.Point("S.FD").Floor()/inch, 1e-9, "the room of one file, on the level of another")
	assert.Equal(t, []string{"a.weir", "typ.weir", "sub/more.weir", "typ2.weir"}, s.Order)

	for _, c := range []struct{ body, says string }{
		{`include "../secret.weir"`, `refused-input: include "../secret.weir" leaves the plan's folder tree`},
		{`include "sub/../../secret.weir"`, "leaves the plan's folder tree"},
		{`include "/etc/passwd"`, "leaves the plan's folder tree"},
		{`include "C:\\secret.weir"`, "leaves the plan's folder tree"},
		{`include "a.weir"`, `refused-input: include "a.weir" closes a circle: a.weir → a.weir`},
		{`include "ring1.weir"`, "closes a circle: ring1.weir → ring2.weir → ring1.weir"},
		{`include "d0.weir"`, "is more than 8 files deep"},
		{`include "sub"`, `include "sub" is a folder, not a plan`},
		{`include "gone.weir"`, `include "gone.weir" does not exist`},
		{`include "latin.weir"`, "is not UTF-8 text (byte 10)"},
		{`include "run.weir"`, "refused-input: `drain` in an included file: it holds levels, rooms, typicals and notes only"},
	} {
		assert.Contains(t, said(in("plan", c.body+"\n")), c.says, c.body)
	}
}

func TestWhatIsNoPlan(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "folder.weir"), 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "big.weir"), make([]byte, 17<<20), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "bytes.weir"), []byte("plan \"\xff\"\n"), 0o600))
	for name, says := range map[string]string{
		"folder.weir": "is a folder", "big.weir": "is 17 MB; a plan is at most 16 MB",
		"bytes.weir": "is not UTF-8 text (byte 7)", "gone.weir": "does not exist",
	} {
		_, err := system.Load(os.DirFS(dir), name, system.Options{})
		require.ErrorContains(t, err, says, name)
	}
}

// TestWhatPlacesWithoutEnd: typicals that would place more than a plan may
// hold are cut short and said so, once.
func TestWhatPlacesWithoutEnd(t *testing.T) {
	nest := func(deep, wide int, body string) string {
		src, copies := "plan \"x\"\ntypical t0\n"+body+"end\n", "X"
		if wide > 1 {
			copies = fmt.Sprintf("X1..X%d", wide)
		}
		for i := 1; i <= deep; i++ {
			src += fmt.Sprintf("typical t%d\nplace t%d as %s\nend\n", i, i-1, copies)
		}
		return src + fmt.Sprintf("place t%d as Z\n", deep)
	}
	for name, c := range map[string]struct{ src, says string }{
		"itself":           {"plan \"x\"\ntypical a\nplace a as B\nend\nplace a as A\n", "typical a is placed inside itself"},
		"each other":       {"plan \"x\"\ntypical a\nplace b as B\nend\ntypical b\nplace a as A\nend\nplace a as A1..A9\n", "typical a is placed inside itself"},
		"too many":         {nest(8, 10, "fixture FD floor-drain\n"), "the typicals place more than 400000 lines; the rest is left out"},
		"too many of none": {nest(14, 10, "note \"x\"\n"), "the typicals place more than 400000 lines; the rest is left out"},
		"too deep":         {nest(30, 1, "fixture FD floor-drain\n"), "is placed more than 16 typicals deep"},
	} {
		t.Run(name, func(t *testing.T) {
			s := system.BuildSource(nil, "a.weir", c.src, system.Options{})
			n := 0
			for _, p := range s.Problems {
				if p.Rule == "refused-input" {
					assert.Contains(t, p.Message, c.says)
					n++
				}
			}
			assert.Equal(t, 1, n)
			assert.LessOrEqual(t, s.Placed, 400_001)
		})
	}
}

// TestSlipsStayCheap: a plan of nothing but misspelt names is compared with the
// names it has only so often.
func TestSlipsStayCheap(t *testing.T) {
	src := "plan \"x\"\nlevel ground at 0'\n"
	for i := range 5000 {
		src += fmt.Sprintf("drain aa%d to bb%d 3\": cleanout, down to cc%d\nfixture F%d lavatory in rm%d\nplace t%d as T%d\n", i, i, i, i, i, i, i)
	}
	s := system.BuildSource(nil, "a.weir", src, system.Options{})
	unknown, told := 0, 0
	for _, p := range s.Problems {
		if p.Rule == "unknown-name" {
			unknown++
			if strings.Contains(p.Remedy, "correct the name, or make the") {
				told++
			}
		}
	}
	assert.Equal(t, 15_000, unknown)
	assert.Greater(t, told, 4000, "the later ones get no suggestion")
}
