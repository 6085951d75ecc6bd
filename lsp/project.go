package lsp

import (
	"errors"
	"path/filepath"
	"strings"
	"sync"

	"go.lsp.dev/protocol"

	"crownweir/grammar"
	"crownweir/lint"
	"crownweir/lsp/settings"
)

// projects finds the settings that plans are judged by. They are read anew for
// every check, so that they are never old; what is kept is the last that could
// be read of each file, for the time in which it is being written.
type projects struct {
	words func() settings.Words // made when first asked for

	mu   sync.Mutex
	good map[string]*settings.Settings // by file
}

func newProjects(rules func() []lint.RuleInfo, books func() []string) *projects {
	words := sync.OnceValue(func() settings.Words {
		w := settings.Words{Books: books()}
		for _, r := range rules() {
			w.Rules = append(w.Rules, r.Name)
		}
		return w
	})
	return &projects{words: words, good: map[string]*settings.Settings{}}
}

// of finds the settings of a folder, nil where there are none, and what is
// wrong with them. looked lists the files that they depend on.
func (p *projects) of(folder string) (s *settings.Settings, wrong *settings.Wrong, looked []string) {
	file, looked := settings.Find(folder)
	if file == "" {
		return nil, nil, looked
	}
	read, err := p.words().Read(file)
	p.mu.Lock()
	defer p.mu.Unlock()
	if err == nil {
		p.good[file] = read
		s = read
	} else {
		errors.As(err, &wrong) // as Read promises
		s = p.good[file]
	}
	if s != nil {
		for _, name := range s.Amend {
			looked = append(looked, s.Path(name))
		}
	}
	return s, wrong, looked
}

// configure lays a project's settings over the options of a check, and the
// amendments they name over its files.
func configure(opts *lint.Options, s *settings.Settings, w *world) {
	if s == nil {
		return
	}
	opts.Book, opts.Only, opts.Skip, opts.Severities = s.Code, s.Only, s.Skip, s.Severity
	var paths []string
	w.laid, paths, _ = settings.Lay(s.Amendments)
	opts.Amend = append(opts.Amend, paths...)
}

// above is the URI of a file in a folder some steps above a document's own, in
// the client's spelling.
func (p place) above(steps int, name string) string {
	folder := p.uri[:strings.LastIndexByte(p.uri, '/')+1]
	for range steps {
		folder = folder[:strings.LastIndexByte(strings.TrimSuffix(folder, "/"), '/')+1]
	}
	return folder + escapePart(name)
}

// settingsPlace is the settings file that holds for a document, as its client
// would call it.
func settingsPlace(doc *document, file string) place {
	rel, err := filepath.Rel(filepath.Dir(file), filepath.Dir(doc.file))
	steps := 0
	if err == nil && rel != "." {
		steps = strings.Count(filepath.ToSlash(rel), "/") + 1
	}
	return placeOf(doc.above(steps, filepath.Base(file)))
}

// wrongSettings is the diagnostic of a settings file that cannot be read.
func wrongSettings(wrong *settings.Wrong, t *text, enc encoding) protocol.Diagnostic {
	line := min(max(wrong.Line-1, 0), len(t.starts)-1)
	start, end := t.line(line)
	at := t.offset(protocol.Position{Line: uint32(line), Character: uint32(max(wrong.Column-1, 0))}, utf32Units)
	if at >= end {
		at = start
	}
	return protocol.Diagnostic{
		Range:    t.visible(grammar.Span{Start: at, End: end}, enc),
		Severity: protocol.DiagnosticSeverityError, Source: source, Message: wrong.Text,
	}
}
