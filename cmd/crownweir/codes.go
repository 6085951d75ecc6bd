package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"crownweir/lint/codebook"
	"crownweir/lint/sheet/closing"
)

// codesCommand lists the code books.
type codesCommand struct {
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
