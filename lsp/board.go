package lsp

import (
	"reflect"
	"sync"

	"go.lsp.dev/protocol"
)

// board holds what was found in each file and tells the client of it. A file
// may have findings of several plans: its own and of those that include it.
type board struct {
	publish func(published)

	mu    sync.Mutex
	files map[string]*notices // by key
}

// published is LSP 3.17, PublishDiagnosticsParams: its version is signed and
// left out where there is none, and its list is never null.
type published struct {
	URI         string                `json:"uri"`
	Version     *int32                `json:"version,omitempty"`
	Diagnostics []protocol.Diagnostic `json:"diagnostics"`
}

// notices is one file's findings.
type notices struct {
	uri  string
	from map[string]contribution // by key of the plan that was checked
	sent []protocol.Diagnostic   // what the client has
	was  *int32                  // … and for which version
}

// contribution is what one plan's check found in a file, as the file stood.
type contribution struct {
	doc  *document // nil where the file was not open
	list []protocol.Diagnostic
}

func newBoard(publish func(published)) *board {
	return &board{publish: publish, files: map[string]*notices{}}
}

// put takes the findings of a plan's check, by file. now is the moment it is told
// at, counts whether the check still counts then.
func (b *board) put(plan string, got *judged, found map[string][]protocol.Diagnostic, now func() *snapshot, counts func() bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if !counts() {
		return
	}
	moment := now()
	for _, f := range got.touched() {
		n := b.files[f.key]
		if n == nil {
			n = &notices{from: map[string]contribution{}}
			b.files[f.key] = n
		}
		n.uri = f.uri
		n.from[plan] = contribution{f.doc, found[f.key]}
		b.tell(f.key, n, moment)
	}
	for key, n := range b.files {
		if _, ok := found[key]; !ok {
			b.without(plan, key, n, moment)
		}
	}
}

// early tells what is found in a document so far, in words of no version: the
// one that has its version is still to come.
func (b *board) early(doc *document, list []protocol.Diagnostic, now func() *snapshot, counts func() bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	n := b.files[doc.key]
	if n == nil || !counts() {
		return
	}
	if open := now().docs[doc.key]; open == doc && len(n.from) == 1 && !reflect.DeepEqual(n.sent, list) {
		n.sent, n.was = list, nil
		b.publish(published{URI: doc.uri, Diagnostics: list})
	}
}

// remove takes away what a plan's check found: it was closed.
func (b *board) remove(plan string, moment *snapshot) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for key, n := range b.files {
		b.without(plan, key, n, moment)
	}
}

func (b *board) without(plan, key string, n *notices, moment *snapshot) {
	if _, ok := n.from[plan]; !ok {
		return
	}
	delete(n.from, plan)
	b.tell(key, n, moment)
	if len(n.from) == 0 {
		delete(b.files, key)
	}
}

// tell publishes a file's findings where they differ from what was sent. For
// an open file of a client that asks for them itself it only takes back what
// was sent before the file was opened. While
// a plan that finds something in an open file has not seen its text as it is,
// nothing is sent: that check is on its way.
func (b *board) tell(key string, n *notices, moment *snapshot) {
	open := moment.docs[key]
	message := published{URI: n.uri, Diagnostics: []protocol.Diagnostic{}}
	if open != nil {
		message.URI, message.Version = open.uri, &open.version
		if moment.client.pull {
			if len(n.sent) > 0 {
				n.sent = nil
				b.publish(message)
			}
			return
		}
	}
	// the file's own check speaks first
	plans := []string{key}
	for _, plan := range sortedKeys(n.from) {
		if plan != key {
			plans = append(plans, plan)
		}
	}
	for _, plan := range plans {
		c, ok := n.from[plan]
		if !ok {
			continue
		}
		if open != nil && c.doc != nil && c.doc.text != open.text {
			return
		}
		for _, d := range c.list {
			if !holds(message.Diagnostics, d) {
				message.Diagnostics = append(message.Diagnostics, d)
			}
		}
	}
	same := len(n.sent) == len(message.Diagnostics) && reflect.DeepEqual(n.sent, message.Diagnostics)
	if same && (message.Version == nil && n.sent != nil || message.Version != nil && n.was != nil && *n.was == *message.Version) {
		return
	}
	if len(message.Diagnostics) == 0 && n.sent == nil && open == nil {
		return
	}
	n.sent, n.was = message.Diagnostics, message.Version
	b.publish(message)
}

func holds(list []protocol.Diagnostic, d protocol.Diagnostic) bool {
	for i := range list {
		if list[i].Range == d.Range && list[i].Code == d.Code && list[i].Message == d.Message {
			return true
		}
	}
	return false
}
