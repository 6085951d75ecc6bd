package lsp

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"maps"
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

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
