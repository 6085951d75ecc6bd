package lsp

import (
	"context"
	"time"

	"go.lsp.dev/jsonrpc2"
)

// The documents' life: LSP 3.17, "Text Document Synchronization". Versions and
// texts are read by own types, for clients leave out and send null what the
// library's types take for granted.

type openParams struct {
	TextDocument struct {
		URI     string `json:"uri"`
		Version *int32 `json:"version"`
		Text    string `json:"text"`
	} `json:"textDocument"`
}

type changeParams struct {
	TextDocument struct {
		URI     string `json:"uri"`
		Version *int32 `json:"version"`
	} `json:"textDocument"`
	ContentChanges []contentChange `json:"contentChanges"`
}

type documentParams struct {
	TextDocument struct {
		URI string `json:"uri"`
	} `json:"textDocument"`
}

func (s *Server) didOpen(_ context.Context, p *openParams) error {
	at := placeOf(p.TextDocument.URI)
	if at.uri == "" {
		return jsonrpc2.NewError(jsonrpc2.InvalidParams, "a document has no uri")
	}
	var version int32
	if p.TextDocument.Version != nil {
		version = *p.TextDocument.Version
	}
	s.put(newDocument(at, version, p.TextDocument.Text), 0)
	return nil
}

func (s *Server) didChange(_ context.Context, p *changeParams) error {
	now := s.now.Load()
	doc := now.docs[placeOf(p.TextDocument.URI).key]
	if doc == nil {
		return jsonrpc2.Errorf(jsonrpc2.InvalidParams, "%s is not open", p.TextDocument.URI)
	}
	version := doc.version
	if v := p.TextDocument.Version; v != nil {
		if *v < version {
			s.logf("version %d of %s comes after %d and is ignored", *v, doc.uri, version)
			return nil
		}
		version = *v
	}
	s.put(doc.edited(version, p.ContentChanges, now.client.encoding), s.opts.Pause)
	return nil
}

// didSave has findings told at once, and looks whether files that are not open
// have changed: not every client watches them.
func (s *Server) didSave(_ context.Context, p *documentParams) error {
	if c := s.now.Load().checks[placeOf(p.TextDocument.URI).key]; c != nil {
		c.now()
	}
	s.change(0, func(next *snapshot) func(string, *check) bool {
		return func(_ string, c *check) bool { return changed(c.looked(), next) || c.unsettled() }
	})
	return nil
}

func (s *Server) didClose(_ context.Context, p *documentParams) error {
	key := placeOf(p.TextDocument.URI).key
	doc := s.now.Load().docs[key]
	if doc == nil {
		return nil
	}
	s.change(0, func(next *snapshot) func(string, *check) bool {
		delete(next.docs, key)
		return func(_ string, c *check) bool { return dependsOn(c, doc.file) }
	})
	s.board.remove(key, s.now.Load())
	return nil
}

// put makes a document the one that is open, and has the plans checked that it
// belongs to.
func (s *Server) put(doc *document, pause time.Duration) {
	s.change(pause, func(next *snapshot) func(string, *check) bool {
		next.docs[doc.key] = doc
		return func(key string, c *check) bool { return key == doc.key || dependsOn(c, doc.file) }
	})
}

func dependsOn(c *check, file string) bool {
	if file == "" {
		return false
	}
	_, ok := c.looked()[file]
	return ok
}

// changed tells whether a file that is not open is no more as it was.
func changed(seen map[string]stamp, now *snapshot) bool {
	open := map[string]bool{}
	for _, doc := range now.docs {
		open[doc.file] = true
	}
	for file, was := range seen {
		if !open[file] && stampOf(file) != was {
			return true
		}
	}
	return false
}
