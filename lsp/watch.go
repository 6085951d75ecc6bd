package lsp

import (
	"context"
	"encoding/json"
	"slices"

	"go.lsp.dev/protocol"
)

// watchFiles asks the client to tell of plans, settings and amendments that
// change on the disk. The server itself watches nothing.
func (s *Server) watchFiles() {
	type watcher struct {
		GlobPattern string `json:"globPattern"`
	}
	err := s.conn.Ask(s.ended, protocol.MethodClientRegisterCapability, protocol.RegistrationParams{
		Registrations: []protocol.Registration{{
			ID: "watched-files", Method: protocol.MethodWorkspaceDidChangeWatchedFiles,
			RegisterOptions: map[string]any{"watchers": []watcher{{"**/*.weir"}, {"**/*.toml"}}},
		}},
	}, nil)
	if err != nil && s.ended.Err() == nil {
		s.logf("files are not watched: %v", err)
	}
}

// watchedParams is LSP 3.17, DidChangeWatchedFilesParams.
type watchedParams struct {
	Changes []struct {
		URI string `json:"uri"`
	} `json:"changes"`
}

func (s *Server) didChangeWatchedFiles(_ context.Context, p *watchedParams) error {
	var files []string
	now := s.now.Load()
	for _, change := range p.Changes {
		at := placeOf(change.URI)
		if at.file != "" && now.docs[at.key] == nil {
			files = append(files, at.file)
		}
	}
	if len(files) == 0 {
		return nil
	}
	s.change(s.opts.Pause, func(*snapshot) func(string, *check) bool {
		return func(_ string, c *check) bool {
			return c.unsettled() || slices.ContainsFunc(files, func(file string) bool { return dependsOn(c, file) })
		}
	})
	return nil
}

// unsettled tells whether the plan's settings could not be read: what they
// depend on is not known then.
func (c *check) unsettled() bool {
	select {
	case <-c.done:
		return c.result != nil && c.result.wrong != nil
	default:
		return false
	}
}

// didChangeConfiguration takes the client's settings. Most are none of ours,
// and some clients send nothing in them.
func (s *Server) didChangeConfiguration(_ context.Context, p *struct {
	Settings json.RawMessage `json:"settings"`
}) error {
	s.change(s.opts.Pause, func(next *snapshot) func(string, *check) bool {
		before := next.most
		takeSettings(next, p.Settings)
		return func(string, *check) bool { return next.most != before }
	})
	return nil
}

// takeSettings takes from a client's settings what is ours: its own section, or
// the settings bare as initializationOptions have them.
func takeSettings(next *snapshot, raw json.RawMessage) {
	type own struct {
		MostFindings *int `json:"mostFindings"`
	}
	var all struct {
		own
		Section own `json:"weir"`
	}
	if json.Unmarshal(raw, &all) != nil {
		return
	}
	for _, most := range []*int{all.MostFindings, all.Section.MostFindings} {
		if most != nil && *most > 0 {
			next.most = *most
		}
	}
}
