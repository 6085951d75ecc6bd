package main

import "crownweir/lint/sheet/rulepage"

// rulesCommand lists the rules.
type rulesCommand struct {
	Format string `placeholder:"FORMAT" default:"text" help:"${listFormats}."`
	destination
}

// Run writes the catalogue.
func (c *rulesCommand) Run(s *session) error {
	if err := oneOf("--format", c.Format, rulepage.ListFormats()...); err != nil {
		return err
	}
	out := s.document(c.destination)
	if err := rulepage.List(out, c.Format, s.env.library.rules()); err != nil {
		return err
	}
	return out.finish()
}
