package grammars

import (
	"bytes"
	"encoding/json"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// tmRule is a rule as TextMate's JSON has it.
type tmRule struct {
	Include  string             `json:"include,omitempty"`
	Name     string             `json:"name,omitempty"`
	Match    string             `json:"match,omitempty"`
	Captures map[string]tmScope `json:"captures,omitempty"`
	Patterns []tmRule           `json:"patterns,omitempty"`
}

type tmScope struct {
	Name     string   `json:"name,omitempty"`
	Patterns []tmRule `json:"patterns,omitempty"`
}

type tmGrammar struct {
	Comment    string            `json:"comment"`
	Name       string            `json:"name"`
	ScopeName  string            `json:"scopeName"`
	FileTypes  []string          `json:"fileTypes"`
	Patterns   []tmRule          `json:"patterns"`
	Repository map[string]tmRule `json:"repository"`
}

func textMate(t *testing.T, _ string) string {
	t.Helper()
	g := tmGrammar{
		Comment:    "Written by editors/grammars from the notation's words; do not edit.",
		Name:       "Weir",
		ScopeName:  "source.weir",
		FileTypes:  []string{"weir"},
		Repository: map[string]tmRule{},
	}
	for _, r := range rules() {
		g.Patterns = append(g.Patterns, tmRule{Include: "#" + r.id})
		g.Repository[r.id] = tmOf(r)
	}
	g.Patterns = append(g.Patterns,
		tmRule{Name: "punctuation.separator.items.weir", Match: ":"},
		tmRule{Name: "punctuation.separator.item.weir", Match: ","})
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	require.NoError(t, e.Encode(g))
	return b.String()
}

func tmOf(r rule) tmRule {
	if r.whole == text {
		// the pattern of escapes runs inside what the text matched
		escape := tmRule{Name: "constant.character.escape.weir", Match: `\\"`}
		return tmRule{Name: scopeOf(text), Match: r.pattern, Captures: map[string]tmScope{"0": {Patterns: []tmRule{escape}}}}
	}
	if r.groups == nil {
		return tmRule{Name: scopeOf(r.whole), Match: r.pattern}
	}
	out := tmRule{Match: r.pattern, Captures: map[string]tmScope{}}
	for i, c := range r.groups {
		out.Captures[strconv.Itoa(i+1)] = tmScope{Name: scopeOf(c)}
	}
	return out
}
