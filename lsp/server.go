package lsp

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"runtime/debug"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"go.lsp.dev/protocol"

	"crownweir/lint"
	"crownweir/lint/codebook"
	"crownweir/lsp/wire"
)

// Options are what a server is made of.
type Options struct {
	// Check judges a plan; nil takes lint.Check.
	Check func(ctx context.Context, fsys fs.FS, path string, opts lint.Options) *lint.Report
	// Now is the clock that waivers end by; nil takes time.Now.
	Now func() time.Time
	// Rules and Books list what settings may name; nil takes lint's.
	Rules func() []lint.RuleInfo
	Books func() []string
	// Pause is how long typing has to rest before findings are sent.
	Pause time.Duration
	// AtRest is called when nothing has changed for a while and all findings
	// are told; nil does nothing then.
	AtRest func()
	// Glance is how long a question waits for a check where there is an earlier
	// one to answer from; 0 takes Glance.
	Glance time.Duration
	// Log takes one line for whoever looks for a fault; nil drops it.
	Log func(line string)
	// Version is the program's, for the client to show.
	Version string
}

// Pause is the rest that an editor's user is given before findings come.
const Pause = 150 * time.Millisecond

// restful is how long nothing may have changed to be at rest.
const restful = 400 * time.Millisecond

// quick is what a check may have cost last for the next one to begin at every
// change instead of at rest.
const quick = 40 * time.Millisecond

// Server serves one client.
type Server struct {
	opts     Options
	conn     *wire.Conn[*snapshot]
	changing sync.Mutex // held by whoever makes the next snapshot
	now      atomic.Pointer[snapshot]
	board    *board
	projects *projects
	shown    atomic.Int64 // checks whose progress was shown
	lists    atomic.Int64 // lists of completions made
	offered  atomic.Pointer[offered]
	resting  *time.Timer // until rest
	ended    context.Context
	end      context.CancelFunc
}

// snapshot is the server at one moment. It is immutable.
type snapshot struct {
	client *client
	docs   map[string]*document // open ones, by key
	checks map[string]*check    // of each open document as a plan
	most   int                  // findings of a file that are shown
}

// Serve answers one client until it exits or its stream ends.
func Serve(ctx context.Context, in io.Reader, out io.Writer, opts Options) wire.Ending {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	if opts.Check == nil {
		opts.Check = lint.Check
	}
	if opts.Now == nil {
		opts.Now = time.Now
	}
	if opts.Glance == 0 {
		opts.Glance = Glance
	}
	if opts.Rules == nil {
		opts.Rules = lint.Rules
	}
	if opts.Books == nil {
		opts.Books = codebook.Names
	}
	s := &Server{opts: opts, ended: ctx, end: cancel, projects: newProjects(opts.Rules, opts.Books)}
	s.resting = time.AfterFunc(restful, s.rest)
	defer s.resting.Stop()
	s.now.Store(&snapshot{client: newClient(nil), most: mostFindings})
	s.conn = wire.NewConn(in, out, s.table(), s.now.Load)
	s.conn.Log = s.logf
	s.board = newBoard(func(p published) { s.conn.Notify(protocol.MethodTextDocumentPublishDiagnostics, p) })
	return s.conn.Serve(ctx)
}

// rest tells that there is nothing to do for now.
func (s *Server) rest() {
	if s.opts.AtRest != nil && s.ended.Err() == nil {
		s.opts.AtRest()
	}
}

func (s *Server) logf(format string, args ...any) {
	if s.opts.Log != nil {
		s.opts.Log(fmt.Sprintf(format, args...))
	}
}

// table routes every method that is served. What is advertised is read from it.
func (s *Server) table() *wire.Table[*snapshot] {
	t := wire.NewTable[*snapshot]()
	wire.Command(t, protocol.MethodInitialize, s.initialize)
	wire.Notice(t, protocol.MethodInitialized, s.initialized)
	wire.Command(t, protocol.MethodShutdown, s.shutdown)
	wire.Notice(t, protocol.MethodTextDocumentDidOpen, s.didOpen)
	wire.Notice(t, protocol.MethodTextDocumentDidChange, s.didChange)
	wire.Notice(t, protocol.MethodTextDocumentDidSave, s.didSave)
	wire.Notice(t, protocol.MethodTextDocumentDidClose, s.didClose)
	wire.Notice(t, protocol.MethodWorkspaceDidChangeConfiguration, s.didChangeConfiguration)
	wire.Notice(t, protocol.MethodWorkspaceDidChangeWatchedFiles, s.didChangeWatchedFiles)
	wire.Notice(t, protocol.MethodWorkspaceDidChangeWorkspaceFolders, func(context.Context, *wire.None) error { return nil })
	wire.Query(t, methodDiagnostic, s.diagnostic)
	wire.Query(t, protocol.MethodTextDocumentFormatting, s.formatting)
	wire.Query(t, protocol.MethodTextDocumentRangeFormatting, s.rangeFormatting)
	wire.Query(t, protocol.MethodTextDocumentHover, s.hover)
	wire.Query(t, protocol.MethodTextDocumentSignatureHelp, s.signature)
	wire.Query(t, protocol.MethodTextDocumentCompletion, s.complete)
	wire.Query(t, protocol.MethodCompletionItemResolve, s.resolve)
	wire.Query(t, protocol.MethodTextDocumentCodeAction, s.actions)
	wire.Query(t, protocol.MethodWorkspaceExecuteCommand, s.command)
	wire.Query(t, protocol.MethodTextDocumentDefinition, s.definition)
	wire.Query(t, protocol.MethodTextDocumentReferences, s.references)
	wire.Query(t, protocol.MethodTextDocumentDocumentHighlight, s.highlight)
	wire.Query(t, protocol.MethodTextDocumentDocumentLink, s.links)
	wire.Query(t, protocol.MethodTextDocumentPrepareRename, s.prepareRename)
	wire.Query(t, protocol.MethodTextDocumentRename, s.rename)
	wire.Query(t, protocol.MethodTextDocumentDocumentSymbol, s.symbols)
	wire.Query(t, protocol.MethodWorkspaceSymbol, s.workspaceSymbols)
	wire.Query(t, protocol.MethodTextDocumentFoldingRange, s.folds)
	wire.Query(t, methodSelectionRange, s.selections)
	wire.Query(t, methodInlayHint, s.hints)
	wire.Query(t, protocol.MethodTextDocumentCodeLens, s.lenses)
	wire.Query(t, protocol.MethodSemanticTokensFull, s.tokens)
	wire.Query(t, protocol.MethodSemanticTokensFullDelta, s.tokensDelta)
	wire.Query(t, protocol.MethodSemanticTokensRange, s.tokensRange)
	wire.Query(t, protocol.MethodTextDocumentPrepareCallHierarchy, s.prepareHierarchy)
	wire.Query(t, protocol.MethodCallHierarchyIncomingCalls, s.upstream)
	wire.Query(t, protocol.MethodCallHierarchyOutgoingCalls, s.downstream)
	return t
}

// next makes the next snapshot: a copy that may be written to before it is
// stored.
func (s *Server) next() *snapshot {
	now := s.now.Load()
	next := &snapshot{client: now.client, docs: maps.Clone(now.docs), checks: maps.Clone(now.checks), most: now.most}
	if next.docs == nil {
		next.docs, next.checks = map[string]*document{}, map[string]*check{}
	}
	return next
}

// change makes the next snapshot, with new checks in the place of those that
// the change touches; they are told after a pause. Documents are changed by
// methods that run in their turn alone.
func (s *Server) change(pause time.Duration, by func(next *snapshot) (touched func(key string, c *check) bool)) {
	s.changing.Lock()
	defer s.changing.Unlock()
	next := s.next()
	touched := by(next)
	var dropped, begun []*check
	for _, key := range sortedKeys(next.docs) {
		old := next.checks[key]
		if old != nil && !touched(key, old) {
			continue
		}
		l := newLane()
		if old != nil {
			l = old.lane
			dropped = append(dropped, old)
		}
		c := newCheck(next.docs[key], next.docs, l)
		c.own = old == nil || old.doc != c.doc
		if old != nil {
			c.told = old.looked()
			if c.own && c.made.Sub(old.made) >= pause {
				c.was = old.doc.text
			}
		}
		next.checks[key] = c
		begun = append(begun, c)
	}
	for key, old := range next.checks {
		if next.docs[key] == nil {
			dropped = append(dropped, old)
			delete(next.checks, key)
		}
	}
	s.now.Store(next)
	s.resting.Stop()
	for _, c := range dropped {
		c.drop()
	}
	for _, c := range begun {
		go s.follow(c, pause)
	}
}

// follow has a check run and tells its findings when typing rests, unless a
// newer one takes its place. An edit after a rest that leaves lines which can
// be read is told of at once: a word or a number put right, not one being typed.
func (s *Server) follow(c *check, pause time.Duration) {
	begin := time.NewTimer(c.lead(pause))
	defer begin.Stop()
	rest := time.NewTimer(pause)
	defer rest.Stop()
	rested, hurry := false, c.hurry
	for running, checked := false, false; !rested || !checked; {
		done := c.done
		if checked {
			done = nil
		}
		select {
		case <-begin.C:
		case <-rest.C:
			rested = true
		case <-hurry:
			rested, hurry = true, nil
		case <-done:
			if c.result == nil {
				return
			}
			if s.overtaken(c) {
				s.change(0, func(*snapshot) func(string, *check) bool {
					return func(_ string, other *check) bool { return other == c }
				})
				return
			}
			if c.result.plan != nil {
				go s.prepare(c)
			}
			checked = true
			rested = rested || c.was != nil && c.reads()
		case <-c.old.Done():
			return
		case <-s.ended.Done():
			return
		}
		if !running {
			running = true
			c.start(s.judge)
			go s.progress(c)
		}
		if rested && !checked {
			s.tellEarly(c)
		}
	}
	s.tell(c)
	s.resting.Reset(restful)
}

// lead is how long a check waits to begin. One that was quick last time, or
// that follows a rest, begins at once, so that answers are ready; any other when
// it may be done as typing rests, but not in the midst of it.
func (c *check) lead(pause time.Duration) time.Duration {
	last := c.lane.finished()
	if last == nil || last.took < quick || c.was != nil {
		return 0
	}
	return max(pause-last.took, pause/3)
}

// reads tells whether the lines that an edit changed, and those beside them, can
// be read.
func (c *check) reads() bool {
	d := driftOf(c.was, c.doc.text)
	around := c.doc.text.around(d.start, d.after)
	for _, p := range c.doc.parsed(c.doc.name()).Problems {
		if p.Span.Start <= around.End && p.Span.End >= around.Start {
			return false
		}
	}
	return true
}

// calm is how long nothing may have been typed for answers to be prepared.
const calm = 20 * time.Millisecond

// prepare has a plan look up what its answers share while nobody waits for it.
func (s *Server) prepare(c *check) {
	select {
	case <-time.After(calm):
	case <-c.old.Done():
		return
	}
	j := c.result
	defer func() {
		if r := recover(); r != nil { // whoever asks is told of it
			s.logf("fault in preparing answers of %s: %v\n%s", j.doc.uri, r, debug.Stack())
		}
	}()
	j.asked.RLock()
	defer j.asked.RUnlock()
	j.plan.Prepare()
	c.lane.mu.Lock()
	defer c.lane.mu.Unlock()
	c.lane.ready = j
}

// overtaken tells whether a document that a check has read was changed, opened
// or closed while it ran, before it was known that the plan includes it.
func (s *Server) overtaken(c *check) bool {
	now := s.now.Load()
	for _, docs := range []map[string]*document{now.docs, c.open} {
		for key, doc := range docs {
			if _, read := c.result.seen[doc.file]; read && key != c.doc.key && now.docs[key] != c.open[key] {
				return true
			}
		}
	}
	return false
}

// tell hands a check's findings to the client; one that asks for them itself is
// told of files that it has not open. Where the check was not for an edit of
// the document, the client is to ask again what it was told of it; where it was
// given hints of an earlier check, those.
func (s *Server) tell(c *check) {
	now := s.now.Load()
	s.board.put(c.doc.key, c.result, c.result.diagnostics(now), s.now.Load, func() bool { return s.now.Load().checks[c.doc.key] == c })
	hinted := c.lane.hinted.Swap(false)
	for _, refresh := range []struct{ ability, method string }{
		{"diagnostics", "workspace/diagnostic/refresh"}, {"inlayHint", "workspace/inlayHint/refresh"},
		{"semanticTokens", protocol.MethodSemanticTokensRefresh}, {"codeLens", protocol.MethodCodeLensRefresh},
	} {
		if c.own && (refresh.ability != "inlayHint" || !hinted) {
			continue
		}
		if now.client.can("workspace", refresh.ability, "refreshSupport") && (refresh.ability != "diagnostics" || now.client.pull) {
			go func() { _ = s.conn.Ask(s.ended, refresh.method, nil, nil) }() // the answer says nothing
		}
	}
}

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
