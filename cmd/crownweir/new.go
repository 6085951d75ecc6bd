package main

import (
	_ "embed"
	"errors"
	"io"
	"io/fs"
	"os"
	"strings"
)

//go:embed starter.weir
var starter string

const starterTitle = "Starter plan"

// newCommand writes a starter plan.
type newCommand struct {
	Name string `arg:"" optional:"" help:"What the plan is called."`
	destination
}

// Run writes the plan.
func (c *newCommand) Run(s *session) error {
	plan := starter
	if c.Name != "" {
		if strings.ContainsFunc(c.Name, func(r rune) bool { return r < ' ' || r == 0x7f }) {
			return misused("the name has a line break or another control character; leave it out")
		}
		title := strings.ReplaceAll(c.Name, `"`, `\"`)
		plan = strings.Replace(plan, `"`+starterTitle+`"`, `"`+title+`"`, 1)
	}
	if c.Output != "" && c.Output != "-" {
		if _, err := os.Lstat(c.Output); !errors.Is(err, fs.ErrNotExist) {
			return misused("--output %s: is there already; name another file", c.Output)
		}
	}
	out := s.document(c.destination)
	if _, err := io.WriteString(out, plan); err != nil {
		return err
	}
	return out.finish()
}
