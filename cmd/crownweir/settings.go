package main

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

// settingsFile is looked for in a plan's folder and in those above it.
const settingsFile = "crownweir.toml"

// settings is a project's crownweir.toml.
type settings struct {
	Code     string            `toml:"code"`
	Amend    []string          `toml:"amend"` // relative to the settings' folder
	FailOn   failOn            `toml:"fail-on"`
	Only     []string          `toml:"only"`
	Skip     []string          `toml:"skip"`
	Severity map[string]string `toml:"severity"`
	Exclude  []string          `toml:"exclude"`

	folder string // absolute
	amend  []amendment
}

// failOn is the least severity that makes the exit status 1.
type failOn string

func failOnWords() []string { return []string{"correction", "caution", "advice", "never"} }

// kinds says what each setting takes.
func kinds() [][2]string {
	return [][2]string{
		{"code", "the name of a code book"},
		{"amend", "a list of files"},
		{"fail-on", list(failOnWords())},
		{"only", "a list of rules"},
		{"skip", "a list of rules"},
		{"severity", "a table of rules with correction, caution, advice or off"},
		{"exclude", "a list of patterns"},
	}
}

// excludes tells whether a walk leaves the plan of that name out.
func (s *settings) excludes(name string) bool {
	if s == nil || len(s.Exclude) == 0 {
		return false
	}
	abs, err := filepath.Abs(name)
	if err != nil {
		return false
	}
	rel, err := filepath.Rel(s.folder, abs)
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

// configs finds settings and reads each file once.
type configs struct {
	rules   []string
	books   []string
	folders map[string]found
	files   map[string]found
}

type found struct {
	settings *settings
	err      error
}

// errReported stands in for a settings error that was handed out before.
var errReported = errors.New("its settings cannot be read")

// of finds the settings of a folder: the nearest file upwards. Settings that
// cannot be read are an error that is told once; there are no settings where
// there is no file.
func (c *configs) of(folder string) (*settings, error) {
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
	for at := abs; ; at = filepath.Dir(at) {
		file := filepath.Join(at, settingsFile)
		info, err := os.Stat(file)
		if err == nil && info.Mode().IsRegular() {
			got = c.file(file)
			break
		}
		if err != nil && !errors.Is(err, fs.ErrNotExist) && !errors.Is(err, fs.ErrPermission) {
			break
		}
		if filepath.Dir(at) == at {
			break
		}
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
	s, err := c.read(name)
	c.files[name] = found{s, err}
	return c.files[name]
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

func (c *configs) read(name string) (*settings, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, placedError{shown(name), reason(err).Error()}
	}
	defer f.Close()
	source, err := readLimited(f)
	if err != nil {
		return nil, placedError{shown(name), err.Error()}
	}
	s := &settings{folder: filepath.Dir(name)}
	decoder := toml.NewDecoder(strings.NewReader(string(source))).DisallowUnknownFields()
	if err := decoder.Decode(s); err != nil {
		return nil, decodeError(shown(name), err)
	}
	if err := c.validate(s); err != nil {
		line, column := locate(string(source), err.word)
		return nil, placedError{fmt.Sprintf("%s:%d:%d", shown(name), line, column), err.text}
	}
	for _, file := range s.Amend {
		path := file
		if !filepath.IsAbs(path) {
			path = filepath.Join(s.folder, path)
		}
		a, err := readAmendment(path, shown(path))
		if err != nil {
			line, column := locate(string(source), file)
			return nil, placedError{fmt.Sprintf("%s:%d:%d", shown(name), line, column), fmt.Sprintf("amend %q: %v", file, err)}
		}
		s.amend = append(s.amend, a)
	}
	return s, nil
}

// placedError is what is wrong, and where.
type placedError struct{ place, text string }

func (e placedError) Error() string { return e.place + ": " + e.text }

func decodeError(name string, err error) error {
	place := func(e *toml.DecodeError) string {
		line, column := e.Position()
		return fmt.Sprintf("%s:%d:%d", name, line, column)
	}
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) && len(strict.Errors) > 0 {
		first := &strict.Errors[0]
		key := strings.Join(first.Key(), ".")
		var keys []string
		for _, k := range kinds() {
			keys = append(keys, k[0])
		}
		text := fmt.Sprintf("there is no setting %q", key)
		if near := grammar.Nearest(key, keys); near != "" {
			text += fmt.Sprintf("; did you mean %q", near)
		}
		return placedError{place(first), text + "; use " + list(keys)}
	}
	var decode *toml.DecodeError
	if !errors.As(err, &decode) {
		return placedError{name, strings.TrimPrefix(err.Error(), "toml: ")}
	}
	// a value of the wrong kind is reported with the setting's own name
	if key := decode.Key(); len(key) > 0 {
		for _, k := range kinds() {
			if k[0] == key[0] {
				return placedError{place(decode), fmt.Sprintf("%s takes %s", k[0], k[1])}
			}
		}
	}
	return placedError{place(decode), strings.TrimPrefix(decode.Error(), "toml: ") + "; write it as TOML"}
}

// wrongWord is a value that is not among those there are.
type wrongWord struct{ word, text string }

func (c *configs) validate(s *settings) *wrongWord {
	if s.Code != "" {
		if err := oneOf("code", s.Code, c.books...); err != nil {
			return &wrongWord{s.Code, err.Error()}
		}
	}
	if s.FailOn != "" {
		if err := oneOf("fail-on", string(s.FailOn), failOnWords()...); err != nil {
			return &wrongWord{string(s.FailOn), err.Error()}
		}
	}
	for _, p := range s.Exclude {
		if !doublestar.ValidatePattern(p) {
			return &wrongWord{p, fmt.Sprintf("%q is no pattern that can be read; check its brackets and braces", p)}
		}
	}
	names := slices.Sorted(maps.Keys(s.Severity))
	for _, rule := range slices.Concat(names, s.Only, s.Skip) {
		if err := c.isRule(rule); err != nil {
			return &wrongWord{rule, err.Error()}
		}
	}
	for _, rule := range names {
		if err := oneOf("severity", s.Severity[rule], "correction", "caution", "advice", "off"); err != nil {
			return &wrongWord{s.Severity[rule], err.Error()}
		}
	}
	return nil
}

func (c *configs) isRule(name string) error {
	for _, r := range c.rules {
		if r == name {
			return nil
		}
	}
	return noSuchRule(name, c.rules)
}

func noSuchRule(name string, rules []string) error {
	text := fmt.Sprintf("there is no rule %q", name)
	if near := grammar.Nearest(name, rules); near != "" {
		text += fmt.Sprintf("; did you mean %q", near)
	}
	return misused("%s; crownweir rules lists them", text)
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
