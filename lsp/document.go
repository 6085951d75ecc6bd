package lsp

import (
	"sync"

	"go.lsp.dev/protocol"

	"crownweir/grammar"
)

// document is an open document at one version. It is immutable.
type document struct {
	place
	version int32
	text    *text
	cache   *grammar.Cache // serves all versions of the document
	files   *parsedFiles
}

func newDocument(p place, version int32, source string) *document {
	return &document{place: p, version: version, text: newText(source), cache: grammar.NewCache(), files: &parsedFiles{}}
}

// parsedFiles keeps one version's statements, by the path they were read as.
type parsedFiles struct {
	mu   sync.Mutex
	made map[string]*grammar.File
}

// parsed is the document read as a plan's file of that path.
func (d *document) parsed(path string) *grammar.File {
	d.files.mu.Lock()
	defer d.files.mu.Unlock()
	if f := d.files.made[path]; f != nil {
		return f
	}
	f := grammar.ParseCached(d.cache, path, d.text.source)
	if d.files.made == nil {
		d.files.made = map[string]*grammar.File{}
	}
	d.files.made[path] = f
	return f
}

// edited is the document after a notification's changes, each of them made on
// what the one before it left.
func (d *document) edited(version int32, changes []contentChange, enc encoding) *document {
	next := &document{place: d.place, version: version, text: d.text, cache: d.cache, files: &parsedFiles{}}
	for _, change := range changes {
		if change.Range == nil {
			next.text = newText(change.Text)
			continue
		}
		at := next.text.bytes(*change.Range, enc)
		next.text = next.text.replace(at.Start, at.End, change.Text)
	}
	return next
}

// contentChange is LSP 3.17, TextDocumentContentChangeEvent. Without a range
// the text is the whole document, which the library's type cannot tell from an
// insertion at the beginning.
type contentChange struct {
	Range *protocol.Range `json:"range"`
	Text  string          `json:"text"`
}
