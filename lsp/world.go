package lsp

import (
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"time"

	"crownweir/lsp/memfs"
)

// world is the file system one check sees: open documents laid over the plan's
// folder, which links out of it do not leave. It notes what was looked at.
type world struct {
	folder string               // "" for a plan that is no file
	over   map[string]*document // by path in the folder
	laid   map[string][]byte    // amendments, by the path they are given
	under  fs.FS                // nil where there is no folder

	mu   sync.Mutex
	seen map[string]stamp // by file on the disk, open documents too
}

// stamp tells whether a file is still as it was.
type stamp struct {
	there bool
	size  int64
	mod   time.Time
}

func stampOf(file string) stamp {
	info, err := os.Stat(file)
	if err != nil {
		return stamp{}
	}
	return stamp{true, info.Size(), info.ModTime()}
}

// newWorld lays open documents over the folder of a plan. close lets the
// folder go.
func newWorld(doc *document, open map[string]*document) (w *world, close func()) {
	w = &world{over: map[string]*document{doc.name(): doc}, seen: map[string]stamp{}}
	if doc.file == "" {
		return w, func() {}
	}
	w.folder = filepath.Dir(doc.file)
	for _, other := range open {
		if other.file == "" || other.key == doc.key {
			continue
		}
		if rel, err := filepath.Rel(w.folder, other.file); err == nil && filepath.IsLocal(rel) {
			w.over[filepath.ToSlash(rel)] = other
		}
	}
	root, err := os.OpenRoot(w.folder)
	if err != nil { // not saved yet, in a folder that is not there
		return w, func() {}
	}
	w.under = root.FS()
	return w, func() { root.Close() }
}

func (w *world) note(name string) {
	if w.folder != "" {
		w.noteFile(filepath.Join(w.folder, filepath.FromSlash(name)))
	}
}

func (w *world) noteFile(file string) {
	s := stampOf(file)
	w.mu.Lock()
	defer w.mu.Unlock()
	w.seen[file] = s
}

// Open opens an open document, else the folder's file.
func (w *world) Open(name string) (fs.File, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	if content, ok := w.laid[name]; ok {
		return memfs.File(name, content), nil
	}
	w.note(name)
	if doc := w.over[name]; doc != nil {
		return memfs.Text(name, doc.text.source), nil
	}
	if w.under == nil {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return w.under.Open(name)
}

// ReadText gives an open document's text as it is held.
func (w *world) ReadText(name string) (text string, ok bool) {
	if _, laid := w.laid[name]; laid {
		return "", false
	}
	if doc := w.over[name]; doc != nil {
		return doc.text.source, true
	}
	return "", false
}

// ReadFile reads an open document, else the folder's file.
func (w *world) ReadFile(name string) ([]byte, error) {
	if content, ok := w.laid[name]; ok {
		return content, nil
	}
	if doc := w.over[name]; doc != nil {
		return []byte(doc.text.source), nil
	}
	if w.under == nil {
		return nil, &fs.PathError{Op: "read", Path: name, Err: fs.ErrNotExist}
	}
	return fs.ReadFile(w.under, name)
}
