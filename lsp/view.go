package lsp

import (
	"context"
	"slices"
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
	asked sync.Locker      // held while the plan is asked
	alone sync.Locker      // held while its report is read by others
	drift map[string]drift // of files that were edited since, by path
	late  *check           // the one not waited for, where the answer is of an earlier
}

// moment is the text and the check that a question is answered from, where the
// check of the text as it is was not finished at a glance.
type moment uint8

const (
	// exact waits for the check of the text as it is.
	exact moment = iota
	// present takes the text as it is, and what was worked out of the last one
	// that was checked.
	present
	// past takes the last text that was checked, and moves places along with
	// what was edited since.
	past
)

// Glance is how long a question waits for a check where there is an earlier
// one to answer from.
const Glance = 3 * time.Millisecond

// prompt is what a check may have cost last for the next to be waited for.
const prompt = 5 * time.Millisecond

// view is the view of a document: of the open plan that includes it, where
// there is one, else of itself as a plan. path is the document's in the plan.
// There is no plan in it where the document is not open or cannot be judged. An
// error says that the text has changed before it was judged.
func (s *Server) view(ctx context.Context, now *snapshot, uri string, m moment) (v view, path string, err error) {
	key := placeOf(uri).key
	c := now.owner(key)
	if c == nil {
		return view{}, "", nil
	}
	last := c.lane.finished()
	before := last != nil && last.plan != nil && m != exact
	var got *judged
	switch ready := c.lane.prepared(); {
	case !before:
		got = s.settled(ctx, c)
	case m == present && ready != nil && last.took >= s.opts.Glance:
		// what is proposed asks for much to be looked up: rather of a plan that
		// has it ready than of one that is new
		if last = ready; c.there() == ready {
			got = ready
		}
	default:
		got = s.soon(ctx, c, last)
	}
	switch {
	case got != nil:
		v = view{plan: got.plan, files: got.files, enc: now.client.encoding, asked: got.asked.RLocker(), alone: &got.asked}
	case ctx.Err() != nil:
		return view{}, "", ctx.Err()
	case m == present && before:
		v = c.presented(last, now)
		v.late = c
	case m == past && before:
		v = c.remembered(last, now)
		v.late = c
	default:
		return view{}, "", protocol.ErrContentModified
	}
	if v.plan == nil {
		return view{}, "", nil
	}
	for _, path := range sortedKeys(v.files) {
		if v.files[path].key == key {
			return v, path, nil
		}
	}
	return view{}, "", nil
}

// soon is a check's result where it is there at a glance; nil else, and where
// the one before took so long that this one may rather wait for typing to rest.
func (s *Server) soon(ctx context.Context, c *check, last *judged) *judged {
	if last.took >= quick {
		return c.there()
	}
	patience := s.opts.Glance
	if last.took <= prompt { // it is as good as there, however busy the machine
		patience = 2 * quick
	}
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	return c.wait(ctx, s.judge)
}

// settled waits for a check, and not longer than it counts where it takes long.
func (s *Server) settled(ctx context.Context, c *check) *judged {
	if last := c.lane.finished(); last != nil && last.took >= quick {
		until, cancel := context.WithCancel(ctx)
		defer cancel()
		defer context.AfterFunc(c.old, cancel)()
		ctx = until
	}
	return c.wait(ctx, s.judge)
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

// presented is an earlier check seen with the texts of the moment. It is made
// once for each check, so that questions share what they look up.
func (c *check) presented(last *judged, now *snapshot) view {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.stale == nil || c.staleOf != last {
		v := view{files: map[string]judgedFile{}, enc: now.client.encoding, asked: last.asked.RLocker(), alone: &last.asked}
		changes := map[string]answer.Change{}
		for path, f := range last.files {
			v.files[path] = f.in(c.open)
			if text := v.files[path].text; f.text != text {
				d := driftOf(f.text, text)
				changes[path] = answer.Change{Source: text.source, Start: d.start, Before: d.before, After: d.after}
			}
		}
		v.plan = last.plan.Edited(changes)
		c.stale, c.staleOf = &v, last
	}
	return *c.stale
}

// remembered is an earlier check, with the places of the moment.
func (c *check) remembered(last *judged, now *snapshot) view {
	v := view{plan: last.plan, files: map[string]judgedFile{}, enc: now.client.encoding, asked: last.asked.RLocker(), alone: &last.asked, drift: map[string]drift{}}
	for path, f := range last.files {
		v.files[path] = f.in(c.open)
		if f.text != v.files[path].text {
			v.drift[path] = driftOf(f.text, v.files[path].text)
		}
	}
	return v
}

// in is the file as it is among open documents.
func (f judgedFile) in(open map[string]*document) judgedFile {
	if doc := open[f.key]; doc != nil {
		f.doc, f.text = doc, doc.text
	}
	return f
}

// drift is what lies between two texts: the stretch in which they differ.
type drift struct{ start, before, after int }

// driftOf is the drift of the edits that made one text of another, as far as
// they are remembered; else the texts are held beside each other.
func driftOf(before, after *text) drift {
	d := drift{0, len(before.source), len(after.source)}
	if i := slices.IndexFunc(after.edits, func(e replaced) bool { return before.mark != nil && e.of == before.mark }); i >= 0 {
		d = between(after.edits[i:])
	}
	start, end, by := narrow(before.source[d.start:d.before], after.source[d.start:d.after])
	return drift{d.start + start, d.start + end, d.start + start + len(by)}
}

// between is the one stretch that holds edits made one after another.
func between(edits []replaced) drift {
	d := drift{edits[0].start, edits[0].start, edits[0].start}
	for _, e := range edits {
		start, end := min(d.start, e.start), max(d.after, e.end)
		d = drift{start, d.before + end - d.after, end + e.by - (e.end - e.start)}
	}
	return d
}

// then is where an offset was before; ok is false within what was edited.
func (d drift) then(offset int) (was int, ok bool) {
	switch {
	case offset <= d.start:
		return offset, true
	case offset >= d.after:
		return offset - d.after + d.before, true
	}
	return 0, false
}

// since is where an offset went; within what was edited, to its end.
func (d drift) since(offset int) int {
	switch {
	case offset <= d.start:
		return offset
	case offset >= d.before:
		return offset - d.before + d.after
	}
	return d.after
}

// covered is what lay in a span before, with all that was edited in it.
func (d drift) covered(span grammar.Span) grammar.Span {
	start, ok := d.then(span.Start)
	if !ok {
		start = d.start
	}
	end, ok := d.then(span.End)
	if !ok {
		end = d.before
	}
	return grammar.Span{Start: start, End: end}
}

// touches tells whether a span of before meets what was edited.
func (d drift) touches(span grammar.Span) bool { return span.Start <= d.before && span.End >= d.start }

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
	return f.text.span(v.moved(loc), v.enc)
}

// moved is a location's span in the text of the moment.
func (v view) moved(loc system.Loc) grammar.Span {
	d, ok := v.drift[loc.File]
	if !ok {
		return loc.Span
	}
	return grammar.Span{Start: d.since(loc.Span.Start), End: d.since(loc.Span.End)}
}

// location is where a location of the plan is; ok is false where its file is
// none of the plan's.
func (v view) location(loc system.Loc) (protocol.Location, bool) {
	f, ok := v.files[loc.File]
	if !ok {
		return protocol.Location{}, false
	}
	return protocol.Location{URI: protocol.DocumentURI(f.uri), Range: f.text.span(v.moved(loc), v.enc)}, true
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

func (s *Server) point(ctx context.Context, now *snapshot, p *pointParams, m moment) (point, error) {
	v, path, err := s.view(ctx, now, p.TextDocument.URI, m)
	if err != nil || v.plan == nil {
		return point{}, err
	}
	offset := v.files[path].text.offset(p.Position, v.enc)
	if d, ok := v.drift[path]; ok {
		if offset, ok = d.then(offset); !ok {
			return point{}, nil
		}
	}
	return point{v, path, offset}, nil
}
