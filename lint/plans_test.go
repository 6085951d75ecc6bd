package lint_test

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"crownweir/lint"
)

// today is the day on which the plans of testdata are checked.
var today = time.Date(2026, 11, 20, 0, 0, 0, 0, time.UTC)

// expectation is a line of a plan's head: `# expect RULE on SUBJECT`,
// `# never RULE [on SUBJECT]`, `# clean`.
type expectation struct {
	never         bool
	rule, subject string
	line          int
}

func expectations(src string) (list []expectation, clean bool) {
	for i, line := range strings.Split(src, "\n") {
		text, ok := strings.CutPrefix(strings.TrimSpace(line), "# ")
		if !ok {
			continue
		}
		text = strings.TrimPrefix(text, "later ")
		if text == "clean" {
			clean = true
		}
		word, rest, _ := strings.Cut(text, " ")
		if word != "expect" && word != "never" {
			continue
		}
		rule, subject, _ := strings.Cut(rest, " on ")
		list = append(list, expectation{word == "never", strings.TrimSpace(rule), strings.TrimSpace(subject), i + 1})
	}
	return list, clean
}

func matches(f lint.Finding, x expectation) bool {
	if f.Rule != x.rule {
		return false
	}
	if x.subject == "" || f.Subject == x.subject {
		return true
	}
	for _, c := range f.Copies {
		if c == x.subject {
			return true
		}
	}
	return false
}

// TestPlans holds every plan of testdata to what its head expects.
func TestPlans(t *testing.T) {
	root := filepath.Join("..", "testdata")
	fsys := os.DirFS(root)
	known := map[string]bool{}
	for _, r := range lint.Rules() {
		known[r.Name] = true
	}
	n := 0
	require.NoError(t, fs.WalkDir(fsys, ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(p) != ".weir" {
			return err
		}
		src, err := fs.ReadFile(fsys, p)
		if err != nil {
			return err
		}
		want, clean := expectations(string(src))
		if len(want) == 0 && !clean {
			return nil
		}
		n++
		t.Run(p, func(t *testing.T) {
			sub, err := fs.Sub(fsys, path.Dir(p))
			require.NoError(t, err)
			r := lint.Check(context.Background(), sub, path.Base(p), lint.Options{Today: today})
			require.Empty(t, r.Unread)
			for _, x := range want {
				if !known[x.rule] {
					continue // a rule that a later edition of the catalogue brings
				}
				hit := []string{}
				for _, f := range r.Findings {
					if matches(f, x) && f.Waived == nil {
						hit = append(hit, show(f))
					}
				}
				switch {
				case x.never && len(hit) > 0:
					t.Errorf("line %d: must not find %s on %s, but:\n%s", x.line, x.rule, x.subject, strings.Join(hit, "\n"))
				case !x.never && len(hit) == 0:
					t.Errorf("line %d: expected %s on %s; found:\n%s", x.line, x.rule, x.subject, all(r))
				}
			}
			if clean {
				for _, f := range r.Findings {
					if f.Severity != lint.Advice && f.Waived == nil {
						t.Errorf("must be clean, but: %s", show(f))
					}
				}
			}
		})
		return nil
	}))
	require.Greater(t, n, 50, "plans with expectations")
}

func show(f lint.Finding) string {
	return fmt.Sprintf("  %d:%d %s: %s [%s] on %s %v", f.Start.Line, f.Start.Column, f.Severity, f.Message, f.Rule, f.Subject, f.Copies)
}

func all(r *lint.Report) string {
	var b strings.Builder
	for _, f := range r.Findings {
		b.WriteString(show(f) + "\n")
	}
	return b.String()
}
