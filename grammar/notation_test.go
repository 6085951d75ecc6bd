package grammar

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestNotationPage holds that every example of NOTATION.md is read without a
// problem, and that its generated parts are those of the tables.
func TestNotationPage(t *testing.T) {
	const path = "NOTATION.md"
	page, err := os.ReadFile(path)
	require.NoError(t, err)
	text := string(page)
	examples := 0
	for _, part := range strings.Split(text, "```weir\n")[1:] {
		source, _, closed := strings.Cut(part, "```")
		require.True(t, closed)
		f := Parse("example.weir", source)
		require.Empty(t, problemsText(f), source)
		require.NotEmpty(t, f.Statements)
		checkFormat(t, source)
		examples++
	}
	require.Greater(t, examples, 6)
	text = replaced(t, text, "attributes", attributeTable())
	text = replaced(t, text, "grammar", "```ebnf\n"+Grammar()+"```\n")
	golden(t, path, text)
}

// replaced puts body between the marks of a generated part.
func replaced(t *testing.T, text, mark, body string) string {
	t.Helper()
	before, rest, ok := strings.Cut(text, "<!-- "+mark+" -->\n")
	require.True(t, ok, mark)
	_, after, ok := strings.Cut(rest, "<!-- end -->")
	require.True(t, ok, mark)
	return before + "<!-- " + mark + " -->\n" + body + "<!-- end -->" + after
}

func attributeTable() string {
	var b strings.Builder
	b.WriteString("| after | attributes |\n| --- | --- |\n")
	for _, keyword := range []string{
		"fixture", "main", "outfall", "terminal", "heater", "manifold", "ejector", "interceptor", "fitting", "object", "existing",
		"leg", "trap", "cleanout", "valve", "meter", "regulator", "backflow", "air-gap", "loss", "dwelling",
	} {
		var forms []string
		for _, s := range AttrSpecs(keyword) {
			form := s.Form
			if s.Repeats {
				form += "..."
			}
			forms = append(forms, "`"+strings.ReplaceAll(form, "|", `\|`)+"`")
		}
		fmt.Fprintf(&b, "| %s | %s |\n", keyword, strings.Join(forms, ", "))
	}
	return b.String()
}
