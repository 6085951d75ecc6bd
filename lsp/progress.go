package lsp

import (
	"fmt"
	"time"

	"go.lsp.dev/protocol"
)

// lengthy is how long a check takes before the client's user is told that it
// goes on.
const lengthy = time.Second

// progressValue is LSP 3.17, WorkDoneProgressBegin and WorkDoneProgressEnd.
type progressValue struct {
	Kind  string `json:"kind"`
	Title string `json:"title,omitempty"`
}

// progress shows a check that takes long, in clients that can show it, until it
// is done or given up.
func (s *Server) progress(c *check) {
	if !s.now.Load().client.can("window", "workDoneProgress") {
		return
	}
	timer := time.NewTimer(lengthy)
	defer timer.Stop()
	select {
	case <-timer.C:
	case <-c.done:
		return
	case <-c.old.Done():
		return
	case <-s.ended.Done():
		return
	}
	token := fmt.Sprintf("check-%d", s.shown.Add(1))
	if err := s.conn.Ask(s.ended, protocol.MethodWorkDoneProgressCreate, map[string]string{"token": token}, nil); err != nil {
		return // it is not wanted
	}
	tell := func(value progressValue) {
		s.conn.Notify(protocol.MethodProgress, map[string]any{"token": token, "value": value})
	}
	tell(progressValue{"begin", "judging " + c.doc.name()})
	select {
	case <-c.done:
	case <-c.old.Done():
	case <-s.ended.Done():
	}
	tell(progressValue{Kind: "end"})
}
