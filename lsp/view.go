package lsp

import (
	"context"
	"sync"
	"time"

	"go.lsp.dev/protocol"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lsp/answer"
)

// view is what a question is answered from: a plan as it was checked, and its
// files as the client has them.
type view struct {
	plan  *answer.Plan
	files map[string]judgedFile // by path in the plan
	enc   encoding
	asked sync.Locker // held while the plan is asked
}

// freshness is how long a question waits for a check of the text as it is,
// before it is answered from the check before it.
const freshness = 20 * time.Millisecond

// view is the view of a document: of the open plan that includes it, where
// there is one, else of itself as a plan. path is the document's in the plan.
// Where exact is not asked for and the check takes long, the text is the
// present one and what was worked out is of the check before. ok is false where
// the document is not open, its plan cannot be judged, or its check was given
// up for a newer one.
func (s *Server) view(ctx context.Context, now *snapshot, uri string, exact bool) (v view, path string, ok bool) {
	key := placeOf(uri).key
	c := now.owner(key)
	if c == nil {
		return view{}, "", false
	}
	if got := s.soon(ctx, c, exact); got != nil {
		v = view{got.plan, got.files, now.client.encoding, got.asked.RLocker()}
	} else if last := c.lane.finished(); !exact && last != nil && last.plan != nil && ctx.Err() == nil {
		v = c.presented(last, now)
	}
	if v.plan == nil {
		return view{}, "", false
	}
	for _, path := range sortedKeys(v.files) {
		if v.files[path].key == key {
			return v, path, true
		}
	}
	return view{}, "", false
}

// owner is the check whose plan a document belongs to.
func (now *snapshot) owner(key string) *check {
	own := now.checks[key]
	if own == nil {
		return nil
	}
	for _, plan := range sortedKeys(now.checks) {
		c := now.checks[plan]
		if plan == key || !dependsOn(c, own.doc.file) {
			continue
		}
		if last := c.lane.finished(); last != nil && last.plan != nil {
			for _, f := range last.files {
				if f.key == key {
					return c
				}
			}
		}
	}
	return own
}

// soon waits for a check: as long as it takes where exact is asked for, or
// where there is nothing before it to answer from.
func (s *Server) soon(ctx context.Context, c *check, exact bool) *judged {
	last := c.lane.finished()
	if !exact && last != nil && last.plan != nil {
		short, cancel := context.WithTimeout(ctx, freshness)
		defer cancel()
		ctx = short
	}
	return c.wait(ctx, s.judge)
}

// presented is an earlier check seen with the texts of the moment. It is made
// once for each check, so that questions share what they look up.
func (c *check) presented(last *judged, now *snapshot) view {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.stale == nil || c.staleOf != last {
		c.staleOf = last
		v := view{
			plan:  &answer.Plan{Path: last.plan.Path, Report: last.plan.Report, Sources: map[string]string{}},
			files: map[string]judgedFile{}, enc: now.client.encoding, asked: &last.asked,
		}
		for path, f := range last.files {
			if doc := c.open[f.key]; doc != nil {
				f.doc, f.text = doc, doc.text
			}
			v.files[path] = f
			v.plan.Sources[path] = f.text.source
		}
		c.stale = &v
	}
	return *c.stale
}

// ask runs a question while nobody asks the same report by another plan.
func (v view) ask(question func(p *answer.Plan)) {
	v.asked.Lock()
	defer v.asked.Unlock()
	question(v.plan)
}

// span is a location of the plan as a range of the client's.
func (v view) span(loc system.Loc) protocol.Range {
	f, ok := v.files[loc.File]
	if !ok {
		return protocol.Range{}
	}
	return f.text.span(loc.Span, v.enc)
}

// location is where a location of the plan is; ok is false where its file is
// none of the plan's.
func (v view) location(loc system.Loc) (protocol.Location, bool) {
	f, ok := v.files[loc.File]
	if !ok {
		return protocol.Location{}, false
	}
	return protocol.Location{URI: protocol.DocumentURI(f.uri), Range: f.text.span(loc.Span, v.enc)}, true
}

// bytes is the span of a file for a range of the client's.
func (v view) bytes(path string, r protocol.Range) grammar.Span {
	return v.files[path].text.bytes(r, v.enc)
}

// pointParams is LSP 3.17, TextDocumentPositionParams.
type pointParams struct {
	documentParams
	Position protocol.Position `json:"position"`
}

// point is a place that a question is asked of.
type point struct {
	view
	path   string
	offset int
}

func (s *Server) point(ctx context.Context, now *snapshot, p *pointParams, exact bool) (point, bool) {
	v, path, ok := s.view(ctx, now, p.TextDocument.URI, exact)
	if !ok {
		return point{}, false
	}
	return point{v, path, v.files[path].text.offset(p.Position, v.enc)}, true
}
