package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"crownweir/lsp/settings"
)

// writeWhole writes a file whole or not at all: into a file beside it that
// then takes its name. A file that is there keeps its mode, and a link its
// target.
func writeWhole(path string, content []byte) error {
	made, err := stage(path, content)
	if err != nil {
		return err
	}
	defer made.drop()
	return made.commit()
}

// staged is a file's new content that stands beside it and has not taken its
// name yet.
type staged struct {
	path, temp string
	content    []byte // of a pipe or a device, which has no name to take
}

// stage writes the content beside a file.
func stage(path string, content []byte) (made staged, err error) {
	mode := fs.FileMode(0o644)
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target
		info, err := os.Stat(path)
		if err != nil {
			return made, reason(err)
		}
		if !info.Mode().IsRegular() {
			if info.IsDir() {
				return made, errors.New("is a folder; name a file")
			}
			return staged{path: path, content: content}, nil
		}
		if info.Mode().Perm()&0o200 == 0 {
			return made, errors.New("may not be written; change its permissions")
		}
		mode = info.Mode().Perm()
	}
	temp, err := os.CreateTemp(filepath.Dir(path), ".crownweir-*")
	if err != nil {
		return made, reason(err)
	}
	made = staged{path: path, temp: temp.Name()}
	_, err = temp.Write(content)
	if err == nil {
		err = temp.Chmod(mode)
	}
	if closeErr := temp.Close(); err == nil {
		err = closeErr
	}
	if err != nil {
		made.drop()
	}
	return made, reason(err)
}

// commit gives the file its new content.
func (s staged) commit() error {
	if s.temp == "" {
		return reason(os.WriteFile(s.path, s.content, 0o644))
	}
	return reason(os.Rename(s.temp, s.path))
}

// drop takes away what was not committed.
func (s staged) drop() {
	if s.temp != "" {
		os.Remove(s.temp) // gone already where all went well
	}
}

// reason is an error of the file system in the program's words.
func reason(err error) error { return settings.Reason(err) }
