package lint_test

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"
	"testing/fstest"

	"crownweir/lint"
)

// FuzzCheck: whatever stands in a plan, a check ends, every place it tells
// lies in the source, every finding has an id and a message, and the same
// input gives the same bytes.
func FuzzCheck(f *testing.F) {
	for _, glob := range []string{"../testdata/*/*.weir", "rule/examples/*.weir"} {
		files, err := filepath.Glob(glob)
		if err != nil {
			f.Fatal(err)
		}
		for _, name := range files {
			src, err := os.ReadFile(name)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(src)
		}
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		fsys := fstest.MapFS{"a.weir": {Data: src}}
		r := lint.Check(context.Background(), fsys, "a.weir", lint.Options{Today: today})
		for _, x := range r.Findings {
			if x.ID == "" || x.Message == "" || x.Start.Line < 1 || x.StartByte < 0 || x.EndByte > len(src) || x.StartByte > x.EndByte {
				t.Fatalf("%+v", x)
			}
		}
		again := lint.Check(context.Background(), fsys, "a.weir", lint.Options{Today: today})
		a, errA := json.Marshal(r.Findings)
		b, errB := json.Marshal(again.Findings)
		if errA != nil || errB != nil || string(a) != string(b) {
			t.Fatalf("two checks differ: %v %v", errA, errB)
		}
	})
}
