package lsp

import (
	"runtime/debug"
	"time"

	"go.lsp.dev/protocol"
)

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
