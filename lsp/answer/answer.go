// Package answer says what there is to say at a place of a plan: what a word
// means, what could stand there, where else it stands, what would put it right.
//
// It refuses to know protocols, editors and positions in lines and characters:
// a place is a path and an offset in bytes, a span a system.Loc. It works
// nothing out that the check has worked out: every number is read from the
// report, the ledger and the venting. Every answer is a pure function of a
// Plan, the same bytes for the same plan, and holds for broken text as well.
package answer

import (
	"sync"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lint"
	"crownweir/lint/fit"
)

// Plan is what one check of a plan knows: the view every answer is drawn from.
// It must not be copied or written to once an answer was asked of it; several
// goroutines may ask at a time.
type Plan struct {
	Path    string            // the plan's path in the report
	Report  *lint.Report      // System, Case, Findings, Judgements, Files
	Sources map[string]string // texts by path
	// Recheck judges the plan anew with other texts, under the same book and
	// options. Actions that must not change a verdict are only offered where
	// it is there to prove that they do not.
	Recheck func(sources map[string]string) *lint.Report
	// Try judges the plan's own texts anew, read by parse. A size is found by
	// trying where it is there; it may be asked some dozens of times.
	Try fit.Judge

	once  sync.Once
	files map[string]*file

	namesOnce, mentionsOnce sync.Once
	names                   *names

	// earlier is the plan as it was checked where texts changed since, pages the
	// files that did, over the names with theirs. pages is nil where all is read
	// anew.
	earlier  *Plan
	pages    map[string]*file
	overOnce sync.Once
	over     *names

	// mu guards the case, which notes what is read of it, and facts.
	mu    sync.Mutex
	known *facts
}

// Prepare looks up what answers share, so that the first of them need not.
func (p *Plan) Prepare() {
	n := p.written()
	known, c, unlock := p.lock()
	defer unlock()
	k := cursor{Plan: p, names: n, facts: known, c: c}
	k.candidates("")
}

// system is the plan as a system; nil where it was not read.
func (p *Plan) system() *system.System {
	if p.Report == nil {
		return nil
	}
	return p.Report.System
}

// file finds a file of the plan; nil where there is none of that path.
func (p *Plan) file(path string) *file {
	p.once.Do(func() {
		p.files = map[string]*file{}
		if p.Report != nil {
			for path, f := range p.Report.Files {
				p.files[path] = newFile(path, f)
			}
		}
		for path, source := range p.Sources {
			if f := p.files[path]; f == nil || f.source != source {
				p.files[path] = newFile(path, grammar.Parse(path, source))
				p.files[path].stale = true
			}
		}
	})
	return p.files[path]
}

// paths lists the files in the order in which the plan reads them, then those
// it does not read.
func (p *Plan) paths() []string {
	if p.pages != nil {
		return p.earlier.paths()
	}
	p.file("")
	var out []string
	seen := map[string]bool{}
	if s := p.system(); s != nil {
		for _, path := range s.Order {
			if p.files[path] != nil && !seen[path] {
				seen[path] = true
				out = append(out, path)
			}
		}
	}
	return append(out, others(p.files, seen)...)
}
