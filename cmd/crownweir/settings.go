package main

import (
	"errors"
	"path/filepath"

	project "crownweir/lsp/settings"
)

// configs finds settings and reads each file once.
type configs struct {
	rules   []string
	books   []string
	folders map[string]found
	files   map[string]found
}

type found struct {
	settings *project.Settings
	err      error
}

// errReported stands in for a settings error that was handed out before.
var errReported = errors.New("its settings cannot be read")

// failOn is the least severity that makes the exit status 1.
type failOn string

func (c *configs) words() project.Words { return project.Words{Rules: c.rules, Books: c.books} }

// of finds the settings of a folder: the nearest file upwards. Settings that
// cannot be read are an error that is told once; there are no settings where
// there is no file.
func (c *configs) of(folder string) (*project.Settings, error) {
	abs, err := filepath.Abs(folder)
	if err != nil {
		return nil, reason(err)
	}
	if got, ok := c.folders[abs]; ok {
		return got.settings, got.err
	}
	if c.folders == nil {
		c.folders, c.files = map[string]found{}, map[string]found{}
	}
	got := found{}
	if file, _ := project.Find(abs); file != "" {
		got = c.file(file)
	}
	later := got
	if got.err != nil {
		later.err = errReported
	}
	c.folders[abs] = later
	return got.settings, got.err
}

func (c *configs) file(name string) found {
	if got, ok := c.files[name]; ok {
		if got.err != nil {
			got.err = errReported
		}
		return got
	}
	s, err := c.words().Read(name)
	var wrong *project.Wrong
	if errors.As(err, &wrong) {
		err = placedError{wrong.Place(), wrong.Text}
	}
	c.files[name] = found{s, err}
	return c.files[name]
}

// placedError is what is wrong, and where.
type placedError struct{ place, text string }

func (e placedError) Error() string { return e.place + ": " + e.text }

func (c *configs) isRule(name string) error {
	if err := c.words().Rule(name); err != nil {
		return misuse{err.Error()}
	}
	return nil
}
