package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"crownweir/lint/codebook"
	"crownweir/lint/sheet/closing"
	"crownweir/lint/sheet/schedule"
)

// codesCommand lists the code books, or tells how two of them differ on a plan.
type codesCommand struct {
	Path    string `arg:"" optional:"" help:"A plan, or - for stdin: tell where the books of --against answer differently."`
	Against string `placeholder:"BOOK" help:"The code book to lay beside the plan's own, or beside that of --code."`
	adopting
	naming
	Format string `placeholder:"FORMAT" default:"text" help:"${listFormats}."`
	destination
}

// bookLine is what the list says of a code book.
type bookLine struct {
	Name       string `json:"name"`
	Title      string `json:"title"`
	Edition    int    `json:"edition"`
	Family     string `json:"family"`
	Limits     int    `json:"limits"`
	FromMemory int    `json:"from_memory"`
}

// Run writes the list.
func (c *codesCommand) Run(s *session) error {
	if err := oneOf("--format", c.Format, "text", "markdown", "json"); err != nil {
		return err
	}
	if c.Against != "" || c.Path != "" {
		return c.differ(s)
	}
	if a := c.adopting; a.Code != "" || a.Amend != nil || a.Only != nil || a.Skip != nil || a.reckoning != (reckoning{}) || c.StdinName != "" {
		return misused("codes lists the books as they are; name a plan and --against BOOK to judge it")
	}
	books := []bookLine{}
	for _, name := range s.env.library.books() {
		book, err := s.env.library.book(name)
		if err != nil {
			return err
		}
		books = append(books, describe(book))
	}
	out := s.document(c.destination)
	var err error
	switch c.Format {
	case "json":
		e := json.NewEncoder(out)
		e.SetIndent("", "  ")
		err = e.Encode(map[string]any{"version": 1, "books": books, "caution": closing.Caution})
	case "markdown":
		err = codesMarkdown(out, books)
	default:
		err = codesText(out, books)
	}
	if err != nil {
		return err
	}
	return out.finish()
}

// differ judges a plan by two books and writes where they part.
func (c *codesCommand) differ(s *session) error {
	switch {
	case c.Path == "":
		return misused("--against needs a plan; name one")
	case c.Against == "":
		return misused("codes judges a plan by two books; name the second with --against")
	}
	if err := oneOf("--against", c.Against, s.env.library.books()...); err != nil {
		return err
	}
	reader := reader{session: s, stdinName: c.StdinName, config: s.configs(s.env.library.rules())}
	judge, err := s.judge(c.judging(), &reader.config)
	if err != nil {
		return err
	}
	in, ok := s.onePlan(&reader, c.Path)
	if !ok {
		return nil
	}
	if in.err == nil { // read once for both: stdin is gone after that
		plan, err := in.load()
		if err != nil {
			s.refused(in.name, err)
			return nil
		}
		defer plan.close()
		kept := plan
		kept.close = func() {}
		in.load = func() (loaded, error) { return kept, nil }
	}
	own, ok := s.report(in, judge)
	if !ok {
		return nil
	}
	other := judge
	other.options.Book = c.Against
	beside, ok := s.report(in, other)
	if !ok {
		return nil
	}
	if own.Book.Name == beside.Book.Name {
		return misused("--against %s: that book judges the plan already; name another", c.Against)
	}
	sheet, ok := schedule.Against(in.name, own, beside)
	if !ok {
		s.complain(in.name, "was not judged to its end")
		return nil
	}
	out := s.document(c.destination)
	if err := schedule.Write(out, c.Format, sheet); err != nil {
		return err
	}
	return out.finish()
}

func describe(b *codebook.Book) bookLine {
	tally := b.Tally()
	return bookLine{b.Name, b.Title, b.Edition, b.Family, tally.Limits, tally.FromMemory}
}

func codesText(w io.Writer, books []bookLine) error {
	var b strings.Builder
	for _, book := range books {
		fmt.Fprintf(&b, "%-10s  %s, edition %d: %d limits, %d of them from memory\n",
			book.Name, book.Title, book.Edition, book.Limits, book.FromMemory)
	}
	fmt.Fprintf(&b, "\n%s\n", closing.Caution)
	_, err := io.WriteString(w, b.String())
	return err
}

func codesMarkdown(w io.Writer, books []bookLine) error {
	var b strings.Builder
	b.WriteString("| Code book | Title | Edition | Limits | From memory |\n| --- | --- | --- | --- | --- |\n")
	for _, book := range books {
		fmt.Fprintf(&b, "| `%s` | %s | %d | %d | %d |\n", book.Name, book.Title, book.Edition, book.Limits, book.FromMemory)
	}
	fmt.Fprintf(&b, "\n%s\n", closing.Caution)
	_, err := io.WriteString(w, b.String())
	return err
}
