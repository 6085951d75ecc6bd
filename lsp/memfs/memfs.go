// Package memfs is a file system of files that are in memory already: a plan on
// stdin, an archive's entries, an editor's open documents, amendments laid over
// a folder.
//
// It refuses to know what is in them.
package memfs

import (
	"bytes"
	"io"
	"io/fs"
	"path"
	"sort"
	"strings"
	"time"
)

// Files are files by their slash paths.
type Files map[string][]byte

// Open opens a file. Folders are there by their files' names alone.
func (m Files) Open(name string) (fs.File, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	if content, ok := m[name]; ok {
		return File(name, content), nil
	}
	if m.folder(name) {
		return &file{bytes.NewReader(nil), info{path.Base(name), 0, fs.ModeDir | 0o555}}, nil
	}
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// ReadFile reads a file without a copy of its own; callers do not change it.
func (m Files) ReadFile(name string) ([]byte, error) {
	if content, ok := m[name]; ok {
		return content, nil
	}
	err := fs.ErrNotExist
	if m.folder(name) {
		err = fs.ErrInvalid
	}
	return nil, &fs.PathError{Op: "read", Path: name, Err: err}
}

func (m Files) folder(name string) bool {
	for each := range m {
		if name == "." || strings.HasPrefix(each, name+"/") {
			return true
		}
	}
	return false
}

// Names lists the files, sorted.
func (m Files) Names() []string {
	names := make([]string, 0, len(m))
	for name := range m {
		names = append(names, name)
	}
	sort.Strings(names)
	return names
}

// File is one file, open.
func File(name string, content []byte) fs.File {
	return &file{bytes.NewReader(content), info{path.Base(name), int64(len(content)), 0o444}}
}

// Text is one file, open, whose content is a text.
func Text(name, content string) fs.File {
	return &file{strings.NewReader(content), info{path.Base(name), int64(len(content)), 0o444}}
}

type file struct {
	reader
	about info
}

// reader is what a bytes.Reader and a strings.Reader have in common.
type reader interface {
	io.ReadSeeker
	io.ReaderAt
}

func (f *file) Stat() (fs.FileInfo, error) { return f.about, nil }
func (f *file) Close() error               { return nil }

type info struct {
	name string
	size int64
	mode fs.FileMode
}

func (i info) Name() string       { return i.name }
func (i info) Size() int64        { return i.size }
func (i info) Mode() fs.FileMode  { return i.mode }
func (i info) ModTime() time.Time { return time.Time{} }
func (i info) IsDir() bool        { return i.mode.IsDir() }
func (i info) Sys() any           { return nil }

// Over lays files over a file system.
func Over(over Files, under fs.FS) fs.FS { return overlay{over, under} }

type overlay struct {
	over  Files
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
