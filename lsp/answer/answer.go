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
	"sort"
	"sync"

	"crownweir/grammar"
	"crownweir/grammar/system"
	"crownweir/lint"
)

// Plan is what one check of a plan knows: the view every answer is drawn from.
// It must not be copied or written to once an answer was asked of it; several
// goroutines may ask at a time.
type Plan struct {
	Path    string            // the plan's path in the report
	Report  *lint.Report      // System, Case, Findings, Judgements, Files
	Sources map[string]string // texts by path

	once  sync.Once
	index index
}

// index is what answers look things up by, made once when first asked for.
type index struct {
	files map[string]*fileIndex
	rules map[string]lint.RuleInfo
}

// fileIndex is one file with its statements in order, those in typicals too.
type fileIndex struct {
	path   string
	source string
	file   *grammar.File
	stmts  []placed
}

// placed is a statement and the typical it stands in.
type placed struct {
	grammar.Statement
	typical *grammar.Typical // nil outside typicals
}

// look hands out the index.
func (p *Plan) look() *index {
	p.once.Do(func() {
		p.index.files = map[string]*fileIndex{}
		if p.Report != nil {
			for path, f := range p.Report.Files {
				p.index.files[path] = indexFile(path, f)
			}
		}
		for path, source := range p.Sources {
			if f := p.index.files[path]; f == nil || f.source != source {
				p.index.files[path] = indexFile(path, grammar.Parse(path, source))
			}
		}
		p.index.rules = map[string]lint.RuleInfo{}
		for _, r := range lint.Rules() {
			p.index.rules[r.Name] = r
		}
	})
	return &p.index
}

func indexFile(path string, f *grammar.File) *fileIndex {
	fi := &fileIndex{path: path, source: f.Source, file: f}
	for _, s := range f.Statements {
		fi.stmts = append(fi.stmts, placed{s, nil})
		if t, ok := s.(*grammar.Typical); ok {
			for _, inner := range t.Body {
				fi.stmts = append(fi.stmts, placed{inner, t})
			}
		}
	}
	return fi
}

// file is a file of the plan; nil where there is none of that path.
func (p *Plan) file(path string) *fileIndex { return p.look().files[path] }

// at is the statement an offset stands in or on the end of: the innermost one.
func (f *fileIndex) at(offset int) (placed, bool) {
	i := sort.Search(len(f.stmts), func(i int) bool { return f.stmts[i].Pos().Start > offset })
	for i--; i >= 0; i-- {
		s := f.stmts[i]
		if offset <= s.Pos().End {
			return s, true
		}
		if _, typical := s.Statement.(*grammar.Typical); !typical && s.typical == nil {
			break
		}
	}
	return placed{}, false
}

func (f *fileIndex) loc(span grammar.Span) system.Loc { return system.Loc{File: f.path, Span: span} }

// within tells whether an offset stands in a span or on its end.
func within(span grammar.Span, offset int) bool {
	return span.Start <= offset && offset <= span.End && span.End > span.Start
}
