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
	mode := fs.FileMode(0o644)
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target
		info, err := os.Stat(path)
		if err != nil {
			return reason(err)
		}
		if !info.Mode().IsRegular() {
			if info.IsDir() {
				return errors.New("is a folder; name a file")
			}
			// a pipe or a device has no name to take
			return reason(os.WriteFile(path, content, mode))
		}
		if info.Mode().Perm()&0o200 == 0 {
			return errors.New("may not be written; change its permissions")
		}
		mode = info.Mode().Perm()
	}
	temp, err := os.CreateTemp(filepath.Dir(path), ".crownweir-*")
	if err != nil {
		return reason(err)
	}
	defer os.Remove(temp.Name()) // gone already where all went well
	_, err = temp.Write(content)
	if err == nil {
		err = temp.Chmod(mode)
	}
	if closeErr := temp.Close(); err == nil {
		err = closeErr
	}
	if err == nil {
		err = os.Rename(temp.Name(), path)
	}
	return reason(err)
}

// reason is an error of the file system in the program's words.
func reason(err error) error { return settings.Reason(err) }
