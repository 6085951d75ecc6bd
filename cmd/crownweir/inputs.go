package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"sort"
	"strings"

	"github.com/bmatcuk/doublestar/v4"

	"crownweir/lsp/memfs"
	"crownweir/lsp/settings"
)

const (
	extension = ".weir"
	planLimit = settings.MostBytes // of one plan, amendment or baseline entry read
)

// input is one plan that the command line asks for, or why there is none.
type input struct {
	name     string // as the reader knows it
	file     string // its path in the root it is loaded with
	prefix   string // put before a path in that root, it makes the name the reader knows
	disk     string // the file to write to; "" on stdin and in archives
	packed   bool   // stands in an archive
	settings *settings.Settings
	load     func() (loaded, error)
	err      error
}

// loaded is a plan's content and the file system its includes are looked up
// in.
type loaded struct {
	content []byte
	root    fs.FS
	close   func()
}

// reader turns arguments into inputs.
type reader struct {
	session   *session
	stdinName string
	config    configs
}

// inputs lists the plans of the arguments in their order, those of a folder,
// a glob or an archive sorted. Without arguments it is the current folder.
func (r *reader) inputs(args []string) []input {
	seen := map[string]bool{}
	if len(args) == 0 {
		args = []string{"."}
	}
	var all []input
	for _, arg := range args {
		for _, in := range r.expand(arg) {
			key := in.name
			if in.disk != "" {
				if abs, err := filepath.Abs(in.disk); err == nil {
					key = abs
				}
			}
			if in.err == nil && seen[key] {
				continue
			}
			seen[key] = true
			all = append(all, in)
		}
	}
	return all
}

func refuse(name, format string, args ...any) []input {
	return []input{{name: name, err: fmt.Errorf(format, args...)}}
}

func (r *reader) expand(arg string) []input {
	if arg == "-" {
		return []input{r.stdin()}
	}
	if arg == "" {
		return refuse(`""`, "is no name; name a plan, a folder, a glob, an archive or -")
	}
	info, err := os.Stat(arg)
	switch {
	case err != nil && errors.Is(err, fs.ErrNotExist) && strings.ContainsAny(arg, "*?[{"):
		return r.glob(arg)
	case err != nil:
		return refuse(arg, "%w", reason(err))
	case info.IsDir():
		return r.walk(arg)
	case !info.Mode().IsRegular(): // opening a pipe that nobody writes to would wait for ever
		return refuse(arg, "is no regular file; name a plan, or - to read from stdin")
	case isArchive(arg):
		return r.archive(arg)
	}
	return []input{r.plan(arg)}
}

func (r *reader) glob(pattern string) []input {
	matches, err := doublestar.FilepathGlob(pattern, doublestar.WithFilesOnly())
	if err != nil {
		return refuse(pattern, "is no pattern that can be read; check its brackets and braces")
	}
	sort.Strings(matches)
	var all []input
	for _, match := range matches {
		if isArchive(match) {
			all = append(all, r.archive(match)...)
		} else if in := r.plan(match); !in.settings.Excludes(match) {
			all = append(all, in)
		}
	}
	if all == nil {
		return refuse(pattern, "matches no file; check the pattern")
	}
	return all
}

func (r *reader) walk(folder string) []input {
	var names []string
	var all []input
	err := filepath.WalkDir(folder, func(name string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil:
			all = append(all, refuse(filepath.ToSlash(name), "%w", reason(err))...)
			return nil
		case entry.IsDir() && name != folder && strings.HasPrefix(entry.Name(), "."):
			return fs.SkipDir
		case path.Ext(entry.Name()) == extension && regular(name, entry):
			names = append(names, name)
		}
		return nil
	})
	if err != nil {
		return append(all, refuse(folder, "%w", reason(err))...)
	}
	sort.Strings(names)
	for _, name := range names {
		if in := r.plan(name); !in.settings.Excludes(name) {
			all = append(all, in)
		}
	}
	if all == nil {
		return refuse(folder, "is a folder without a plan; put a %s file into it or name another", extension)
	}
	return all
}

// regular keeps a walk from pipes and devices, which may never end.
func regular(name string, entry fs.DirEntry) bool {
	if entry.Type()&fs.ModeSymlink != 0 {
		info, err := os.Stat(name)
		return err != nil || info.Mode().IsRegular() // a broken link is reported when it is read
	}
	return entry.Type().IsRegular()
}

// plan is a file on disk; its folder is the root of its includes.
func (r *reader) plan(name string) input {
	folder, file := filepath.Split(name)
	in := input{
		name: filepath.ToSlash(name), file: file, prefix: filepath.ToSlash(folder), disk: name,
		load: func() (loaded, error) { return loadDisk(name) },
	}
	in.settings, in.err = r.config.of(folder)
	return in
}

func loadDisk(name string) (loaded, error) {
	f, err := os.Open(name)
	if err != nil {
		return loaded{}, reason(err)
	}
	defer f.Close()
	content, err := settings.ReadText(f)
	if err != nil {
		return loaded{}, err
	}
	folder, file := filepath.Split(name)
	return within(folder, file, content)
}

// within lays a plan's content over its folder. The folder is opened as a
// root, which links out of it do not leave.
func within(folder, file string, content []byte) (loaded, error) {
	root, err := os.OpenRoot(filepath.Clean(folder))
	if err != nil {
		return loaded{}, reason(err)
	}
	return loaded{
		content: content,
		root:    memfs.Over(memfs.Files{file: content}, root.FS()),
		close:   func() { root.Close() },
	}, nil
}

func (r *reader) stdin() input {
	name := r.stdinName
	if name == "" {
		name = "stdin"
	}
	folder, file := filepath.Split(name)
	in := input{name: filepath.ToSlash(name), file: file, prefix: filepath.ToSlash(folder)}
	if file == "" {
		in.err = errors.New("--stdin-name is a folder; name a file in it")
		return in
	}
	in.settings, in.err = r.config.of(folder)
	stdin := r.session.stdin
	in.load = func() (loaded, error) {
		content, err := settings.ReadText(stdin)
		if err != nil {
			return loaded{}, err
		}
		l, err := within(folder, file, content)
		if err != nil { // a name for show, in a folder that is not there
			return loaded{content: content, root: memfs.Files{file: content}, close: func() {}}, nil
		}
		return l, nil
	}
	return in
}
