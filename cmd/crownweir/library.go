package main

import (
	"context"
	"io/fs"

	"crownweir/grammar"
	"crownweir/lint"
	"crownweir/lint/codebook"
	"crownweir/lint/fit"
)

// library is what the commands call; a test puts its own in place.
type library struct {
	check  func(ctx context.Context, fsys fs.FS, path string, opts lint.Options) *lint.Report
	size   func(ctx context.Context, fsys fs.FS, path string, opts fit.Options) (*fit.Result, error)
	rules  func() []lint.RuleInfo
	parse  func(path, src string) *grammar.File
	format func(*grammar.File) (string, []grammar.Problem)
	books  func() []string
	book   func(name string) (*codebook.Book, error)
}

func theLibrary() library {
	return library{
		check:  lint.Check,
		size:   fit.Solve,
		rules:  lint.Rules,
		parse:  grammar.Parse,
		format: grammar.Format,
		books:  codebook.Names,
		book:   codebook.Load,
	}
}
