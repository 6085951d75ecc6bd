package lsp

import (
	"context"
	"errors"

	"go.lsp.dev/protocol"

	"crownweir/grammar/system"
	"crownweir/lsp/answer"
)

func (s *Server) definition(ctx context.Context, now *snapshot, p *pointParams) ([]protocol.Location, error) {
	at, err := s.point(ctx, now, p, past)
	if err != nil || at.plan == nil {
		return nil, err
	}
	var found []system.Loc
	at.ask(func(plan *answer.Plan) { found = answer.Definition(plan, at.path, at.offset) })
	return at.locations(found), nil
}

// referenceParams is LSP 3.17, ReferenceParams.
type referenceParams struct {
	pointParams
	Context struct {
		IncludeDeclaration bool `json:"includeDeclaration"`
	} `json:"context"`
}

func (s *Server) references(ctx context.Context, now *snapshot, p *referenceParams) ([]protocol.Location, error) {
	at, err := s.point(ctx, now, &p.pointParams, past)
	if err != nil || at.plan == nil {
		return nil, err
	}
	var found []system.Loc
	at.ask(func(plan *answer.Plan) {
		found = answer.References(plan, at.path, at.offset, p.Context.IncludeDeclaration)
	})
	return at.locations(found), nil
}

func (v view) locations(found []system.Loc) []protocol.Location {
	list := make([]protocol.Location, 0, len(found))
	for _, loc := range found {
		if where, ok := v.location(loc); ok {
			list = append(list, where)
		}
	}
	return list
}

func (s *Server) highlight(ctx context.Context, now *snapshot, p *pointParams) ([]protocol.DocumentHighlight, error) {
	at, err := s.point(ctx, now, p, past)
	if err != nil || at.plan == nil {
		return nil, err
	}
	var marks []answer.Mark
	at.ask(func(plan *answer.Plan) { marks = answer.Highlight(plan, at.path, at.offset) })
	list := make([]protocol.DocumentHighlight, 0, len(marks))
	for _, m := range marks {
		kind := protocol.DocumentHighlightKindRead
		if m.Write {
			kind = protocol.DocumentHighlightKindWrite
		}
		list = append(list, protocol.DocumentHighlight{Range: at.span(m.At), Kind: kind})
	}
	return list, nil
}

func (s *Server) links(ctx context.Context, now *snapshot, p *documentParams) ([]protocol.DocumentLink, error) {
	v, path, err := s.view(ctx, now, p.TextDocument.URI, exact)
	if err != nil || v.plan == nil {
		return nil, err
	}
	root := v.files[v.plan.Path]
	if root.file == "" {
		return []protocol.DocumentLink{}, nil // an untitled plan stands beside nothing
	}
	var found []answer.Link
	v.ask(func(plan *answer.Plan) { found = answer.Links(plan, path) })
	list := make([]protocol.DocumentLink, 0, len(found))
	for _, l := range found {
		list = append(list, protocol.DocumentLink{
			Range: v.span(l.At), Target: protocol.DocumentURI(root.beside(l.Target)), Tooltip: l.Tooltip,
		})
	}
	return list, nil
}

// renamable is LSP 3.17, PrepareRenameResult.
type renamable struct {
	Range       protocol.Range `json:"range"`
	Placeholder string         `json:"placeholder"`
}

func (s *Server) prepareRename(ctx context.Context, now *snapshot, p *pointParams) (*renamable, error) {
	at, err := s.point(ctx, now, p, exact)
	if err != nil || at.plan == nil {
		return nil, err
	}
	var loc system.Loc
	var name, refusal string
	at.ask(func(plan *answer.Plan) { loc, name, refusal = answer.PrepareRename(plan, at.path, at.offset) })
	if refusal != "" {
		return nil, errors.New(refusal)
	}
	return &renamable{at.span(loc), name}, nil
}

type renameParams struct {
	pointParams
	NewName string `json:"newName"`
}

func (s *Server) rename(ctx context.Context, now *snapshot, p *renameParams) (*protocol.WorkspaceEdit, error) {
	at, err := s.point(ctx, now, &p.pointParams, exact)
	if err != nil || at.plan == nil {
		return nil, err
	}
	var edits []answer.Edit
	var refusal string
	at.ask(func(plan *answer.Plan) { edits, refusal = answer.Rename(plan, at.path, at.offset, p.NewName) })
	if refusal != "" {
		return nil, errors.New(refusal)
	}
	return at.workspaceEdit(now.client, edits)
}

// workspaceEdit is edits in the form the client takes: by version where it can,
// so that an edit of a text that has changed is refused by it.
func (v view) workspaceEdit(c *client, edits []answer.Edit) (*protocol.WorkspaceEdit, error) {
	byPath := map[string][]protocol.TextEdit{}
	for _, e := range edits {
		if _, ok := v.files[e.At.File]; !ok {
			return nil, errors.New(e.At.File + " is no file of the plan")
		}
		byPath[e.At.File] = append(byPath[e.At.File], protocol.TextEdit{Range: v.span(e.At), NewText: e.Text})
	}
	edit := &protocol.WorkspaceEdit{}
	versions := c.can("workspace", "workspaceEdit", "documentChanges")
	for _, path := range sortedKeys(byPath) {
		f := v.files[path]
		if !versions {
			if edit.Changes == nil {
				edit.Changes = map[protocol.DocumentURI][]protocol.TextEdit{}
			}
			edit.Changes[protocol.DocumentURI(f.uri)] = byPath[path]
			continue
		}
		change := protocol.TextDocumentEdit{Edits: byPath[path]}
		change.TextDocument.URI = protocol.DocumentURI(f.uri)
		if f.doc != nil {
			change.TextDocument.Version = &f.doc.version
		}
		edit.DocumentChanges = append(edit.DocumentChanges, change)
	}
	return edit, nil
}
