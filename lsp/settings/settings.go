// Package settings reads a project's crownweir.toml, which the command line
// and the language server judge by alike: found upwards from a plan, every
// word of it checked, and what is wrong told with its place.
//
// It refuses to know what a setting does to a plan, and keeps nothing: whoever
// asks twice reads twice.
package settings

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/bmatcuk/doublestar/v4"
	"github.com/pelletier/go-toml/v2"

	"crownweir/grammar"
)

// File is looked for in a plan's folder and in those above it.
const File = "crownweir.toml"

// Settings is a project's crownweir.toml.
type Settings struct {
	Code     string            `toml:"code"`
	Amend    []string          `toml:"amend"` // relative to the settings' folder
	FailOn   string            `toml:"fail-on"`
	Only     []string          `toml:"only"`
	Skip     []string          `toml:"skip"`
	Severity map[string]string `toml:"severity"`
	Exclude  []string          `toml:"exclude"`

	// Folder is where the file stands, absolute. Amendments are the files that
	// Amend names.
	Folder     string      `toml:"-"`
	Amendments []Amendment `toml:"-"`
}

// FailOn lists the severities that `fail-on` takes.
func FailOn() []string { return []string{"correction", "caution", "advice", "never"} }

// severities lists what a rule's severity may be.
func severities() []string { return []string{"correction", "caution", "advice", "off"} }

// kind is what a setting is called, takes and does.
type kind struct{ name, takes, says string }

func kinds() []kind {
	return []kind{
		{"code", "the name of a code book", "the code book, whatever the plans name"},
		{"amend", "a list of files", "files of a city's amendments, relative to this one, laid over the book in their order"},
		{"fail-on", List(FailOn()), "the least severity of a finding with which `check` ends with status 1"},
		{"only", "a list of rules", "the rules that are judged, and no other"},
		{"skip", "a list of rules", "rules that are not judged"},
		{"severity", "a table of rules with " + List(severities()), "the severity of rules; `off` leaves one out"},
		{"exclude", "a list of patterns", "plans and folders that are left out of folders, globs and archives, relative to this file; `**` stands for any folders"},
	}
}

// Excludes tells whether a walk leaves the plan of that name out.
func (s *Settings) Excludes(name string) bool {
	if s == nil || len(s.Exclude) == 0 {
		return false
	}
	abs, err := filepath.Abs(name)
	if err != nil {
		return false
	}
	rel, err := filepath.Rel(s.Folder, abs)
	if err != nil {
		return false
	}
	for at := filepath.ToSlash(rel); at != "." && at != "/"; at = filepath.ToSlash(filepath.Dir(at)) {
		for _, p := range s.Exclude {
			if ok, _ := doublestar.Match(p, at); ok {
				return true
			}
		}
	}
	return false
}

// Find is the settings file that holds in a folder: the nearest upwards, ""
// where there is none. looked lists every place that was looked at.
func Find(folder string) (file string, looked []string) {
	for at := folder; ; at = filepath.Dir(at) {
		file := filepath.Join(at, File)
		looked = append(looked, file)
		info, err := os.Stat(file)
		if err == nil && info.Mode().IsRegular() {
			return file, looked
		}
		if err != nil && !errors.Is(err, fs.ErrNotExist) && !errors.Is(err, fs.ErrPermission) {
			return "", looked
		}
		if filepath.Dir(at) == at {
			return "", looked
		}
	}
}

// Words are the names that settings may use.
type Words struct {
	Rules, Books []string
}

// Wrong is what is wrong with a settings file, and where: line and column from
// 1, in characters; both 0 where it is the file as a whole.
type Wrong struct {
	File         string
	Line, Column int
	Text         string
}

func (w *Wrong) Error() string { return w.Place() + ": " + w.Text }

// Place is the place for people, the file's name as short as it can be told
// from the current folder.
func (w *Wrong) Place() string {
	name := shown(w.File)
	if w.Line == 0 {
		return name
	}
	return fmt.Sprintf("%s:%d:%d", name, w.Line, w.Column)
}

// shown is a file's name as short as it can be told from here.
func shown(name string) string {
	if here, err := os.Getwd(); err == nil {
		if rel, err := filepath.Rel(here, name); err == nil && !strings.HasPrefix(rel, "..") {
			return filepath.ToSlash(rel)
		}
	}
	return filepath.ToSlash(name)
}

// Read reads a settings file with the amendments it names. An error is a Wrong.
func (w Words) Read(name string) (*Settings, error) {
	source, err := readFile(name, func(f *os.File) ([]byte, error) { return ReadLimited(f) })
	if err != nil {
		return nil, &Wrong{File: name, Text: err.Error()}
	}
	s := &Settings{Folder: filepath.Dir(name)}
	decoder := toml.NewDecoder(strings.NewReader(string(source))).DisallowUnknownFields()
	if err := decoder.Decode(s); err != nil {
		return nil, decodeError(name, err)
	}
	if wrong := w.validate(s); wrong != nil {
		line, column := locate(string(source), wrong.word)
		return nil, &Wrong{name, line, column, wrong.text}
	}
	for _, file := range s.Amend {
		path := s.Path(file)
		a, err := ReadAmendment(path, shown(path))
		if err != nil {
			line, column := locate(string(source), file)
			return nil, &Wrong{name, line, column, fmt.Sprintf("amend %q: %v", file, err)}
		}
		s.Amendments = append(s.Amendments, a)
	}
	return s, nil
}

// Path is the file that a name in the settings means.
func (s *Settings) Path(name string) string {
	if filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(s.Folder, name)
}

func decodeError(name string, err error) *Wrong {
	at := func(e *toml.DecodeError, text string) *Wrong {
		line, column := e.Position()
		return &Wrong{name, line, column, text}
	}
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) && len(strict.Errors) > 0 {
		first := &strict.Errors[0]
		key := strings.Join(first.Key(), ".")
		var keys []string
		for _, k := range kinds() {
			keys = append(keys, k.name)
		}
		return at(first, fmt.Sprintf("there is no setting %q%s; use %s", key, meant(key, keys), List(keys)))
	}
	var decode *toml.DecodeError
	if !errors.As(err, &decode) {
		return &Wrong{File: name, Text: strings.TrimPrefix(err.Error(), "toml: ")}
	}
	// a value of the wrong kind is reported with the setting's own name
	if key := decode.Key(); len(key) > 0 {
		for _, k := range kinds() {
			if k.name == key[0] {
				return at(decode, fmt.Sprintf("%s takes %s", k.name, k.takes))
			}
		}
	}
	return at(decode, strings.TrimPrefix(decode.Error(), "toml: ")+"; write it as TOML")
}

// wrongWord is a value that is not among those there are.
type wrongWord struct{ word, text string }

func (w Words) validate(s *Settings) *wrongWord {
	if s.Code != "" {
		if err := OneOf("code", s.Code, w.Books...); err != nil {
			return &wrongWord{s.Code, err.Error()}
		}
	}
	if s.FailOn != "" {
		if err := OneOf("fail-on", s.FailOn, FailOn()...); err != nil {
			return &wrongWord{s.FailOn, err.Error()}
		}
	}
	for _, p := range s.Exclude {
		if !doublestar.ValidatePattern(p) {
			return &wrongWord{p, fmt.Sprintf("%q is no pattern that can be read; check its brackets and braces", p)}
		}
	}
	names := slices.Sorted(maps.Keys(s.Severity))
	for _, rule := range slices.Concat(names, s.Only, s.Skip) {
		if err := w.Rule(rule); err != nil {
			return &wrongWord{rule, err.Error()}
		}
	}
	for _, rule := range names {
		if err := OneOf("severity", s.Severity[rule], severities()...); err != nil {
			return &wrongWord{s.Severity[rule], err.Error()}
		}
	}
	return nil
}

// Rule says what is wrong with a rule's name; nil where there is such a rule.
func (w Words) Rule(name string) error {
	if slices.Contains(w.Rules, name) {
		return nil
	}
	return fmt.Errorf("there is no rule %q%s; crownweir rules lists them", name, meant(name, w.Rules))
}

// OneOf holds an option to a closed list of words.
func OneOf(option, got string, choices ...string) error {
	if slices.Contains(choices, got) {
		return nil
	}
	return fmt.Errorf("%s has no %q%s; use %s", option, got, meant(got, choices), List(choices))
}

// meant asks whether a near word was meant.
func meant(word string, choices []string) string {
	if near := grammar.Nearest(word, choices); near != "" {
		return fmt.Sprintf("; did you mean %q", near)
	}
	return ""
}

// List is choices in words: "a, b or c".
func List(choices []string) string {
	if len(choices) < 2 {
		return strings.Join(choices, "")
	}
	last := len(choices) - 1
	return strings.Join(choices[:last], ", ") + " or " + choices[last]
}

// locate finds where a word stands in a settings file: line and column, both
// from 1. The parser tells places of what it cannot read, not of values.
func locate(source, word string) (line, column int) {
	for i, text := range strings.Split(source, "\n") {
		if strings.HasPrefix(strings.TrimSpace(text), "#") {
			continue
		}
		if at := strings.Index(text, word); at >= 0 {
			return i + 1, len([]rune(text[:at])) + 1
		}
	}
	return 1, 1
}
