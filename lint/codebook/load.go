package codebook

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"sync"
)

//go:embed books
var books embed.FS

// shipped reads each book once. A book never changes, so what was read first
// is what every later caller gets.
var shipped = sync.OnceValue(func() map[string]func() (*Book, error) {
	entries, _ := books.ReadDir("books")
	readers := map[string]func() (*Book, error){}
	for _, e := range entries {
		if e.IsDir() {
			readers[e.Name()] = sync.OnceValues(func() (*Book, error) { return loadFrom(books, "books", e.Name(), nil) })
		}
	}
	return readers
})

// Names lists the shipped books, by name.
func Names() []string {
	var names []string
	for name := range shipped() {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// Load hands out a shipped book. The error of an unknown name lists the names
// there are.
func Load(name string) (*Book, error) {
	read, ok := shipped()[name]
	if !ok {
		hint := "it is one of " + strings.Join(Names(), ", ")
		if near := nearest(name, Names()); near != "" {
			hint = "did you mean " + near + "; " + hint
		}
		return nil, fmt.Errorf("there is no code book %q; %s", name, hint)
	}
	return read()
}

// Source is a publication in which numbers were seen.
type Source struct{ Key, What string }

// Sources lists the publications that cells name, by key.
func Sources() []Source {
	list, _, _ := readSources(books, "books")
	return list
}

// FileError is a book that cannot be loaded: a file of it and what is wrong.
type FileError struct {
	File     string
	Problems []Problem
}

// Error writes each problem as file:line:column: message, a line each.
func (e *FileError) Error() string {
	lines := make([]string, len(e.Problems))
	for i, p := range e.Problems {
		lines[i] = fmt.Sprintf("%s:%d:%d: %s", e.File, p.Line, p.Column, p.Message)
	}
	return strings.Join(lines, "\n")
}

// loadFrom reads the book in a folder of fsys, and the book it is laid over.
// above are the names of the books that ask for it.
func loadFrom(fsys fs.FS, dir, name string, above []string) (*Book, error) {
	folder := path.Join(dir, name)
	head := path.Join(folder, "book.toml")
	root, err := readFile(fsys, head)
	if err != nil {
		return nil, err
	}
	_, keys, err := readSources(fsys, dir)
	if err != nil {
		return nil, err
	}
	d, over := readHead(root, name)
	if over != "" && len(d.problems) == 0 {
		if slices.Contains(append(above, name), over) {
			return nil, &FileError{head, []Problem{{1, 1, name + " is laid over " + over + ", which is laid over it; take one `over` out"}}}
		}
		below, err := loadFrom(fsys, dir, over, append(above, name))
		if err != nil {
			return nil, err
		}
		d = d.onto(below)
	}
	d.sources = keys
	if over == "" {
		if err := d.applyFile(fsys, path.Join(dir, "common.toml")); err != nil {
			return nil, err
		}
	}
	d.removals(root.get("remove"))
	d.apply(root, "book", "remove")
	if len(d.problems) > 0 {
		return nil, &FileError{head, d.problems}
	}
	files, err := fs.Glob(fsys, path.Join(folder, "*.toml"))
	if err != nil {
		return nil, err
	}
	for _, file := range files {
		if file == head {
			continue
		}
		if err := d.applyFile(fsys, file); err != nil {
			return nil, err
		}
	}
	return d.book.settle(), nil
}

func (d *draft) applyFile(fsys fs.FS, file string) error {
	root, err := readFile(fsys, file)
	if err != nil {
		return err
	}
	if d.apply(root); len(d.problems) > 0 {
		return &FileError{file, d.problems}
	}
	return nil
}

func readFile(fsys fs.FS, file string) (*node, error) {
	data, err := fs.ReadFile(fsys, file)
	if err != nil {
		return nil, err
	}
	root, problems := readTree(data)
	if len(problems) > 0 {
		return nil, &FileError{file, problems}
	}
	return root, nil
}

// readHead reads [book].
func readHead(root *node, name string) (d *draft, over string) {
	d = newDraft(&Book{Name: name})
	head := root.get("book")
	if head == nil || head.shape != tableShape {
		d.report(1, 1, "the file has no [book]; write title, edition and family there")
		return d, ""
	}
	d.checkKeys(head, "[book]", "title", "edition", "family", "over")
	d.book.Title = d.text(head, "title")
	d.book.Family = d.text(head, "family")
	if edition := head.get("edition"); edition != nil && edition.shape == numberShape {
		d.book.Edition = int(edition.number)
	}
	if d.book.Title == "" || d.book.Family == "" || d.book.Edition == 0 {
		d.at(head, "[book] lacks a title, an edition or a family; write all three")
	}
	return d, d.text(head, "over")
}

// onto lays the head of a draft over the book below.
func (d *draft) onto(below *Book) *draft {
	next := newDraft(below)
	next.book.Name, next.book.Title = d.book.Name, d.book.Title
	next.book.Edition, next.book.Family = d.book.Edition, d.book.Family
	return next
}

// removals takes away what an edition does not have that the one below has.
func (d *draft) removals(n *node) {
	if n == nil {
		return
	}
	if n.shape != tableShape {
		d.at(n, "remove is %s; write a table", n.shape)
		return
	}
	d.checkKeys(n, "[remove]", "tables", "numbers", "flags", "rules")
	for _, e := range n.entries {
		if !d.expect(e, arrayShape) {
			continue
		}
		for _, item := range e.value.items {
			d.remove(e.key, item)
		}
	}
}

func (d *draft) remove(kind string, item *node) {
	b := d.book
	var had bool
	switch kind {
	case "tables":
		_, had = b.tables[item.text]
		delete(b.tables, item.text)
		b.tableOrder = without(b.tableOrder, item.text)
	case "numbers":
		_, had = b.numbers[item.text]
		delete(b.numbers, item.text)
		b.numberOrder = without(b.numberOrder, item.text)
	case "flags":
		_, had = b.flags[item.text]
		delete(b.flags, item.text)
		b.flagOrder = without(b.flagOrder, item.text)
	case "rules":
		_, had = b.rules[item.text]
		delete(b.rules, item.text)
		b.ruleOrder = without(b.ruleOrder, item.text)
	}
	if !had {
		d.at(item, "the book below has no %q among its %s; take it out", item.text, kind)
	}
}

func without(list []string, word string) []string {
	return slices.DeleteFunc(list, func(s string) bool { return s == word })
}

// readSources reads the list of publications that cells may name.
func readSources(fsys fs.FS, dir string) (list []Source, keys map[string]bool, err error) {
	root, err := readFile(fsys, path.Join(dir, "sources.toml"))
	if err != nil {
		return nil, nil, err
	}
	keys = map[string]bool{}
	for _, e := range root.entries {
		keys[e.key] = true
		list = append(list, Source{e.key, e.value.text})
	}
	return list, keys, nil
}
