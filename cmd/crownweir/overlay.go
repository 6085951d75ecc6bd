package main

import (
	"bytes"
	"io/fs"
	"path"
	"sort"
	"strings"
	"time"
)

// memory is a file system of files that are held already: an archive's
// entries, a plan read from stdin. Names are slash paths.
type memory map[string][]byte

// Open opens a file. Folders are there by their files' names alone.
func (m memory) Open(name string) (fs.File, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	if content, ok := m[name]; ok {
		return &memoryFile{bytes.NewReader(content), memoryInfo{path.Base(name), int64(len(content)), 0o444}}, nil
	}
	if m.folder(name) {
		return &memoryFile{bytes.NewReader(nil), memoryInfo{path.Base(name), 0, fs.ModeDir | 0o555}}, nil
	}
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// ReadFile reads a file without a copy of its own; callers do not change it.
func (m memory) ReadFile(name string) ([]byte, error) {
	if content, ok := m[name]; ok {
		return content, nil
	}
	err := fs.ErrNotExist
	if m.folder(name) {
		err = fs.ErrInvalid
	}
	return nil, &fs.PathError{Op: "read", Path: name, Err: err}
}

func (m memory) folder(name string) bool {
	for file := range m {
		if name == "." || strings.HasPrefix(file, name+"/") {
			return true
		}
	}
	return false
}

// names lists the files, sorted.
func (m memory) names() []string {
	names := make([]string, 0, len(m))
	for name := range m {
		names = append(names, name)
	}
	sort.Strings(names)
	return names
}

type memoryFile struct {
	*bytes.Reader
	info memoryInfo
}

func (f *memoryFile) Stat() (fs.FileInfo, error) { return f.info, nil }
func (f *memoryFile) Close() error               { return nil }

type memoryInfo struct {
	name string
	size int64
	mode fs.FileMode
}

func (i memoryInfo) Name() string       { return i.name }
func (i memoryInfo) Size() int64        { return i.size }
func (i memoryInfo) Mode() fs.FileMode  { return i.mode }
func (i memoryInfo) ModTime() time.Time { return time.Time{} }
func (i memoryInfo) IsDir() bool        { return i.mode.IsDir() }
func (i memoryInfo) Sys() any           { return nil }

// overlay lays files that are held already over a file system.
type overlay struct {
	over  memory
	under fs.FS
}

// Open opens the file laid over, else the one below.
func (o overlay) Open(name string) (fs.File, error) {
	if _, ok := o.over[name]; ok {
		return o.over.Open(name)
	}
	return o.under.Open(name)
}

// ReadFile reads the file laid over, else the one below.
func (o overlay) ReadFile(name string) ([]byte, error) {
	if _, ok := o.over[name]; ok {
		return o.over.ReadFile(name)
	}
	return fs.ReadFile(o.under, name)
}
