package grammars

import (
	"fmt"
	"strings"
	"testing"
)

// sublime writes a .sublime-syntax, which bat reads too. Its YAML needs no
// more than single quotes.
func sublime(t *testing.T, _ string) string {
	t.Helper()
	var b strings.Builder
	b.WriteString("%YAML 1.2\n---\n# Written by editors/grammars from the notation's words; do not edit.\n" +
		"name: Weir\nfile_extensions: [weir]\nscope: source.weir\nversion: 2\ncontexts:\n  main:\n")
	for _, r := range rules() {
		fmt.Fprintf(&b, "    - match: %s\n", yamlText(r.pattern))
		if r.groups == nil {
			fmt.Fprintf(&b, "      scope: %s\n", scopeOf(r.whole))
			continue
		}
		b.WriteString("      captures:\n")
		for i, c := range r.groups {
			fmt.Fprintf(&b, "        %d: %s\n", i+1, scopeOf(c))
		}
	}
	b.WriteString("    - match: ':'\n      scope: punctuation.separator.items.weir\n    - match: ','\n      scope: punctuation.separator.item.weir\n")
	return b.String()
}

func yamlText(s string) string { return "'" + strings.ReplaceAll(s, "'", "''") + "'" }
