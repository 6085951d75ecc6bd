// Package rulepage shows rules as the catalogue describes them: one on a page,
// or all of them in a table.
//
// It refuses to know what a rule judges or how: everything on a page stands in
// the rule's own description.
package rulepage

import (
	"encoding/json"
	"fmt"
	"io"
	"sort"
	"strings"

	"crownweir/lint"
)

// PageFormats names the formats of one rule's page.
func PageFormats() []string { return []string{"text", "markdown"} }

// ListFormats names the formats of the catalogue.
func ListFormats() []string { return []string{"text", "markdown", "json"} }

// Text is a rule's page for a terminal.
func Text(r lint.RuleInfo) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\n%s, %s\n", r.Name, r.Title, strings.ToLower(r.Family), r.Severity)
	section := func(title, body string) {
		if body != "" {
			fmt.Fprintf(&b, "\n%s\n%s\n", title, indent(body))
		}
	}
	if r.Retired != "" {
		section("Retired", r.Retired+" follows it")
	}
	section("Why", r.Why)
	section("Sections", strings.Join(sections(r), "\n"))
	section("How it is computed", r.Computed)
	section("What the plan must write", strings.Join(r.Needs, "\n"))
	section("Breaks it", r.Bad)
	section("Put right", r.Good)
	return b.String()
}

// Markdown is a rule's page as a document.
func Markdown(r lint.RuleInfo) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# %s\n\n%s. *%s, %s.*\n", r.Name, r.Title, r.Family, r.Severity)
	if r.Retired != "" {
		fmt.Fprintf(&b, "\nRetired: `%s` follows it.\n", r.Retired)
	}
	prose := func(title, body string) {
		if body != "" {
			fmt.Fprintf(&b, "\n## %s\n\n%s\n", title, strings.TrimSpace(body))
		}
	}
	list := func(title string, items []string) {
		if len(items) > 0 {
			prose(title, "- "+strings.Join(items, "\n- "))
		}
	}
	plan := func(title, body string) {
		if body != "" {
			prose(title, "```\n"+strings.TrimRight(body, "\n")+"\n```")
		}
	}
	prose("Why", r.Why)
	list("Sections", sections(r))
	prose("How it is computed", r.Computed)
	list("What the plan must write", r.Needs)
	plan("Breaks it", r.Bad)
	plan("Put right", r.Good)
	return b.String()
}

// List writes the catalogue in one of ListFormats. An error is the
// destination's, or a format that is not among them.
func List(w io.Writer, format string, rules []lint.RuleInfo) error {
	switch format {
	case "text":
		return listText(w, rules)
	case "markdown":
		return listMarkdown(w, rules)
	case "json":
		return listJSON(w, rules)
	}
	return fmt.Errorf("no format %q; use %s", format, strings.Join(ListFormats(), ", "))
}

func listText(w io.Writer, rules []lint.RuleInfo) error {
	wide := 0
	for _, r := range rules {
		wide = max(wide, len(r.Name))
	}
	var b strings.Builder
	family := ""
	for _, r := range rules {
		if r.Family != family {
			if family != "" {
				b.WriteByte('\n')
			}
			family = r.Family
			fmt.Fprintf(&b, "%s\n", family)
		}
		fmt.Fprintf(&b, "  %-*s  %-10s  %s\n", wide, r.Name, r.Severity, title(r))
	}
	fmt.Fprintf(&b, "\n%d rules\n", len(rules))
	_, err := io.WriteString(w, b.String())
	return err
}

func listMarkdown(w io.Writer, rules []lint.RuleInfo) error {
	var b strings.Builder
	family := ""
	for _, r := range rules {
		if r.Family != family {
			if family != "" {
				b.WriteByte('\n')
			}
			family = r.Family
			fmt.Fprintf(&b, "## %s\n\n| Rule | Severity | Fault | Sections |\n| --- | --- | --- | --- |\n", family)
		}
		cell := func(text string) string { return strings.ReplaceAll(text, "|", `\|`) }
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", r.Name, r.Severity, cell(title(r)), cell(strings.Join(sections(r), "<br>")))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

type entry struct {
	Name     string            `json:"name"`
	Family   string            `json:"family"`
	Title    string            `json:"title"`
	Severity lint.Severity     `json:"severity"`
	Why      string            `json:"why"`
	Computed string            `json:"computed"`
	Needs    []string          `json:"needs"`
	Sections map[string]string `json:"sections"`
	Bad      string            `json:"bad"`
	Good     string            `json:"good"`
	Retired  string            `json:"retired,omitempty"`
}

func listJSON(w io.Writer, rules []lint.RuleInfo) error {
	entries := make([]entry, 0, len(rules))
	for _, r := range rules {
		e := entry(r)
		if e.Needs == nil {
			e.Needs = []string{}
		}
		if e.Sections == nil {
			e.Sections = map[string]string{}
		}
		entries = append(entries, e)
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(map[string]any{"version": 1, "rules": entries})
}

func title(r lint.RuleInfo) string {
	if r.Retired != "" {
		return "retired: " + r.Retired + " follows it"
	}
	return r.Title
}

func sections(r lint.RuleInfo) []string {
	var list []string
	for book, section := range r.Sections {
		list = append(list, book+": "+section)
	}
	sort.Strings(list)
	return list
}

func indent(text string) string {
	return "  " + strings.ReplaceAll(strings.TrimRight(text, "\n"), "\n", "\n  ")
}
