package lint_test

import (
	"context"
	"path"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"crownweir/grammar"
	"crownweir/lint"
	"crownweir/lint/rule"
)

// examplePath is where a rule's example stands, which a failure names.
func examplePath(name, which string) string {
	return path.Join("rule", "examples", name+"."+which+".weir")
}

// checkSource judges one plan that stands alone.
func checkSource(t *testing.T, name, src string) *lint.Report {
	t.Helper()
	fsys := fstest.MapFS{name: &fstest.MapFile{Data: []byte(src)}}
	r := lint.Check(context.Background(), fsys, name, lint.Options{Today: today})
	require.Empty(t, r.Unread)
	return r
}

// alsoRules reads the comment lines `# also RULE` at the head of a bad example:
// what it cannot help but break besides.
func alsoRules(src string) map[string]bool {
	also := map[string]bool{}
	for _, line := range strings.Split(src, "\n") {
		text, ok := strings.CutPrefix(line, "# also ")
		if ok {
			also[strings.Fields(text)[0]] = true
		}
	}
	return also
}

// open lists the findings that somebody must answer: no advice, none waived.
func open(r *lint.Report) []lint.Finding {
	var out []lint.Finding
	for _, f := range r.Findings {
		if f.Severity != lint.Advice && f.Waived == nil {
			out = append(out, f)
		}
	}
	return out
}

// TestExamples holds every rule of the catalogue to its two examples: the bad
// plan breaks that rule alone, the good one breaks none.
func TestExamples(t *testing.T) {
	for _, r := range rule.All() {
		t.Run(r.Name, func(t *testing.T) {
			bad, good := r.Example("bad"), r.Example("good")
			require.NotEmpty(t, bad, "write %s: a small plan that breaks the rule", examplePath(r.Name, "bad"))
			require.NotEmpty(t, good, "write %s: the same plan put right", examplePath(r.Name, "good"))
			require.True(t, strings.HasPrefix(bad, "# "), "the first line of %s says what is wrong", examplePath(r.Name, "bad"))
			require.True(t, strings.HasPrefix(good, "# "), "the first line of %s says what is right", examplePath(r.Name, "good"))
			badExample(t, r, bad)
			goodExample(t, r, good)
		})
	}
}

func badExample(t *testing.T, r rule.Rule, src string) {
	file := examplePath(r.Name, "bad")
	report := checkSource(t, path.Base(file), src)
	also := alsoRules(src)
	hit := false
	for _, f := range report.Findings {
		hit = hit || f.Rule == r.Name && f.Waived == nil
	}
	if !hit {
		t.Errorf("%s does not break %s; found:\n%s", file, r.Name, all(report))
	}
	seen := map[string]bool{}
	for _, f := range open(report) {
		seen[f.Rule] = true
		if f.Rule != r.Name && !also[f.Rule] {
			t.Errorf("%s breaks another rule (put it right, or say why above the plan with `# also %s`):\n%s", file, f.Rule, show(f))
		}
	}
	for name := range also {
		if !seen[name] {
			t.Errorf("%s says `# also %s`, which it does not break", file, name)
		}
	}
}

func goodExample(t *testing.T, r rule.Rule, src string) {
	file := examplePath(r.Name, "good")
	report := checkSource(t, path.Base(file), src)
	for _, f := range report.Findings {
		if f.Waived == nil && (f.Severity != lint.Advice || f.Rule == r.Name) {
			t.Errorf("%s must be clean, but:\n%s", file, show(f))
		}
	}
	formatted, problems := grammar.Format(grammar.Parse(file, src))
	require.Empty(t, problems)
	require.Equal(t, formatted, src, "%s is not in the canonical layout; run `crownweir fmt` on it", file)
}
