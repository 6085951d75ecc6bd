package main

import (
	"io"

	"crownweir/lint"
	"crownweir/lint/sheet/rulepage"
)

// explainCommand shows a rule's page.
type explainCommand struct {
	Rule   string `arg:"" help:"The rule, as findings name it."`
	Format string `placeholder:"FORMAT" default:"text" help:"${pageFormats}."`
	destination
}

// Run writes the page.
func (c *explainCommand) Run(s *session) error {
	if err := oneOf("--format", c.Format, rulepage.PageFormats()...); err != nil {
		return err
	}
	rule, err := findRule(c.Rule, s.env.library.rules())
	if err != nil {
		return err
	}
	page := rulepage.Text(rule)
	if c.Format == "markdown" {
		page = rulepage.Markdown(rule)
	}
	out := s.document(c.destination)
	if _, err := io.WriteString(out, page); err != nil {
		return err
	}
	return out.finish()
}

// findRule finds a rule by its name. One that is retired names the rule that
// follows it.
func findRule(name string, rules []lint.RuleInfo) (lint.RuleInfo, error) {
	names := make([]string, 0, len(rules))
	for _, r := range rules {
		if r.Name == name && r.Retired != "" {
			return r, misused("rule %q is retired; %s follows it", name, r.Retired)
		}
		if r.Name == name {
			return r, nil
		}
		names = append(names, r.Name)
	}
	return lint.RuleInfo{}, (&configs{rules: names}).isRule(name)
}
