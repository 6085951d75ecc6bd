package lsp

import (
	"context"
	"encoding/json"
	"errors"
	"strings"

	"go.lsp.dev/jsonrpc2"

	"crownweir/lint/sheet/schedule"
	"crownweir/lsp/settings"
)

// scheduleCommand makes a table of a plan, as `crownweir schedule` does. It
// takes the plan's uri, the kind and the format, and hands out the text.
const scheduleCommand = "crownweir.schedule"

// commandParams is LSP 3.17, ExecuteCommandParams.
type commandParams struct {
	Command   string            `json:"command"`
	Arguments []json.RawMessage `json:"arguments"`
}

func (s *Server) command(ctx context.Context, now *snapshot, p *commandParams) (string, error) {
	if p.Command != scheduleCommand {
		return "", jsonrpc2.Errorf(jsonrpc2.InvalidParams, "there is no command %q; there is %s", p.Command, scheduleCommand)
	}
	words := []string{"", "", "markdown"}
	for i, raw := range p.Arguments {
		if i < len(words) && json.Unmarshal(raw, &words[i]) != nil {
			return "", jsonrpc2.Errorf(jsonrpc2.InvalidParams, "%s takes a uri, a kind and a format", p.Command)
		}
	}
	uri, kind, format := words[0], words[1], words[2]
	if err := settings.OneOf("schedule", kind, schedule.Kinds()...); err != nil {
		return "", jsonrpc2.NewError(jsonrpc2.InvalidParams, err.Error())
	}
	if err := settings.OneOf("format", format, schedule.Formats()...); err != nil {
		return "", jsonrpc2.NewError(jsonrpc2.InvalidParams, err.Error())
	}
	v, _, err := s.view(ctx, now, uri, exact)
	if err != nil {
		return "", err
	}
	if v.plan == nil {
		return "", errors.New("the plan is not open, or is not judged")
	}
	v.alone.Lock()
	defer v.alone.Unlock()
	sheet, ok := schedule.Make(kind, v.plan.Path, v.plan.Report)
	if !ok {
		return "", errors.New("the plan was not judged to its end")
	}
	var out strings.Builder
	err = schedule.Write(&out, format, sheet)
	return out.String(), err
}
