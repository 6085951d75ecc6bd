package lsp

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"sync"
	"sync/atomic"
	"time"

	"github.com/sourcegraph/conc/panics"

	"crownweir/grammar"
	"crownweir/lint"
	"crownweir/lsp/answer"
	"crownweir/lsp/settings"
)

// lane is what the versions of one open document share: they are checked one
// at a time.
type lane struct {
	turn   chan struct{} // holds one token
	hinted atomic.Bool   // the client has hints of an earlier check than the latest

	mu      sync.Mutex
	last    *judged   // the latest that was finished
	ready   *judged   // the latest whose answers are prepared
	colours *coloured // what the client was last told of tokens
}

func newLane() *lane { return &lane{turn: make(chan struct{}, 1)} }

func (l *lane) finished() *judged {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.last
}

// prepared is the latest result whose answers are prepared, or nil.
func (l *lane) prepared() *judged {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.ready
}

// check is one plan to be checked at one moment. It runs at most once, when it
// is first asked for.
type check struct {
	doc  *document
	open map[string]*document // of the moment, by key
	lane *lane
	told map[string]stamp // what the check before it looked at
	own  bool             // begun by an edit of the document, not of what it depends on
	made time.Time
	was  *text // what the edit changed; nil where it did not come after a rest

	old     context.Context // ends when a newer check takes its place
	retire  context.CancelFunc
	run     context.Context // ends when nobody wants the result any more
	stop    context.CancelFunc
	hurry   chan struct{} // closed where its findings are wanted at once
	hurried sync.Once
	once    sync.Once
	done    chan struct{}
	result  *judged // after done; nil where it was stopped
	mu      sync.Mutex
	waiting int
	stale   *view   // of an earlier check with this one's texts
	staleOf *judged // … and that check
}

func newCheck(doc *document, open map[string]*document, l *lane) *check {
	c := &check{doc: doc, open: open, lane: l, made: time.Now(), hurry: make(chan struct{}), done: make(chan struct{})}
	c.old, c.retire = context.WithCancel(context.Background())
	c.run, c.stop = context.WithCancel(context.Background())
	return c
}

// now has the findings told without waiting for typing to rest.
func (c *check) now() { c.hurried.Do(func() { close(c.hurry) }) }

// drop gives the check up for a newer one; whoever waits for it still gets it.
func (c *check) drop() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.retire()
	if c.waiting == 0 {
		c.stop()
	}
}

// start has the check run, once.
func (c *check) start(judge func(context.Context, *check) *judged) {
	c.once.Do(func() {
		go func() {
			defer close(c.done)
			select {
			case c.lane.turn <- struct{}{}:
				defer func() { <-c.lane.turn }()
			case <-c.run.Done():
				return
			}
			if c.run.Err() != nil {
				return
			}
			got := judge(c.run, c)
			if c.run.Err() != nil {
				return
			}
			c.result = got
			c.lane.mu.Lock()
			c.lane.last = got
			c.lane.mu.Unlock()
		}()
	})
}

// wait starts the check and waits for its result; nil where ctx ends first or
// the check was given up.
func (c *check) wait(ctx context.Context, judge func(context.Context, *check) *judged) *judged {
	c.mu.Lock()
	c.waiting++
	c.mu.Unlock()
	defer func() {
		c.mu.Lock()
		defer c.mu.Unlock()
		c.waiting--
		if c.waiting == 0 && c.old.Err() != nil {
			c.stop()
		}
	}()
	c.start(judge)
	select {
	case <-c.done:
		return c.result
	case <-ctx.Done():
		return nil
	}
}

// there is the result, where it is there; nil while the check waits or runs, and
// where it was stopped.
func (c *check) there() *judged {
	select {
	case <-c.done:
		return c.result
	default:
		return nil
	}
}

// looked is what the plan is known to depend on.
func (c *check) looked() map[string]stamp {
	if got := c.there(); got != nil {
		return got.seen
	}
	return c.told
}

// judged is a plan checked.
type judged struct {
	doc   *document
	plan  *answer.Plan
	files map[string]judgedFile // by path in the report
	seen  map[string]stamp
	fault string // why there is no report
	wrong *wrongFile
	took  time.Duration
	opts  lint.Options

	// asked is held for reading by questions of the plan and of later texts of
	// it, for writing by who reads the report past them.
	asked sync.RWMutex
}

// touched lists the files that the check speaks of, in order.
func (j *judged) touched() []judgedFile {
	var all []judgedFile
	for _, path := range sortedKeys(j.files) {
		all = append(all, j.files[path])
	}
	if j.wrong != nil {
		all = append(all, j.wrong.judgedFile)
	}
	return all
}

// wrongFile is a settings file with what is wrong with it.
type wrongFile struct {
	judgedFile
	*settings.Wrong
}

// judgedFile is a file of a plan as it was read.
type judgedFile struct {
	place
	doc  *document // nil where it is not open
	text *text
}

// provable is what a check may cost for actions to be proved by another.
const provable = 250 * time.Millisecond

// sizable is what a check may cost for sizes to be found by some dozens of
// others while a menu waits to open.
const sizable = 10 * time.Millisecond

// recheck judges a plan with other texts in the place of its own, read by parse.
func (s *Server) recheck(c *check, opts lint.Options, laid map[string][]byte) func(map[string]string, func(path, source string) *grammar.File) *lint.Report {
	return func(sources map[string]string, parse func(path, source string) *grammar.File) *lint.Report {
		opts := opts
		opts.Parse = parse
		w, closeWorld := newWorld(c.doc, c.open)
		defer closeWorld()
		w.laid = laid
		for path, source := range sources {
			w.over[path] = &document{text: &text{source: source}}
		}
		return s.opts.Check(s.ended, w, c.doc.name(), opts)
	}
}

// judge checks a plan. A fault of the program's own is told like a plan that
// cannot be read.
func (s *Server) judge(ctx context.Context, c *check) (got *judged) {
	began := time.Now()
	name := c.doc.name()
	got = &judged{doc: c.doc, files: map[string]judgedFile{name: {c.doc.place, c.doc, c.doc.text}}}
	w, closeWorld := newWorld(c.doc, c.open)
	defer closeWorld()
	defer func() {
		if r := recover(); r != nil {
			stack := debug.Stack()
			if rule, ok := r.(*panics.Recovered); ok { // one that ran beside others
				r, stack = rule.Value, rule.Stack
			}
			s.logf("fault in a check of %s: %v\n%s", c.doc.uri, r, stack)
			got.plan = nil
			got.fault = fmt.Sprintf("the plan is not judged, for a fault of the program: %v", r)
		}
		got.seen, got.took = w.seen, time.Since(began)
	}()
	opts := lint.Options{Today: s.opts.Now()}
	if c.doc.file != "" {
		config, wrong, looked := s.projects.of(filepath.Dir(c.doc.file))
		for _, file := range looked {
			w.noteFile(file)
		}
		if wrong != nil {
			content, _ := os.ReadFile(wrong.File) // what cannot be read has one line, and that is empty
			got.wrong = &wrongFile{judgedFile{settingsPlace(c.doc, wrong.File), nil, newText(string(content))}, wrong}
		}
		if wrong != nil && config == nil {
			got.fault = "the plan is not judged, its settings cannot be read: " + wrong.Error()
			return got
		}
		configure(&opts, config, w)
	}
	opts.Parse = func(path, source string) *grammar.File {
		if doc := w.over[path]; doc != nil && doc.text.source == source {
			return doc.parsed(path)
		}
		return grammar.Parse(path, source)
	}
	opts.Blank = true // what may stand in it is asked for too
	got.opts = opts
	report := s.opts.Check(ctx, w, name, opts)
	if report.Unread != "" {
		got.fault = "the plan " + report.Unread
		return got
	}
	sources := map[string]string{}
	for path, f := range report.Files {
		sources[path] = f.Source
		if path == name {
			continue
		}
		if doc := w.over[path]; doc != nil {
			got.files[path] = judgedFile{doc.place, doc, doc.text}
		} else {
			got.files[path] = judgedFile{placeOf(c.doc.beside(path)), nil, newText(f.Source)}
		}
	}
	got.plan = &answer.Plan{Path: name, Report: report, Sources: sources}
	if lint.IsBlank(c.doc.text.source) {
		got.fault = "the plan " + lint.Empty
	}
	took, again := time.Since(began), s.recheck(c, opts, w.laid)
	if took < provable {
		got.plan.Recheck = func(sources map[string]string) *lint.Report { return again(sources, nil) }
	}
	if took < sizable {
		got.plan.Try = func(parse func(path, source string) *grammar.File) *lint.Report { return again(sources, parse) }
	}
	return got
}
