package system_test

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"crownweir/grammar/system"
)

// seeds adds every plan of testdata to a fuzz target's seeds.
func seeds(f *testing.F) {
	for _, glob := range []string{"plans", "mistakes", "scenarios", "questions", "published"} {
		files, err := filepath.Glob(filepath.Join("..", "..", "testdata", glob, "*.weir"))
		if err != nil {
			f.Fatal(err)
		}
		for _, name := range files {
			src, err := os.ReadFile(name)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(string(src))
		}
	}
}

// FuzzBuild: whatever stands in a plan, building ends, every place it tells
// lies in the source, no length is negative and no number is not one.
func FuzzBuild(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, src string) {
		s := system.BuildSource(nil, "a.weir", src, system.Options{})
		for _, p := range s.Problems {
			if p.Loc.Span.Start < 0 || p.Loc.Span.End > len(src) || p.Loc.Span.Start > p.Loc.Span.End {
				t.Fatalf("%s at %v of %d bytes", p.Rule, p.Loc.Span, len(src))
			}
		}
		for _, p := range s.Pipes {
			if p.From == nil || p.To == nil {
				t.Fatalf("%s hangs loose", p.Run.Name())
			}
			for i := range p.Parts {
				pt := &p.Parts[i]
				if pt.Length.Known() && (math.IsNaN(pt.Length.V) || math.IsInf(pt.Length.V, 0)) {
					t.Fatalf("%s: length %v", p.Run.Name(), pt.Length.V)
				}
				if pt.Z1.Known() && math.IsNaN(pt.Z1.V) {
					t.Fatalf("%s: height %v", p.Run.Name(), pt.Z1.V)
				}
			}
		}
	})
}
