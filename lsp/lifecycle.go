package lsp

import (
	"context"
	"encoding/json"
	"time"

	"go.lsp.dev/protocol"

	"crownweir/lsp/wire"
)

// initializeParams is what is read of LSP 3.17, InitializeParams.
type initializeParams struct {
	ProcessID    *int            `json:"processId"`
	Capabilities json.RawMessage `json:"capabilities"`
	Options      json.RawMessage `json:"initializationOptions"`
}

// initializeResult is LSP 3.17, InitializeResult.
type initializeResult struct {
	Capabilities serverCapabilities  `json:"capabilities"`
	ServerInfo   protocol.ServerInfo `json:"serverInfo"`
}

// serverCapabilities adds what is newer than the library's type.
type serverCapabilities struct {
	protocol.ServerCapabilities
	PositionEncoding   encoding            `json:"positionEncoding"`             // LSP 3.17, PositionEncodingKind
	InlayHintProvider  bool                `json:"inlayHintProvider"`            // LSP 3.17
	DiagnosticProvider *diagnosticProvider `json:"diagnosticProvider,omitempty"` // LSP 3.17, DiagnosticOptions
}

func (s *Server) initialize(_ context.Context, p *initializeParams) (initializeResult, error) {
	next := s.next()
	next.client = newClient(p.Capabilities)
	takeSettings(next, p.Options)
	s.now.Store(next)
	if p.ProcessID != nil {
		s.watchParent(*p.ProcessID)
	}
	return initializeResult{
		Capabilities: s.capabilities(next.client),
		ServerInfo:   protocol.ServerInfo{Name: "crownweir", Version: s.opts.Version},
	}, nil
}

// diagnosticProvider is LSP 3.17, DiagnosticOptions.
type diagnosticProvider struct {
	Identifier            string `json:"identifier"`
	InterFileDependencies bool   `json:"interFileDependencies"`
	WorkspaceDiagnostics  bool   `json:"workspaceDiagnostics"`
}

func (s *Server) capabilities(c *client) serverCapabilities {
	var pull *diagnosticProvider
	if c.pull {
		pull = &diagnosticProvider{Identifier: source, InterFileDependencies: true}
	}
	var rename any = true
	if c.can("textDocument", "rename", "prepareSupport") {
		rename = protocol.RenameOptions{PrepareProvider: true}
	}
	var actions any
	if literalActions(c) {
		actions = map[string]any{"codeActionKinds": actionKinds()}
	}
	return serverCapabilities{
		DiagnosticProvider: pull,
		InlayHintProvider:  true,
		PositionEncoding:   c.encoding,
		ServerCapabilities: protocol.ServerCapabilities{
			TextDocumentSync: protocol.TextDocumentSyncOptions{
				OpenClose: true, Change: protocol.TextDocumentSyncKindIncremental, Save: &protocol.SaveOptions{},
			},
			DocumentFormattingProvider:      true,
			DocumentRangeFormattingProvider: true,
			HoverProvider:                   true,
			SignatureHelpProvider:           &protocol.SignatureHelpOptions{TriggerCharacters: []string{" "}},
			CompletionProvider:              &protocol.CompletionOptions{TriggerCharacters: []string{" ", ",", ":", "\""}, ResolveProvider: true},
			CodeActionProvider:              actions,
			DefinitionProvider:              true,
			ReferencesProvider:              true,
			DocumentHighlightProvider:       true,
			DocumentLinkProvider:            &protocol.DocumentLinkOptions{},
			RenameProvider:                  rename,
			DocumentSymbolProvider:          true,
			WorkspaceSymbolProvider:         true,
			FoldingRangeProvider:            true,
			SelectionRangeProvider:          true,
			CodeLensProvider:                &protocol.CodeLensOptions{},
			SemanticTokensProvider:          tokenOptions(),
			ExecuteCommandProvider:          &protocol.ExecuteCommandOptions{Commands: []string{scheduleCommand}},
			CallHierarchyProvider:           true,
		},
	}
}

// initialized has the client watch files, where it can.
func (s *Server) initialized(context.Context, *wire.None) error {
	if s.now.Load().client.can("workspace", "didChangeWatchedFiles", "dynamicRegistration") {
		go s.watchFiles()
	}
	return nil
}

func (s *Server) shutdown(context.Context, *wire.None) (any, error) { return nil, nil }

// parentPeriod is how often it is looked whether the client's process lives.
const parentPeriod = 3 * time.Second

// watchParent ends the serving when the client's process does. A process that
// cannot be seen from the start, such as one outside a container, is not
// watched.
func (s *Server) watchParent(pid int) {
	if pid <= 0 || !alive(pid) {
		return
	}
	go func() {
		tick := time.NewTicker(parentPeriod)
		defer tick.Stop()
		for {
			select {
			case <-tick.C:
				if !alive(pid) {
					s.logf("the client's process %d is gone", pid)
					s.end()
					return
				}
			case <-s.ended.Done():
				return
			}
		}
	}()
}
